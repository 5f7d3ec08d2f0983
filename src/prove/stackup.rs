//! Compares what derived values can come to with what their rows allow. Refuses to know how the first was worked out.

use super::input::{is_countable, let_through};
use super::stack::{Stacks, Under};
use super::wording;
use super::worth::Worth;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Origin, Row};
use crate::finding::Finding;
use crate::quantity::{Band, Unit};
use crate::text::Place;
use std::sync::Arc;

/// One derived value, with one of the rows on it or with none.
#[derive(Clone, Debug)]
pub struct StackUp {
    /// The derived value, as a book writes it: `rotor.side_clearance`.
    pub path: String,
    /// Where the row is, if there is one.
    pub row: Option<Place>,
    /// When the row applies: its `where`, as the book writes it, and its days.
    pub condition: Option<String>,
    /// The unit it is declared in.
    pub unit: Option<Unit>,
    /// What it can come to while all it is made of is good; an end is missing where nothing bounds it.
    pub band: Band,
    /// The same in words.
    pub reaches: String,
    /// Whether everything it is made of has a standard, so that `band` is of parts as new.
    pub as_new: bool,
    /// Whether there are good parts that come to each end; if not, why the band may be wider than what there can be.
    pub loose: Option<String>,
    /// Readings it is made of that no row bounds on both sides.
    pub missing: Vec<String>,
    /// How that lies to the row.
    pub outcome: Outcome,
}

/// How what a derived value can come to lies to its row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// There is no row to compare with.
    NoRow,
    /// Whatever good parts come to is inside.
    Fits,
    /// Good parts can come to more than this allows.
    Wider(String),
    /// No good parts come to what this allows.
    Impossible(String),
    /// A reading without a range leaves it open.
    Open,
    /// The row depends on the record, or what it can come to is not known closely enough.
    NotCompared,
}

/// Every derived quantity of a generation.
pub(super) fn stack_ups(book: &Book, generation: &Generation) -> (Vec<StackUp>, Vec<Finding>) {
    let stacks = Stacks::new(book, generation);
    let (mut all, mut findings) = (Vec::new(), Vec::new());
    for (id, characteristic) in book.characteristics.entries() {
        if !matches!(characteristic.origin, Origin::Derived(Some(_)))
            || !is_countable(book, characteristic.kind)
            || book.instances(characteristic.part, generation).is_empty()
        {
            continue;
        }
        let on_it = |row: &&Arc<Row>| row.subject.characteristic == id;
        let mut rows: Vec<&Arc<Row>> = generation.rows.iter().filter(on_it).collect();
        // Beside another row an outer limit adds nothing: it holds all the other lets pass.
        if rows.iter().any(|row| !row.outer) {
            rows.retain(|row| !row.outer);
        }
        if rows.is_empty() {
            let Some(worth) = stacks.of(id, None) else { continue };
            all.push(made(book, id, &worth, None, Outcome::NoRow));
        }
        for row in rows {
            let under = Under::of(row, characteristic.part);
            let Some(worth) = stacks.of(id, Some(under)) else { continue };
            let (outcome, finding) = compared(book, generation, characteristic, row, &worth);
            findings.extend(finding);
            all.push(made(book, id, &worth, Some(row), outcome));
        }
    }
    (all, findings)
}

fn made(book: &Book, id: Id<Characteristic>, worth: &Worth, row: Option<&Arc<Row>>, outcome: Outcome) -> StackUp {
    let characteristic = book.characteristics.get(id);
    let path = |id: Id<Characteristic>, station: Option<u16>| wording::path(book, id, station);
    StackUp {
        path: path(id, None),
        row: row.map(|row| row.place.clone()),
        condition: row.and_then(|row| wording::when(row)),
        unit: characteristic.unit.clone(),
        reaches: wording::band(&worth.band, characteristic.unit.as_ref()),
        band: worth.band.clone(),
        as_new: worth.as_new,
        loose: worth.looseness().map(|loose| wording::loose(book, &loose)),
        missing: worth.missing.iter().map(|(id, station)| path(*id, *station)).collect(),
        outcome,
    }
}

fn compared(
    book: &Book,
    generation: &Generation,
    characteristic: &Characteristic,
    row: &Row,
    worth: &Worth,
) -> (Outcome, Option<Finding>) {
    if !matches!(characteristic.kind, Kind::Quantity(_)) || worth.band.is_empty() {
        return (Outcome::NotCompared, None);
    }
    let unit = characteristic.unit.as_ref();
    let tiers = [(&row.standard, wording::STANDARD), (&row.limit, wording::LIMIT)];
    let mut outcome = None;
    for (range, tier) in tiers {
        let Some(range) = range else { continue };
        let (own, whole) = let_through(book, generation, row, range);
        // Part of the row's range is enough to prove that nothing good reaches it: the whole is no larger.
        if worth.band.overlaps(&own) == Some(false) {
            let finding = wording::impossible(book, row, (tier, range, &own), worth, unit);
            return (Outcome::Impossible(wording::band(&own, unit)), Some(finding));
        }
        if outcome.is_some() {
            continue;
        }
        outcome = Some(match own.holds(&worth.band) {
            _ if !whole => (Outcome::NotCompared, None),
            Some(true) => (Outcome::Fits, None),
            Some(false) if worth.missing.is_empty() => {
                let finding = wording::wider(book, row, (tier, range, &own), worth, unit);
                (Outcome::Wider(wording::band(&own, unit)), Some(finding))
            }
            Some(false) => (Outcome::Open, None),
            None => (Outcome::NotCompared, None),
        });
    }
    outcome.unwrap_or((Outcome::NotCompared, None))
}
