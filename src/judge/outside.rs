//! Why a value cannot be worked out: which table was asked for something outside its ends. Refuses to guess at answers.

use super::Found;
use super::evaluate::{Bench, Outcome};
use super::ruling_report::ReportContext;
use crate::book::{Datum, outside_table};
use crate::plan::{CheckRange, Operation, Program, Subject, slots_of};

/// What a ruling without an answer asked of which table, in words; `None` where no table is the reason.
pub(super) fn table(context: &ReportContext<'_>) -> Option<String> {
    let check = context.check;
    let mut programs: Vec<&Program> = Vec::new();
    let mut slots: Vec<usize> = Vec::new();
    if context.ruling.found == Found::ConditionUndecided {
        programs.extend(check.condition.as_ref().map(|condition| &*condition.program));
    } else {
        match &check.subject {
            Subject::Slot { slot, .. } | Subject::Each { slot, .. } => slots.push(*slot),
            Subject::Made(program) => programs.push(program),
            Subject::Group(group) => slots.extend(group.iter().map(|(slot, _)| *slot)),
        }
        for range in [&check.standard, &check.limit].into_iter().flatten() {
            if let CheckRange::Worked { low, high } = range {
                programs.extend([low, high].into_iter().flatten().map(|(program, _)| program));
            }
        }
    }
    for program in programs {
        if let Some(words) = asked(context.bench, program) {
            return Some(words);
        }
        slots.extend(slots_of(program));
    }
    let mut seen: Vec<usize> = Vec::new();
    // Its own stack: derivations chain as long as the book likes.
    while let Some(slot) = slots.pop() {
        if seen.contains(&slot) {
            continue;
        }
        seen.push(slot);
        let plan = context.bench.plan;
        let number = plan.step_of.get(slot).copied().flatten();
        let Some(step) = number.and_then(|number| plan.steps.get(number as usize)) else { continue };
        if let Some(words) = asked(context.bench, &step.program) {
            return Some(words);
        }
        slots.extend(slots_of(&step.program));
    }
    None
}

/// The first table of a program that has no answer for what it is asked.
fn asked(bench: &Bench<'_>, program: &Program) -> Option<String> {
    program.operations.iter().find_map(|operation| {
        let Operation::Table(table, inner) = operation else { return None };
        let before = program.operations.iter().take(*inner as usize + 1).cloned().collect();
        match bench.run(&Program { operations: before }) {
            Outcome::Known(Datum::Quantity(value)) if table.at(&value).is_none() => Some(outside_table(table, &value)),
            _ => None,
        }
    })
}
