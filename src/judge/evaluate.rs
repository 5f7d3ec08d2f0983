//! Runs programs over a record's slots: every operation once, in order, nothing guessed where something is missing.

use crate::bind::{Readings, State};
use crate::book::{Datum, evaluate};
use crate::plan::{Element, Operation, Plan, Program, TestRange, slots_of};
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
}

impl<'a> Bench<'a> {
    pub(super) fn new(plan: &'a Plan, readings: &'a Readings) -> Bench<'a> {
        let mut bench = Bench {
            plan,
            readings,
            derived: Cow::Owned(Vec::with_capacity(plan.steps.len())),
            changed: Vec::new(),
            instead: None,
            room: Cell::default(),
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
        if let Some(Some(step)) = self.plan.step_of.get(slot) {
            return self.step(*step as usize).cloned().unwrap_or(Outcome::Missing);
        }
        match self.readings.taken(slot).first() {
            Some(reading) => Outcome::Known(self.seen(slot, 0, &reading.datum).clone()),
            None => self.empty(slot),
        }
    }

    /// What a slot without a value comes to.
    pub(super) fn empty(&self, slot: usize) -> Outcome {
        let may_be_empty = self.plan.optional.get(slot).copied().unwrap_or(false);
        if may_be_empty && self.readings.state(slot) == State::Absent { Outcome::Skipped } else { Outcome::Missing }
    }

    /// One reading, or what it is taken to be instead.
    pub(super) fn seen<'b>(&'b self, slot: usize, number: usize, datum: &'b Datum) -> &'b Datum {
        match &self.instead {
            Some((at, which, other)) if *at == slot && *which == number => other,
            _ => datum,
        }
    }

    pub(super) fn run(&self, program: &Program) -> Outcome {
        // Most programs are one operation, and then there is nothing to keep.
        if let [only] = program.operations.as_slice() {
            return self.operation(only, &[]);
        }
        let mut results = self.room.take();
        results.clear();
        for operation in &program.operations {
            let outcome = self.operation(operation, &results);
            results.push(outcome);
        }
        let answer = results.pop().unwrap_or(Outcome::Impossible);
        self.room.set(results);
        answer
    }

    /// The results of every operation of a program, in order.
    pub(super) fn results(&self, program: &Program) -> Vec<Outcome> {
        let mut results = Vec::with_capacity(program.operations.len());
        for operation in &program.operations {
            let outcome = self.operation(operation, &results);
            results.push(outcome);
        }
        results
    }

    fn operation(&self, operation: &Operation, results: &[Outcome]) -> Outcome {
        let result = |earlier: &u32| results.get(*earlier as usize).unwrap_or(&Outcome::Impossible);
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
                Outcome::Known(Datum::YesNo(yes)) => Outcome::Known(Datum::YesNo(!yes)),
                other => other.clone(),
            },
            Operation::Binary(operator @ (Operator::And | Operator::Or), left, right) => {
                logic(*operator, result(left), result(right))
            }
            Operation::Binary(operator, left, right) => match (result(left), result(right)) {
                (Outcome::Known(Datum::Quantity(left)), Outcome::Known(Datum::Quantity(right))) => {
                    match evaluate::binary(*operator, left, right) {
                        Some(value) => Outcome::Known(Datum::Quantity(value)),
                        None => Outcome::Impossible,
                    }
                }
                (left, right) => worse(left, right),
            },
            Operation::Function(function, arguments) => {
                let mut values = Vec::with_capacity(arguments.len());
                for argument in arguments {
                    match result(argument) {
                        Outcome::Known(Datum::Quantity(value)) => values.push(value.clone()),
                        other => return worse(other, other),
                    }
                }
                match evaluate::call(*function, &values) {
                    Some(value) => Outcome::Known(Datum::Quantity(value)),
                    None => Outcome::Impossible,
                }
            }
            Operation::Collect(collector, elements) => self.collect(*collector, elements, results),
            Operation::Test { subject, negated, range } => test(result(subject), *negated, range, results),
        }
    }

    fn collect(&self, collector: Collector, elements: &[Element], results: &[Outcome]) -> Outcome {
        let mut quantities: Vec<Value> = Vec::new();
        let mut names: Vec<u16> = Vec::new();
        let mut count = 0_usize;
        let mut take = |datum: &Datum| {
            count += 1;
            match datum {
                Datum::Quantity(value) => quantities.push(value.clone()),
                Datum::Name(name) => names.push(*name),
                Datum::YesNo(_) | Datum::Words => {}
            }
        };
        let mut lacking: Option<Outcome> = None;
        for element in elements {
            let outcome = match element {
                Element::Value(earlier) => results.get(*earlier as usize).cloned().unwrap_or(Outcome::Impossible),
                Element::Slot(slot) => {
                    let taken = self.readings.taken(*slot);
                    if taken.len() > 1 {
                        for (number, reading) in taken.iter().enumerate() {
                            take(self.seen(*slot, number, &reading.datum));
                        }
                        continue;
                    }
                    self.slot(*slot)
                }
            };
            match outcome {
                Outcome::Known(datum) => take(&datum),
                Outcome::Skipped => {}
                other => {
                    lacking = Some(match lacking {
                        Some(before) => worse(&before, &other),
                        None => other,
                    });
                }
            }
        }
        if let Some(lacking) = lacking {
            return lacking;
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
        match evaluate::collect(collector, &quantities) {
            Some(value) => Outcome::Known(Datum::Quantity(value)),
            None => Outcome::Impossible,
        }
    }
}

fn quantity(outcome: &Outcome, make: impl Fn(&Value) -> Option<Value>) -> Outcome {
    match outcome {
        Outcome::Known(Datum::Quantity(value)) => match make(value) {
            Some(value) => Outcome::Known(Datum::Quantity(value)),
            None => Outcome::Impossible,
        },
        other => worse(other, other),
    }
}

/// What two outcomes, not both usable values, come to: what is required and missing outweighs all else.
fn worse(left: &Outcome, right: &Outcome) -> Outcome {
    let rank = |outcome: &Outcome| match outcome {
        Outcome::Missing => 4,
        Outcome::Skipped => 3,
        Outcome::Impossible => 2,
        Outcome::Undecided => 1,
        Outcome::Known(_) => 0,
    };
    let worse = if rank(left) >= rank(right) { left } else { right };
    // Two values neither of which fits: the checker rules it out.
    if matches!(worse, Outcome::Known(_)) { Outcome::Impossible } else { worse.clone() }
}

/// `and` and `or` over what is known: one side may settle it whatever the other is.
fn logic(operator: Operator, left: &Outcome, right: &Outcome) -> Outcome {
    let settles = operator == Operator::Or;
    match (left, right) {
        (Outcome::Known(Datum::YesNo(yes)), _) | (_, Outcome::Known(Datum::YesNo(yes))) if *yes == settles => {
            Outcome::Known(Datum::YesNo(settles))
        }
        (Outcome::Known(Datum::YesNo(_)), other) | (other, Outcome::Known(Datum::YesNo(_))) => other.clone(),
        (left, right) => worse(left, right),
    }
}

fn test(subject: &Outcome, negated: bool, range: &TestRange, results: &[Outcome]) -> Outcome {
    let Outcome::Known(subject) = subject else { return subject.clone() };
    let inside = match (range, subject) {
        (TestRange::Names(names), Datum::Name(name)) => names.binary_search(name).is_ok(),
        (TestRange::YesNo(wanted), Datum::YesNo(yes)) => wanted == yes,
        (TestRange::Band { low, high }, Datum::Quantity(value)) => {
            let end = |bound: &Option<(u32, bool)>| match bound {
                None => Ok(None),
                Some((earlier, closed)) => match results.get(*earlier as usize) {
                    Some(Outcome::Known(Datum::Quantity(value))) => {
                        Ok(Some(End { value: value.clone(), closed: *closed }))
                    }
                    Some(other) => Err(worse(other, other)),
                    None => Err(Outcome::Impossible),
                },
            };
            let band = match (end(low), end(high)) {
                (Ok(low), Ok(high)) => Band { low, high },
                (Err(lacking), _) | (_, Err(lacking)) => return lacking,
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

/// A whole number as a plain number.
fn whole(number: i64) -> Value {
    Value::from(Number::from_integer(number))
}
