//! A number held exactly: a scaled 64-bit decimal where it fits, a 64-bit fraction where it must, big integers last.

mod arithmetic;
pub(in crate::quantity) mod bounds;
mod printing;
mod reading;
mod short;
#[cfg(test)]
mod tests;

pub use reading::{MOST_DIGITS, NumberError, NumberErrorKind};
pub use short::Short;

use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{One, Signed, ToPrimitive, Zero};
use std::cmp::Ordering;
use std::hash::Hash;

/// An exact rational number.
///
/// Equal numbers are held alike, so `==` and hashing look at the value and never at how it was written: `2.50` is
/// `2.5` is `5/2`. Nothing wraps and nothing is rounded: what outgrows 64 bits goes on in big integers.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct Number(Form);

/// The three ways a number is held. A number that fits one form is never held in a later one. The first is by far the most
/// frequent, and small, since every value is moved several times; the others lie elsewhere.
#[derive(Clone, PartialEq, Eq, Hash)]
enum Form {
    /// `units / 10^places`, where `places` is at most 18 and as small as it can be.
    Decimal { units: i64, places: u8 },
    /// Lowest terms, above zero below the line.
    Ratio(Box<Ratio>),
    /// Lowest terms, above zero below the line, at least one of them past 64 bits.
    Big(Box<Fraction>),
}

#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Ratio {
    numerator: i64,
    denominator: i64,
}

#[derive(Clone, PartialEq, Eq, Hash)]
struct Fraction {
    numerator: BigInt,
    denominator: BigInt,
}

/// The most places of a decimal held in 64 bits: 10^18 is the largest power of ten that fits.
const MOST_PLACES: u8 = 18;

const TENS: [i64; 19] = {
    let mut tens = [1_i64; 19];
    let mut place = 1;
    while place < 19 {
        // Only ever evaluated by the compiler, which would refuse a place past the end.
        #[allow(clippy::indexing_slicing, reason = "evaluated at compile time")]
        {
            tens[place] = tens[place - 1] * 10;
        }
        place += 1;
    }
    tens
};

/// 10^places, for at most [`MOST_PLACES`]; more is never asked for.
fn ten(places: u8) -> i64 {
    TENS.get(usize::from(places)).copied().unwrap_or(i64::MAX)
}

impl Number {
    /// Nothing.
    pub const ZERO: Number = Number(Form::Decimal { units: 0, places: 0 });
    /// One.
    pub const ONE: Number = Number(Form::Decimal { units: 1, places: 0 });

    /// A whole number.
    #[must_use]
    pub fn from_integer(whole: i64) -> Number {
        Number(Form::Decimal { units: whole, places: 0 })
    }

    /// A fraction; `None` where nothing stands below the line.
    #[must_use]
    pub fn ratio(numerator: i64, denominator: i64) -> Option<Number> {
        if denominator == 0 {
            return None;
        }
        let sign = if denominator < 0 { -1 } else { 1 };
        Some(Number::fraction(sign * i128::from(numerator), sign * i128::from(denominator)))
    }

    /// -1, 0 or 1.
    #[must_use]
    pub fn signum(&self) -> i8 {
        let ordering = match &self.0 {
            Form::Decimal { units, .. } => units.cmp(&0),
            Form::Ratio(ratio) => ratio.numerator.cmp(&0),
            Form::Big(fraction) => fraction.numerator.cmp(&BigInt::ZERO),
        };
        ordering as i8
    }

    /// Whether this is nothing.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        matches!(self.0, Form::Decimal { units: 0, .. })
    }

    /// Whether this is a whole number.
    #[must_use]
    pub fn is_integer(&self) -> bool {
        match &self.0 {
            Form::Decimal { places, .. } => *places == 0,
            Form::Ratio(_) => false,
            Form::Big(fraction) => fraction.denominator.is_one(),
        }
    }

    /// How many digits stand after the point when it is written out; `None` where the decimal does not end.
    #[must_use]
    pub fn decimal_places(&self) -> Option<u32> {
        if let Form::Decimal { places, .. } = &self.0 {
            return Some(u32::from(*places));
        }
        let (_, denominator) = self.big_parts();
        let twos = denominator.trailing_zeros().unwrap_or(0);
        let mut rest = denominator >> twos;
        let mut fives = 0_u64;
        while !rest.is_one() {
            let (quotient, remainder) = rest.div_rem(&BigInt::from(5));
            if !remainder.is_zero() {
                return None;
            }
            rest = quotient;
            fives += 1;
        }
        u32::try_from(twos.max(fives)).ok()
    }

    /// For drawing and for bounds that allow for far more than it rounds away, never itself for a verdict: the nearest binary
    /// number, or close to it.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        match &self.0 {
            Form::Decimal { units, places } => *units as f64 / ten(*places) as f64,
            Form::Ratio(ratio) => ratio.numerator as f64 / ratio.denominator as f64,
            Form::Big(fraction) => {
                // 64 bits of the quotient, then its binary exponent.
                let exponent = self.exponent() - 64;
                let scaled = bounds::quotient(fraction.numerator.clone(), fraction.denominator.clone(), -exponent);
                let power = i32::try_from(exponent).unwrap_or(if exponent < 0 { i32::MIN } else { i32::MAX });
                scaled.to_f64().unwrap_or(0.0) * 2_f64.powi(power)
            }
        }
    }

    /// A decimal with no zeros at its end.
    #[inline]
    fn decimal(mut units: i64, mut places: u8) -> Number {
        while places > 0 && units % 10 == 0 {
            units /= 10;
            places -= 1;
        }
        Number(Form::Decimal { units, places })
    }

    /// `numerator / denominator` with something above zero below the line, brought to lowest terms.
    fn fraction(numerator: i128, denominator: i128) -> Number {
        if let (Ok(above), Ok(below)) = (i64::try_from(numerator), i64::try_from(denominator)) {
            let common = above.unsigned_abs().gcd(&below.unsigned_abs());
            return Number::reduced(numerator / i128::from(common), denominator / i128::from(common));
        }
        let common = numerator.unsigned_abs().gcd(&denominator.unsigned_abs());
        // The common divisor is at most the denominator, so it fits.
        let common = i128::try_from(common).unwrap_or(1);
        Number::reduced(numerator / common, denominator / common)
    }

    /// As [`Number::fraction`], already in lowest terms.
    fn reduced(numerator: i128, denominator: i128) -> Number {
        match (i64::try_from(numerator), i64::try_from(denominator)) {
            (Ok(numerator), Ok(denominator)) => Number::small(numerator, denominator),
            _ => Number(Form::Big(Box::new(Fraction { numerator: numerator.into(), denominator: denominator.into() }))),
        }
    }

    /// Lowest terms in 64 bits: a decimal where the decimal ends and fits.
    fn small(numerator: i64, denominator: i64) -> Number {
        if denominator == 1 {
            return Number::from_integer(numerator);
        }
        if ten(MOST_PLACES) % denominator == 0 {
            let places = (1..=MOST_PLACES).find(|places| ten(*places) % denominator == 0).unwrap_or(MOST_PLACES);
            if let Some(units) = numerator.checked_mul(ten(places) / denominator) {
                return Number(Form::Decimal { units, places });
            }
        }
        Number(Form::Ratio(Box::new(Ratio { numerator, denominator })))
    }

    /// Big integers, something above zero below the line, brought to lowest terms.
    fn big(numerator: BigInt, denominator: BigInt) -> Number {
        let common = numerator.gcd(&denominator);
        if common.is_one() {
            Number::big_reduced(numerator, denominator)
        } else {
            Number::big_reduced(numerator / &common, denominator / &common)
        }
    }

    /// As [`Number::big`], already in lowest terms.
    fn big_reduced(numerator: BigInt, denominator: BigInt) -> Number {
        match (numerator.to_i64(), denominator.to_i64()) {
            (Some(numerator), Some(denominator)) => Number::small(numerator, denominator),
            _ => Number(Form::Big(Box::new(Fraction { numerator, denominator }))),
        }
    }

    /// Above and below the line in 64 bits, not always in lowest terms; `None` for big ones.
    fn parts(&self) -> Option<(i64, i64)> {
        match &self.0 {
            Form::Decimal { units, places } => Some((*units, ten(*places))),
            Form::Ratio(ratio) => Some((ratio.numerator, ratio.denominator)),
            Form::Big(_) => None,
        }
    }

    /// As [`Number::parts`], in lowest terms.
    fn reduced_parts(&self) -> Option<(i64, i64)> {
        let (numerator, denominator) = self.parts()?;
        let common = match self.0 {
            Form::Decimal { places: 1.., .. } => numerator.unsigned_abs().gcd(&denominator.unsigned_abs()),
            _ => 1,
        };
        // A divisor of a denominator that fits 64 bits fits too.
        let common = i64::try_from(common).unwrap_or(1);
        Some((numerator / common, denominator / common))
    }

    /// Which is larger, where one of them is no decimal.
    fn compare_parts(&self, other: &Number) -> Ordering {
        if let (Some((a, b)), Some((c, d))) = (self.parts(), other.parts()) {
            return (i128::from(a) * i128::from(d)).cmp(&(i128::from(c) * i128::from(b)));
        }
        let signs = self.signum().cmp(&other.signum());
        if signs.is_ne() {
            return signs;
        }
        let ((a, b), (c, d)) = (self.big_parts(), other.big_parts());
        (a * d).cmp(&(c * b))
    }

    /// Above and below the line as big integers, not always in lowest terms.
    fn big_parts(&self) -> (BigInt, BigInt) {
        match &self.0 {
            Form::Decimal { units, places } => (BigInt::from(*units), BigInt::from(ten(*places))),
            Form::Ratio(ratio) => (BigInt::from(ratio.numerator), BigInt::from(ratio.denominator)),
            Form::Big(fraction) => (fraction.numerator.clone(), fraction.denominator.clone()),
        }
    }
}

impl Default for Number {
    fn default() -> Number {
        Number::ZERO
    }
}

impl From<i64> for Number {
    fn from(whole: i64) -> Number {
        Number::from_integer(whole)
    }
}

impl Ord for Number {
    #[inline]
    fn cmp(&self, other: &Number) -> Ordering {
        if let (
            Form::Decimal { units: left, places: left_places },
            Form::Decimal { units: right, places: right_places },
        ) = (&self.0, &other.0)
        {
            if left_places == right_places {
                return left.cmp(right);
            }
            // 64 bits times 10^18 stays within 128.
            let left = i128::from(*left) * i128::from(ten(right_places.saturating_sub(*left_places)));
            let right = i128::from(*right) * i128::from(ten(left_places.saturating_sub(*right_places)));
            return left.cmp(&right);
        }
        self.compare_parts(other)
    }
}

impl PartialOrd for Number {
    fn partial_cmp(&self, other: &Number) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl std::fmt::Debug for Number {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (numerator, denominator) = match &self.0 {
            Form::Decimal { .. } => return write!(formatter, "{self}"),
            Form::Ratio(ratio) => (BigInt::from(ratio.numerator), BigInt::from(ratio.denominator)),
            Form::Big(fraction) => (fraction.numerator.clone(), fraction.denominator.clone()),
        };
        let sign = if numerator.is_negative() { "-" } else { "" };
        write!(formatter, "{sign}{}/{denominator}", numerator.abs())
    }
}
