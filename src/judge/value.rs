//! What single programs come to over one record, for those who follow a value over many builds. Refuses to judge it.

use super::evaluate::{Bench, Outcome};
use crate::bind::Readings;
use crate::book::Datum;
use crate::plan::{Plan, Program};

/// What each program comes to, one after another; none where something it needs was not measured, or it has no answer.
#[must_use]
pub fn values_of<'a>(
    plan: &Plan,
    readings: &Readings,
    programs: impl IntoIterator<Item = &'a Program>,
) -> Vec<Option<Datum>> {
    let bench = Bench::new(plan, readings);
    let known = |program| match bench.run(program) {
        Outcome::Known(datum) => Some(datum),
        Outcome::Missing | Outcome::Skipped | Outcome::Impossible | Outcome::Undecided => None,
    };
    programs.into_iter().map(known).collect()
}
