//! The chart of individual values and their moving ranges: centre, limits, and what lies beyond; refuses fewer than two values.
//!
//! Limits as in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, with the constants for two values not rounded:
//! d2 = 2/√π and D4 = 1 + 3·√(π/2 − 1), printed there as 1.128 and 3.267. They follow from the range of two normal
//! values, whose mean is 2/√π and whose variance is 2 − 4/π (W. A. Shewhart's constants as in ASTM E2587, Table 1, from
//! memory).

mod runs;
mod subgroups;

pub use runs::{Run, Test, runs};
pub use subgroups::{Constants, Subgroups, constants, subgroups};

use super::sample::mean;
use crate::quantity::{Number, Value, function};
use std::cmp::Ordering;

/// Centre and limits.
#[derive(Clone, PartialEq, Debug)]
pub struct Chart {
    /// The mean of the values.
    pub centre: Value,
    /// The lower limit, three deviations below the centre.
    pub low: Value,
    /// The upper limit, three deviations above the centre.
    pub high: Value,
    /// One deviation from value to value, estimated by the mean moving range over d2.
    pub deviation: Value,
    /// How far each value but the first lies from the one before.
    pub ranges: Vec<Value>,
    /// Their mean.
    pub mean_range: Value,
    /// The upper limit of a moving range; the lower one is nothing.
    pub range_high: Value,
}

/// d2 for two values: the mean range of two normal values of deviation one, 2/√π.
#[must_use]
pub fn d2() -> Value {
    let root = function::sqrt(&Value::pi()).unwrap_or_default();
    Value::from(Number::from_integer(2)).divide(&root).unwrap_or_default()
}

/// D4 for two values: the upper limit of a range over its mean, 1 + 3·√(π/2 − 1).
#[must_use]
pub fn d4() -> Value {
    let half = Value::pi().multiply(&Value::from(Number::ratio(1, 2).unwrap_or_default()));
    let root = function::sqrt(&half.subtract(&Value::ONE)).unwrap_or_default();
    Value::ONE.add(&root.multiply(&Value::from(Number::from_integer(3))))
}

/// The chart of values in the order they came; `None` of fewer than two.
#[must_use]
pub fn chart(values: &[Value]) -> Option<Chart> {
    let ranges: Vec<Value> =
        values.iter().zip(values.iter().skip(1)).map(|(one, next)| next.subtract(one).absolute()).collect();
    let mean_range = mean(&ranges)?;
    let centre = mean(values)?;
    let deviation = mean_range.divide(&d2())?;
    let three = deviation.multiply(&Value::from(Number::from_integer(3)));
    let range_high = mean_range.multiply(&d4());
    Some(Chart {
        low: centre.subtract(&three),
        high: centre.add(&three),
        centre,
        deviation,
        ranges,
        mean_range,
        range_high,
    })
}

impl Chart {
    /// Whether the values differ at all, as far as is known of them.
    #[must_use]
    pub fn scatters(&self) -> bool {
        self.mean_range.compare(&Value::ZERO) == Some(Ordering::Greater)
    }

    /// On which side of the limits a value lies: `Equal` between them, the limits counted in.
    #[must_use]
    pub fn side(&self, value: &Value) -> Ordering {
        if value.compare(&self.high) == Some(Ordering::Greater) {
            Ordering::Greater
        } else if value.compare(&self.low) == Some(Ordering::Less) {
            Ordering::Less
        } else {
            Ordering::Equal
        }
    }

    /// The values, by index, whose step from the value before is beyond its limit.
    #[must_use]
    pub fn jumps(&self) -> Vec<usize> {
        let beyond = |range: &Value| range.compare(&self.range_high) == Some(Ordering::Greater);
        self.ranges.iter().enumerate().filter(|(_, range)| beyond(range)).map(|(index, _)| index + 1).collect()
    }
}
