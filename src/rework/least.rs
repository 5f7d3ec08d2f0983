//! The least change of one reading alone that puts a row right, judged at the last digit the reading is written with.

use super::operation::{data, step_of};
use super::state::{Standing, grade, standings, turns};
use crate::bind::{Readings, State};
use crate::book::{Book, Characteristic, Datum, Id, Kind};
use crate::judge::{Grade, screen};
use crate::plan::Plan;
use crate::quantity::{Number, Value};

/// How many of its last digit a reading is changed by at most.
const MOST_STEPS: u64 = 1 << 20;

/// Readings that one row is tried with, so that a row over a hundred of them costs no more than a few.
const MOST_READINGS: usize = 12;

/// The least change of one reading, all others as they are.
#[derive(Clone, Debug)]
pub struct LeastChange {
    /// The reading, as a path.
    pub path: String,
    /// Whether it becomes more.
    pub more: bool,
    /// The change that brings the row inside its limit, with its unit; `None` where none does, or it is there already.
    pub to_limit: Option<String>,
    /// The change that makes the row good, with its unit.
    pub to_good: Option<String>,
}

/// The least changes of each reading that a check rests on.
pub(super) fn least(book: &Book, plan: &Plan, readings: &Readings, check: usize) -> Vec<LeastChange> {
    let part = plan.only(&[check]);
    let Some(only) = part.checks.first() else { return Vec::new() };
    let mut changes = Vec::new();
    let generation = book.generations.get(plan.generation);
    let below = plan.below(only.all_slots());
    let mut tried = 0;
    for (id, characteristic) in book.characteristics.entries() {
        let first = characteristic.first_slot;
        let count = book.parts.get(characteristic.part).instances * characteristic.slots_each();
        if !matches!(characteristic.kind, Kind::Quantity(_))
            || !below.iter().any(|slot| (first..first + count).contains(slot))
        {
            continue;
        }
        for positions in book.instances(characteristic.part, generation) {
            let instance = book.instance(characteristic.part, &positions);
            for station in 0..characteristic.slots_each() {
                let slot = characteristic.slot(instance, station);
                if readings.taken(slot).is_empty() || below.binary_search(&slot).is_err() || tried >= MOST_READINGS {
                    continue;
                }
                tried += 1;
                let named = (!characteristic.stations().is_empty()).then(|| u16::try_from(station).unwrap_or(u16::MAX));
                let path = book.path(id, &positions, named);
                changes.extend(of_slot(book, &part, readings, (slot, id), &path));
            }
        }
    }
    changes
}

fn of_slot(
    book: &Book,
    part: &Plan,
    readings: &Readings,
    (slot, id): (usize, Id<Characteristic>),
    path: &str,
) -> Vec<LeastChange> {
    let characteristic = book.characteristics.get(id);
    let Some(step) = step_of(book, characteristic, readings, slot) else { return Vec::new() };
    let unit = characteristic.unit.as_ref().map(crate::quantity::Unit::difference);
    let mut changes = Vec::new();
    let before = standings(book, part, readings).first().copied().flatten();
    for more in [false, true] {
        let look = |steps: u64| -> Option<Standing> {
            let moved = data(readings, slot, &amount(&step, steps), more)?;
            let changed = readings.with_values(&[(slot, moved)]);
            Some(standings(book, part, &changed).first().copied().flatten())
        };
        let found = turns(MOST_STEPS, look);
        // What applies no longer is not what was asked for.
        let first = |reaches: &dyn Fn(Grade) -> bool| {
            let right =
                |steps: &&u64| look(**steps).is_some_and(|standing| standing.is_some() && reaches(grade(standing)));
            let least = found.iter().find(right).map(|steps| amount(&step, *steps))?;
            can_be(book, part, readings, slot, &data(readings, slot, &least, more)?).then_some(least)
        };
        let to_limit = first(&|grade| grade <= Grade::Worn).filter(|_| grade(before) > Grade::Worn);
        let to_good = first(&|grade| grade == Grade::Good);
        if to_limit.is_none() && to_good.is_none() {
            continue;
        }
        let words = |amount: Value| {
            unit.as_ref().map_or_else(|| amount.midpoint().to_text(6), |unit| super::shown(&amount, unit))
        };
        changes.push(LeastChange {
            path: path.to_string(),
            more,
            to_limit: to_limit.map(words),
            to_good: to_good.map(words),
        });
    }
    changes
}

/// Whether a reading can have such values at all, by what the books say is plausible.
fn can_be(book: &Book, part: &Plan, readings: &Readings, slot: usize, moved: &[Datum]) -> bool {
    let mut changed = readings.with_values(&[(slot, moved.to_vec())]);
    let _ = screen(book, part, &mut changed);
    matches!(changed.state(slot), State::Taken)
}

/// So many steps.
pub(super) fn amount(step: &Value, steps: u64) -> Value {
    step.multiply(&Value::from(Number::from_integer(i64::try_from(steps).unwrap_or(i64::MAX))))
}

/// Whether every value is a quantity.
pub(super) fn are_quantities(data: &[Datum]) -> bool {
    data.iter().all(|datum| matches!(datum, Datum::Quantity(_)))
}
