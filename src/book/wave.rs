//! Sine, cosine and tangent over a range of angles, piece by piece between the angles where they turn. Refuses to know what
//! the angles are of.

use super::interval::furthest;
use super::{Function, evaluate};
use crate::quantity::{Band, End, Number, Value};
use std::cmp::Ordering;

/// What a wave gives over a range, whether it is exactly that, and whether it only rises or only falls there.
pub(crate) struct Wave {
    pub band: Band,
    pub exact: bool,
    pub rises: Option<bool>,
}

/// Whether an angle of several, a period from each other, lies in a range.
#[derive(Clone, Copy, PartialEq)]
enum Holds {
    No,
    /// At an end that counts.
    AtEnd,
    Inside,
    /// It cannot be told from an end.
    Perhaps,
}

fn quarter_turns(count: i64) -> Value {
    Value::pi().multiply(&Value::from(Number::ratio(count, 2).unwrap_or_default()))
}

/// Whether `first`, or an angle a whole number of `period` (both in quarter turns) from it, lies in a range.
fn holds(band: &Band, first: i64, period: i64) -> Holds {
    let (Some(low), Some(high)) = (&band.low, &band.high) else { return Holds::Inside };
    let turns = low.value.subtract(&quarter_turns(first)).divide(&quarter_turns(period));
    let Some(Ok(whole)) = turns.map(|turns| turns.midpoint().floor_number().to_decimal(0).parse::<i32>()) else {
        return Holds::Perhaps;
    };
    let mut found = Holds::No;
    for turn in -1..=2 {
        let at = quarter_turns(first + period * (i64::from(whole) + turn));
        let here = match (at.compare(&low.value), at.compare(&high.value)) {
            (Some(Ordering::Less), _) | (_, Some(Ordering::Greater)) => Holds::No,
            (Some(Ordering::Greater), Some(Ordering::Less)) => Holds::Inside,
            (Some(Ordering::Equal), Some(_)) if low.closed => Holds::AtEnd,
            (Some(_), Some(Ordering::Equal)) if high.closed => Holds::AtEnd,
            (Some(_), Some(_)) => Holds::No,
            _ => Holds::Perhaps,
        };
        found = match (found, here) {
            (Holds::Inside, _) | (_, Holds::Inside) => Holds::Inside,
            (Holds::Perhaps, _) | (_, Holds::Perhaps) => Holds::Perhaps,
            (Holds::AtEnd, _) | (_, Holds::AtEnd) => Holds::AtEnd,
            _ => Holds::No,
        };
    }
    found
}

/// A sine, cosine or tangent over a range of angles.
pub(crate) fn wave(function: Function, band: &Band) -> Wave {
    let at = |end: &Option<End>| {
        let end = end.as_ref()?;
        Some(End { value: evaluate::call(function, std::slice::from_ref(&end.value))?, closed: end.closed })
    };
    if function == Function::Tangent {
        let pole = holds(band, 1, 2) != Holds::No;
        let (low, high) = (at(&band.low), at(&band.high));
        let whole = low.is_some() && high.is_some();
        return if pole || !whole {
            Wave { band: Band::default(), exact: false, rises: None }
        } else {
            Wave { band: Band { low, high }, exact: true, rises: Some(true) }
        };
    }
    // A cosine is a sine a quarter turn before.
    let crest = i64::from(function == Function::Sine);
    let (top, bottom) = (holds(band, crest, 4), holds(band, crest + 2, 4));
    let ends = [at(&band.low), at(&band.high)];
    let one = |value: Value| Some(End { value, closed: true });
    let reached = |holds: Holds, value: Value, outward: Ordering| match holds {
        Holds::No => furthest(&ends, outward),
        Holds::AtEnd | Holds::Inside | Holds::Perhaps => one(value),
    };
    let low = reached(bottom, Value::ONE.negate(), Ordering::Less);
    let high = reached(top, Value::ONE, Ordering::Greater);
    let turns = |holds: Holds| matches!(holds, Holds::Inside | Holds::Perhaps);
    let rises = match &ends {
        [Some(first), Some(last)] if !turns(top) && !turns(bottom) => match first.value.compare(&last.value) {
            Some(Ordering::Less) => Some(true),
            Some(Ordering::Greater) => Some(false),
            _ => None,
        },
        _ => None,
    };
    let exact = top != Holds::Perhaps && bottom != Holds::Perhaps && low.is_some() && high.is_some();
    Wave { band: Band { low, high }, exact, rises }
}
