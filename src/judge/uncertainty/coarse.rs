//! Whether what a row is judged by is measured finely enough for its range.

use crate::plan::Span;
use crate::quantity::{Number, Value, function};
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
    /// How many times the whole span of the uncertainty, twice what it reaches to one side, the range is wide; in tenths,
    /// rounded down, so that it never prints as the ratio it does not reach.
    pub(in crate::judge) fn ratio(&self) -> Option<Number> {
        let span = function::sqrt(&self.expanded_squared)?.multiply(&Value::from(Number::from_integer(2)));
        let ten = Number::from_integer(10);
        (&self.width.divide(&span)?.enclosure().low * &ten).floor_number().checked_div(&ten)
    }

    /// Whether another is coarser.
    pub(in crate::judge) fn is_finer_than(&self, other: &Coarse) -> bool {
        // w₁²·U₂² against w₂²·U₁²
        let own = self.width.squared().multiply(&other.expanded_squared);
        let others = other.width.squared().multiply(&self.expanded_squared);
        own.compare(&others) == Some(Ordering::Greater)
    }
}

/// The narrower range with two ends of a check, if the expanded uncertainty of what it judges is larger than it allows.
pub(in crate::judge) fn coarse(span: &Span, ruling: usize, expanded_squared: &Value) -> Option<Coarse> {
    let too_large = expanded_squared.compare(&span.finest_squared) == Some(Ordering::Greater);
    too_large.then(|| Coarse {
        ruling,
        limit: span.limit,
        width: span.width.clone(),
        expanded_squared: expanded_squared.clone(),
    })
}
