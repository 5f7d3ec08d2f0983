//! Which readings a value comes from: those picked by smallest and largest, all the others that count.

use super::Found;
use super::evaluate::{Bench, Outcome, Seen};
use crate::bind::{Readings, State};
use crate::book::Datum;
use crate::plan::{Check, CheckRange, Element, Operation, Plan, Program, Subject, slots_of};
use crate::syntax::tree::Collector;
use crate::text::Span;
use rustc_hash::FxHashSet;

/// One reading: its slot, and which of the slot's readings.
pub(super) type Input = (usize, usize);

/// The readings behind a slot's value.
pub(super) fn of_slot(bench: &Bench<'_>, slot: usize) -> Vec<Input> {
    behind(bench, vec![slot], Vec::new())
}

/// The readings behind a program's value.
pub(super) fn of_program(bench: &Bench<'_>, program: &Program) -> Vec<Input> {
    let mut inputs = Vec::new();
    let open = picked(bench, program, &mut inputs);
    behind(bench, open, inputs)
}

/// Some inputs with the readings behind some slots' values.
fn behind(bench: &Bench<'_>, mut open: Vec<usize>, mut inputs: Vec<Input>) -> Vec<Input> {
    // Its own stack: derivations chain as long as the book likes. Each slot once: where each takes the one before twice, the
    // ways down double with every one.
    let mut seen = FxHashSet::default();
    while let Some(slot) = open.pop() {
        if !seen.insert(slot) {
            continue;
        }
        match step(bench.plan, slot) {
            Some(program) => open.extend(picked(bench, program, &mut inputs)),
            None => {
                for number in 0..bench.readings.taken(slot).len() {
                    add(&mut inputs, (slot, number));
                }
            }
        }
    }
    inputs.sort_unstable();
    inputs
}

/// The slots that a row takes values from itself: those of its condition if that is what lacks a reading.
pub(super) fn needed(check: &Check, found: Found) -> Vec<usize> {
    if let (Found::ConditionMissing, Some(condition)) = (found, &check.condition) {
        return slots_of(&condition.program);
    }
    let mut slots: Vec<usize> = Vec::new();
    match &check.subject {
        Subject::Slot { slot, .. } | Subject::Each { slot, .. } => slots.push(*slot),
        Subject::Made(program) => slots.extend(slots_of(program)),
        Subject::Group(group) => slots.extend(group.iter().map(|(slot, _)| *slot)),
    }
    for range in [&check.standard, &check.limit] {
        if let Some(CheckRange::Worked { low, high }) = range {
            slots.extend([low, high].into_iter().flatten().flat_map(|(program, _)| slots_of(program)));
        }
    }
    slots
}

/// The slots that lack something a slot's or program's value needs, as far down as readings.
pub(super) fn lacking(bench: &Bench<'_>, slots: &[usize]) -> Vec<usize> {
    let mut lacking = Vec::new();
    let mut open: Vec<usize> = slots.to_vec();
    let mut seen = Vec::new();
    while let Some(slot) = open.pop() {
        if seen.contains(&slot) {
            continue;
        }
        seen.push(slot);
        match step(bench.plan, slot) {
            Some(program) => open.extend(slots_of(program)),
            None if bench.readings.taken(slot).is_empty() && matches!(bench.empty(slot), Seen::Missing) => {
                lacking.push(slot);
            }
            None => {}
        }
    }
    lacking.sort_unstable();
    lacking
}

fn step(plan: &Plan, slot: usize) -> Option<&Program> {
    let number = plan.step_of.get(slot).copied().flatten()?;
    plan.steps.get(number as usize).map(|step| &step.program)
}

fn add(inputs: &mut Vec<Input>, input: Input) {
    if !inputs.contains(&input) {
        inputs.push(input);
    }
}

/// The slots a program's value comes from. A reading picked by smallest, largest or spread goes to `inputs` itself.
fn picked(bench: &Bench<'_>, program: &Program, inputs: &mut Vec<Input>) -> Vec<usize> {
    let mut slots = Vec::new();
    for (number, operation) in program.operations.iter().enumerate() {
        match operation {
            Operation::Slot(slot) => slots.push(*slot),
            Operation::Collect(collector, elements) => {
                let wanted: Vec<Outcome> = match collector {
                    Collector::Smallest | Collector::Largest => vec![prefix(bench, program, number, *collector)],
                    Collector::Spread => vec![
                        prefix(bench, program, number, Collector::Smallest),
                        prefix(bench, program, number, Collector::Largest),
                    ],
                    Collector::Mean | Collector::Sum | Collector::Count => Vec::new(),
                };
                for element in elements {
                    let Element::Slot(slot) = element else { continue };
                    let taken = bench.readings.taken(*slot);
                    if wanted.is_empty() || taken.is_empty() {
                        if wanted.is_empty() || wanted.contains(&bench.slot(*slot)) {
                            slots.push(*slot);
                        }
                        continue;
                    }
                    for (at, reading) in taken.iter().enumerate() {
                        let datum: &Datum = bench.seen(*slot, at, &reading.datum);
                        if wanted.contains(&Outcome::Known(datum.clone())) {
                            add(inputs, (*slot, at));
                        }
                    }
                }
            }
            _ => {}
        }
    }
    slots
}

/// What a collection of a program would come to under a collector.
fn prefix(bench: &Bench<'_>, program: &Program, number: usize, collector: Collector) -> Outcome {
    let mut operations: Vec<Operation> = program.operations.iter().take(number + 1).cloned().collect();
    if let Some(Operation::Collect(own, _)) = operations.last_mut() {
        *own = collector;
    }
    bench.run(&Program { operations })
}

/// Why a slot has no value though something is written there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Trouble {
    /// It was looked at and could not be read.
    Unknown,
    /// What is written there has an error.
    Unusable,
    /// What is written there cannot be.
    SetAside,
}

/// Why a slot has no value, and where.
pub(super) fn trouble(readings: &Readings, slot: usize) -> Option<(Trouble, Span)> {
    match readings.state(slot) {
        State::Unknown(span) => Some((Trouble::Unknown, span)),
        State::Unusable(span) => Some((Trouble::Unusable, span)),
        State::SetAside(span) => Some((Trouble::SetAside, span)),
        State::Absent | State::Taken => None,
    }
}
