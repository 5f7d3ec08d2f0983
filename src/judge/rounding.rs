//! What is compared with a row's ranges: the value as it is, or rounded where the row says so. Refuses to compare.

use crate::book::Datum;
use crate::plan::Check;
use crate::quantity::Band;
use std::borrow::Cow;

/// The value a check compares. By the absolute method nothing is rounded; a row with `rounded to` takes the rounding method
/// (ASTM E29: both are named there, and which holds is the specification's to say).
pub(super) fn rounded<'d>(check: &Check, datum: &'d Datum) -> Cow<'d, Datum> {
    match (&check.row.rounded, datum) {
        (Some(rounding), Datum::Quantity(value)) => Cow::Owned(Datum::Quantity(rounding.round(value))),
        _ => Cow::Borrowed(datum),
    }
}

/// The band of values that a check lets through once they are rounded as its row says; the band itself where it does not say.
pub(super) fn accepted<'b>(check: &Check, band: &'b Band) -> Cow<'b, Band> {
    match check.row.rounded.as_ref().and_then(|rounding| rounding.accepts(band)) {
        Some(accepted) => Cow::Owned(accepted),
        None => Cow::Borrowed(band),
    }
}
