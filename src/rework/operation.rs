//! The operations of a generation at each position of one record, and what they do to its readings. Refuses to choose.

use super::least::{amount, are_quantities};
use super::state::{grade, standings};
use crate::bind::Readings;
use crate::book::{Book, Characteristic, Datum, Id, Kind, Origin, Part, Reach, Rework, ReworkTarget, Selector};
use crate::judge::Grade;
use crate::plan::Plan;
use crate::quantity::slip::plain_number;
use crate::quantity::{Dimension, Number, Value};
use std::cmp::Ordering;
use std::sync::Arc;

/// Sizes of one set that are tried.
const MOST_SIZES: u64 = 500;

/// How many of its last digit a reading without a bound is changed by at most.
const MOST_STEPS: u64 = 1 << 17;

/// The operations that can be done to one record, and what its checks rest on.
#[derive(Debug)]
pub(super) struct Operations<'a> {
    pub(super) book: &'a Book,
    pub(super) plan: &'a Plan,
    /// Every operation at every position.
    pub(super) operations: Vec<Operation>,
    /// Operations that cannot be planned before their own reading is taken.
    pub(super) lacking: Vec<Lacking>,
    /// For each check, the slots it rests on, as far down as readings.
    below: Vec<Vec<usize>>,
}

/// An operation whose own reading is not there, at one position.
#[derive(Debug)]
pub(super) struct Lacking {
    pub(super) rework: Arc<Rework>,
    /// The reading it needs, as a path.
    pub(super) path: String,
    /// The slots of readings that follow it by a known amount.
    pub(super) follows: Vec<usize>,
}

/// One operation at one position.
#[derive(Debug)]
pub(super) struct Operation {
    pub(super) rework: Arc<Rework>,
    /// What it is done to, as a path.
    pub(super) path: String,
    pub(super) part: Id<Part>,
    pub(super) positions: Vec<u16>,
    pub(super) kind: OperationKind,
    /// Readings that change with it: each with its slots, its path, and how many times as much it changes.
    pub(super) followers: Vec<Follower>,
    /// Every slot it changes, in their order.
    pub(super) touched: Vec<usize>,
}

#[derive(Debug)]
pub(super) struct Follower {
    pub(super) characteristic: Id<Characteristic>,
    pub(super) path: String,
    pub(super) slots: Vec<usize>,
    pub(super) by: Option<Value>,
}

#[derive(Debug)]
pub(super) enum OperationKind {
    /// A reading becomes more or less by steps of its last digit.
    Change { characteristic: Id<Characteristic>, slots: Vec<usize>, more: bool, step: Value, most: u64, bounded: bool },
    /// A reading becomes one of these.
    Sizes { characteristic: Id<Characteristic>, slots: Vec<usize>, sizes: Vec<Value> },
    /// The part is replaced: these readings are no longer its own.
    Replaced { slots: Vec<usize> },
}

/// How an operation is done.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Amount {
    /// By so many steps.
    Steps(u64),
    /// By this one of its sizes, and the name that goes with it.
    Size(usize, Option<(usize, u16)>),
    /// By a new part.
    New,
}

impl Operation {
    /// Whether both may stand in one plan: what is replaced, by a new part or by another size, is not worked on as well.
    pub(super) fn goes_with(&self, other: &Operation) -> bool {
        fn own(operation: &Operation) -> (&[usize], bool) {
            match &operation.kind {
                OperationKind::Change { slots, .. } => (slots, false),
                OperationKind::Sizes { slots, .. } | OperationKind::Replaced { slots } => (slots, true),
            }
        }
        let ((mine, replaces), (others, other_replaces)) = (own(self), own(other));
        !(replaces || other_replaces) || !mine.iter().any(|slot| others.contains(slot))
    }
}

impl<'a> Operations<'a> {
    /// Every operation that can be done to some readings; nothing replaces the part that is `whole`.
    pub(super) fn new(book: &'a Book, plan: &'a Plan, readings: &Readings, whole: Option<Id<Part>>) -> Operations<'a> {
        let below = plan.checks.iter().map(|check| plan.below(check.all_slots())).collect();
        let mut shop = Operations { book, plan, operations: Vec::new(), lacking: Vec::new(), below };
        for rework in &book.generations.get(plan.generation).reworks {
            if !matches!(rework.target, ReworkTarget::Part(part) if Some(part) == whole) {
                shop.add(rework, readings);
            }
        }
        shop
    }

    /// Whether a check rests on one of some slots.
    pub(super) fn rests_on(&self, check: usize, slots: &[usize]) -> bool {
        let below = self.below.get(check).map_or(&[][..], Vec::as_slice);
        slots.iter().any(|slot| below.binary_search(slot).is_ok())
    }

    /// Whether a check rests on nothing read but some slots.
    fn rests_only_on(&self, check: usize, slots: &[usize]) -> bool {
        let derived = |slot: &usize| self.plan.step_of.get(*slot).copied().flatten().is_some();
        let below = self.below.get(check).map_or(&[][..], Vec::as_slice);
        below.iter().all(|slot| derived(slot) || slots.contains(slot))
    }

    fn add(&mut self, rework: &Arc<Rework>, readings: &Readings) {
        let generation = self.book.generations.get(self.plan.generation);
        let (part, reading) = match &rework.target {
            ReworkTarget::Part(part) => (*part, None),
            ReworkTarget::Change { reading, .. } | ReworkTarget::Sizes { reading, .. } => {
                (self.book.characteristics.get(reading.characteristic).part, Some(reading))
            }
        };
        for positions in self.book.instances(part, generation) {
            if reading.is_some_and(|reading| !is_at(reading, &positions)) {
                continue;
            }
            let made = match reading {
                None => self.new_part(rework, part, &positions, readings),
                Some(reading) => self.on_reading(rework, (part, reading), &positions, readings),
            };
            match (made, reading) {
                (None, Some(reading)) => self.lacks(rework, reading, &positions, readings),
                (made, _) => self.operations.extend(made),
            }
        }
    }

    /// Notes an operation that needs a reading first, if readings that were taken follow it.
    fn lacks(&mut self, rework: &Arc<Rework>, reading: &Reach, positions: &[u16], readings: &Readings) {
        let is_taken = |slot: &usize| !readings.taken(*slot).is_empty();
        let follows: Vec<usize> = rework
            .followers
            .iter()
            .filter(|follower| follower.by.is_some())
            .flat_map(|follower| self.slots(&follower.reading, positions))
            .filter(is_taken)
            .collect();
        if !follows.is_empty() && !self.slots(reading, positions).iter().any(is_taken) {
            let path = self.book.path(reading.characteristic, positions, reading.station);
            self.lacking.push(Lacking { rework: rework.clone(), path, follows });
        }
    }

    fn new_part(
        &self,
        rework: &Arc<Rework>,
        part: Id<Part>,
        positions: &[u16],
        readings: &Readings,
    ) -> Option<Operation> {
        let generation = self.book.generations.get(self.plan.generation);
        let mut slots = Vec::new();
        for characteristic in self.book.characteristics.iter() {
            if matches!(characteristic.origin, Origin::Derived(_)) || !self.is_within(characteristic.part, part) {
                continue;
            }
            for inner in self.book.instances(characteristic.part, generation) {
                if inner.starts_with(positions) {
                    let instance = self.book.instance(characteristic.part, &inner);
                    slots
                        .extend((0..characteristic.slots_each()).map(|station| characteristic.slot(instance, station)));
                }
            }
        }
        slots.retain(|slot| !readings.taken(*slot).is_empty());
        slots.sort_unstable();
        if slots.is_empty() {
            return None;
        }
        Some(Operation {
            rework: rework.clone(),
            path: self.book.part_path(part, positions, "."),
            part,
            positions: positions.to_vec(),
            kind: OperationKind::Replaced { slots: slots.clone() },
            followers: Vec::new(),
            touched: slots,
        })
    }

    fn is_within(&self, inner: Id<Part>, outer: Id<Part>) -> bool {
        let mut at = Some(inner);
        while let Some(part) = at {
            if part == outer {
                return true;
            }
            at = self.book.parts.get(part).parent;
        }
        false
    }

    fn slots(&self, reading: &Reach, positions: &[u16]) -> Vec<usize> {
        let characteristic = self.book.characteristics.get(reading.characteristic);
        let instance = self.book.instance(characteristic.part, positions);
        match reading.station {
            Some(station) => vec![characteristic.slot(instance, usize::from(station))],
            None => (0..characteristic.slots_each()).map(|station| characteristic.slot(instance, station)).collect(),
        }
    }

    fn on_reading(
        &self,
        rework: &Arc<Rework>,
        (part, reading): (Id<Part>, &Reach),
        positions: &[u16],
        readings: &Readings,
    ) -> Option<Operation> {
        let (book, generation) = (self.book, self.book.generations.get(self.plan.generation));
        let characteristic = book.characteristics.get(reading.characteristic);
        let mut slots = self.slots(reading, positions);
        slots.retain(|slot| !readings.taken(*slot).is_empty());
        if slots.is_empty() {
            return None;
        }
        let kind = match &rework.target {
            ReworkTarget::Change { more, most, .. } => {
                let written = slots.iter().filter_map(|slot| step_of(book, characteristic, readings, *slot));
                let step = written.min_by(|one, other| one.compare(other).unwrap_or(Ordering::Equal))?;
                let bound = match most {
                    Some(most) => whole_steps(&book.rework_figure(generation, most)?, &step),
                    None => MOST_STEPS,
                };
                let (id, more) = (reading.characteristic, *more);
                let bounded = most.is_some();
                OperationKind::Change { characteristic: id, slots: slots.clone(), more, step, most: bound, bounded }
            }
            ReworkTarget::Sizes { first: smallest, last, step, .. } => {
                let figure = |figure| book.rework_figure(generation, figure);
                let (smallest, last, step) = (figure(smallest)?, figure(last)?, figure(step)?);
                let count = whole_steps(&last.subtract(&smallest), &step).min(MOST_SIZES);
                let sizes = (0..=count).map(|number| smallest.add(&amount(&step, number))).collect();
                OperationKind::Sizes { characteristic: reading.characteristic, slots: slots.clone(), sizes }
            }
            ReworkTarget::Part(_) => return None,
        };
        let followers: Vec<Follower> = rework
            .followers
            .iter()
            .map(|follower| Follower {
                characteristic: follower.reading.characteristic,
                path: book.path(follower.reading.characteristic, positions, follower.reading.station),
                slots: self.slots(&follower.reading, positions),
                by: follower.by.clone(),
            })
            .collect();
        let mut touched = slots;
        touched.extend(followers.iter().flat_map(|follower| &follower.slots));
        touched.sort_unstable();
        touched.dedup();
        Some(Operation {
            rework: rework.clone(),
            path: book.path(reading.characteristic, positions, reading.station),
            part,
            positions: positions.to_vec(),
            kind,
            followers,
            touched,
        })
    }

    /// What an operation makes of the readings; `None` where it cannot be done to them.
    pub(super) fn done(&self, operation: &Operation, how: Amount, readings: &Readings) -> Option<Readings> {
        let mut changes: Vec<(usize, Vec<Datum>)> = Vec::new();
        let moved = match (&operation.kind, how) {
            (OperationKind::Replaced { slots }, Amount::New) => {
                changes.extend(slots.iter().map(|slot| (*slot, Vec::new())));
                Value::ZERO
            }
            (OperationKind::Change { slots, more, step, .. }, Amount::Steps(steps)) => {
                let by = amount(step, steps);
                for slot in slots {
                    changes.push((*slot, data(readings, *slot, &by, *more)?));
                }
                if *more { by } else { by.negate() }
            }
            (OperationKind::Sizes { slots, sizes, .. }, Amount::Size(number, mark)) => {
                let size = sizes.get(number)?;
                let before = slots.iter().find_map(|slot| mean(readings, *slot))?;
                for slot in slots {
                    changes.push((*slot, vec![Datum::Quantity(size.clone()); readings.taken(*slot).len()]));
                }
                if let Some((slot, name)) = mark.filter(|(slot, _)| !readings.taken(*slot).is_empty()) {
                    changes.push((slot, vec![Datum::Name(name)]));
                }
                size.subtract(&before)
            }
            _ => return None,
        };
        for follower in &operation.followers {
            for slot in &follower.slots {
                if readings.taken(*slot).is_empty() || changes.iter().any(|(changed, _)| changed == slot) {
                    continue;
                }
                // What would fall below zero is not done; what follows nobody knows how is measured again.
                let follows = match &follower.by {
                    Some(by) => data(readings, *slot, &moved.multiply(by), true)?,
                    None => Vec::new(),
                };
                changes.push((*slot, follows));
            }
        }
        Some(readings.with_values(&changes))
    }

    /// The ways to do an operation with a set of sizes: each size with the one name that the rows on size and name alone
    /// allow, if there is just one.
    pub(super) fn sizes(&self, operation: &Operation, readings: &Readings) -> Vec<Amount> {
        let OperationKind::Sizes { slots, sizes, .. } = &operation.kind else { return Vec::new() };
        let named =
            operation.followers.iter().filter(|follower| follower.by.is_none()).find_map(|follower| {
                match self.book.characteristics.get(follower.characteristic).kind {
                    Kind::Names(set) => Some((*follower.slots.first()?, self.book.sets.get(set).names.len())),
                    _ => None,
                }
            });
        let Some((slot, names)) = named else {
            return (0..sizes.len()).map(|number| Amount::Size(number, None)).collect();
        };
        let mut both = slots.clone();
        both.push(slot);
        let checks: Vec<usize> = (0..self.plan.checks.len())
            .filter(|check| self.rests_on(*check, &[slot]) && self.rests_only_on(*check, &both))
            .collect();
        let part = self.plan.only(&checks);
        let on_size: Vec<bool> = checks.iter().map(|check| self.rests_on(*check, slots)).collect();
        let mark_of = |size: &Value| {
            let mut changes: Vec<(usize, Vec<Datum>)> = Vec::new();
            for slot in slots {
                changes.push((*slot, vec![Datum::Quantity(size.clone()); readings.taken(*slot).len()]));
            }
            let goes = |name: &u16| {
                let mut changes = changes.clone();
                changes.push((slot, vec![Datum::Name(*name)]));
                let standings = standings(self.book, &part, &readings.with_values(&changes));
                standings.iter().all(|standing| grade(*standing) == Grade::Good)
                    && standings.iter().zip(&on_size).any(|(standing, on_size)| *on_size && standing.is_some())
            };
            let mut fitting = (0..u16::try_from(names).unwrap_or(u16::MAX)).filter(goes);
            fitting.next().filter(|_| fitting.next().is_none())
        };
        let sizes = sizes.iter().enumerate();
        sizes.map(|(number, size)| Amount::Size(number, mark_of(size).map(|name| (slot, name)))).collect()
    }

    /// How much metal it takes off, or how far it moves a length.
    pub(super) fn metal(&self, operation: &Operation, how: Amount) -> Value {
        match (&operation.kind, how) {
            (OperationKind::Change { characteristic, step, .. }, Amount::Steps(steps))
                if self.book.characteristics.get(*characteristic).kind == Kind::Quantity(Dimension::LENGTH) =>
            {
                amount(step, steps)
            }
            _ => Value::ZERO,
        }
    }
}

fn is_at(reading: &Reach, positions: &[u16]) -> bool {
    reading.selectors.iter().zip(positions).all(|(selector, position)| match selector {
        Selector::At(at) => at == position,
        Selector::All | Selector::Same(_) => true,
    })
}

/// The whole number of steps in a length, never more than there are.
fn whole_steps(length: &Value, step: &Value) -> u64 {
    let fits = |count: u64| amount(step, count).compare(length).is_some_and(Ordering::is_le);
    if !fits(1) {
        return 0;
    }
    let (mut low, mut high) = (1, 2);
    while high < MOST_STEPS && fits(high) {
        (low, high) = (high, high * 2);
    }
    while low + 1 < high {
        let middle = low + (high - low) / 2;
        if fits(middle) { low = middle } else { high = middle }
    }
    low
}

fn mean(readings: &Readings, slot: usize) -> Option<Value> {
    let values = readings.quantities(slot)?;
    let count = Number::from_integer(i64::try_from(values.len()).ok()?);
    let sum = values.iter().fold(Value::ZERO, |sum, value| sum.add(value));
    sum.divide(&Value::from(count))
}

/// A slot's values, each by so much more or less; `None` where one is not a quantity, or would fall below zero though it
/// was not below.
pub(super) fn data(readings: &Readings, slot: usize, by: &Value, more: bool) -> Option<Vec<Datum>> {
    let values = readings.quantities(slot)?;
    let below = |value: &Value| value.compare(&Value::ZERO) == Some(Ordering::Less);
    let moved: Vec<Datum> = values
        .iter()
        .map(|value| (value, if more { value.add(by) } else { value.subtract(by) }))
        .map(|(before, after)| (below(before) || !below(&after)).then_some(Datum::Quantity(after)))
        .collect::<Option<_>>()?;
    (!moved.is_empty() && are_quantities(&moved)).then_some(moved)
}

/// The step a reading is changed by: one of the last digit it is written with, and of a length not more than a hundredth of
/// the unit its book declares.
pub(super) fn step_of(book: &Book, characteristic: &Characteristic, readings: &Readings, slot: usize) -> Option<Value> {
    let unit = characteristic.unit.clone()?.difference();
    let hundredth = Number::from_integer(1).checked_div(&Number::from_integer(100));
    let declared: Option<Value> = hundredth.map(|hundredth| unit.to_base(&hundredth));
    let counted = unit.dimension == Dimension::NUMBER;
    let mut least: Option<Value> = if counted { None } else { declared };
    for reading in readings.taken(slot) {
        let written = readings.source().slice(reading.span);
        let Some((_, length)) = plain_number(written) else { continue };
        let places = written.get(..length).map_or(0, written_places);
        let symbol = written.get(length..).unwrap_or("").trim();
        let own = if symbol.is_empty() { None } else { book.units.resolve(symbol).ok() };
        let own = own.filter(|own| own.dimension.difference() == unit.dimension);
        let step = (0..places.min(9))
            .try_fold(Number::from_integer(1), |step, _| step.checked_div(&Number::from_integer(10)))?;
        let step = own.map_or_else(|| unit.to_base(&step), |own| own.difference().to_base(&step));
        if least.as_ref().is_none_or(|least| step.compare(least) == Some(Ordering::Less)) {
            least = Some(step);
        }
    }
    least.or_else(|| counted.then_some(Value::ONE))
}

/// Digits after the point, noughts at the end included.
fn written_places(written: &str) -> u32 {
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
    written.split_once(['.', ',']).and_then(|(_, after)| u32::try_from(digits(after)).ok()).unwrap_or(0)
}
