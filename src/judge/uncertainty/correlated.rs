//! What calibrations that are correlated add to a variance, and how many degrees of freedom they have together
//! (JCGM 100:2008, 5.2.2). Exact, as far as the sensitivities are.

use super::{Form, Influence, Weighing};
use crate::bind::{Certified, Correlations};
use crate::quantity::{Enclosure, Number, Value};
use std::cmp::Ordering;

/// Two calibrations in a value that are correlated.
#[derive(Clone, PartialEq, Debug)]
pub struct Together {
    /// The gauges, by their numbers in the record's gauges.
    pub gauges: (u16, u16),
    /// Their correlation coefficient.
    pub coefficient: Number,
    /// Twice their covariance times both sensitivities: what they add to the variance, or take from it.
    pub adds: Value,
    /// Its share of the variance; none where there is no variance at all.
    pub share: Option<Value>,
}

impl Weighing<'_> {
    pub(super) fn correlations(&self) -> &Correlations {
        self.memory.correlations(self.bench.readings)
    }

    /// Every two correlated calibrations of a form, with what they add to its variance.
    pub(super) fn together(&self, form: &Form) -> Vec<Together> {
        let correlations = self.correlations();
        if correlations.pairs.is_empty() {
            return Vec::new();
        }
        let part = |gauge: u16| {
            let at =
                form.terms.binary_search_by_key(&Influence::Calibration(gauge), |(influence, _)| *influence).ok()?;
            let certified = self.bench.readings.gauges.get(usize::from(gauge))?.uncertainty.as_ref();
            Some(form.terms.get(at)?.1.multiply(&certified.map_or(Value::ZERO, Certified::standard)))
        };
        let two = Value::from(Number::from_integer(2));
        let pair = |(one, other, coefficient): &(usize, usize, Number)| {
            let gauges = (u16::try_from(*one).ok()?, u16::try_from(*other).ok()?);
            let product = part(gauges.0)?.multiply(&part(gauges.1)?);
            // Where the coefficients cannot be true, the most they could come to counts.
            let product = if correlations.possible { product } else { product.absolute() };
            let adds = product.multiply(&two).multiply(&Value::from(coefficient.clone()));
            Some(Together { gauges, coefficient: coefficient.clone(), adds, share: None })
        };
        correlations.pairs.iter().filter_map(pair).collect()
    }

    /// A variance with what is correlated in it. It is never below zero; an enclosure that reaches there ends at zero.
    pub(super) fn with_correlated(&self, form: &Form, variance: Value) -> Value {
        let together = self.together(form);
        if together.is_empty() {
            return variance;
        }
        let sum = together.iter().fold(variance, |sum, pair| sum.add(&pair.adds));
        if matches!(sum.compare(&Value::ZERO), Some(Ordering::Greater | Ordering::Equal)) {
            return sum;
        }
        let Enclosure { high, .. } = sum.enclosure();
        if high.signum() <= 0 { Value::ZERO } else { Value::from(Enclosure { low: Number::ZERO, high }) }
    }

    /// The shares of a form's variance, each with its degrees of freedom, for the formula of Welch and Satterthwaite, which is for
    /// independent ones: what is correlated counts as one, with the fewest degrees of freedom in it.
    pub(super) fn independent_shares(&self, form: &Form) -> Vec<(Value, Option<Number>)> {
        let together = self.together(form);
        let is_together = |influence: Influence| {
            let is = |gauge: u16| influence == Influence::Calibration(gauge);
            together.iter().any(|pair| is(pair.gauges.0) || is(pair.gauges.1))
        };
        let share = |(influence, by): &(Influence, Value)| {
            (by.squared().multiply(&self.variance_of(*influence)), self.freedom_of(*influence))
        };
        let (joint, alone): (Vec<_>, Vec<_>) = form.terms.iter().partition(|(influence, _)| is_together(*influence));
        let mut shares: Vec<(Value, Option<Number>)> = alone.into_iter().map(share).collect();
        if !joint.is_empty() {
            let parts: Vec<(Value, Option<Number>)> = joint.iter().map(|term| share(term)).collect();
            let own = parts.iter().fold(Value::ZERO, |sum, (part, _)| sum.add(part));
            let joint = Form { terms: joint.into_iter().cloned().collect(), ..Form::default() };
            shares
                .push((self.with_correlated(&joint, own), parts.into_iter().filter_map(|(_, freedom)| freedom).min()));
        }
        shares
    }
}
