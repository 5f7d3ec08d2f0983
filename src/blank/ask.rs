//! Walks the parts of a generation in the order its books declare them, and takes down what is asked for in each.

use super::{Blank, Derived, Entry, Part, Reading, wording};
use crate::book::{self, Book, Characteristic, Generation, Id, Member, Origin};
use crate::plan::{Check, Plan, Subject};
use crate::quantity::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What a record of a plan's generation is asked for, with the rows in force on a day; where no day is known, with those
/// that hold from then on. With `only`, what is asked for of these parts and of what is inside them; empty for all.
#[must_use]
pub fn blank(book: &Book, plan: &Plan, day: Option<Date>, only: &[Id<book::Part>]) -> Blank {
    let generation = book.generations.get(plan.generation);
    let mut asker = Asker {
        book,
        generation,
        rows: rows(book, plan, day, |_| true),
        only: only.iter().copied().collect(),
        above: BTreeSet::new(),
        positions: Vec::new(),
    };
    for id in only {
        let mut at = book.parts.get(*id).parent;
        while let Some(id) = at {
            asker.above.insert(id);
            at = book.parts.get(id).parent;
        }
    }
    let entries = match book.root() {
        Some(root) => asker.part(root, only.is_empty() || asker.only.contains(&root)),
        None => Vec::new(),
    };
    Blank {
        generation: generation.name.to_string(),
        description: generation.description.to_string(),
        part: None,
        cautions: book.cautions.iter().map(ToString::to_string).collect(),
        day,
        dated: plan.dated,
        entries,
    }
}

/// What is asked for of one part at some positions: its readings, and those of the checks within it that are in force on a
/// day.
pub(super) fn part_entries(
    book: &Book,
    (plan, within): (&Plan, &[usize]),
    day: Option<Date>,
    (part, positions): (Id<book::Part>, &[u16]),
) -> Vec<Entry> {
    let mut asker = Asker {
        book,
        generation: book.generations.get(plan.generation),
        rows: rows(book, plan, day, |check| within.contains(&check)),
        only: BTreeSet::new(),
        above: BTreeSet::new(),
        positions: positions.to_vec(),
    };
    asker.part(part, true)
}

/// The checks of each characteristic at each instance, each row once, in the books' order.
type Rows<'a> = BTreeMap<(usize, usize), Vec<&'a Check>>;

fn rows<'a>(book: &Book, plan: &'a Plan, day: Option<Date>, meant: impl Fn(usize) -> bool) -> Rows<'a> {
    let mut rows: Rows<'a> = BTreeMap::new();
    let checks = plan.checks.iter().enumerate().filter(|(number, check)| meant(*number) && check.row.days.holds(day));
    for (_, check) in checks {
        let id = check.row.subject.characteristic;
        let part = book.characteristics.get(id).part;
        let instances: Vec<usize> = match &check.subject {
            Subject::Group(group) => group.iter().map(|(_, positions)| book.instance(part, positions)).collect(),
            Subject::Slot { .. } | Subject::Each { .. } | Subject::Made(_) => vec![check.instance],
        };
        for instance in instances {
            let here = rows.entry((id.index(), instance)).or_default();
            // A row on several stations is a check for each.
            if !here.iter().any(|other| Arc::ptr_eq(&other.row, &check.row)) {
                here.push(check);
            }
        }
    }
    rows
}

struct Asker<'a> {
    book: &'a Book,
    generation: &'a Generation,
    rows: Rows<'a>,
    /// The parts asked for; none for all.
    only: BTreeSet<Id<book::Part>>,
    /// The parts those are inside of.
    above: BTreeSet<Id<book::Part>>,
    /// The positions of the parts the walk is in, outermost first.
    positions: Vec<u16>,
}

impl<'a> Asker<'a> {
    /// What is asked for of a part at the positions the walk is at. Parts nest no deeper than the grammar lets them.
    fn part(&mut self, id: Id<book::Part>, whole: bool) -> Vec<Entry> {
        let book = self.book;
        let instance = book.instance(id, &self.positions);
        let mut entries = Vec::new();
        for (name, member) in &book.parts.get(id).members {
            match member {
                Member::Characteristic(id) if whole => entries.extend(self.characteristic(*id, instance)),
                Member::Characteristic(_) => {}
                Member::Part(inner) => {
                    let whole = whole || self.only.contains(inner);
                    if !whole && !self.above.contains(inner) {
                        continue;
                    }
                    let instances = self.instances(*inner, whole);
                    // A part with nothing to measure and nothing judged has no place in a record.
                    if !instances.is_empty() {
                        let measure = book.parts.get(*inner).measure.as_ref().map(ToString::to_string);
                        entries.push(Entry::Part(Part { name: name.to_string(), measure, instances }));
                    }
                }
            }
        }
        entries
    }

    fn instances(&mut self, id: Id<book::Part>, whole: bool) -> Vec<(Option<String>, Vec<Entry>)> {
        let names: &'a [Box<str>] = &self.book.parts.get(id).positions;
        let mut instances = Vec::new();
        if names.is_empty() {
            instances.push((None, self.part(id, whole)));
        }
        for position in self.generation.positions(id, names.len()) {
            let Some(name) = names.get(usize::from(position)) else { continue };
            self.positions.push(position);
            instances.push((Some(name.to_string()), self.part(id, whole)));
            self.positions.pop();
        }
        instances.retain(|(_, entries)| !entries.is_empty());
        instances
    }

    fn characteristic(&self, id: Id<Characteristic>, instance: usize) -> Option<Entry> {
        let characteristic = self.book.characteristics.get(id);
        let checks = self.rows.get(&(id.index(), instance)).map_or(&[][..], Vec::as_slice);
        let told = |station: Option<u16>| -> Vec<String> {
            let on = checks.iter().filter(|check| check.row.subject.station == station);
            on.map(|check| wording::row(self.book, characteristic, check)).collect()
        };
        let name = characteristic.name.to_string();
        match &characteristic.origin {
            Origin::Reading { stations, optional, count, .. } => Some(Entry::Reading(Reading {
                id,
                name,
                optional: *optional,
                what: wording::what(self.book, characteristic, *count),
                measure: characteristic.texts.measure.as_ref().map(ToString::to_string),
                rows: told(None),
                stations: (0..).zip(stations).map(|(number, name)| (name.to_string(), told(Some(number)))).collect(),
            })),
            Origin::Derived(Some(body)) if !checks.is_empty() => {
                Some(Entry::Derived(Derived { name, formula: wording::folded(body.place.text()), rows: told(None) }))
            }
            Origin::Derived(_) => None,
        }
    }
}
