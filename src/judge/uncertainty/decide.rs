//! Where a value lies to a range when its uncertainty is counted: inside by the guard, outside by more than it, or between.

use crate::quantity::{Band, End, Side, Value};
use std::cmp::Ordering;

/// Where a value lies to a range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::judge) enum Decided {
    /// As if the uncertainty were nothing.
    Plainly(Side),
    /// Nearer to that end than the guard.
    Guarded(Side),
}

/// Where a value lies, with the square of the guard. Nearness is compared in squares, so that no root is taken and a
/// rational value is decided exactly.
pub(in crate::judge) fn decide(band: &Band, value: &Value, guard_squared: Option<&Value>) -> Decided {
    let Some(guard_squared) = guard_squared.filter(|guard| guard.compare(&Value::ZERO) == Some(Ordering::Greater))
    else {
        return Decided::Plainly(band.locate(value));
    };
    let low = band.low.as_ref().map(|end| at_end(&value.subtract(&end.value), end, guard_squared));
    let high = band.high.as_ref().map(|end| at_end(&end.value.subtract(value), end, guard_squared));
    match (low, high) {
        (Some(Place::Outside), _) => Decided::Plainly(Side::Below),
        (_, Some(Place::Outside)) => Decided::Plainly(Side::Above),
        (Some(Place::Unknown), _) | (_, Some(Place::Unknown)) => Decided::Plainly(Side::Undecided),
        (Some(Place::Near), _) => Decided::Guarded(Side::Below),
        (_, Some(Place::Near)) => Decided::Guarded(Side::Above),
        _ => Decided::Plainly(Side::Inside),
    }
}

/// Where a value lies to one end.
enum Place {
    Inside,
    Near,
    Outside,
    Unknown,
}

/// `inward` is how far the value lies inside the end, below nought where it lies outside. With a guard, whether the end
/// itself belongs to the range makes no difference: a value at it is near it.
fn at_end(inward: &Value, _end: &End, guard_squared: &Value) -> Place {
    let square = inward.squared();
    let beyond = square.compare(guard_squared);
    match (inward.compare(&Value::ZERO), beyond) {
        // By exactly the guard is inside, and by exactly the guard is not yet outside.
        (Some(Ordering::Greater), Some(Ordering::Greater | Ordering::Equal)) => Place::Inside,
        (Some(Ordering::Less), Some(Ordering::Greater)) => Place::Outside,
        (_, Some(Ordering::Less | Ordering::Equal)) => Place::Near,
        _ => Place::Unknown,
    }
}
