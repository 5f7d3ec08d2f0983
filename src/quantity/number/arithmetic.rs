//! Sums, products, quotients, powers and rounding of exact numbers; refuses to lose a digit or to wrap.

use super::{Form, MOST_PLACES, Number, Ratio, ten};
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::Signed;
use std::ops::{Add, Mul, Neg, Sub};

/// The common case: two decimals that stay within 64 bits, in integers only.
#[inline]
fn decimal_sum(left: i64, left_places: u8, right: i64, right_places: u8) -> Option<Number> {
    let (sum, places) = match left_places.cmp(&right_places) {
        std::cmp::Ordering::Equal => (left.checked_add(right)?, left_places),
        std::cmp::Ordering::Less => {
            (left.checked_mul(ten(right_places - left_places))?.checked_add(right)?, right_places)
        }
        std::cmp::Ordering::Greater => {
            (right.checked_mul(ten(left_places - right_places))?.checked_add(left)?, left_places)
        }
    };
    Some(Number::decimal(sum, places))
}

/// Two 64-bit fractions in lowest terms, added by Knuth's method (*The Art of Computer Programming*, vol. 2, 3rd ed.,
/// 4.5.1), whose common divisors all fit 64 bits. `None` past 128 bits.
fn ratio_sum((a, b): (i64, i64), (c, d): (i64, i64), sign: i128) -> Option<Number> {
    let common = i64::try_from(b.unsigned_abs().gcd(&d.unsigned_abs())).ok()?;
    let (b_rest, d_rest) = (b / common, d / common);
    let above = (i128::from(a) * i128::from(d_rest)).checked_add(sign * i128::from(c) * i128::from(b_rest))?;
    let still = (above % i128::from(common)).unsigned_abs();
    let still = u64::try_from(still).ok()?.gcd(&common.unsigned_abs());
    let still = i128::from(still);
    Some(Number::reduced(above / still, i128::from(b_rest) * (i128::from(d) / still)))
}

fn sum(left: &Number, right: &Number, subtract: bool) -> Number {
    if let (Form::Decimal { units: a, places: p }, Form::Decimal { units: b, places: q }) = (&left.0, &right.0) {
        let second = if subtract { b.checked_neg() } else { Some(*b) };
        if let Some(result) = second.and_then(|second| decimal_sum(*a, *p, second, *q)) {
            return result;
        }
    }
    if let (Some(first), Some(second)) = (left.reduced_parts(), right.reduced_parts())
        && let Some(result) = ratio_sum(first, second, if subtract { -1 } else { 1 })
    {
        return result;
    }
    let ((a, b), (c, d)) = (left.big_parts(), right.big_parts());
    let other = c * &b;
    let first = a * &d;
    Number::big(if subtract { first - other } else { first + other }, b * d)
}

#[inline]
fn product(left: &Number, right: &Number) -> Number {
    if let (Form::Decimal { units: a, places: p }, Form::Decimal { units: b, places: q }) = (&left.0, &right.0)
        && p + q <= MOST_PLACES
        && let Some(units) = a.checked_mul(*b)
    {
        return Number::decimal(units, p + q);
    }
    long_product(left, right)
}

/// What no two short decimals come to.
fn long_product(left: &Number, right: &Number) -> Number {
    if let (Some((a, b)), Some((c, d))) = (left.reduced_parts(), right.reduced_parts()) {
        return ratio_product((a, b), (c.into(), d.into()));
    }
    let ((a, b), (c, d)) = (left.big_parts(), right.big_parts());
    Number::big(a * c, b * d)
}

/// Two fractions in lowest terms: dividing crosswise first leaves the product in lowest terms.
/// The second is given in 128 bits because a turned-over fraction may hold 2^63.
fn ratio_product((a, b): (i64, i64), (c, d): (i128, i128)) -> Number {
    let (a, b) = (i128::from(a), i128::from(b));
    let across = |above: i128, below: i128| -> i128 {
        let common = match (u64::try_from(above.unsigned_abs()), u64::try_from(below.unsigned_abs())) {
            (Ok(above), Ok(below)) => u128::from(above.gcd(&below)),
            _ => above.unsigned_abs().gcd(&below.unsigned_abs()),
        };
        i128::try_from(common).unwrap_or(1).max(1)
    };
    let (first, second) = (across(a, d), across(c, b));
    Number::reduced((a / first) * (c / second), (b / second) * (d / first))
}

impl Number {
    /// The quotient; `None` by zero.
    #[must_use]
    pub fn checked_div(&self, divisor: &Number) -> Option<Number> {
        if divisor.is_zero() {
            return None;
        }
        if self.is_zero() {
            return Some(Number::ZERO);
        }
        if let (Some(first), Some((c, d))) = (self.reduced_parts(), divisor.reduced_parts()) {
            let sign = if c < 0 { -1 } else { 1 };
            return Some(ratio_product(first, (sign * i128::from(d), sign * i128::from(c))));
        }
        let ((a, b), (c, d)) = (self.big_parts(), divisor.big_parts());
        let above = a * d;
        let below = b * c;
        Some(if below.is_negative() { Number::big(-above, -below) } else { Number::big(above, below) })
    }

    /// The number times itself `exponent` times over; `None` for zero to a negative power. Zero to the zero is one.
    #[must_use]
    pub fn power(&self, exponent: i8) -> Option<Number> {
        let mut result = Number::ONE;
        let mut square = self.clone();
        let mut left = exponent.unsigned_abs();
        while left > 0 {
            if left % 2 == 1 {
                result = &result * &square;
            }
            left /= 2;
            if left > 0 {
                square = &square * &square;
            }
        }
        if exponent < 0 { Number::ONE.checked_div(&result) } else { Some(result) }
    }

    /// Without its sign.
    #[must_use]
    pub fn abs(&self) -> Number {
        if self.signum() < 0 { -self } else { self.clone() }
    }

    /// The nearest whole number, a tie to the even one.
    #[must_use]
    pub fn round(&self) -> Number {
        if self.is_integer() {
            return self.clone();
        }
        if let Some((above, below)) = self.parts() {
            let (above, below) = (i128::from(above), i128::from(below));
            let whole = above.div_euclid(below);
            let twice = 2 * above.rem_euclid(below);
            let up = twice > below || (twice == below && whole % 2 != 0);
            return Number::reduced(whole + i128::from(up), 1);
        }
        let (above, below) = self.big_parts();
        Number::big_reduced(half_even(&above, &below), BigInt::from(1))
    }

    /// Rounded to the nearest multiple of `step`, a tie to the even multiple (ISO 80000-1:2009, Annex B, rule A).
    /// `None` unless the step is above zero.
    #[must_use]
    pub fn round_to(&self, step: &Number) -> Option<Number> {
        if step.signum() <= 0 {
            return None;
        }
        Some(&self.checked_div(step)?.round() * step)
    }

    /// Rounded to so many significant digits, a tie to the even last digit (ISO 80000-1:2009, Annex B, rule A); nought stays
    /// nought. `None` of fewer than one or more than 40 digits, and of a number further than 80 powers of ten from one.
    #[must_use]
    pub fn significant(&self, digits: i8) -> Option<Number> {
        if !(1..=40).contains(&digits) {
            return None;
        }
        if self.is_zero() {
            return Some(self.clone());
        }
        let (size, ten) = (self.abs(), Number::from_integer(10));
        // log10 2 = 0.30103: from the binary size, the decimal one to within one.
        let about = i8::try_from(self.exponent() * 30_103 / 100_000).ok().filter(|about| about.abs() <= 80)?;
        // The first digit stands at the largest power of ten that is not above the number.
        let first = (about.saturating_sub(2)..=about.saturating_add(2))
            .rev()
            .find(|power| ten.power(*power).is_some_and(|power| power <= size))?;
        self.round_to(&ten.power(first - digits + 1)?)
    }
}

/// The whole number nearest to `above / below`, a tie to the even one; `below` is above zero.
pub(super) fn half_even(above: &BigInt, below: &BigInt) -> BigInt {
    let (whole, rest) = above.div_mod_floor(below);
    let twice: BigInt = rest * 2;
    match twice.cmp(below) {
        std::cmp::Ordering::Less => whole,
        std::cmp::Ordering::Equal if whole.is_even() => whole,
        _ => whole + 1,
    }
}

impl Neg for &Number {
    type Output = Number;
    fn neg(self) -> Number {
        match &self.0 {
            Form::Decimal { units, places } if *units != i64::MIN => {
                Number(Form::Decimal { units: -units, places: *places })
            }
            Form::Ratio(ratio) if ratio.numerator != i64::MIN => {
                Number(Form::Ratio(Box::new(Ratio { numerator: -ratio.numerator, ..**ratio })))
            }
            _ => {
                let (above, below) = self.big_parts();
                Number::big(-above, below)
            }
        }
    }
}

impl Neg for Number {
    type Output = Number;
    fn neg(self) -> Number {
        -&self
    }
}

/// The same operation for every mixture of owned and borrowed numbers.
macro_rules! operator {
    ($trait:ident, $method:ident, $left:ident, $right:ident, $result:expr) => {
        impl $trait<&Number> for &Number {
            type Output = Number;
            #[inline]
            fn $method(self, other: &Number) -> Number {
                let ($left, $right) = (self, other);
                $result
            }
        }
        impl $trait<Number> for Number {
            type Output = Number;
            fn $method(self, other: Number) -> Number {
                $trait::$method(&self, &other)
            }
        }
        impl $trait<&Number> for Number {
            type Output = Number;
            fn $method(self, other: &Number) -> Number {
                $trait::$method(&self, other)
            }
        }
        impl $trait<Number> for &Number {
            type Output = Number;
            fn $method(self, other: Number) -> Number {
                $trait::$method(self, &other)
            }
        }
    };
}

operator!(Add, add, left, right, sum(left, right, false));
operator!(Sub, sub, left, right, sum(left, right, true));
operator!(Mul, mul, left, right, product(left, right));
