//! What single programs come to over one record, for those who follow a value over many builds. Refuses to judge it.

use super::evaluate::{Bench, Outcome};
use super::inputs;
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

/// The gauges that the readings behind a program's value were taken with, each once, in the order of the readings; none where one
/// of them says none.
#[must_use]
pub fn gauges_of(plan: &Plan, readings: &Readings, program: &Program) -> Option<Vec<String>> {
    let mut names: Vec<String> = Vec::new();
    for (slot, number) in inputs::of_program(&Bench::new(plan, readings), program) {
        let gauge = readings.taken(slot).get(number).and_then(|reading| readings.gauge_of(reading))?;
        if !names.contains(&gauge.name) {
            names.push(gauge.name.clone());
        }
    }
    (!names.is_empty()).then_some(names)
}
