//! Judges one part at one position: the rows that lie within it, and of those whose condition asks for the machine what
//! they come to if they apply.

use super::Scope;
use crate::bind::{Readings, State};
use crate::book::Book;
use crate::judge::{Counts, Found, Grade, Ruling, Verdict, judge};
use crate::plan::{Leaves, Plan};

/// A part judged at one position.
#[derive(Clone, Debug)]
pub struct JudgedPart {
    /// The rows that lie within the part; rulings point into it.
    pub plan: Plan,
    /// What they come to. Rows whose condition asks for something nobody said are among them only if they are good, or lack a
    /// reading of the part.
    pub verdict: Verdict,
    /// Rows that are not good if they apply, which depends on the machine the part goes into.
    pub conditional: Vec<Conditional>,
}

/// A row that is not good if it applies.
#[derive(Clone, Debug)]
pub struct Conditional {
    /// The ruling, as if the row applied.
    pub ruling: Ruling,
    /// When it applies, as the book writes it.
    pub condition: String,
}

/// Judges the rows of a scope, which `within` has alone. `readings` are in the slots of the part's position, with what is given about the machine.
#[must_use]
pub fn judge_part(
    book: &Book,
    (plan, leaves): (&Plan, &Leaves),
    (scope, within): (&Scope, &Plan),
    readings: &Readings,
) -> JudgedPart {
    let mut verdict = judge(book, within, readings);
    let open: Vec<usize> = verdict
        .rulings
        .iter()
        .filter(|ruling| ruling.found == Found::ConditionMissing)
        .map(|ruling| ruling.check)
        .filter(|check| asks_for_machine(plan, leaves, scope, *check, readings))
        .collect();
    if open.is_empty() {
        return JudgedPart { plan: within.clone(), verdict, conditional: Vec::new() };
    }
    let conditions: Vec<(usize, String)> = open
        .iter()
        .filter_map(|number| {
            let condition = within.checks.get(*number)?.row.condition.as_ref()?;
            Some((*number, condition.words()))
        })
        .collect();
    let within = within.clone().unconditional(&open);
    verdict = judge(book, &within, readings);
    let mut conditional = Vec::new();
    verdict.rulings.retain(|ruling| {
        let condition = conditions.iter().find(|(number, _)| *number == ruling.check);
        let Some((_, condition)) = condition.filter(|_| !matches!(ruling.grade, Grade::Good | Grade::Unmeasured))
        else {
            return true;
        };
        conditional.push(Conditional { ruling: ruling.clone(), condition: condition.clone() });
        false
    });
    verdict.counts = Counts::default();
    verdict.grade = if readings.are_set_aside() { Grade::Unmeasured } else { Grade::Good };
    for ruling in &verdict.rulings {
        verdict.counts.count_ruling(ruling);
        verdict.grade = verdict.grade.max(ruling.weight());
    }
    JudgedPart { plan: within, verdict, conditional }
}

/// Whether the condition of a check, by its number among those of a scope, asks for a reading outside the part that nobody
/// gave.
fn asks_for_machine(plan: &Plan, leaves: &Leaves, scope: &Scope, check: usize, readings: &Readings) -> bool {
    let check = scope.within.get(check).and_then(|number| plan.checks.get(*number));
    let Some(condition) = check.and_then(|check| check.condition.as_ref()) else { return false };
    let asked = leaves.of_program(plan, &condition.program).without(&scope.slots);
    asked.into_iter().any(|slot| matches!(readings.state(slot), State::Absent))
}
