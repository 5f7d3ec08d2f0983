//! Welch's test: whether the means of two groups differ by more than their spreads explain; refuses equal spreads as a premise.
//!
//! B. L. Welch, 'The generalization of "Student's" problem when several different population variances are involved',
//! *Biometrika* 34 (1947); NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1.

use super::coverage::effective_freedom;
use super::distribution::student_two_sided_p;
use super::sample::{count, mean, variance};
use crate::quantity::{Number, Value, function};

/// How the means of two groups differ.
#[derive(Clone, PartialEq, Debug)]
pub struct Difference {
    /// The mean of the second group less that of the first.
    pub difference: Value,
    /// The standard error of the difference.
    pub error: Value,
    /// The difference over its standard error.
    pub t: Value,
    /// Degrees of freedom, exact.
    pub freedom: Number,
    /// How often groups from one and the same source would differ at least as much, one way or the other.
    pub p: f64,
}

/// The second group against the first; `None` with fewer than two values in either, or where no value differs from the mean
/// of its group, which leaves nothing to weigh the difference by.
#[must_use]
pub fn compare(first: &[Value], second: &[Value]) -> Option<Difference> {
    let part = |values: &[Value]| {
        let part = variance(values)?.divide(&count(values.len()))?;
        Some((part, Some(Number::from_integer(i64::try_from(values.len() - 1).ok()?))))
    };
    let parts = [part(first)?, part(second)?];
    let freedom = effective_freedom(&parts)?;
    let [(one, _), (other, _)] = parts;
    let error = function::sqrt(&one.add(&other))?;
    let difference = mean(second)?.subtract(&mean(first)?);
    let t = difference.divide(&error)?;
    let p = student_two_sided_p(t.midpoint().to_f64(), freedom.to_f64())?;
    Some(Difference { difference, error, t, freedom, p })
}
