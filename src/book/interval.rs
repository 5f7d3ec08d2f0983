//! Arithmetic on ranges: everything an operation can give over two ranges, with exact ends, open or closed. Refuses to
//! know what varies.

use super::wave;
use super::{Function, evaluate};
use crate::quantity::{Band, End, Value};
use crate::syntax::tree::Operator;
use std::cmp::Ordering;

/// A range that is one value.
pub(crate) fn point(value: Value) -> Band {
    Band::exactly(value)
}

/// The value of a range that is one.
pub(crate) fn only(band: &Band) -> Option<&Value> {
    match (&band.low, &band.high) {
        (Some(low), Some(high)) if low.value == high.value => Some(&low.value),
        _ => None,
    }
}

/// On which side of zero a range lies: above or on it, below or on it, or not known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Around {
    Above,
    Below,
    Both,
}

pub(crate) fn around(band: &Band) -> Around {
    let past = |end: &Option<End>, outward: Ordering| {
        end.as_ref().and_then(|end| end.value.compare(&Value::ZERO)).is_some_and(|order| order != outward)
    };
    if past(&band.low, Ordering::Less) {
        Around::Above
    } else if past(&band.high, Ordering::Greater) {
        Around::Below
    } else {
        Around::Both
    }
}

fn joined(one: &Option<End>, other: &Option<End>, work: impl Fn(&Value, &Value) -> Value) -> Option<End> {
    let (one, other) = (one.as_ref()?, other.as_ref()?);
    Some(End { value: work(&one.value, &other.value), closed: one.closed && other.closed })
}

pub(crate) fn add(one: &Band, other: &Band) -> Band {
    Band { low: joined(&one.low, &other.low, Value::add), high: joined(&one.high, &other.high, Value::add) }
}

pub(crate) fn negate(band: &Band) -> Band {
    let turned = |end: &Option<End>| end.as_ref().map(|end| End { value: end.value.negate(), closed: end.closed });
    Band { low: turned(&band.high), high: turned(&band.low) }
}

/// The end that reaches further down (or up) of several, open only where none that reaches as far is closed. `None`,
/// an end without limit, wins.
pub(crate) fn furthest(ends: &[Option<End>], outward: Ordering) -> Option<End> {
    let ends: Vec<&End> = ends.iter().map(Option::as_ref).collect::<Option<_>>()?;
    let values: Vec<Value> = ends.iter().map(|end| end.value.clone()).collect();
    let value = if outward == Ordering::Less { Value::smallest(&values) } else { Value::largest(&values) }?;
    let closed = ends.iter().any(|end| end.closed && matches!(end.value.compare(&value), Some(Ordering::Equal) | None));
    Some(End { value, closed })
}

/// The smallest range that holds both.
pub(crate) fn hull(one: &Band, other: &Band) -> Band {
    Band {
        low: furthest(&[one.low.clone(), other.low.clone()], Ordering::Less),
        high: furthest(&[one.high.clone(), other.high.clone()], Ordering::Greater),
    }
}

/// What is inside both.
pub(crate) fn meet(one: &Band, other: &Band) -> Band {
    let inner = |one: &Option<End>, other: &Option<End>, inward: Ordering| match (one, other) {
        (None, end) | (end, None) => end.clone(),
        (Some(one), Some(other)) => match one.value.compare(&other.value) {
            Some(Ordering::Equal) => Some(End { value: one.value.clone(), closed: one.closed && other.closed }),
            Some(order) if order == inward => Some(one.clone()),
            Some(_) => Some(other.clone()),
            // Two ends that cannot be told apart: either encloses.
            None => Some(one.clone()),
        },
    };
    Band { low: inner(&one.low, &other.low, Ordering::Greater), high: inner(&one.high, &other.high, Ordering::Less) }
}

/// A product of two ends; where one has no limit, `sign` of the product with the other decides whether it runs away.
enum Product {
    At(End),
    Up,
    Down,
}

fn product(one: (&Option<End>, bool), other: (&Option<End>, bool)) -> Option<Product> {
    let sign = |(end, upper): (&Option<End>, bool)| match end {
        Some(end) => end.value.compare(&Value::ZERO),
        None => Some(if upper { Ordering::Greater } else { Ordering::Less }),
    };
    let zero = |end: &End| Product::At(End { value: Value::ZERO, closed: end.closed });
    match (one.0, other.0) {
        (Some(first), Some(second)) => {
            let is_zero = |end: &End| end.closed && end.value.compare(&Value::ZERO) == Some(Ordering::Equal);
            let closed = (first.closed && second.closed) || is_zero(first) || is_zero(second);
            Some(Product::At(End { value: first.value.multiply(&second.value), closed }))
        }
        (Some(end), None) if sign(one)? == Ordering::Equal => Some(zero(end)),
        (None, Some(end)) if sign(other)? == Ordering::Equal => Some(zero(end)),
        _ => Some(if sign(one)? == sign(other)? { Product::Up } else { Product::Down }),
    }
}

pub(crate) fn multiply(one: &Band, other: &Band) -> Band {
    if let (Some(first), Some(second)) = (only(one), only(other)) {
        return point(first.multiply(second));
    }
    let mut ends = Vec::new();
    let (mut up, mut down) = (false, false);
    for first in [(&one.low, false), (&one.high, true)] {
        for second in [(&other.low, false), (&other.high, true)] {
            match product(first, second) {
                Some(Product::At(end)) => ends.push(Some(end)),
                Some(Product::Up) => up = true,
                Some(Product::Down) => down = true,
                None => return Band::default(),
            }
        }
    }
    Band {
        low: if down { None } else { furthest(&ends, Ordering::Less) },
        high: if up { None } else { furthest(&ends, Ordering::Greater) },
    }
}

/// One over it. `None` where zero may be among the divisors' inner values; a divisor's end at zero is left out, since
/// there is no quotient there.
pub(crate) fn reciprocal(band: &Band) -> Option<Band> {
    if let Some(value) = only(band) {
        return Value::ONE.divide(value).map(point);
    }
    let over = |end: &Option<End>| match end {
        None => Some(End { value: Value::ZERO, closed: false }),
        Some(end) => Value::ONE.divide(&end.value).map(|value| End { value, closed: end.closed }),
    };
    match around(band) {
        Around::Above => Some(Band { low: over(&band.high), high: band.low.as_ref().and_then(|_| over(&band.low)) }),
        Around::Below => Some(Band { low: band.high.as_ref().and_then(|_| over(&band.high)), high: over(&band.low) }),
        Around::Both => None,
    }
}

pub(crate) fn absolute(band: &Band) -> Band {
    match around(band) {
        Around::Above => band.clone(),
        Around::Below => negate(band),
        Around::Both => {
            let turned = negate(band);
            Band {
                low: Some(End { value: Value::ZERO, closed: true }),
                high: furthest(&[band.high.clone(), turned.high], Ordering::Greater),
            }
        }
    }
}

pub(crate) fn power(band: &Band, exponent: u8) -> Band {
    let Ok(signed) = i8::try_from(exponent) else { return Band::default() };
    if exponent == 0 {
        return point(Value::ONE);
    }
    if let Some(value) = only(band) {
        return value.power(signed).map_or_else(Band::default, point);
    }
    let base = if exponent.is_multiple_of(2) { absolute(band) } else { band.clone() };
    rising(&base, |value| value.power(signed))
}

/// A function that never falls; an end where it has no answer is without limit.
fn rising(band: &Band, work: impl Fn(&Value) -> Option<Value>) -> Band {
    let end = |end: &Option<End>| {
        let end = end.as_ref()?;
        Some(End { value: work(&end.value)?, closed: end.closed })
    };
    Band { low: end(&band.low), high: end(&band.high) }
}

/// A function over ranges, and whether it is exactly what it can give rather than something around it.
pub(crate) fn call(function: Function, arguments: &[Band]) -> (Band, bool) {
    let values: Option<Vec<Value>> = arguments.iter().map(|band| only(band).cloned()).collect();
    if let Some(values) = values {
        return evaluate::call(function, &values).map_or((Band::default(), false), |value| (point(value), true));
    }
    let Some(first) = arguments.first() else { return (Band::default(), false) };
    let work = |value: &Value| evaluate::call(function, std::slice::from_ref(value));
    match function {
        Function::Radians => (first.clone(), true),
        Function::Absolute => (absolute(first), true),
        Function::SquareRoot | Function::ArcSine | Function::ArcTangent | Function::Logarithm => {
            let band = rising(first, work);
            let whole = band.low.is_some() == first.low.is_some() && band.high.is_some() == first.high.is_some();
            (band, whole)
        }
        Function::Exponential => {
            let mut band = rising(first, work);
            // What has no lower end comes as near nought as one likes.
            band.low = band.low.or(Some(End { value: Value::ZERO, closed: false }));
            let whole = band.high.is_some() == first.high.is_some();
            (band, whole)
        }
        Function::ArcCosine => {
            let turned = rising(&negate(first), |value| work(&value.negate()));
            let whole = turned.low.is_some() == first.high.is_some() && turned.high.is_some() == first.low.is_some();
            (turned, whole)
        }
        Function::Sine | Function::Cosine | Function::Tangent => {
            let wave = wave::wave(function, first);
            (wave.band, wave.exact)
        }
        Function::Round | Function::Significant => match arguments.get(1).and_then(only) {
            // Every value from end to end rounds to one between the two.
            Some(second) => {
                let mut band = rising(first, |value| evaluate::call(function, &[value.clone(), second.clone()]));
                for end in [&mut band.low, &mut band.high].into_iter().flatten() {
                    end.closed = true;
                }
                (band, false)
            }
            None => (Band::default(), false),
        },
    }
}

/// Arithmetic over ranges that vary freely of each other; `None` where zero may divide.
pub(crate) fn binary(operator: Operator, left: &Band, right: &Band) -> Option<Band> {
    match operator {
        Operator::Add => Some(add(left, right)),
        Operator::Subtract => Some(add(left, &negate(right))),
        Operator::Multiply => Some(multiply(left, right)),
        Operator::Divide => Some(multiply(left, &reciprocal(right)?)),
        Operator::And | Operator::Or => None,
    }
}
