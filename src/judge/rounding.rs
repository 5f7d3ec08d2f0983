//! What is compared with a row's ranges: the value as it is, or rounded where the row says so. Refuses to compare.

use crate::book::Datum;
use crate::plan::Check;
use std::borrow::Cow;

/// The value a check compares. By the absolute method nothing is rounded; a row with `rounded to` takes the rounding method
/// (ASTM E29: both are named there, and which holds is the specification's to say).
pub(super) fn rounded<'d>(check: &Check, datum: &'d Datum) -> Cow<'d, Datum> {
    match (&check.row.rounded, datum) {
        (Some(rounding), Datum::Quantity(value)) => Cow::Owned(Datum::Quantity(rounding.round(value))),
        _ => Cow::Borrowed(datum),
    }
}
