//! Whether a value is what a telltale says, and what values a telltale leaves. Refuses to know what was seen.

use crate::book::{Book, Bound, Datum, Generation, Range, RangeKind, evaluate};
use crate::quantity::{Band, End, Side};

/// Whether a value is inside a telltale's range; none where that is not decided.
pub(super) fn holds(book: &Book, generation: &Generation, range: &Range, datum: &Datum) -> Option<bool> {
    match (&range.kind, datum) {
        (RangeKind::Names(names), Datum::Name(name)) => Some(names.contains(name)),
        (RangeKind::YesNo(wanted), Datum::YesNo(found)) => Some(wanted == found),
        (RangeKind::Band { .. }, Datum::Quantity(value)) => match band(book, generation, range)?.locate(value) {
            Side::Inside => Some(true),
            Side::Below | Side::Above => Some(false),
            Side::Undecided => None,
        },
        _ => None,
    }
}

/// A telltale's range with its ends worked out; none where one depends on a record.
pub(super) fn band(book: &Book, generation: &Generation, range: &Range) -> Option<Band> {
    let RangeKind::Band { low, high } = &range.kind else { return None };
    let end = |bound: &Option<Bound>| match bound {
        None => Some(None),
        Some(bound) => {
            let value = evaluate::evaluate(book, Some(generation), &bound.value).ok()?;
            Some(Some(End { value, closed: bound.closed }))
        }
    };
    Some(Band { low: end(low)?, high: end(high)? })
}
