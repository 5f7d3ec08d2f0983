//! How far a value may be off at most, reckoned quickly and always too high: enough to see of most values that nothing near
//! them needs a closer look. Refuses to decide: what it does not clear is weighed exactly.
//!
//! By the triangle inequality no standard uncertainty is larger than the sum of what its inputs bring, however they are
//! correlated; of inputs that no gauge has a part in together, than the root of the sum of squares. That is worked out in
//! binary numbers, each step a billionth too high, which is far more than rounding takes away; so it is the upper end of an enclosure, and a comparison it clears comes out the same exactly.

use super::differentiate::derivative;
use super::influence;
use crate::book::{Datum, Function};
use crate::judge::evaluate::{Bench, Outcome};
use crate::plan::{Check, CheckRange, Element, Operation, Program, Subject};
use crate::quantity::{End, Number, Value};
use crate::syntax::tree::{Collector, Operator};

/// Added to every result: beside it all the rounding of binary numbers is nothing.
const SAFE: f64 = 1.0 + 1e-9;

/// The bit of whatever has none of its own.
const LAST: u64 = 1 << 63;

/// An upper bound of a standard uncertainty, and the gauges that have a part in it, each a bit: the last bit stands for all
/// beyond and for what no gauge was named for, so that two with no bit in common are independent.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Ceiling {
    standard: f64,
    gauges: u64,
    /// Whether a reading is in it whose uncertainty nobody said.
    unknown: bool,
}

impl Ceiling {
    const NOTHING: Ceiling = Ceiling { standard: 0.0, gauges: 0, unknown: false };
    /// Only the exact way knows.
    const OPEN: Ceiling = Ceiling { standard: f64::INFINITY, gauges: u64::MAX, unknown: false };

    fn and(self, other: Ceiling) -> Ceiling {
        let standard = if self.gauges & other.gauges == 0 {
            (self.standard * self.standard + other.standard * other.standard).sqrt()
        } else {
            self.standard + other.standard
        };
        Ceiling {
            standard: standard * SAFE,
            gauges: self.gauges | other.gauges,
            unknown: self.unknown || other.unknown,
        }
    }

    /// Nothing times what is not finite is still nothing here: what is exact stays exact.
    fn times(self, by: f64) -> Ceiling {
        if self.standard <= 0.0 { self } else { Ceiling { standard: self.standard * by * SAFE, ..self } }
    }
}

/// Upper bounds of standard uncertainties; infinite where only the exact way knows.
pub(in crate::judge) struct Ceilings<'a> {
    bench: &'a Bench<'a>,
    /// Whether it matters that the uncertainty of a reading is unknown.
    guarded: bool,
    by_gauge: Vec<f64>,
    /// The bits of each gauge: its own, and those of the gauges it is correlated with.
    bits: Vec<u64>,
    steps: Vec<Ceiling>,
}

impl<'a> Ceilings<'a> {
    /// With `guarded`, of every step; without, of those that a row with two known ends rests on.
    pub(in crate::judge) fn new(bench: &'a Bench<'a>, guarded: bool) -> Ceilings<'a> {
        let by_gauge = bench.readings.gauges.iter().map(|gauge| {
            // What grows with the reading is for the exact way.
            if gauge.degrees_of_freedom.is_some() || gauge.uncertainty.as_ref().is_some_and(|it| !it.is_fixed()) {
                return f64::INFINITY;
            }
            influence::variance_of_gauge(gauge).map_or(f64::NAN, |variance| above(&variance).sqrt() * SAFE)
        });
        let by_gauge = by_gauge.collect();
        let bit = |gauge: usize| u32::try_from(gauge).ok().and_then(|by| 1_u64.checked_shl(by)).unwrap_or(LAST);
        let mut bits: Vec<u64> = (0..bench.readings.gauges.len()).map(bit).collect();
        for (one, other, _) in bench.readings.correlations().pairs {
            for (at, with) in [(one, other), (other, one)] {
                bits.get_mut(at).into_iter().for_each(|bits| *bits |= bit(with));
            }
        }
        let mut ceilings =
            Ceilings { bench, guarded, by_gauge, bits, steps: Vec::with_capacity(bench.plan.steps.len()) };
        for (step, spanned) in bench.plan.steps.iter().zip(&bench.plan.spanned) {
            let ceiling = if guarded || *spanned { ceilings.program(&step.program) } else { Ceiling::OPEN };
            ceilings.steps.push(ceiling);
        }
        ceilings
    }

    /// Whether what a check judges is surely measured finely enough for it, and lies surely further from every end than
    /// `factor` times its expanded uncertainty; then, whether that of a reading in it is unknown. None where only the exact
    /// way tells.
    pub(in crate::judge) fn clears(
        &self,
        check: &Check,
        reading: Option<usize>,
        value: &Value,
        factor: Option<&Number>,
    ) -> Option<bool> {
        let standard = match &check.subject {
            Subject::Slot { slot, .. } => self.slot(*slot),
            Subject::Each { slot, .. } => self.reading(*slot, reading.unwrap_or(0)),
            Subject::Made(program) => self.program(program),
            Subject::Group(_) => return None,
        };
        // Twice the standard uncertainty; fewer degrees of freedom, which ask for more, made it infinite.
        let expanded = 2.0 * standard.standard * SAFE;
        // Not a number where a gauge says nothing of itself: that is for the exact way.
        if !expanded.is_finite() || check.span.as_ref().is_some_and(|span| expanded > span.finest) {
            return None;
        }
        let Some(factor) = factor else { return Some(standard.unknown) };
        let guard = expanded * factor.to_f64() * SAFE;
        let clear = |end: &Option<End>| match end {
            None => true,
            // Of what nothing is known to be off, no end is near.
            Some(end) => guard <= 0.0 || apart(value, &end.value) > guard,
        };
        let cleared = check.row.rounded.is_none()
            && [&check.limit, &check.standard].into_iter().flatten().all(|range| match range {
                CheckRange::Known(band) => clear(&band.low) && clear(&band.high),
                _ => false,
            });
        cleared.then_some(standard.unknown)
    }

    fn slot(&self, slot: usize) -> Ceiling {
        match self.bench.plan.step_of.get(slot) {
            Some(Some(step)) => self.steps.get(*step as usize).copied().unwrap_or(Ceiling::OPEN),
            _ => self.reading(slot, 0),
        }
    }

    fn reading(&self, slot: usize, number: usize) -> Ceiling {
        let Some(reading) = self.bench.readings.taken(slot).get(number) else { return Ceiling::NOTHING };
        if let Some(detail) = &reading.detail {
            if detail.warmth.is_some() || detail.degrees_of_freedom.is_some() {
                return Ceiling::OPEN;
            }
            if let Some(stated) = &detail.uncertainty {
                // What grows with the reading is for the exact way.
                if !stated.is_fixed() {
                    return Ceiling::OPEN;
                }
                let standard = above(&stated.fixed) / stated.factor.to_f64() * SAFE;
                return Ceiling { standard, gauges: LAST, unknown: false };
            }
        }
        let by_gauge = reading.gauge.and_then(|gauge| Some((gauge, *self.by_gauge.get(usize::from(gauge))?)));
        match by_gauge.filter(|(_, standard)| !standard.is_nan()) {
            Some((gauge, standard)) => {
                let gauges = self.bits.get(usize::from(gauge)).copied().unwrap_or(u64::MAX);
                Ceiling { standard, gauges, unknown: false }
            }
            None => {
                let unknown = self.bench.plan.measured.get(slot).copied().unwrap_or(false);
                Ceiling { unknown, ..Ceiling::NOTHING }
            }
        }
    }

    fn program(&self, program: &Program) -> Ceiling {
        // Sums, differences and picks need no values.
        let bent = |operation: &Operation| match operation {
            Operation::Binary(Operator::Multiply | Operator::Divide, ..) | Operation::Power(..) => true,
            Operation::Function(function, _) => {
                !matches!(function, Function::Radians | Function::Round | Function::Significant)
            }
            _ => false,
        };
        let results = if program.operations.iter().any(bent) { self.bench.results(program) } else { Vec::new() };
        let mut ceilings: Vec<Ceiling> = Vec::with_capacity(program.operations.len());
        for operation in &program.operations {
            let ceiling = self.one(operation, &results, &ceilings);
            ceilings.push(ceiling);
        }
        ceilings.last().copied().unwrap_or(Ceiling::NOTHING)
    }

    fn one(&self, operation: &Operation, results: &[Outcome], ceilings: &[Ceiling]) -> Ceiling {
        let of = |earlier: u32| ceilings.get(earlier as usize).copied().unwrap_or(Ceiling::OPEN);
        let value = |earlier: u32| match results.get(earlier as usize) {
            Some(Outcome::Known(Datum::Quantity(value))) => Some(value),
            _ => None,
        };
        match operation {
            Operation::Known(_)
            | Operation::Impossible
            | Operation::Not(_)
            | Operation::Test { .. }
            | Operation::Binary(Operator::And | Operator::Or, ..) => Ceiling::NOTHING,
            Operation::Slot(slot) => self.slot(*slot),
            Operation::Negate(inner) => of(*inner),
            Operation::Binary(Operator::Add | Operator::Subtract, left, right) => of(*left).and(of(*right)),
            Operation::Binary(Operator::Multiply, left, right) => match (value(*left), value(*right)) {
                (Some(one), Some(other)) => of(*left).times(above(other)).and(of(*right).times(above(one))),
                _ => Ceiling::OPEN,
            },
            Operation::Binary(Operator::Divide, left, right) => match (value(*left), value(*right)) {
                (Some(one), Some(other)) => {
                    let by = SAFE / below(other);
                    of(*left).times(by).and(of(*right).times(above(one) * by * by))
                }
                _ => Ceiling::OPEN,
            },
            Operation::Power(inner, exponent) => match value(*inner) {
                Some(at) => of(*inner).times(f64::from(*exponent) * above(at).powi(i32::from(*exponent) - 1)),
                None => Ceiling::OPEN,
            },
            Operation::Table(_, inner) => of(*inner).times(f64::INFINITY),
            Operation::Function(function, arguments) => {
                let Some(first) = arguments.first() else { return Ceiling::NOTHING };
                match function {
                    Function::Radians => of(*first),
                    Function::Round | Function::Significant => of(*first).times(f64::INFINITY),
                    _ if of(*first).standard <= 0.0 => of(*first),
                    function => match value(*first).and_then(|at| derivative(*function, at)) {
                        Some(by) => of(*first).times(above(&by)),
                        None => Ceiling::OPEN,
                    },
                }
            }
            Operation::Collect(collector, elements) => self.collect(*collector, elements, ceilings),
        }
    }

    fn collect(&self, collector: Collector, elements: &[Element], ceilings: &[Ceiling]) -> Ceiling {
        let (mut largest, mut sum) = (Ceiling::NOTHING, Ceiling::NOTHING);
        let (mut repeats, mut known, mut unknown) = (false, false, false);
        let mut take = |member: Ceiling| {
            known |= !member.unknown;
            unknown |= member.unknown;
            largest = Ceiling {
                standard: largest.standard.max(member.standard),
                gauges: largest.gauges | member.gauges,
                unknown: largest.unknown || member.unknown,
            };
            sum = sum.and(member);
        };
        for element in elements {
            match element {
                Element::Value(earlier) => {
                    take(ceilings.get(*earlier as usize).copied().unwrap_or(Ceiling::OPEN));
                }
                Element::Slot(slot) => {
                    let taken = self.bench.readings.taken(*slot).len();
                    repeats |= taken > 1;
                    if taken > 1 {
                        (0..taken).for_each(|number| take(self.reading(*slot, number)));
                    } else {
                        take(self.slot(*slot));
                    }
                }
            }
        }
        match collector {
            Collector::Count => Ceiling::NOTHING,
            // Which of them is picked, and so whether its uncertainty is known, is for the exact way.
            Collector::Smallest | Collector::Largest | Collector::Spread if self.guarded && known && unknown => {
                Ceiling::OPEN
            }
            // Repeats bring their own scatter.
            Collector::Sum | Collector::Mean if repeats => Ceiling::OPEN,
            Collector::Smallest | Collector::Largest | Collector::Mean => largest,
            Collector::Spread => largest.times(2.0),
            Collector::Sum => sum,
        }
    }
}

/// A number no larger than what lies between two values, at least nought.
fn apart(one: &Value, other: &Value) -> f64 {
    match (one, other) {
        (Value::Exact { number: one, pi: 0 }, Value::Exact { number: other, pi: 0 }) => {
            let (one, other) = (one.to_f64(), other.to_f64());
            ((one - other).abs() - (one.abs() + other.abs()) * (SAFE - 1.0)).max(0.0)
        }
        _ => below(&one.subtract(other)),
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
fn below(value: &Value) -> f64 {
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

#[cfg(test)]
mod tests;
