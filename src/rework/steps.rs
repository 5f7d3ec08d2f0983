//! The operations of a plan as they are told: from what to what, and what is measured afterwards. Refuses to choose any.

use super::operation::{Amount, Operation, OperationKind, Operations};
use super::shown;
use crate::bind::Readings;
use crate::book::{Characteristic, Id, Kind, Part, Rework};
use std::sync::Arc;

/// One operation of a plan.
#[derive(Clone, Debug)]
pub struct Step {
    /// The operation.
    pub operation: Arc<Rework>,
    /// What it is done to, as a path.
    pub path: String,
    /// The part it is done to, or replaces.
    pub part: Id<Part>,
    /// The positions of that part, outermost first.
    pub positions: Vec<u16>,
    /// What is done.
    pub action: Action,
    /// What must be measured again afterwards, as paths.
    pub measure_again: Vec<String>,
    /// Rows that rest on what it changes, as paths.
    pub rows: Vec<String>,
    /// The operation by its number, and how it is done.
    pub(super) done: (usize, Amount),
}

/// What is done. Every value is what it would be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Action {
    /// A reading becomes more or less.
    Change {
        /// Whether it becomes more.
        more: bool,
        /// By how much, with its unit.
        by: String,
        /// What it would be, with its unit: one for every value.
        to: Vec<String>,
    },
    /// Another one of a set of sizes is fitted.
    Size {
        /// The size, with its unit.
        size: String,
        /// Its mark, if the books say which goes with the size.
        mark: Option<String>,
        /// What else would change, as paths and values.
        follows: Vec<(String, String)>,
    },
    /// A new part.
    New,
}

/// Tells what a search found.
pub(super) fn steps(shop: &Operations<'_>, readings: &Readings, done: &[(usize, Amount)]) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut before = readings.clone();
    // In the order they are printed: what follows two operations has after each the value that it has by then.
    let mut in_order: Vec<(&Operation, (usize, Amount))> =
        done.iter().filter_map(|(number, how)| Some((shop.operations.get(*number)?, (*number, *how)))).collect();
    in_order.sort_by(|(one, _), (other, _)| {
        let key = |operation: &Operation| operation.part.index();
        (key(one), &one.positions, &one.path).cmp(&(key(other), &other.positions, &other.path))
    });
    for (operation, done) in in_order {
        let how = done.1;
        let Some(after) = shop.done(operation, how, &before) else { continue };
        steps.push(Step {
            operation: operation.rework.clone(),
            path: operation.path.clone(),
            part: operation.part,
            positions: operation.positions.clone(),
            action: action(shop, operation, how, &after),
            measure_again: measure_again(shop, operation),
            rows: rows(shop, operation),
            done,
        });
        before = after;
    }
    steps
}

fn action(shop: &Operations<'_>, operation: &Operation, how: Amount, after: &Readings) -> Action {
    let text = |id: Id<Characteristic>, slot: usize| -> Vec<String> {
        let Some(unit) = &shop.book.characteristics.get(id).unit else { return Vec::new() };
        after.quantities(slot).unwrap_or_default().iter().map(|value| shown(value, unit)).collect()
    };
    match (&operation.kind, how) {
        (OperationKind::Change { characteristic, slots, more, step, .. }, Amount::Steps(steps)) => {
            let unit = shop.book.characteristics.get(*characteristic).unit.as_ref();
            let by = super::least::amount(step, steps);
            let by = unit.map_or_else(String::new, |unit| shown(&by, &unit.difference()));
            // As many decimals as it is changed by: 20.00 mm, not 20 mm.
            let places = unit.map_or(0, |unit| places(&unit.difference().decimal(step)));
            let to = slots.iter().flat_map(|slot| text(*characteristic, *slot));
            Action::Change { more: *more, by, to: to.map(|value| with_places(&value, places)).collect() }
        }
        (OperationKind::Sizes { characteristic, sizes, .. }, Amount::Size(number, mark)) => {
            let unit = shop.book.characteristics.get(*characteristic).unit.as_ref();
            let size = sizes.get(number).zip(unit).map(|(size, unit)| shown(size, unit));
            let named = operation
                .followers
                .iter()
                .find(|follower| mark.is_some_and(|(slot, _)| follower.slots.contains(&slot)));
            let mark = named.zip(mark).and_then(|(follower, (_, name))| {
                match shop.book.characteristics.get(follower.characteristic).kind {
                    Kind::Names(set) => Some(shop.book.sets.get(set).name_of(name).to_string()),
                    _ => None,
                }
            });
            let followers = operation.followers.iter().filter(|follower| follower.by.is_some());
            let follows = followers.flat_map(|follower| {
                let values = follower.slots.iter().flat_map(|slot| text(follower.characteristic, *slot));
                values.map(|value| (follower.path.clone(), value)).collect::<Vec<_>>()
            });
            Action::Size { size: size.unwrap_or_default(), mark, follows: follows.collect() }
        }
        _ => Action::New,
    }
}

/// How many digits a number has after the point.
fn places(number: &str) -> usize {
    number.split_once('.').map_or(0, |(_, after)| after.len())
}

/// A number and its unit, with so many digits after the point at least.
fn with_places(value: &str, least: usize) -> String {
    let (number, unit) = value.split_once(' ').unwrap_or((value, ""));
    let missing = least.saturating_sub(places(number));
    let point = if places(number) == 0 && missing > 0 { "." } else { "" };
    format!("{number}{point}{} {unit}", "0".repeat(missing)).trim_end().to_owned()
}

/// The readings that an operation changes: its own, those that follow it, and of a new part all that were taken.
fn measure_again(shop: &Operations<'_>, operation: &Operation) -> Vec<String> {
    let mut paths = Vec::new();
    for (id, characteristic) in shop.book.characteristics.entries() {
        let first = characteristic.first_slot;
        let count = shop.book.parts.get(characteristic.part).instances * characteristic.slots_each();
        let own: Vec<usize> =
            operation.touched.iter().copied().filter(|slot| (first..first + count).contains(slot)).collect();
        if own.is_empty() {
            continue;
        }
        let generation = shop.book.generations.get(shop.plan.generation);
        for positions in shop.book.instances(characteristic.part, generation) {
            let instance = shop.book.instance(characteristic.part, &positions);
            let slots = characteristic.slot(instance, 0)..characteristic.slot(instance, characteristic.slots_each());
            if own.iter().any(|slot| slots.contains(slot)) {
                paths.push(shop.book.path(id, &positions, None));
            }
        }
    }
    paths
}

fn rows(shop: &Operations<'_>, operation: &Operation) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for (number, check) in shop.plan.checks.iter().enumerate() {
        if shop.rests_on(number, &operation.touched) {
            let path = super::path_of(shop.book, check);
            if !rows.contains(&path) {
                rows.push(path);
            }
        }
    }
    rows
}
