//! How far a value may be off at most, reckoned quickly and always too high: enough to see of most values that nothing near
//! them needs a closer look. Refuses to decide: what it does not clear is weighed exactly.
//!
//! By the triangle inequality no standard uncertainty is larger than the sum of what its inputs bring, however they are
//! correlated. That sum is worked out in binary numbers, each step a billionth too high, which is far more than rounding takes
//! away; so it is the upper end of an enclosure, and a comparison it clears comes out the same exactly.

use super::differentiate::derivative;
use super::influence;
use crate::book::{Datum, Function};
use crate::judge::evaluate::{Bench, Outcome};
use crate::plan::{Check, CheckRange, Element, Operation, Program, Subject};
use crate::quantity::{End, Number, Value};
use crate::syntax::tree::{Collector, Operator};

/// Added to every result: beside it all the rounding of binary numbers is nothing.
const SAFE: f64 = 1.0 + 1e-9;

/// Upper bounds of standard uncertainties; infinite where only the exact way knows.
pub(in crate::judge) struct Ceilings<'a> {
    bench: &'a Bench<'a>,
    /// Whether a reading of unknown uncertainty must be looked at exactly.
    guarded: bool,
    by_gauge: Vec<f64>,
    steps: Vec<f64>,
}

impl<'a> Ceilings<'a> {
    /// With `guarded`, of every step; without, of those that a row with two known ends rests on.
    pub(in crate::judge) fn new(bench: &'a Bench<'a>, guarded: bool) -> Ceilings<'a> {
        let by_gauge = bench.readings.gauges.iter().map(|gauge| {
            if gauge.degrees_of_freedom.is_some() {
                return f64::INFINITY;
            }
            influence::variance_of_gauge(gauge).map_or(f64::NAN, |variance| above(&variance).sqrt() * SAFE)
        });
        let by_gauge = by_gauge.collect();
        let mut ceilings = Ceilings { bench, guarded, by_gauge, steps: Vec::with_capacity(bench.plan.steps.len()) };
        for (step, spanned) in bench.plan.steps.iter().zip(&bench.plan.spanned) {
            let ceiling = if guarded || *spanned { ceilings.program(&step.program) } else { f64::INFINITY };
            ceilings.steps.push(ceiling);
        }
        ceilings
    }

    /// Whether what a check judges is surely measured finely enough for it, and lies surely further from every end than
    /// `factor` times its expanded uncertainty.
    pub(in crate::judge) fn clears(
        &self,
        check: &Check,
        reading: Option<usize>,
        value: &Value,
        factor: Option<&Number>,
    ) -> bool {
        let standard = match &check.subject {
            Subject::Slot { slot, .. } => self.slot(*slot),
            Subject::Each { slot, .. } => self.reading(*slot, reading.unwrap_or(0)),
            Subject::Made(program) => self.program(program),
            Subject::Group(_) => return false,
        };
        // Twice the standard uncertainty; fewer degrees of freedom, which ask for more, made it infinite.
        let expanded = 2.0 * standard * SAFE;
        // Not a number where a gauge says nothing of itself: that is for the exact way.
        if !expanded.is_finite() || check.span.as_ref().is_some_and(|span| expanded > span.finest) {
            return false;
        }
        let Some(factor) = factor else { return true };
        let guard = expanded * factor.to_f64() * SAFE;
        let clear = |end: &Option<End>| match end {
            None => true,
            Some(end) => {
                matches!(value.subtract(&end.value), Value::Exact { .. }) && below(&value.subtract(&end.value)) > guard
            }
        };
        check.row.rounded.is_none()
            && [&check.limit, &check.standard].into_iter().flatten().all(|range| match range {
                CheckRange::Known(band) => clear(&band.low) && clear(&band.high),
                _ => false,
            })
    }

    fn slot(&self, slot: usize) -> f64 {
        match self.bench.plan.step_of.get(slot) {
            Some(Some(step)) => self.steps.get(*step as usize).copied().unwrap_or(f64::INFINITY),
            _ => self.reading(slot, 0),
        }
    }

    fn reading(&self, slot: usize, number: usize) -> f64 {
        let Some(reading) = self.bench.readings.taken(slot).get(number) else { return 0.0 };
        if let Some(detail) = &reading.detail {
            if detail.warmth.is_some() || detail.degrees_of_freedom.is_some() {
                return f64::INFINITY;
            }
            if let Some(stated) = &detail.uncertainty {
                return above(stated) / 2.0 * SAFE;
            }
        }
        let by_gauge = reading.gauge.and_then(|gauge| self.by_gauge.get(usize::from(gauge))).copied();
        match by_gauge.filter(|ceiling| !ceiling.is_nan()) {
            Some(ceiling) => ceiling,
            None if self.guarded && self.bench.plan.measured.get(slot).copied().unwrap_or(false) => f64::INFINITY,
            None => 0.0,
        }
    }

    fn program(&self, program: &Program) -> f64 {
        // Sums, differences and picks need no values.
        let bent = |operation: &Operation| match operation {
            Operation::Binary(Operator::Multiply | Operator::Divide, ..) | Operation::Power(..) => true,
            Operation::Function(function, _) => !matches!(function, Function::Radians | Function::Round),
            _ => false,
        };
        let results = if program.operations.iter().any(bent) { self.bench.results(program) } else { Vec::new() };
        let mut ceilings: Vec<f64> = Vec::with_capacity(program.operations.len());
        for operation in &program.operations {
            let ceiling = self.one(operation, &results, &ceilings);
            ceilings.push(ceiling * SAFE);
        }
        ceilings.last().copied().unwrap_or(0.0)
    }

    fn one(&self, operation: &Operation, results: &[Outcome], ceilings: &[f64]) -> f64 {
        let of = |earlier: u32| ceilings.get(earlier as usize).copied().unwrap_or(f64::INFINITY);
        let value = |earlier: u32| match results.get(earlier as usize) {
            Some(Outcome::Known(Datum::Quantity(value))) => Some(value),
            _ => None,
        };
        // Nothing times what is not finite is still nothing here: what is exact stays exact.
        let times = |by: f64, ceiling: f64| if ceiling <= 0.0 { 0.0 } else { by * ceiling };
        match operation {
            Operation::Known(_)
            | Operation::Impossible
            | Operation::Not(_)
            | Operation::Test { .. }
            | Operation::Binary(Operator::And | Operator::Or, ..) => 0.0,
            Operation::Slot(slot) => self.slot(*slot),
            Operation::Negate(inner) => of(*inner),
            Operation::Binary(Operator::Add | Operator::Subtract, left, right) => of(*left) + of(*right),
            Operation::Binary(Operator::Multiply, left, right) => match (value(*left), value(*right)) {
                (Some(one), Some(other)) => times(above(other), of(*left)) + times(above(one), of(*right)),
                _ => f64::INFINITY,
            },
            Operation::Binary(Operator::Divide, left, right) => match (value(*left), value(*right)) {
                (Some(one), Some(other)) => {
                    let by = SAFE / below(other);
                    times(by, of(*left)) + times(above(one) * by * by, of(*right))
                }
                _ => f64::INFINITY,
            },
            Operation::Power(inner, exponent) => match value(*inner) {
                Some(at) => {
                    let by = f64::from(*exponent) * above(at).powi(i32::from(*exponent) - 1);
                    times(by, of(*inner))
                }
                None => f64::INFINITY,
            },
            Operation::Table(_, inner) => times(f64::INFINITY, of(*inner)),
            Operation::Function(function, arguments) => {
                let Some(first) = arguments.first() else { return 0.0 };
                match function {
                    Function::Radians => of(*first),
                    Function::Round => times(f64::INFINITY, of(*first)),
                    _ if of(*first) <= 0.0 => 0.0,
                    function => match value(*first).and_then(|at| derivative(*function, at)) {
                        Some(by) => times(above(&by), of(*first)),
                        None => f64::INFINITY,
                    },
                }
            }
            Operation::Collect(collector, elements) => self.collect(*collector, elements, ceilings),
        }
    }

    fn collect(&self, collector: Collector, elements: &[Element], ceilings: &[f64]) -> f64 {
        let (mut largest, mut sum) = (0.0_f64, 0.0_f64);
        let mut repeats = false;
        for element in elements {
            let each: [f64; 1];
            let many: Vec<f64>;
            let members: &[f64] = match element {
                Element::Value(earlier) => {
                    each = [ceilings.get(*earlier as usize).copied().unwrap_or(f64::INFINITY)];
                    &each
                }
                Element::Slot(slot) => {
                    let taken = self.bench.readings.taken(*slot).len();
                    repeats |= taken > 1;
                    if taken <= 1 {
                        each = [self.slot(*slot)];
                        &each
                    } else {
                        many = (0..taken).map(|number| self.reading(*slot, number)).collect();
                        &many
                    }
                }
            };
            for member in members {
                largest = largest.max(*member);
                sum += member;
            }
        }
        match collector {
            Collector::Count => 0.0,
            Collector::Smallest | Collector::Largest => largest,
            Collector::Spread => 2.0 * largest,
            // Repeats bring their own scatter.
            Collector::Sum | Collector::Mean if repeats => f64::INFINITY,
            Collector::Sum => sum,
            Collector::Mean => largest,
        }
    }
}

/// A number no smaller than a value without its sign.
fn above(value: &Value) -> f64 {
    match value {
        Value::Exact { number, pi: 0 } => number.to_f64().abs() * SAFE,
        _ => {
            let inside = value.enclosure();
            inside.low.to_f64().abs().max(inside.high.to_f64().abs()) * SAFE
        }
    }
}

/// A number no larger than a value without its sign, at least nought.
pub(crate) fn below(value: &Value) -> f64 {
    match value {
        Value::Exact { number, pi: 0 } => number.to_f64().abs() / SAFE,
        _ => {
            let inside = value.enclosure();
            if inside.low.signum() * inside.high.signum() <= 0 {
                return 0.0;
            }
            inside.low.to_f64().abs().min(inside.high.to_f64().abs()) / SAFE
        }
    }
}
