//! π, sine, cosine and arctangent of one exact number in fixed-point integers, each with a proved bound of its error.

use super::enclosure::Enclosure;
use super::number::Number;
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{Signed, Zero};

/// π × 2^320, the fraction cut off, in digits of 16, which are read without a division. Source: OEIS A062964; tests compute it
/// anew by Machin's formula and compare it with the decimals of OEIS A000796.
const PI_DIGITS: &str = "3243f6a8885a308d313198a2e03707344a4093822299f31d0082efa98ec4e6c89452821e638d01377";

/// Bits of the fraction stored.
const STORED_BITS: u32 = 320;

/// An integer `low` such that π × 2^bits lies between `low` and `low + 2`.
fn pi_floor(bits: u32) -> BigInt {
    if bits <= STORED_BITS
        && let Some(digits) = BigInt::parse_bytes(PI_DIGITS.as_bytes(), 16)
    {
        return digits >> (STORED_BITS - bits);
    }
    machin(bits)
}

/// As [`pi_floor`], from π = 16 atan(1/5) − 4 atan(1/239) (Machin, 1706).
fn machin(bits: u32) -> BigInt {
    // Each of at most bits/4 + 2 terms is less than 3 units off, and so is what is left out; 20 times that many units
    // stay far below 2^31 for any bits used here, so 32 guard bits bring the error under half a unit.
    const GUARD: u32 = 32;
    let one = BigInt::from(1) << (bits + GUARD);
    let pi = 16 * arctangent_of_inverse(5, &one) - 4 * arctangent_of_inverse(239, &one);
    (pi - (BigInt::from(1) << (GUARD - 1))) >> GUARD
}

/// atan(1/whole) in units of 1/one, by its alternating series.
fn arctangent_of_inverse(whole: u32, one: &BigInt) -> BigInt {
    let square = whole * whole;
    arctangent_series(one / whole, |power| power / square).0
}

/// The alternating series x - x³/3 + x⁵/5 - …, each power made of the one before by `next`, until a power is nothing; and
/// the odd number after the last term's.
fn arctangent_series(first: BigInt, next: impl Fn(BigInt) -> BigInt) -> (BigInt, u32) {
    let mut power = first;
    let mut sum = BigInt::ZERO;
    let mut odd = 1_u32;
    while !power.is_zero() {
        let term = &power / odd;
        if odd % 4 == 1 {
            sum += term;
        } else {
            sum -= term;
        }
        power = next(power);
        odd += 2;
    }
    (sum, odd)
}

/// π between two ends that are `2 / 2^bits` apart.
pub(super) fn pi_enclosure(bits: u32) -> Enclosure {
    let low = pi_floor(bits);
    Enclosure { high: Number::dyadic(&low + 2, bits.into()), low: Number::dyadic(low, bits.into()) }
}

/// A number known as `middle ± error`, both in units of 2^-bits.
pub(super) struct Around {
    middle: BigInt,
    error: BigInt,
    bits: u32,
}

impl Around {
    pub(super) fn new(middle: BigInt, error: BigInt, bits: u32) -> Around {
        Around { middle, error, bits }
    }

    /// Whether the error is so small that 42 digits stand.
    fn is_tight(&self) -> bool {
        self.middle.bits() >= self.error.bits() + 141
    }

    fn enclosure(&self) -> Enclosure {
        let bits = self.bits.into();
        Enclosure {
            low: Number::dyadic(&self.middle - &self.error, bits),
            high: Number::dyadic(&self.middle + &self.error, bits),
        }
    }
}

/// Fixed-point sizes tried until the result has enough leading digits.
const BITS: [u32; 4] = [224, 448, 896, 1_792];

/// The first tight result, or the best there is.
pub(super) fn refined(around: impl Fn(u32) -> Around) -> Enclosure {
    let mut best = Enclosure::unbounded();
    for bits in BITS {
        let result = around(bits);
        best = result.enclosure();
        if result.is_tight() {
            break;
        }
    }
    best
}

/// A multiple of a right angle taken off: which one (from 0 to 3), and the rest in fixed point, less than 3 units off.
///
/// `turn` says what the number counts: radians, or half turns (multiples of π).
fn reduced(number: &Number, turn: Turn, bits: u32) -> (u8, BigInt) {
    let four = BigInt::from(4);
    let quarter = |count: &BigInt| u8::try_from(count.mod_floor(&four)).unwrap_or(0);
    match turn {
        Turn::HalfTurns => {
            // Exact up to here: at most a quarter of π is left, in which π is off by a quarter of 2 units.
            let count = (number * &Number::from_integer(2)).round();
            let half = Number::ratio(1, 2).unwrap_or_default();
            let rest = number - &(&count * &half);
            let pi = Number::dyadic(pi_floor(bits), bits.into());
            (quarter(&count.floor()), (rest * pi).scaled(bits.into()))
        }
        Turn::Radians => {
            // With m = the exponent of the number, at most 2^(m+1) right angles are taken off, each less than a unit of
            // 2^-(bits+m+8) off: together less than one unit of 2^-bits.
            let size = u32::try_from(number.exponent().max(0)).unwrap_or(0);
            let wide = bits + size + 8;
            let pi = pi_floor(wide);
            let twice: BigInt = number.scaled(wide.into()) * 2;
            let doubled: BigInt = &twice * 2 + &pi;
            let count = doubled.div_floor(&(&pi * 2));
            let rest = twice - &count * &pi;
            (quarter(&count), rest >> (size + 9))
        }
    }
}

/// What an angle is counted in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    /// Radians.
    Radians,
    /// Half turns: multiples of π radians.
    HalfTurns,
}

/// Sine, or cosine, of `rest` (at most 0.79 in size) by its series; how far it may be off is the second.
///
/// With terms held as floors: if a term is off by e units, the next is off by less than (0.63 e + 2)/2 + 1, so that e
/// stays below 3. The series alternates and falls, so what is left out is less than the last term, which is less than
/// 4 units. Three more for the rest itself, because neither function changes faster than its argument.
fn series(rest: &BigInt, cosine: bool, bits: u32) -> (BigInt, u32) {
    let square: BigInt = (rest * rest) >> bits;
    let mut term = if cosine { BigInt::from(1) << bits } else { rest.abs() };
    let mut sum = BigInt::ZERO;
    let mut index = if cosine { 0_u32 } else { 1 };
    let mut terms = 0;
    while !term.is_zero() {
        if terms % 2 == 0 {
            sum += &term;
        } else {
            sum -= &term;
        }
        term = ((term * &square) >> bits) / ((index + 1) * (index + 2));
        index += 2;
        terms += 1;
    }
    if !cosine && rest.is_negative() {
        sum = -sum;
    }
    (sum, 4 * terms + 8)
}

/// The sine of an angle, advanced by a number of right angles (1 makes it the cosine).
pub(super) fn sine(number: &Number, turn: Turn, right_angles: u8) -> Enclosure {
    if number.exponent() > 1_024 {
        // Range reduction would need more of π than is worth computing; no gauge shows such an angle.
        return Enclosure { low: -Number::ONE, high: Number::ONE };
    }
    let result = refined(|bits| {
        let (quarter, rest) = reduced(number, turn, bits);
        let quarter = (quarter + right_angles) % 4;
        let (sum, error) = series(&rest, quarter % 2 == 1, bits);
        Around { middle: if quarter >= 2 { -sum } else { sum }, error: error.into(), bits }
    });
    Enclosure { low: result.low.max(-Number::ONE), high: result.high.min(Number::ONE) }
}

/// The arctangent of a number.
pub(super) fn arctangent(number: &Number) -> Enclosure {
    let negative = number.signum() < 0;
    let size = number.abs();
    let result = refined(|bits| match Number::ONE.checked_div(&size) {
        Some(inverse) if size > Number::ONE => {
            // atan(x) = π/2 − atan(1/x); half of π is less than 2 units above the floor taken here.
            let small = arctangent_below_one(&inverse, bits);
            let quarter: BigInt = pi_floor(bits) >> 1;
            Around { middle: quarter - small.middle, error: small.error + 2, bits }
        }
        _ => arctangent_below_one(&size, bits),
    });
    if negative { result.negate() } else { result }
}

/// The arctangent of a number from 0 to 1.
///
/// Halved three times by atan(x) = 2 atan(x / (1 + √(1 + x²))): the halving shrinks an error at least by half and adds
/// less than 3 units of its own (1 for the root, 1 for the quotient, 1 for the square), so that less than 6 are left.
/// Below 0.1, a term of the series is less than 3 units off, the remainder less than the last term.
fn arctangent_below_one(number: &Number, bits: u32) -> Around {
    const HALVINGS: u32 = 3;
    let one = BigInt::from(1) << bits;
    let mut argument = number.scaled(bits.into());
    for _ in 0..HALVINGS {
        let root = ((&one << bits) + &argument * &argument).sqrt();
        argument = (argument << bits) / (&one + root);
    }
    let square: BigInt = (&argument * &argument) >> bits;
    let (sum, odd) = arctangent_series(argument, |power| (power * &square) >> bits);
    let error = BigInt::from(3 * odd / 2 + 3 + 6) << HALVINGS;
    Around { middle: sum << HALVINGS, error, bits }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// π to 100 places, the last one cut off, not rounded. Source: OEIS A000796 (and any table).
    const DECIMALS: &str =
        "31415926535897932384626433832795028841971693993751058209749445923078164062862089986280348253421170679";

    #[test]
    fn stored_pi_is_that_of_the_table() {
        let decimals = BigInt::parse_bytes(DECIMALS.as_bytes(), 10).unwrap_or_default();
        let cut_off = (decimals << STORED_BITS).div_floor(&BigInt::from(10).pow(100));
        assert_eq!(pi_floor(STORED_BITS), cut_off);
    }

    #[test]
    fn stored_pi_is_what_machins_formula_gives() {
        for bits in [8, 64, 176, 256, STORED_BITS] {
            let stored = Number::dyadic(pi_floor(bits), bits.into());
            let unit = Number::dyadic(1.into(), bits.into());
            let finer = 2 * bits + 64;
            let computed = Number::dyadic(machin(finer), finer.into());
            assert!(stored <= computed, "{bits} bits: the stored floor lies above π");
            assert!(
                computed < &stored + &(&unit * &Number::from_integer(2)),
                "{bits} bits: π lies above the stored end"
            );
        }
    }
}
