//! Whether a value is what a telltale says, and what values a telltale leaves. Refuses to know what was seen.

use crate::book::{Book, Datum, Generation, Range};
use crate::plan::{CheckRange, known_range};
use crate::quantity::Band;

/// Whether a value is inside a telltale's range; none where that is not decided.
pub(super) fn holds(book: &Book, generation: &Generation, range: &Range, datum: &Datum) -> Option<bool> {
    known_range(book, generation, range)?.holds(datum)
}

/// A telltale's range with its ends worked out; none where one depends on a record.
pub(super) fn band(book: &Book, generation: &Generation, range: &Range) -> Option<Band> {
    match known_range(book, generation, range)? {
        CheckRange::Known(band) => Some(band),
        _ => None,
    }
}
