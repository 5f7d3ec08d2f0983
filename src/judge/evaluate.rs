//! Runs programs over a record's slots: every operation once, in order, nothing guessed where something is missing.

use crate::bind::{Readings, State};
use crate::book::{Datum, evaluate};
use crate::plan::{Element, Gate, Operation, Plan, Program, TestRange, slots_of};
use crate::quantity::{Band, End, Number, Side, Value};
use crate::syntax::tree::{Collector, Operator};
use std::borrow::Cow;
use std::cell::Cell;

/// What a program comes to.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Outcome {
    /// A value.
    Known(Datum),
    /// Something required was not measured.
    Missing,
    /// Something that may be left out was.
    Skipped,
    /// There is no answer: a division by zero, or the like.
    Impossible,
    /// A comparison that the enclosures do not decide.
    Undecided,
}

impl Outcome {
    pub(super) fn seen(&self) -> Seen<'_> {
        match self {
            Outcome::Known(datum) => Seen::Known(datum),
            Outcome::Missing => Seen::Missing,
            Outcome::Skipped => Seen::Skipped,
            Outcome::Impossible => Seen::Impossible,
            Outcome::Undecided => Seen::Undecided,
        }
    }
}

/// The same, the value looked at where it lies.
#[derive(Clone, Copy)]
pub(super) enum Seen<'b> {
    Known(&'b Datum),
    Missing,
    Skipped,
    Impossible,
    Undecided,
}

impl Seen<'_> {
    pub(super) fn kept(self) -> Outcome {
        match self {
            Seen::Known(datum) => Outcome::Known(datum.clone()),
            Seen::Missing => Outcome::Missing,
            Seen::Skipped => Outcome::Skipped,
            Seen::Impossible => Outcome::Impossible,
            Seen::Undecided => Outcome::Undecided,
        }
    }
}

/// What was worked out of a program so far.
#[derive(Clone, Copy)]
struct Done<'b> {
    operations: &'b [Operation],
    results: &'b [Outcome],
}

/// Most programs are shorter than this, and most collections smaller: room for so many is made at once.
const FEW: usize = 16;

/// A record laid out for a plan, its derived values worked out.
pub(super) struct Bench<'a> {
    pub(super) plan: &'a Plan,
    pub(super) readings: &'a Readings,
    derived: Cow<'a, [Outcome]>,
    /// Derived values that differ from those, each with its step, in the order of the steps: few beside a whole record.
    changed: Vec<(usize, Outcome)>,
    /// One reading taken to be something else: its slot, which of its readings, and the value.
    instead: Option<(usize, usize, Datum)>,
    /// Room for a program's results, lent to one run after another.
    room: Cell<Vec<Outcome>>,
    /// Room for the values that one operation takes together.
    values: Cell<Vec<Value>>,
}

impl<'a> Bench<'a> {
    pub(super) fn new(plan: &'a Plan, readings: &'a Readings) -> Bench<'a> {
        let mut bench = Bench {
            plan,
            readings,
            derived: Cow::Owned(Vec::with_capacity(plan.steps.len())),
            changed: Vec::new(),
            instead: None,
            room: Cell::new(Vec::with_capacity(FEW)),
            values: Cell::default(),
        };
        for step in &plan.steps {
            let outcome = bench.run(&step.program);
            bench.derived.to_mut().push(outcome);
        }
        bench
    }

    /// The same record with one reading taken to be something else, and only some steps worked out: those that
    /// [`Bench::steps_for`] gave. Everything else keeps the value it has here, and is not copied.
    pub(super) fn with<'b>(&'b self, instead: (usize, usize, Datum), steps: &[usize]) -> Bench<'b> {
        let mut bench = Bench {
            plan: self.plan,
            readings: self.readings,
            derived: Cow::Borrowed(&self.derived),
            changed: self.changed.clone(),
            instead: Some(instead),
            room: Cell::default(),
            values: Cell::default(),
        };
        for number in steps {
            let Some(step) = self.plan.steps.get(*number) else { continue };
            let outcome = bench.run(&step.program);
            match bench.changed.binary_search_by_key(number, |(changed, _)| *changed) {
                Ok(at) => {
                    if let Some((_, before)) = bench.changed.get_mut(at) {
                        *before = outcome;
                    }
                }
                Err(at) => bench.changed.insert(at, (*number, outcome)),
            }
        }
        bench
    }

    /// The value of a step.
    fn step(&self, number: usize) -> Option<&Outcome> {
        // Nothing is changed but where slips are tried.
        if self.changed.is_empty() {
            return self.derived.get(number);
        }
        match self.changed.binary_search_by_key(&number, |(changed, _)| *changed) {
            Ok(at) => self.changed.get(at).map(|(_, outcome)| outcome),
            Err(_) => self.derived.get(number),
        }
    }

    /// The steps that some slots depend on, in the order they are worked out.
    pub(super) fn steps_for(&self, slots: &[usize]) -> Vec<usize> {
        let mut steps = Vec::new();
        let mut open = slots.to_vec();
        while let Some(slot) = open.pop() {
            if let Some(Some(number)) = self.plan.step_of.get(slot) {
                let number = *number as usize;
                if !steps.contains(&number)
                    && let Some(step) = self.plan.steps.get(number)
                {
                    steps.push(number);
                    open.extend(slots_of(&step.program));
                }
            }
        }
        steps.sort_unstable();
        steps
    }

    /// The one value of a slot.
    pub(super) fn slot(&self, slot: usize) -> Outcome {
        self.look(slot).kept()
    }

    /// The one value of a slot, where it lies.
    pub(super) fn look(&self, slot: usize) -> Seen<'_> {
        if let Some(Some(step)) = self.plan.step_of.get(slot) {
            return self.step(*step as usize).map_or(Seen::Missing, Outcome::seen);
        }
        match self.readings.taken(slot).first() {
            Some(reading) => Seen::Known(self.seen(slot, 0, &reading.datum)),
            None => self.empty(slot),
        }
    }

    /// What a slot without a value comes to.
    pub(super) fn empty(&self, slot: usize) -> Seen<'static> {
        let may_be_empty = self.plan.optional.get(slot).copied().unwrap_or(false);
        if may_be_empty && self.readings.state(slot) == State::Absent { Seen::Skipped } else { Seen::Missing }
    }

    /// Whether a check is skipped, as far as one look tells.
    pub(super) fn is_shut(&self, gate: Gate) -> bool {
        match gate {
            Gate::Open => false,
            Gate::Slot(slot) => self.readings.state(slot as usize) == State::Absent,
            Gate::Step(step) => matches!(self.step(step as usize), Some(Outcome::Skipped)),
        }
    }

    /// One reading, or what it is taken to be instead.
    pub(super) fn seen<'b>(&'b self, slot: usize, number: usize, datum: &'b Datum) -> &'b Datum {
        match &self.instead {
            Some((at, which, other)) if *at == slot && *which == number => other,
            _ => datum,
        }
    }

    pub(super) fn run(&self, program: &Program) -> Outcome {
        let operations = program.operations.as_slice();
        // Most programs are one operation on what lies somewhere already, and then there is nothing to keep.
        let lies = |operation: &&Operation| matches!(operation, Operation::Slot(_) | Operation::Known(_));
        if operations.iter().take_while(lies).count() + 1 >= operations.len() {
            let done = Done { operations, results: &[] };
            return operations.last().map_or(Outcome::Impossible, |last| self.operation(last, done));
        }
        let mut results = self.room.take();
        results.clear();
        for (number, operation) in operations.iter().enumerate() {
            // It is looked at where it lies, by the operation that needs it.
            let outcome = if lies(&operation) && number + 1 < operations.len() {
                Outcome::Skipped
            } else {
                self.operation(operation, Done { operations, results: &results })
            };
            results.push(outcome);
        }
        let answer = results.pop().unwrap_or(Outcome::Impossible);
        self.room.set(results);
        answer
    }

    /// The results of every operation of a program, in order.
    pub(super) fn results(&self, program: &Program) -> Vec<Outcome> {
        let operations = program.operations.as_slice();
        let mut results = Vec::with_capacity(operations.len());
        for operation in operations {
            let outcome = self.operation(operation, Done { operations, results: &results });
            results.push(outcome);
        }
        results
    }

    /// What an earlier operation came to.
    fn earlier<'b>(&'b self, done: Done<'b>, number: u32) -> Seen<'b> {
        match done.operations.get(number as usize) {
            Some(Operation::Slot(slot)) => self.look(*slot),
            Some(Operation::Known(datum)) => Seen::Known(datum),
            _ => done.results.get(number as usize).map_or(Seen::Impossible, Outcome::seen),
        }
    }

    fn operation(&self, operation: &Operation, done: Done<'_>) -> Outcome {
        let result = |earlier: &u32| self.earlier(done, *earlier);
        match operation {
            Operation::Known(datum) => Outcome::Known(datum.clone()),
            Operation::Slot(slot) => self.slot(*slot),
            Operation::Impossible => Outcome::Impossible,
            Operation::Negate(inner) => quantity(result(inner), |value| Some(value.negate())),
            Operation::Table(table, inner) => quantity(result(inner), |value| table.at(value)),
            Operation::Power(inner, exponent) => {
                quantity(result(inner), |value| i8::try_from(*exponent).ok().and_then(|exponent| value.power(exponent)))
            }
            Operation::Not(inner) => match result(inner) {
                Seen::Known(Datum::YesNo(yes)) => Outcome::Known(Datum::YesNo(!yes)),
                other => other.kept(),
            },
            Operation::Binary(operator @ (Operator::And | Operator::Or), left, right) => {
                logic(*operator, result(left), result(right))
            }
            Operation::Binary(operator, left, right) => match (result(left), result(right)) {
                (Seen::Known(Datum::Quantity(left)), Seen::Known(Datum::Quantity(right))) => {
                    answer(evaluate::binary(*operator, left, right))
                }
                (left, right) => worse(left, right).kept(),
            },
            Operation::Function(function, arguments) => {
                let mut values = self.values.take();
                values.clear();
                for argument in arguments {
                    match result(argument) {
                        Seen::Known(Datum::Quantity(value)) => values.push(value.clone()),
                        other => return worse(other, other).kept(),
                    }
                }
                let called = answer(evaluate::call(*function, &values));
                self.values.set(values);
                called
            }
            Operation::Collect(collector, elements) => self.collect(*collector, elements, done),
            Operation::Test { subject, negated, range } => self.test(result(subject), *negated, range, done),
        }
    }

    fn collect<'b>(&'b self, collector: Collector, elements: &[Element], done: Done<'b>) -> Outcome {
        let mut quantities: Vec<&Value> = Vec::with_capacity(elements.len().max(FEW));
        let mut names: Vec<u16> = Vec::new();
        let mut count = 0_usize;
        let mut take = |datum: &'b Datum| {
            count += 1;
            match datum {
                Datum::Quantity(value) => quantities.push(value),
                Datum::Name(name) => names.push(*name),
                Datum::YesNo(_) | Datum::Words => {}
            }
        };
        let mut lacking: Option<Seen<'_>> = None;
        for element in elements {
            let outcome = match element {
                Element::Value(earlier) => self.earlier(done, *earlier),
                Element::Slot(slot) => {
                    let taken = self.readings.taken(*slot);
                    if !taken.is_empty() {
                        for (number, reading) in taken.iter().enumerate() {
                            take(self.seen(*slot, number, &reading.datum));
                        }
                        continue;
                    }
                    self.look(*slot)
                }
            };
            match outcome {
                Seen::Known(datum) => take(datum),
                Seen::Skipped => {}
                other => lacking = Some(lacking.map_or(other, |before| worse(before, other))),
            }
        }
        if let Some(lacking) = lacking {
            return lacking.kept();
        }
        if count == 0 {
            return Outcome::Skipped;
        }
        if collector == Collector::Count {
            return match i64::try_from(count) {
                Ok(count) => Outcome::Known(Datum::Quantity(whole(count))),
                Err(_) => Outcome::Impossible,
            };
        }
        if let (Some(smallest), Some(largest)) = (names.iter().min(), names.iter().max()) {
            return match collector {
                Collector::Smallest => Outcome::Known(Datum::Name(*smallest)),
                Collector::Largest => Outcome::Known(Datum::Name(*largest)),
                Collector::Spread => Outcome::Known(Datum::Quantity(whole(i64::from(*largest) - i64::from(*smallest)))),
                _ => Outcome::Impossible,
            };
        }
        answer(evaluate::collect(collector, &quantities))
    }

    fn test(&self, subject: Seen<'_>, negated: bool, range: &TestRange, done: Done<'_>) -> Outcome {
        let Seen::Known(subject) = subject else { return subject.kept() };
        let inside = match (range, subject) {
            (TestRange::Names(names), Datum::Name(name)) => names.binary_search(name).is_ok(),
            (TestRange::YesNo(wanted), Datum::YesNo(yes)) => wanted == yes,
            (TestRange::Band { low, high }, Datum::Quantity(value)) => {
                let end = |bound: &Option<(u32, bool)>| match bound {
                    None => Ok(None),
                    Some((earlier, closed)) => match self.earlier(done, *earlier) {
                        Seen::Known(Datum::Quantity(value)) => Ok(Some(End { value: value.clone(), closed: *closed })),
                        other => Err(worse(other, other)),
                    },
                };
                let band = match (end(low), end(high)) {
                    (Ok(low), Ok(high)) => Band { low, high },
                    (Err(lacking), _) | (_, Err(lacking)) => return lacking.kept(),
                };
                match band.locate(value) {
                    Side::Inside => true,
                    Side::Below | Side::Above => false,
                    Side::Undecided => return Outcome::Undecided,
                }
            }
            _ => return Outcome::Impossible,
        };
        Outcome::Known(Datum::YesNo(inside != negated))
    }
}

/// A quantity worked out; none where there is no answer.
fn answer(value: Option<Value>) -> Outcome {
    value.map_or(Outcome::Impossible, |value| Outcome::Known(Datum::Quantity(value)))
}

fn quantity(seen: Seen<'_>, make: impl Fn(&Value) -> Option<Value>) -> Outcome {
    match seen {
        Seen::Known(Datum::Quantity(value)) => answer(make(value)),
        other => worse(other, other).kept(),
    }
}

/// What two outcomes, not both usable values, come to: what is required and missing outweighs all else.
fn worse<'b>(left: Seen<'b>, right: Seen<'b>) -> Seen<'b> {
    let rank = |seen: Seen<'_>| match seen {
        Seen::Missing => 4,
        Seen::Skipped => 3,
        Seen::Impossible => 2,
        Seen::Undecided => 1,
        Seen::Known(_) => 0,
    };
    let worse = if rank(left) >= rank(right) { left } else { right };
    // Two values neither of which fits: the checker rules it out.
    if matches!(worse, Seen::Known(_)) { Seen::Impossible } else { worse }
}

/// `and` and `or` over what is known: one side may settle it whatever the other is.
fn logic(operator: Operator, left: Seen<'_>, right: Seen<'_>) -> Outcome {
    let settles = operator == Operator::Or;
    match (left, right) {
        (Seen::Known(Datum::YesNo(yes)), _) | (_, Seen::Known(Datum::YesNo(yes))) if *yes == settles => {
            Outcome::Known(Datum::YesNo(settles))
        }
        (Seen::Known(Datum::YesNo(_)), other) | (other, Seen::Known(Datum::YesNo(_))) => other.kept(),
        (left, right) => worse(left, right).kept(),
    }
}

/// A whole number as a plain number.
fn whole(number: i64) -> Value {
    Value::from(Number::from_integer(number))
}
