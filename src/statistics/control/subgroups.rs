//! The chart of means and ranges of small groups of values: centre and limits of both; refuses groups of another size than
//! 2 to 10.
//!
//! Limits as in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.1, with the constants of ISO 7870-2:2013, Table 2
//! (as printed, from memory; each is integrated numerically from the distribution of the range in a test, which is why D4
//! of three is 2.575: many tables print 2.574).

use crate::quantity::{Number, Value};
use crate::statistics::sample::mean;
use std::cmp::Ordering;

/// The constants for groups of one size, in thousandths.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Constants {
    /// How many values a group has.
    pub size: usize,
    /// The mean range of so many normal values of deviation one.
    pub d2: i64,
    /// The limits of means lie so many mean ranges from their centre.
    pub a2: i64,
    /// The lower limit of a range over the mean range.
    pub low: i64,
    /// The upper limit of a range over the mean range.
    pub high: i64,
}

/// ISO 7870-2:2013, Table 2: d2, A2, D3, D4 for groups of 2 to 10.
const TABLE: [Constants; 9] = [
    Constants { size: 2, d2: 1_128, a2: 1_880, low: 0, high: 3_267 },
    Constants { size: 3, d2: 1_693, a2: 1_023, low: 0, high: 2_575 },
    Constants { size: 4, d2: 2_059, a2: 729, low: 0, high: 2_282 },
    Constants { size: 5, d2: 2_326, a2: 577, low: 0, high: 2_114 },
    Constants { size: 6, d2: 2_534, a2: 483, low: 0, high: 2_004 },
    Constants { size: 7, d2: 2_704, a2: 419, low: 76, high: 1_924 },
    Constants { size: 8, d2: 2_847, a2: 373, low: 136, high: 1_864 },
    Constants { size: 9, d2: 2_970, a2: 337, low: 184, high: 1_816 },
    Constants { size: 10, d2: 3_078, a2: 308, low: 223, high: 1_777 },
];

/// The constants for groups of a size; none outside 2 to 10.
#[must_use]
pub fn constants(size: usize) -> Option<Constants> {
    TABLE.iter().find(|one| one.size == size).copied()
}

/// Centre and limits of means and ranges.
#[derive(Clone, PartialEq, Debug)]
pub struct Subgroups {
    /// The constants for groups of this size.
    pub constants: Constants,
    /// The mean of each group.
    pub means: Vec<Value>,
    /// From the smallest to the largest of each group.
    pub ranges: Vec<Value>,
    /// The mean of the means.
    pub centre: Value,
    /// The mean of the ranges.
    pub mean_range: Value,
    /// The lower limit of a mean.
    pub low: Value,
    /// The upper limit of a mean.
    pub high: Value,
    /// The lower limit of a range.
    pub range_low: Value,
    /// The upper limit of a range.
    pub range_high: Value,
    /// The deviation within a group, estimated by the mean range over d2.
    pub deviation: Value,
}

/// One thousandth times.
fn thousandths(number: i64) -> Value {
    Value::from(Number::ratio(number, 1_000).unwrap_or_default())
}

/// The chart of groups in the order they came; `None` of fewer than two, and unless all have one size of 2 to 10.
#[must_use]
pub fn subgroups(groups: &[Vec<Value>]) -> Option<Subgroups> {
    let constants = constants(groups.first()?.len())?;
    if groups.len() < 2 || groups.iter().any(|group| group.len() != constants.size) {
        return None;
    }
    let means: Vec<Value> = groups.iter().map(|group| mean(group)).collect::<Option<_>>()?;
    let range = |group: &Vec<Value>| Some(Value::largest(group)?.subtract(&Value::smallest(group)?));
    let ranges: Vec<Value> = groups.iter().map(range).collect::<Option<_>>()?;
    let (centre, mean_range) = (mean(&means)?, mean(&ranges)?);
    let reach = mean_range.multiply(&thousandths(constants.a2));
    Some(Subgroups {
        low: centre.subtract(&reach),
        high: centre.add(&reach),
        range_low: mean_range.multiply(&thousandths(constants.low)),
        range_high: mean_range.multiply(&thousandths(constants.high)),
        deviation: mean_range.divide(&thousandths(constants.d2))?,
        constants,
        means,
        ranges,
        centre,
        mean_range,
    })
}

impl Subgroups {
    /// On which side of its limits the mean of a group lies: `Equal` between them, the limits counted in.
    #[must_use]
    pub fn side_of_mean(&self, group: usize) -> Ordering {
        side(self.means.get(group), &self.low, &self.high)
    }

    /// As [`Subgroups::side_of_mean`], its range.
    #[must_use]
    pub fn side_of_range(&self, group: usize) -> Ordering {
        side(self.ranges.get(group), &self.range_low, &self.range_high)
    }
}

fn side(value: Option<&Value>, low: &Value, high: &Value) -> Ordering {
    match value {
        Some(value) if value.compare(high) == Some(Ordering::Greater) => Ordering::Greater,
        Some(value) if value.compare(low) == Some(Ordering::Less) => Ordering::Less,
        _ => Ordering::Equal,
    }
}
