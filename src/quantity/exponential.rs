//! The exponential and the natural logarithm of one exact number in fixed-point integers, each with a proved bound of its error.

use super::enclosure::Enclosure;
use super::fixed::{Around, refined};
use super::number::Number;
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{Signed, Zero};

/// Bits of the fraction in which an exponential is calculated: its leading bit is worth one, so 48 digits stand.
const BITS: u32 = 224;

/// Exponentials of numbers of at least 2^15 in size are not followed: e^±32,768 is 2^±47,274, beyond the ends of what is.
const FAR: i64 = 15;

/// An integer `low` such that ln 2 × 2^bits lies between `low` and `low + 2`, from ln 2 = 2 artanh(1/3).
fn ln_2(bits: u32) -> BigInt {
    // Every step cuts off, so the sum is too small: each power of at most bits/3 + 12 by less than 1.2 units, each term by less than
    // 2.2, and what is left out is less than 2. Twice that is far below 2^31 for any bits used here, so that with 32 guard
    // bits the error stays under one unit, and the last cut adds less than another.
    const GUARD: u32 = 32;
    let one = BigInt::from(1) << (bits + GUARD);
    let (sum, _) = artanh_series(one / 3_u32, |power| power / 9_u32);
    (sum * 2_u32) >> GUARD
}

/// The series x + x³/3 + x⁵/5 + …, of x not below nought, each power made of the one before by `next`, until a power is nothing;
/// and how many terms there were.
fn artanh_series(first: BigInt, next: impl Fn(BigInt) -> BigInt) -> (BigInt, u32) {
    let mut power = first;
    let mut sum = BigInt::ZERO;
    let mut terms = 0_u32;
    while !power.is_zero() {
        sum += &power / (2 * terms + 1);
        power = next(power);
        terms += 1;
    }
    (sum, terms)
}

/// e to the power of a number.
pub(super) fn exponential(number: &Number) -> Enclosure {
    if number.exponent() > FAR {
        // Above, nothing is known but that it is above nought; below, next to nothing.
        let Enclosure { high, .. } = Enclosure::unbounded();
        let smallest = Number::dyadic(1.into(), 40_000);
        return Enclosure { low: Number::ZERO, high: if number.signum() > 0 { high } else { smallest } };
    }
    // x = k ln 2 + r with r from 0 to ln 2, k below 2^(size + 1) in size. ln 2 is less than 2 units of 2^-wide above what is
    // taken, so that k ln 2 is less than 2^(size + 2) such units off, which with the cut of x is less than one unit of 2^-BITS;
    // the cut of r is another.
    let size = u32::try_from(number.exponent().max(0)).unwrap_or(0) + 1;
    let wide = BITS + size + 8;
    let ln_2 = ln_2(wide);
    let (count, rest) = number.scaled(wide.into()).div_mod_floor(&ln_2);
    let rest: BigInt = rest >> (size + 8);
    // If a term is off by e units, the next is off by less than (0.7 e + 1)/n + 1, so that e stays below 3. When a term is
    // nothing, what is left out is less than 3 times as much, twice. e^r is less than 2.01, so that the 2 units of r bring
    // less than 5.
    let mut term = BigInt::from(1) << BITS;
    let mut sum = BigInt::ZERO;
    let mut terms = 0_u32;
    while !term.is_zero() {
        sum += &term;
        terms += 1;
        term = ((term * &rest) >> BITS) / terms;
    }
    let error = BigInt::from(3 * terms + 16);
    let bits = i64::from(BITS) - i64::try_from(count).unwrap_or(0);
    Enclosure { low: Number::dyadic(&sum - &error, bits), high: Number::dyadic(sum + error, bits) }
}

/// The natural logarithm of a number above nought.
pub(super) fn logarithm(number: &Number) -> Enclosure {
    let past_one = number - &Number::ONE;
    if past_one.exponent() < super::function::TINY {
        // ln(1 + t) = t − t²/2 + …, and all that follows is less than |t|³ in size.
        let square = &past_one * &past_one;
        let half = Number::ratio(1, 2).unwrap_or_default();
        let (middle, cube) = (&past_one - &(&square * &half), (&square * &past_one).abs());
        return Enclosure { low: &middle - &cube, high: middle + cube };
    }
    // x = m 2^k, m from 0.7 to 1.4: ln x = k ln 2 + 2 artanh((m − 1)/(m + 1)), whose argument is at most 0.18 in size.
    let mut count = number.exponent();
    let mut mantissa = number * &power_of_2(-count);
    let two = Number::from_integer(2);
    while mantissa > Number::ratio(7, 5).unwrap_or_default() {
        mantissa = mantissa * power_of_2(-1);
        count += 1;
    }
    while mantissa < Number::ratio(7, 10).unwrap_or_default() {
        mantissa = mantissa * &two;
        count -= 1;
    }
    let argument = (&mantissa - &Number::ONE).checked_div(&(&mantissa + &Number::ONE)).unwrap_or_default();
    let negative = argument.signum() < 0;
    let argument = argument.abs();
    refined(|bits| {
        let start = argument.scaled(bits.into());
        let square: BigInt = (&start * &start) >> bits;
        // Each power is less than 1.3 units off, each term less than 2.3; what is left out is less than 3, and the argument
        // itself, cut off, brings less than 1.1. Twice all that.
        let (sum, terms) = artanh_series(start, |power| (power * &square) >> bits);
        let error = 5 * terms + 10;
        let sum: BigInt = sum * 2_u32;
        let sum = if negative { -sum } else { sum };
        // k is below 2^31, so that k ln 2 at 40 bits more is less than one unit off, and its cut another.
        const MORE: u32 = 40;
        let twos: BigInt = (ln_2(bits + MORE) * count) >> MORE;
        Around::new(sum + twos, BigInt::from(error + 2).abs(), bits)
    })
}

/// 2^count.
fn power_of_2(count: i64) -> Number {
    Number::dyadic(1.into(), -count)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ln 2 to 60 places, the last one cut off. Source: OEIS A002162 (and any table).
    const DECIMALS: &str = "693147180559945309417232121458176568075500134360255254120680";

    #[test]
    fn the_logarithm_of_two_is_that_of_the_table() {
        let decimals = BigInt::parse_bytes(DECIMALS.as_bytes(), 10).unwrap_or_default();
        for bits in [8, 64, 176] {
            let moved: BigInt = &decimals << bits;
            let cut_off = moved.div_floor(&BigInt::from(10).pow(60));
            let found = ln_2(bits);
            assert!(found <= cut_off && cut_off <= &found + 1, "{bits} bits: {found} where {cut_off} was expected");
        }
        let (low, finer) = (ln_2(300), ln_2(1_900));
        let cut: BigInt = finer >> 1_600;
        assert!(low <= cut && cut <= low + 2);
    }
}
