//! What a blank asks for, part by part, with the places of each reading side by side: what a printed sheet has room for. Refuses to
//! know what it looks like.

use crate::blank::{Entry, Reading};

/// A part, whichever of its positions.
#[derive(Debug)]
pub(super) struct Grid<'a> {
    /// Its name in words, with the parts it is inside: `rotor side corner seal`; empty for what the blank is of.
    pub(super) part: String,
    /// How its positions are told apart.
    pub(super) measure: Option<&'a str>,
    /// Its readings.
    pub(super) rows: Vec<Row<'a>>,
    /// What is calculated from readings, each with its ranges.
    pub(super) calculated: Vec<(String, String)>,
}

/// One reading at all its places.
#[derive(Debug)]
pub(super) struct Row<'a> {
    pub(super) reading: &'a Reading,
    /// Where it is taken, in words, and what it may be there; one empty place if there is only one.
    pub(super) places: Vec<(String, String)>,
}

impl Row<'_> {
    /// What it may be, once for places that agree: `standard 0.05 to 0.10 mm`, `front: at most 3; rear: at most 4`.
    pub(super) fn ranges(&self) -> String {
        let Some((_, first)) = self.places.first() else { return String::new() };
        if self.places.iter().all(|(_, range)| range == first) {
            return first.clone();
        }
        let said = self.places.iter().filter(|(_, range)| !range.is_empty());
        said.map(|(at, range)| format!("{at}: {range}")).collect::<Vec<_>>().join("; ")
    }
}

/// The parts of a blank in the order it asks for them; what is asked for of the whole comes first.
pub(super) fn grids(entries: &[Entry]) -> Vec<Grid<'_>> {
    let mut grids = Vec::new();
    walk(&mut grids, "", None, "", entries);
    // A part of nothing but other parts has no table of its own.
    grids.retain(|grid| !grid.rows.is_empty() || !grid.calculated.is_empty());
    grids
}

/// Parts nest no deeper than the grammar lets them.
fn walk<'a>(grids: &mut Vec<Grid<'a>>, part: &str, measure: Option<&'a str>, at: &str, entries: &'a [Entry]) {
    let number = grids.iter().position(|grid| grid.part == part).unwrap_or(grids.len());
    if number == grids.len() {
        grids.push(Grid { part: part.to_owned(), measure, rows: Vec::new(), calculated: Vec::new() });
    }
    for entry in entries {
        let Some(grid) = grids.get_mut(number) else { return };
        match entry {
            Entry::Reading(reading) => take(grid, at, reading),
            Entry::Derived(derived) => {
                let name = plain(&derived.name);
                if !grid.calculated.iter().any(|(other, _)| *other == name) {
                    grid.calculated.push((name, derived.rows.join("; ")));
                }
            }
            Entry::Part(inner) => {
                let inside = joined(part, &plain(&inner.name));
                for (position, entries) in &inner.instances {
                    let at = joined(at, &position.as_deref().map(plain).unwrap_or_default());
                    walk(grids, &inside, inner.measure.as_deref(), &at, entries);
                }
            }
        }
    }
}

fn take<'a>(grid: &mut Grid<'a>, at: &str, reading: &'a Reading) {
    let own = reading.rows.join("; ");
    let places: Vec<(String, String)> = if reading.stations.is_empty() {
        vec![(at.to_owned(), own)]
    } else {
        let station = |(station, rows): &(String, Vec<String>)| {
            let ranges = reading.rows.iter().chain(rows).cloned().collect::<Vec<_>>().join("; ");
            (joined(at, &plain(station)), ranges)
        };
        reading.stations.iter().map(station).collect()
    };
    match grid.rows.iter_mut().find(|row| row.reading.name == reading.name) {
        Some(row) => row.places.extend(places),
        None => grid.rows.push(Row { reading, places }),
    }
}

fn joined(outer: &str, inner: &str) -> String {
    match (outer.is_empty(), inner.is_empty()) {
        (true, _) => inner.to_owned(),
        (_, true) => outer.to_owned(),
        _ => format!("{outer} {inner}"),
    }
}

/// A name of a book in words.
pub(super) fn plain(name: &str) -> String {
    name.replace('_', " ")
}
