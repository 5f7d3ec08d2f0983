//! What a record of one loose part asks for: nobody knows yet where the part will go, and perhaps not what it is, so that a
//! range that differs says of which it is. Refuses to know which rows lie within the part.

use super::ask::part_entries;
use super::{Blank, Derived, Entry, Part, Reading};
use crate::book::{self, Book, Id};
use crate::plan::Plan;
use crate::quantity::Date;

/// A part at one place of one generation.
#[derive(Clone, Debug)]
pub struct PlaceAsked<'a> {
    /// The generation.
    pub plan: &'a Plan,
    /// The positions of the part, outermost first.
    pub positions: Vec<u16>,
    /// The checks of the plan that lie within the part.
    pub within: Vec<usize>,
}

/// What a record of a part is asked for, of any of these places.
#[must_use]
pub fn blank_part(book: &Book, part: Id<book::Part>, day: Option<Date>, places: &[PlaceAsked<'_>]) -> Blank {
    let mut generations: Vec<(String, Vec<Entry>)> = Vec::new();
    for of_one in places.chunk_by(|one, other| one.plan.generation == other.plan.generation) {
        let at = |place: &PlaceAsked<'_>| {
            let entries = part_entries(book, (place.plan, &place.within), day, (part, &place.positions));
            (position_words(book, part, &place.positions), entries)
        };
        let positions: Vec<(String, Vec<Entry>)> = of_one.iter().map(at).collect();
        let Some(first) = of_one.first() else { continue };
        generations.push((book.generations.get(first.plan.generation).name.to_string(), merged(&positions)));
    }
    let name = book.parts.get(part).name.replace('_', " ");
    let (generation, description) = match (generations.as_slice(), places.first()) {
        ([(name, _)], Some(place)) => {
            (name.clone(), book.generations.get(place.plan.generation).description.to_string())
        }
        _ => (String::new(), String::new()),
    };
    Blank {
        generation,
        description,
        part: Some((book.part_path(part, &[], "."), name)),
        cautions: book.cautions.iter().map(ToString::to_string).collect(),
        day,
        dated: places.iter().any(|place| place.plan.dated),
        entries: merged(&generations),
    }
}

fn position_words(book: &Book, part: Id<book::Part>, positions: &[u16]) -> String {
    let steps = book.parts.get(part).positioned.iter().zip(positions);
    let names = steps.filter_map(|(id, number)| book.parts.get(*id).positions.get(usize::from(*number)));
    names.map(|name| &**name).collect::<Vec<_>>().join(" ")
}

/// What several places ask for, each thing once; what not all of them say has their names before it.
fn merged(places: &[(String, Vec<Entry>)]) -> Vec<Entry> {
    let mut names: Vec<&str> = Vec::new();
    for (_, entries) in places {
        for entry in entries {
            if !names.contains(&name_of(entry)) {
                names.push(name_of(entry));
            }
        }
    }
    let all = places.len();
    names.into_iter().filter_map(|name| merged_entry(name, all, places)).collect()
}

fn merged_entry(name: &str, all: usize, places: &[(String, Vec<Entry>)]) -> Option<Entry> {
    let here: Vec<(&str, &Entry)> = places
        .iter()
        .filter_map(|(label, entries)| Some((label.as_str(), entries.iter().find(|entry| name_of(entry) == name)?)))
        .collect();
    Some(match here.first()?.1 {
        Entry::Reading(first) => {
            let readings: Vec<(&str, &Reading)> = here
                .iter()
                .filter_map(
                    |(label, entry)| if let Entry::Reading(reading) = entry { Some((*label, reading)) } else { None },
                )
                .collect();
            let rows = said(all, readings.iter().map(|(label, reading)| (*label, &reading.rows)));
            let station = |(number, (name, _)): (usize, &(String, Vec<String>))| {
                let rows = readings.iter().filter_map(|(label, one)| Some((*label, &one.stations.get(number)?.1)));
                (name.clone(), said(all, rows))
            };
            let stations = first.stations.iter().enumerate().map(station).collect();
            let optional = readings.iter().all(|(_, reading)| reading.optional);
            Entry::Reading(Reading { rows, stations, optional, ..first.clone() })
        }
        Entry::Derived(first) => {
            let derived =
                here.iter().filter_map(
                    |(label, entry)| if let Entry::Derived(one) = entry { Some((*label, &one.rows)) } else { None },
                );
            Entry::Derived(Derived { rows: said(all, derived), ..first.clone() })
        }
        Entry::Part(first) => {
            let instance = |position: &Option<String>| {
                let places: Vec<(String, Vec<Entry>)> = here
                    .iter()
                    .filter_map(|(label, entry)| {
                        let Entry::Part(part) = entry else { return None };
                        let (_, entries) = part.instances.iter().find(|(name, _)| name == position)?;
                        Some(((*label).to_owned(), entries.clone()))
                    })
                    .collect();
                // Where not every place has this part, its rows say whose they are.
                let absent = (places.len()..all).map(|_| (String::new(), Vec::new()));
                let places: Vec<(String, Vec<Entry>)> = places.iter().cloned().chain(absent).collect();
                (position.clone(), merged(&places))
            };
            let instances = first.instances.iter().map(|(position, _)| instance(position)).collect();
            Entry::Part(Part { instances, ..first.clone() })
        }
    })
}

fn name_of(entry: &Entry) -> &str {
    match entry {
        Entry::Reading(reading) => &reading.name,
        Entry::Derived(derived) => &derived.name,
        Entry::Part(part) => &part.name,
    }
}

/// Rows of several places, each once: "front: limit at most 0.10 mm".
fn said<'a>(all: usize, places: impl Iterator<Item = (&'a str, &'a Vec<String>)>) -> Vec<String> {
    let mut rows: Vec<(&str, Vec<&str>)> = Vec::new();
    for (label, said) in places {
        for row in said {
            match rows.iter_mut().find(|(known, _)| known == row) {
                Some((_, labels)) => labels.push(label),
                None => rows.push((row, vec![label])),
            }
        }
    }
    let words = |(row, labels): (&str, Vec<&str>)| {
        if labels.len() >= all { row.to_owned() } else { format!("{}: {row}", labels.join(", ")) }
    };
    rows.into_iter().map(words).collect()
}
