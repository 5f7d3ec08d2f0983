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

/// The squares of the guards at the two ends of a range; none where there the value decides.
#[derive(Clone, Debug, Default)]
pub(in crate::judge) struct Guards {
    pub(in crate::judge) low: Option<Value>,
    pub(in crate::judge) high: Option<Value>,
    /// Whether no derivative says how far the value may be off: then no guard is wide enough.
    pub(in crate::judge) boundless: bool,
}

/// Where a value lies. Nearness is compared in squares, so that no root is taken and a rational value is decided exactly.
pub(in crate::judge) fn decide(band: &Band, value: &Value, guards: &Guards) -> Decided {
    if guards.boundless {
        return Decided::Guarded(if band.low.is_some() { Side::Below } else { Side::Above });
    }
    let wide = |guard: &Option<Value>| {
        guard.as_ref().is_some_and(|guard| guard.compare(&Value::ZERO) != Some(Ordering::Equal))
    };
    if !wide(&guards.low) && !wide(&guards.high) {
        return Decided::Plainly(band.locate(value));
    }
    let low = band.low.as_ref().map(|end| at_end(&value.subtract(&end.value), end, guards.low.as_ref()));
    let high = band.high.as_ref().map(|end| at_end(&end.value.subtract(value), end, guards.high.as_ref()));
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
fn at_end(inward: &Value, end: &End, guard_squared: Option<&Value>) -> Place {
    let side = inward.compare(&Value::ZERO);
    let wide = |guard: &&Value| guard.compare(&Value::ZERO) != Some(Ordering::Equal);
    let Some(guard_squared) = guard_squared.filter(wide) else {
        return match side {
            Some(Ordering::Greater) => Place::Inside,
            Some(Ordering::Equal) if end.closed => Place::Inside,
            Some(_) => Place::Outside,
            None => Place::Unknown,
        };
    };
    match (side, inward.squared().compare(guard_squared)) {
        // By exactly the guard is inside, and by exactly the guard is not yet outside.
        (Some(Ordering::Greater), Some(Ordering::Greater | Ordering::Equal)) => Place::Inside,
        (Some(Ordering::Less), Some(Ordering::Greater)) => Place::Outside,
        (_, Some(Ordering::Less | Ordering::Equal)) => Place::Near,
        _ => Place::Unknown,
    }
}
