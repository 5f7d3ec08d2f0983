//! A reading far from all its like that would be among them with two digits swapped. It is told of and counts as it stands.

use super::slip;
use crate::bind::{Reading, Readings};
use crate::book::{Book, Characteristic, Datum, Origin};
use crate::quantity::Value;
use std::cmp::Ordering;

/// How many of a kind it takes to see that one is unlike them.
const FEWEST: usize = 4;
/// From as many others on, their own spread is as far as one of them lies from the rest; of fewer, which spread less than
/// they may, twice that (both chosen here: no test is claimed, only that the digits fit).
const MANY_OTHERS: usize = 5;

/// A value with its slot and which of the slot's readings it is.
type Placed<'a> = (&'a Value, (usize, usize));

/// A reading unlike its like, as it would be with two digits swapped, and the least and the greatest of the others.
pub(super) struct Swapped {
    pub(super) slot: usize,
    pub(super) number: usize,
    pub(super) instead: String,
    pub(super) others: usize,
    pub(super) least: (usize, usize),
    pub(super) greatest: (usize, usize),
}

/// Of the values of every reading, at all positions and stations, those that lie far from the others of their reading and
/// would not with two digits swapped; none that somebody confirms.
pub(super) fn swapped(book: &Book, readings: &Readings) -> Vec<Swapped> {
    let mut found = all(book, readings);
    found.retain(|it| !readings.taken(it.slot).get(it.number).is_some_and(Reading::is_confirmed));
    found
}

/// The same, also where somebody confirms the value.
pub(super) fn all(book: &Book, readings: &Readings) -> Vec<Swapped> {
    let measured = |characteristic: &&Characteristic| matches!(characteristic.origin, Origin::Reading { .. });
    let quantities = book.characteristics.iter().filter(measured).filter(|it| it.unit.is_some());
    quantities.filter_map(|characteristic| of_reading(book, characteristic, readings)).collect()
}

fn of_reading(book: &Book, characteristic: &Characteristic, readings: &Readings) -> Option<Swapped> {
    let count = book.parts.get(characteristic.part).instances * characteristic.slots_each();
    let first = characteristic.slot(0, 0);
    let mut ends = Ends::default();
    for slot in first..first + count {
        for (number, reading) in readings.taken(slot).iter().enumerate() {
            if let Datum::Quantity(value) = &reading.datum {
                ends.add((value, (slot, number)))?;
            }
        }
    }
    if ends.count < FEWEST {
        return None;
    }
    let Ends { least: [lowest, second_lowest], greatest: [highest, second_highest], .. } = ends;
    let (lowest, second_lowest) = (lowest?, second_lowest?);
    let (highest, second_highest) = (highest?, second_highest?);
    let others = ends.count - 1;
    of_end(readings, highest, (lowest, second_highest), others)
        .or_else(|| of_end(readings, lowest, (second_lowest, highest), others))
}

/// Whether the value at one end is far from the others, and among them with two digits swapped.
fn of_end(
    readings: &Readings,
    (value, (slot, number)): Placed<'_>,
    (least, greatest): (Placed<'_>, Placed<'_>),
    others: usize,
) -> Option<Swapped> {
    let spread = greatest.0.subtract(least.0);
    let beyond = if is_less(value, least.0) { least.0.subtract(value) } else { value.subtract(greatest.0) };
    let far = if others < MANY_OTHERS { spread.add(&spread) } else { spread };
    if beyond.compare(&Value::ZERO) != Some(Ordering::Greater) || beyond.compare(&far).is_none_or(Ordering::is_lt) {
        return None;
    }
    let reading: &Reading = readings.taken(slot).get(number)?;
    let among = |instead: &Value| !is_less(instead, least.0) && !is_less(greatest.0, instead);
    let instead = slip::digits_swapped(readings, reading, among)?;
    Some(Swapped { slot, number, instead, others, least: least.1, greatest: greatest.1 })
}

fn is_less(one: &Value, other: &Value) -> bool {
    one.compare(other) == Some(Ordering::Less)
}

/// The two least and the two greatest values of many.
#[derive(Default)]
struct Ends<'a> {
    count: usize,
    least: [Option<Placed<'a>>; 2],
    greatest: [Option<Placed<'a>>; 2],
}

impl<'a> Ends<'a> {
    /// Takes one more in; `None` where it cannot be compared, as then nothing is known of the order.
    fn add(&mut self, placed: Placed<'a>) -> Option<()> {
        self.count += 1;
        put(&mut self.least, placed, Ordering::Less)?;
        put(&mut self.greatest, placed, Ordering::Greater)
    }
}

fn put<'a>(ends: &mut [Option<Placed<'a>>; 2], placed: Placed<'a>, order: Ordering) -> Option<()> {
    let before = |other: &Option<Placed<'a>>| match other {
        Some((other, _)) => placed.0.compare(other).map(|found| found == order),
        None => Some(true),
    };
    let [first, second] = ends;
    if before(first)? {
        *second = first.take();
        *first = Some(placed);
    } else if before(second)? {
        *second = Some(placed);
    }
    Some(())
}
