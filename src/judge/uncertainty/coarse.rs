//! Whether what a row is judged by is measured finely enough for its range.

use super::Uncertainty;
use crate::plan::{Check, CheckRange};
use crate::quantity::{Band, Number, Value};
use std::cmp::Ordering;

/// A range too narrow for what is judged by it.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::judge) struct Coarse {
    /// Which ruling.
    pub(in crate::judge) ruling: usize,
    /// Whether the limit is meant, the narrower of the row's ranges with two ends.
    pub(in crate::judge) limit: bool,
    /// From end to end.
    pub(in crate::judge) width: Value,
    /// The expanded uncertainty, squared.
    pub(in crate::judge) expanded_squared: Value,
}

impl Coarse {
    /// How many times the uncertainty to both sides the range is wide; for print.
    pub(in crate::judge) fn ratio(&self) -> f64 {
        self.width.midpoint().to_f64() / (2.0 * self.expanded_squared.midpoint().to_f64().sqrt())
    }

    /// Whether another is coarser.
    pub(in crate::judge) fn is_finer_than(&self, other: &Coarse) -> bool {
        // w₁²·U₂² against w₂²·U₁²
        let own = self.width.squared().multiply(&other.expanded_squared);
        let others = other.width.squared().multiply(&self.expanded_squared);
        own.compare(&others) == Some(Ordering::Greater)
    }
}

/// The narrowest range with two ends of a check, if the value's uncertainty is too large beside it: if the width is less than
/// `ratio` times 2 U, the whole span of the uncertainty.
pub(in crate::judge) fn coarse(
    check: &Check,
    ruling: usize,
    uncertainty: &Uncertainty,
    ratio: &Number,
) -> Option<Coarse> {
    let width = |range: &Option<CheckRange>| match range {
        // A range of one value is no tolerance: `exactly 11` would be too narrow for every gauge.
        Some(CheckRange::Known(band)) => {
            Band::width(band).filter(|width| width.compare(&Value::ZERO) == Some(Ordering::Greater))
        }
        _ => None,
    };
    let (standard, limit) = (width(&check.standard), width(&check.limit));
    let (is_limit, width) = match (standard, limit) {
        (Some(standard), Some(limit)) if limit.compare(&standard) == Some(Ordering::Less) => (true, limit),
        (Some(standard), _) => (false, standard),
        (None, Some(limit)) => (true, limit),
        (None, None) => return None,
    };
    let twice = Value::from(ratio * &Number::from_integer(2));
    let expanded_squared = uncertainty.expanded_squared();
    let needed = expanded_squared.multiply(&twice).multiply(&twice);
    let too_narrow = width.squared().compare(&needed) == Some(Ordering::Less);
    too_narrow.then_some(Coarse { ruling, limit: is_limit, width, expanded_squared })
}
