//! The uncertainty of one ruling's value, influence by influence, for whoever wants to check it on paper.

use super::{Influence, Memory, Together, Uncertainty, Weighing};
use crate::bind::Readings;
use crate::book::Book;
use crate::judge::Ruling;
use crate::judge::evaluate::Bench;
use crate::plan::Plan;
use crate::quantity::{Number, Value, function};
use std::cmp::Ordering;

/// Where a value's uncertainty comes from.
#[derive(Clone, PartialEq, Debug)]
pub struct Budget {
    /// Every influence, the one with the largest share first.
    pub lines: Vec<BudgetLine>,
    /// The calibrations among them that are correlated.
    pub together: Vec<Together>,
    /// What they come to.
    pub uncertainty: Uncertainty,
}

/// One influence.
#[derive(Clone, PartialEq, Debug)]
pub struct BudgetLine {
    /// Which.
    pub influence: Influence,
    /// Its standard uncertainty, in its own base unit.
    pub standard: Value,
    /// The derivative of the value by it, base unit by base unit.
    pub sensitivity: Value,
    /// The product of both without its sign, in the value's base unit.
    pub contribution: Value,
    /// Its share of the variance, from 0 to 1; none where there is no variance at all.
    pub share: Option<Value>,
    /// Its degrees of freedom; none where they are as good as without end.
    pub degrees_of_freedom: Option<Number>,
}

/// Where the uncertainty of a ruling's value comes from; none where nothing in it is uncertain as far as anybody said.
#[must_use]
pub fn budget(book: &Book, plan: &Plan, readings: &Readings, ruling: &Ruling) -> Option<Budget> {
    let bench = Bench::new(plan, readings);
    let memory = Memory::default();
    let weighing = Weighing { book, bench: &bench, memory: &memory };
    let check = plan.checks.get(ruling.check)?;
    let form = weighing.subject(&check.subject, ruling.reading);
    let uncertainty = weighing.uncertainty(&form)?;
    let mut lines: Vec<BudgetLine> = form
        .terms
        .iter()
        .map(|(influence, sensitivity)| {
            let variance = weighing.variance_of(*influence);
            let part = sensitivity.squared().multiply(&variance);
            let standard = function::sqrt(&variance).unwrap_or(Value::ZERO);
            BudgetLine {
                influence: *influence,
                contribution: standard.multiply(&sensitivity.absolute()),
                standard,
                sensitivity: sensitivity.clone(),
                share: part.divide(&uncertainty.variance),
                degrees_of_freedom: weighing.freedom_of(*influence),
            }
        })
        .collect();
    lines.sort_by(|one, other| other.contribution.compare(&one.contribution).unwrap_or(Ordering::Equal));
    let mut together = weighing.together(&form);
    for pair in &mut together {
        pair.share = pair.adds.divide(&uncertainty.variance);
    }
    Some(Budget { lines, together, uncertainty })
}
