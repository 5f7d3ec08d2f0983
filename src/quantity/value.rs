//! Values in arithmetic: exact fractions times a power of π while that holds, enclosures from there on.

use super::enclosure::{Enclosure, WORKING_BITS};
use super::fixed;
use super::number::Number;
use std::borrow::{Borrow, Cow};
use std::cmp::Ordering;

/// A value as arithmetic leaves it: exact, or known to lie between two exact numbers.
///
/// `==` compares how two values are held; which of two values is larger is what [`Value::compare`] tells.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Value {
    /// `number` × π^`pi`; zero always has `pi` 0.
    Exact {
        /// The fraction.
        number: Number,
        /// The power of π it is multiplied by.
        pi: i8,
    },
    /// Somewhere inside.
    Within(Box<Enclosure>),
}

/// An exact value of more bits than this (about 6,000 digits) goes on as an enclosure of 48 digits, so that no chain of
/// powers or products grows without end.
const EXACT_BITS: u64 = 20_000;

/// A comparison of two different powers of π is tried with 48, 120, 240 and 480 digits of π before giving up.
const COMPARING_BITS: [u32; 4] = [WORKING_BITS, 400, 800, 1_600];

impl From<Number> for Value {
    fn from(number: Number) -> Value {
        Value::exact(number, 0)
    }
}

impl From<Enclosure> for Value {
    fn from(enclosure: Enclosure) -> Value {
        if enclosure.low == enclosure.high { Value::exact(enclosure.low, 0) } else { Value::Within(enclosure.into()) }
    }
}

impl Default for Value {
    fn default() -> Value {
        Value::ZERO
    }
}

impl Value {
    /// Nothing.
    pub const ZERO: Value = Value::Exact { number: Number::ZERO, pi: 0 };
    /// One.
    pub const ONE: Value = Value::Exact { number: Number::ONE, pi: 0 };

    /// π itself.
    #[must_use]
    pub fn pi() -> Value {
        Value::Exact { number: Number::ONE, pi: 1 }
    }

    /// A fraction times a power of π, brought to an enclosure if it is past all measure.
    #[inline]
    pub(super) fn exact(number: Number, pi: i8) -> Value {
        let pi = if number.is_zero() { 0 } else { pi };
        if number.bits() > EXACT_BITS {
            return enclosed(&number, pi, WORKING_BITS).into_within();
        }
        Value::Exact { number, pi }
    }

    /// What is known when nothing is.
    pub(super) fn unknown() -> Value {
        Enclosure::unbounded().into_within()
    }

    /// The sum.
    #[must_use]
    pub fn add(&self, other: &Value) -> Value {
        match (self, other) {
            (Value::Exact { number: left, pi: first }, Value::Exact { number: right, pi: second })
                if first == second =>
            {
                Value::exact(left + right, *first)
            }
            (Value::Exact { number, .. }, value) | (value, Value::Exact { number, .. }) if number.is_zero() => {
                value.clone()
            }
            _ => self.ends().add(&other.ends(), WORKING_BITS).into(),
        }
    }

    /// The difference.
    #[must_use]
    pub fn subtract(&self, other: &Value) -> Value {
        if let (Value::Exact { number: left, pi: first }, Value::Exact { number: right, pi: second }) = (self, other)
            && first == second
        {
            return Value::exact(left - right, *first);
        }
        self.add(&other.negate())
    }

    /// The product.
    #[must_use]
    pub fn multiply(&self, other: &Value) -> Value {
        match (self, other) {
            (Value::Exact { number, .. }, _) | (_, Value::Exact { number, .. }) if number.is_zero() => Value::ZERO,
            (Value::Exact { number: left, pi: first }, Value::Exact { number: right, pi: second }) => {
                match first.checked_add(*second) {
                    Some(pi) => Value::exact(left * right, pi),
                    None => self.ends().multiply(&other.ends(), WORKING_BITS).into(),
                }
            }
            _ => self.ends().multiply(&other.ends(), WORKING_BITS).into(),
        }
    }

    /// The quotient; `None` by zero, or by what may be zero.
    #[must_use]
    pub fn divide(&self, divisor: &Value) -> Option<Value> {
        if let (Value::Exact { number, pi: first }, Value::Exact { number: divisor, pi: second }) = (self, divisor)
            && let Some(pi) = first.checked_sub(*second)
        {
            return Some(Value::exact(number.checked_div(divisor)?, pi));
        }
        Some(self.ends().divide(&divisor.ends(), WORKING_BITS)?.into())
    }

    /// The other side of zero.
    #[must_use]
    pub fn negate(&self) -> Value {
        match self {
            Value::Exact { number, pi } => Value::Exact { number: -number, pi: *pi },
            Value::Within(enclosure) => enclosure.negate().into_within(),
        }
    }

    /// Without its sign.
    #[must_use]
    pub fn absolute(&self) -> Value {
        match self {
            Value::Exact { number, pi } => Value::Exact { number: number.abs(), pi: *pi },
            Value::Within(enclosure) => enclosure.absolute().into_within(),
        }
    }

    /// The product with itself. Of an enclosure it never goes below nought, as the product of two unknown numbers might.
    #[must_use]
    pub fn squared(&self) -> Value {
        match self {
            Value::Exact { .. } => self.multiply(self),
            Value::Within(_) => self.power(2).unwrap_or_else(|| self.multiply(self)),
        }
    }

    /// A whole power; `None` for a negative power of zero, or of what may be zero. The power of zero to zero is one.
    #[must_use]
    pub fn power(&self, exponent: i8) -> Option<Value> {
        if let Value::Exact { number, pi } = self
            && number.bits().saturating_mul(u64::from(exponent.unsigned_abs())) <= EXACT_BITS
            && let Some(pi) = pi.checked_mul(exponent)
        {
            return Some(Value::exact(number.power(exponent)?, pi));
        }
        Some(self.ends().power(exponent, WORKING_BITS)?.into())
    }

    /// Which is larger; `None` where what is known of the two overlaps.
    ///
    /// Two exact values with the same power of π compare exactly. With different powers they are never equal (π is no
    /// root of any polynomial, Lindemann 1882), and up to 480 digits of π are tried before giving up.
    #[must_use]
    #[inline]
    pub fn compare(&self, other: &Value) -> Option<Ordering> {
        match (self, other) {
            (Value::Exact { number: left, pi: first }, Value::Exact { number: right, pi: second })
                if first == second =>
            {
                Some(left.cmp(right))
            }
            _ => self.compare_ends(other),
        }
    }

    /// As [`Value::compare`], where the two are not exact with the same power of π.
    fn compare_ends(&self, other: &Value) -> Option<Ordering> {
        match (self, other) {
            (Value::Exact { number: left, pi: first }, Value::Exact { number: right, pi: second }) => {
                let signs = left.signum().cmp(&right.signum());
                if signs.is_ne() {
                    return Some(signs);
                }
                COMPARING_BITS
                    .iter()
                    .find_map(|bits| apart(&enclosed(left, *first, *bits), &enclosed(right, *second, *bits)))
            }
            _ => apart(&self.ends(), &other.ends()),
        }
    }

    /// The two ends between which the value lies; both the number itself where it is an exact fraction.
    #[must_use]
    pub fn enclosure(&self) -> Enclosure {
        self.ends().into_owned()
    }

    /// As [`Value::enclosure`], the ends looked at where they lie if they lie anywhere.
    fn ends(&self) -> Cow<'_, Enclosure> {
        match self {
            Value::Exact { number, pi } => Cow::Owned(enclosed(number, *pi, WORKING_BITS)),
            Value::Within(enclosure) => Cow::Borrowed(enclosure),
        }
    }

    /// The number, where the value is an exact fraction.
    #[must_use]
    pub fn is_exact_rational(&self) -> Option<&Number> {
        match self {
            Value::Exact { number, pi: 0 } => Some(number),
            _ => None,
        }
    }

    /// The middle of what is known: for showing, never for a verdict. An exact fraction is its own middle.
    #[must_use]
    pub fn midpoint(&self) -> Number {
        if let Some(number) = self.is_exact_rational() {
            return number.clone();
        }
        let Enclosure { low, high } = self.enclosure();
        let sum = low + high;
        sum.checked_div(&Number::from_integer(2)).unwrap_or(sum)
    }

    /// The smallest of several. Where two cannot be told apart, what encloses the smallest whichever it is. `None` of
    /// none.
    #[must_use]
    pub fn smallest<V: Borrow<Value>>(values: &[V]) -> Option<Value> {
        extreme(values, Ordering::Less)
    }

    /// The largest of several, as [`Value::smallest`].
    #[must_use]
    pub fn largest<V: Borrow<Value>>(values: &[V]) -> Option<Value> {
        extreme(values, Ordering::Greater)
    }

    /// Rounded to the nearest multiple of `step`, a tie to the even multiple (ISO 80000-1:2009, Annex B, rule A). Where
    /// what is known does not settle which multiple, the answer encloses both. `None` unless the step is above zero.
    #[must_use]
    pub fn round_to(&self, step: &Value) -> Option<Value> {
        if step.compare(&Value::ZERO) != Some(Ordering::Greater) {
            return None;
        }
        let steps = self.divide(step)?;
        let rounded = match &steps {
            Value::Exact { number, pi: 0 } => Value::from(number.round()),
            _ => {
                let Enclosure { low, high } = steps.enclosure();
                Value::from(Enclosure { low: low.round(), high: high.round() })
            }
        };
        Some(rounded.multiply(step))
    }

    /// Rounded to so many significant digits, a tie to the even last digit (ISO 80000-1:2009, Annex B, rule A). Where what is known
    /// does not settle the last digit, the answer encloses both. `None` unless there are 1 to 40 digits, and of a number
    /// further than 80 powers of ten from one.
    #[must_use]
    pub fn significant(&self, digits: &Value) -> Option<Value> {
        let digits = digits.is_exact_rational().filter(|digits| digits.is_integer())?;
        let digits: i8 = digits.to_decimal(0).parse().ok().filter(|digits| (1..=40).contains(digits))?;
        match self {
            Value::Exact { number, pi: 0 } => number.significant(digits).map(Value::from),
            _ => {
                // It never falls: each end on its own.
                let Enclosure { low, high } = self.enclosure();
                Some(Value::from(Enclosure { low: low.significant(digits)?, high: high.significant(digits)? }))
            }
        }
    }
}

impl Enclosure {
    /// As a value that stays an enclosure even where its ends meet.
    fn into_within(self) -> Value {
        Value::Within(Box::new(self))
    }
}

/// `number` × π^`pi` between two ends of at least `bits` leading bits.
fn enclosed(number: &Number, pi: i8, bits: u32) -> Enclosure {
    if pi == 0 || number.is_zero() {
        let exact = number.bits() <= EXACT_BITS;
        return if exact { Enclosure::point(number.clone()) } else { Enclosure::outward(number, number, bits) };
    }
    // π^±127 loses less than 2^8 times the last bit of π.
    let power = fixed::pi_enclosure(bits + 16).power(pi, bits + 16).unwrap_or_else(Enclosure::unbounded);
    Enclosure::point(number.clone()).multiply(&power, bits)
}

/// How two enclosures lie to each other, where they do not overlap.
fn apart(left: &Enclosure, right: &Enclosure) -> Option<Ordering> {
    if left.high < right.low {
        Some(Ordering::Less)
    } else if left.low > right.high {
        Some(Ordering::Greater)
    } else if left.low == left.high && left == right {
        Some(Ordering::Equal)
    } else {
        None
    }
}

fn extreme<V: Borrow<Value>>(values: &[V], wanted: Ordering) -> Option<Value> {
    let (first, rest) = values.split_first()?;
    let mut best = Cow::Borrowed(first.borrow());
    for value in rest.iter().map(V::borrow) {
        match value.compare(&best) {
            Some(ordering) if ordering == wanted => best = Cow::Borrowed(value),
            Some(_) => {}
            None => {
                let (one, other) = (best.enclosure(), value.enclosure());
                let pick = |left: Number, right: Number| {
                    if (left.cmp(&right) == wanted) || left == right { left } else { right }
                };
                best = Cow::Owned(Enclosure { low: pick(one.low, other.low), high: pick(one.high, other.high) }.into());
            }
        }
    }
    Some(best.into_owned())
}

#[cfg(test)]
mod tests;
