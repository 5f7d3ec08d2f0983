//! Mean, variance, deviation and autocorrelation of a sample, exact; refuses to estimate from too few values.

use crate::quantity::{Number, Value, function};

/// A count as a value.
pub(super) fn count(values: usize) -> Value {
    Value::from(Number::from_integer(i64::try_from(values).unwrap_or(i64::MAX)))
}

/// The sum; nothing for no values.
fn sum<'a>(values: impl IntoIterator<Item = &'a Value>) -> Value {
    values.into_iter().fold(Value::ZERO, |sum, value| sum.add(value))
}

/// The arithmetic mean; `None` of no values.
#[must_use]
pub fn mean(values: &[Value]) -> Option<Value> {
    sum(values).divide(&count(values.len()))
}

/// How far each value lies from the mean.
pub(super) fn departures(values: &[Value]) -> Option<Vec<Value>> {
    let mean = mean(values)?;
    Some(values.iter().map(|value| value.subtract(&mean)).collect())
}

fn squares(departures: &[Value]) -> Value {
    departures.iter().fold(Value::ZERO, |sum, departure| sum.add(&departure.multiply(departure)))
}

/// The variance of a sample, n − 1 below the line (JCGM 100:2008, 4.2.2), first the mean and then the departures from
/// it; `None` of fewer than two values. Its unit is the square of theirs.
#[must_use]
pub fn variance(values: &[Value]) -> Option<Value> {
    if values.len() < 2 {
        return None;
    }
    squares(&departures(values)?).divide(&count(values.len() - 1))
}

/// The standard deviation of a sample, the root of [`variance`]: exact where the root is, else an enclosure.
#[must_use]
pub fn deviation(values: &[Value]) -> Option<Value> {
    function::sqrt(&variance(values)?)
}

/// The standard uncertainty of the mean of repeated readings, s / √n (JCGM 100:2008, 4.2.3).
#[must_use]
pub fn deviation_of_mean(values: &[Value]) -> Option<Value> {
    function::sqrt(&variance(values)?.divide(&count(values.len()))?)
}

/// How much each value resembles the one before it: the lag 1 autocorrelation coefficient as in the statistical reference
/// datasets of NIST (StRD, univariate summary statistics). `None` of fewer than two values, or where all are the same.
#[must_use]
pub fn lag1_autocorrelation(values: &[Value]) -> Option<Value> {
    let departures = departures(values)?;
    let pairs = departures.iter().zip(departures.iter().skip(1));
    let together = pairs.fold(Value::ZERO, |sum, (one, next)| sum.add(&one.multiply(next)));
    if values.len() < 2 {
        return None;
    }
    together.divide(&squares(&departures))
}
