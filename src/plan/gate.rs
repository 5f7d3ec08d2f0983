//! Where one look tells that a check is skipped. Refuses to guess: what may come out otherwise is worked through.

use super::{Check, Gate, Operation, Plan, Program, Subject};

/// The gate of a check. Where the check has a condition, that decides first, and only its slot tells.
pub(super) fn gate(plan: &Plan, check: &Check) -> Gate {
    let slot = match (&check.condition, &check.subject) {
        (Some(condition), _) => tested(&condition.program),
        (None, Subject::Slot { slot, .. } | Subject::Each { slot, .. }) => Some(*slot),
        (None, Subject::Made(_) | Subject::Group(_)) => None,
    };
    slot.and_then(|slot| at(plan, slot)).unwrap_or(Gate::Open)
}

/// The slot that a condition on nothing else tests: where it has no value the condition has none.
fn tested(condition: &Program) -> Option<usize> {
    let (Operation::Slot(slot), rest) = condition.operations.split_first()? else { return None };
    let last = condition.operations.last()?;
    let is_known = |number: &u32| matches!(condition.operations.get(*number as usize), Some(Operation::Known(_)));
    let alone = |operation: &Operation| match operation {
        Operation::Known(_) => true,
        Operation::Not(inner) => !is_known(inner),
        Operation::Test { subject, .. } => *subject == 0,
        _ => false,
    };
    (rest.iter().all(alone) && !matches!(last, Operation::Known(_))).then_some(*slot)
}

fn at(plan: &Plan, slot: usize) -> Option<Gate> {
    if let Some(step) = plan.step_of.get(slot)? {
        return Some(Gate::Step(*step));
    }
    let may_be_empty = *plan.optional.get(slot)?;
    may_be_empty.then(|| u32::try_from(slot).ok().map(Gate::Slot))?
}
