//! Roots, exponentials, logarithms and angles: exact where the answer is plainly exact, else an enclosure of more than 40 digits.

use super::enclosure::{Enclosure, WORKING_BITS};
use super::exponential::{exponential, logarithm};
use super::fixed::{self, Turn};
use super::number::{Number, bounds::Toward};
use super::value::Value;

/// Numbers below 2^-100 are enclosed by the first terms of their series, which is tighter than any fixed point.
pub(super) const TINY: i64 = -100;

/// The square root; `None` below zero, and where it may be below zero.
#[must_use]
pub fn sqrt(value: &Value) -> Option<Value> {
    if let Value::Exact { number, pi } = value
        && pi % 2 == 0
        && let Some(root) = number.exact_root()
    {
        return Some(Value::exact(root, pi / 2));
    }
    let Enclosure { low, high } = value.enclosure();
    if low.signum() < 0 {
        return None;
    }
    let low = low.root_bound(WORKING_BITS, Toward::Below);
    let high = high.root_bound(WORKING_BITS, Toward::Above);
    Some(outward(&low, &high))
}

/// e to the power of a plain number. Of no fraction but nought is it a fraction (Lindemann, 1882).
#[must_use]
pub fn exp(value: &Value) -> Value {
    if value.is_exact_rational().is_some_and(Number::is_zero) {
        return Value::ONE;
    }
    ends(value, |number| Some(if number.is_zero() { Enclosure::point(Number::ONE) } else { exponential(number) }))
        .unwrap_or_else(Value::unknown)
}

/// The natural logarithm of a plain number; `None` where it is not, or may not be, above nought.
#[must_use]
pub fn ln(value: &Value) -> Option<Value> {
    if value.is_exact_rational() == Some(&Number::ONE) {
        return Some(Value::ZERO);
    }
    ends(value, |number| {
        if number.signum() <= 0 {
            return None;
        }
        Some(if *number == Number::ONE { Enclosure::point(Number::ZERO) } else { logarithm(number) })
    })
}

/// The sine of an angle in radians.
#[must_use]
pub fn sin(angle: &Value) -> Value {
    sine_from(angle, 0)
}

/// The cosine of an angle in radians.
#[must_use]
pub fn cos(angle: &Value) -> Value {
    sine_from(angle, 1)
}

/// The tangent of an angle in radians; `None` at a right angle, and where it may be one.
#[must_use]
pub fn tan(angle: &Value) -> Option<Value> {
    if let Value::Exact { number, pi: 1 } = angle {
        let turned = number - number.floor_number();
        let known = [((1, 4), 1), ((3, 4), -1)];
        if let Some(tangent) = listed(&turned, &known) {
            return Some(tangent);
        }
    }
    sin(angle).divide(&cos(angle))
}

/// The angle in radians, from −π/2 to π/2, whose sine this is; `None` where the value is, or may be, past one.
#[must_use]
pub fn asin(sine: &Value) -> Option<Value> {
    if let Some(number) = sine.is_exact_rational()
        && let Some(angle) = listed_angle(&number.abs(), &[((0, 1), (0, 1)), ((1, 2), (1, 6)), ((1, 1), (1, 2))])
    {
        return Some(if number.signum() < 0 { angle.negate() } else { angle });
    }
    // Rises everywhere: each end on its own.
    ends(sine, |number| {
        if number.abs() > Number::ONE {
            return None;
        }
        if number.exponent() < TINY {
            return Some(near(number, 1));
        }
        let cosine_squared = Number::ONE - number * number;
        if cosine_squared.is_zero() {
            return asin(&Value::from(number.clone())).map(|angle| angle.enclosure());
        }
        let low = cosine_squared.root_bound(WORKING_BITS, Toward::Below);
        let high = cosine_squared.root_bound(WORKING_BITS, Toward::Above);
        let (one, other) = (number.checked_div(&high)?, number.checked_div(&low)?);
        let (small, large) = if one < other { (one, other) } else { (other, one) };
        Some(Enclosure { low: fixed::arctangent(&small).low, high: fixed::arctangent(&large).high })
    })
}

/// The angle in radians, from 0 to π, whose cosine this is; `None` where the value is, or may be, past one.
#[must_use]
pub fn acos(cosine: &Value) -> Option<Value> {
    if let Some(number) = cosine.is_exact_rational() {
        let known = [((1, 1), (0, 1)), ((1, 2), (1, 3)), ((0, 1), (1, 2)), ((-1, 2), (2, 3)), ((-1, 1), (1, 1))];
        if let Some(angle) = listed_angle(number, &known) {
            return Some(angle);
        }
    }
    // acos(x) = 2 atan √((1 − x)/(1 + x)) keeps every digit near one; it falls everywhere.
    ends(&cosine.negate(), |negated| {
        if negated.abs() > Number::ONE {
            return None;
        }
        let Some(quotient) = (Number::ONE + negated).checked_div(&(Number::ONE - negated)) else {
            return Some(Value::pi().enclosure());
        };
        let low = fixed::arctangent(&quotient.root_bound(WORKING_BITS, Toward::Below)).low;
        let high = fixed::arctangent(&quotient.root_bound(WORKING_BITS, Toward::Above)).high;
        let two = Number::from_integer(2);
        Some(Enclosure { low: low * &two, high: high * &two })
    })
}

/// The angle in radians, between −π/2 and π/2, whose tangent this is.
#[must_use]
pub fn atan(tangent: &Value) -> Value {
    if let Some(number) = tangent.is_exact_rational()
        && let Some(angle) = listed_angle(&number.abs(), &[((0, 1), (0, 1)), ((1, 1), (1, 4))])
    {
        return if number.signum() < 0 { angle.negate() } else { angle };
    }
    let angle =
        |number: &Number| Some(if number.exponent() < TINY { near(number, -1) } else { fixed::arctangent(number) });
    ends(tangent, angle).unwrap_or_else(Value::unknown)
}

/// An enclosure with both ends rounded outward to working length.
fn outward(low: &Number, high: &Number) -> Value {
    Enclosure::outward(low, high, WORKING_BITS).into()
}

/// A rising function of both ends of a value.
fn ends(value: &Value, at: impl Fn(&Number) -> Option<Enclosure>) -> Option<Value> {
    let Enclosure { low, high } = value.enclosure();
    let lower = at(&low)?;
    let upper = if low == high { lower.clone() } else { at(&high)? };
    Some(outward(&lower.low, &upper.high))
}

/// Between x and x ± |x|³ in size, which holds sin, atan (below x) and asin (above it) for small x.
fn near(number: &Number, direction: i64) -> Enclosure {
    let cube = number * number * number;
    let other = number + &(&cube * &Number::from_integer(direction));
    if *number < other {
        Enclosure { low: number.clone(), high: other }
    } else {
        Enclosure { low: other, high: number.clone() }
    }
}

/// A fraction as it is written in a list: above and below the line.
type Written = (i64, i64);

/// The whole number listed for a fraction.
fn listed(number: &Number, known: &[(Written, i64)]) -> Option<Value> {
    known
        .iter()
        .find(|((above, below), _)| Number::ratio(*above, *below).as_ref() == Some(number))
        .map(|(_, whole)| Value::from(Number::from_integer(*whole)))
}

/// The multiple of π listed for a fraction.
fn listed_angle(number: &Number, known: &[(Written, Written)]) -> Option<Value> {
    known
        .iter()
        .find(|((above, below), _)| Number::ratio(*above, *below).as_ref() == Some(number))
        .and_then(|(_, (above, below))| Some(Value::exact(Number::ratio(*above, *below)?, 1)))
}

/// The sine of an angle moved on by right angles.
fn sine_from(angle: &Value, right_angles: u8) -> Value {
    match angle {
        Value::Exact { number, pi: 1 } => {
            // Counted in twelfths of a turn, where the only rational sines are 0, ±1/2 and ±1 (Niven, *Irrational
            // Numbers*, 1956, theorem 3.9).
            let moved = number + &Number::ratio(i64::from(right_angles), 2).unwrap_or_default();
            let two = Number::from_integer(2);
            let turns = moved.checked_div(&two).unwrap_or_default();
            let place = (&turns - &turns.floor_number()) * &two;
            for (sixth, above, below) in
                [(0, 0, 1), (1, 1, 2), (3, 1, 1), (5, 1, 2), (6, 0, 1), (7, -1, 2), (9, -1, 1), (11, -1, 2)]
            {
                if Number::ratio(sixth, 6).as_ref() == Some(&place) {
                    return Value::from(Number::ratio(above, below).unwrap_or_default());
                }
            }
            let sine = fixed::sine(&place, Turn::HalfTurns, 0);
            outward(&sine.low, &sine.high)
        }
        Value::Exact { number, pi: 0 } if number.is_zero() => {
            Value::from(Number::from_integer(i64::from(right_angles)))
        }
        Value::Exact { number, pi: 0 } => {
            let sine = sine_of_point(number, right_angles);
            outward(&sine.low, &sine.high)
        }
        _ => sine_between(&angle.enclosure(), right_angles),
    }
}

fn sine_of_point(number: &Number, right_angles: u8) -> Enclosure {
    if right_angles == 0 && number.exponent() < TINY {
        return near(number, -1);
    }
    fixed::sine(number, Turn::Radians, right_angles)
}

/// The sine of every angle between two ends: that of the ends, and ±1 where a crest lies between them.
fn sine_between(angle: &Enclosure, right_angles: u8) -> Value {
    let all = Enclosure { low: -Number::ONE, high: Number::ONE };
    let far = angle.low.abs().max(angle.high.abs());
    if &angle.high - &angle.low > Number::from_integer(7) || far.exponent() > 1_024 {
        return all.into();
    }
    // Between the crests at π/2 + nπ the sine only rises or only falls: which of these stretches may an end lie on?
    let size = u32::try_from(far.exponent().max(0)).unwrap_or(0);
    let pi = fixed::pi_enclosure(WORKING_BITS + size);
    let half = Number::ratio(i64::from(right_angles) + 1, 2).unwrap_or_default();
    let stretches = |number: &Number| {
        let lower = number.checked_div(&pi.low).unwrap_or_default();
        let upper = number.checked_div(&pi.high).unwrap_or_default();
        let first = (lower.clone().min(upper.clone()) + &half).floor();
        let last = (lower.max(upper) + &half).floor();
        (first, last)
    };
    let ((first, _), (_, last)) = (stretches(&angle.low), stretches(&angle.high));
    let mut result = sine_of_point(&angle.low, right_angles).hull(&sine_of_point(&angle.high, right_angles));
    if &last - &first > 1.into() {
        return all.into();
    }
    if last > first {
        // Between stretch n and n + 1 stands a crest where n is even, a trough where it is odd.
        let crest = if first.bit(0) { -Number::ONE } else { Number::ONE };
        result = result.hull(&Enclosure::point(crest));
    }
    outward(&result.low, &result.high)
}
