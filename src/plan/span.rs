//! How wide the ranges of a row are, and how finely a value must be measured for them.

use super::{Check, CheckRange, Plan, Span, Subject, slots_of};
use crate::quantity::{Number, Value};
use std::cmp::Ordering;

impl CheckRange {
    /// From end to end, where both are known. A range of one value is no tolerance: `exactly 11` would be too narrow for every
    /// gauge.
    fn width(&self) -> Option<Value> {
        match self {
            CheckRange::Known(band) => {
                band.width().filter(|width| width.compare(&Value::ZERO) == Some(Ordering::Greater))
            }
            _ => None,
        }
    }
}

/// The narrower of two ranges with two known ends. `ratio` is how many times the whole span of an uncertainty, twice what it
/// reaches to one side, a range must be wide.
pub(super) fn span(standard: Option<&CheckRange>, limit: Option<&CheckRange>, ratio: &Number) -> Option<Span> {
    let (standard, limit) = (standard.and_then(CheckRange::width), limit.and_then(CheckRange::width));
    let (limit, width) = match (standard, limit) {
        (Some(standard), Some(limit)) if limit.compare(&standard) == Some(Ordering::Less) => (true, limit),
        (Some(standard), _) => (false, standard),
        (None, Some(limit)) => (true, limit),
        (None, None) => return None,
    };
    let twice = Value::from(ratio * &Number::from_integer(2));
    let finest = width.divide(&twice)?;
    // A billionth less, which is far more than rounding adds.
    let first_look = finest.enclosure().low.to_f64() * (1.0 - 1e-9);
    Some(Span { limit, width, finest_squared: finest.squared(), finest: first_look })
}

/// For each step, whether a check with a span rests on it.
pub(super) fn spanned(plan: &Plan) -> Vec<bool> {
    let mut spanned = vec![false; plan.steps.len()];
    let mut open: Vec<usize> = Vec::new();
    let with_span = |check: &&Check| check.span.is_some();
    for check in plan.checks.iter().filter(with_span) {
        match &check.subject {
            Subject::Slot { slot, .. } => open.push(*slot),
            Subject::Made(program) => open.extend(slots_of(program)),
            // What was taken rests on no step.
            Subject::Each { .. } | Subject::Group(_) => {}
        }
    }
    while let Some(slot) = open.pop() {
        let Some(Some(number)) = plan.step_of.get(slot) else { continue };
        let number = *number as usize;
        if let (Some(seen), Some(step)) = (spanned.get_mut(number), plan.steps.get(number))
            && !std::mem::replace(seen, true)
        {
            open.extend(slots_of(&step.program));
        }
    }
    spanned
}
