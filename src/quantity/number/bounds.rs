//! Binary size of a number, and the nearest shorter number below or above it; what enclosures are made of.

use super::{Form, Number, ten};
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{One, Signed, ToPrimitive};

/// Which way a bound may move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::quantity) enum Toward {
    /// Not above the number.
    Below,
    /// Not below the number.
    Above,
}

/// The floor of `above / below × 2^shift`; `below` is above zero.
pub(super) fn quotient(above: BigInt, below: BigInt, shift: i64) -> BigInt {
    // Below the line of most bounds stands a power of two, by some power of five perhaps, and to divide by two is to shift.
    let twos = below.trailing_zeros().unwrap_or(0);
    let shift = shift - i64::try_from(twos).unwrap_or(i64::MAX);
    let above = if shift >= 0 { above << shift.unsigned_abs() } else { above >> shift.unsigned_abs() };
    let odd = below >> twos;
    match odd.to_u64() {
        Some(1) => above,
        Some(odd) if above.is_negative() => -((odd - 1 - above) / odd),
        Some(odd) => above / odd,
        None => above.div_floor(&odd),
    }
}

/// A neighbour of a fraction on the given side; `below` is above zero.
fn bounded(above: BigInt, below: BigInt, bits: u32, toward: Toward) -> Number {
    if above.sign() == num_bigint::Sign::NoSign {
        return Number::ZERO;
    }
    let size = |number: &BigInt| i64::try_from(number.bits()).unwrap_or(i64::MAX);
    let shift = i64::from(bits) + 1 - (size(&above) - size(&below));
    match toward {
        Toward::Below => Number::dyadic(quotient(above, below, shift), shift),
        Toward::Above => Number::dyadic(-quotient(-above, below, shift), shift),
    }
}

impl Number {
    /// Bits above and below the line together: how much room the number takes.
    pub(in crate::quantity) fn bits(&self) -> u64 {
        match &self.0 {
            Form::Big(fraction) => fraction.numerator.bits() + fraction.denominator.bits(),
            // An upper bound is enough: no 64-bit form is near a limit.
            _ => 128,
        }
    }

    /// The binary size: |number| lies between 2^(exponent-1) and 2^(exponent+1); zero for zero.
    pub(in crate::quantity) fn exponent(&self) -> i64 {
        let (above, below) = match &self.0 {
            Form::Big(fraction) => (fraction.numerator.bits(), fraction.denominator.bits()),
            _ => self.parts().map_or((0, 0), |(above, below)| {
                (
                    64 - u64::from(above.unsigned_abs().leading_zeros()),
                    64 - u64::from(below.unsigned_abs().leading_zeros()),
                )
            }),
        };
        if self.is_zero() {
            return 0;
        }
        i64::try_from(above).unwrap_or(i64::MAX) - i64::try_from(below).unwrap_or(i64::MAX)
    }

    /// `units / 2^bits`.
    pub(in crate::quantity) fn dyadic(units: BigInt, bits: i64) -> Number {
        if bits <= 0 {
            return Number::big_reduced(units << bits.unsigned_abs(), BigInt::one());
        }
        let bits = bits.unsigned_abs();
        let spare = units.trailing_zeros().unwrap_or(bits).min(bits);
        Number::big_reduced(units >> spare, BigInt::one() << (bits - spare))
    }

    /// The floor of the number times 2^bits.
    pub(in crate::quantity) fn scaled(&self, bits: i64) -> BigInt {
        let (above, below) = self.big_parts();
        quotient(above, below, bits)
    }

    /// The number itself if it is short, else a neighbour on the given side with at least `bits` leading bits right.
    pub(in crate::quantity) fn shortened(&self, bits: u32, toward: Toward) -> Number {
        let Form::Big(fraction) = &self.0 else { return self.clone() };
        if fraction.numerator.bits() <= u64::from(bits) && fraction.denominator.bits() <= u64::from(bits) {
            return self.clone();
        }
        let shift = i64::from(bits) + 1 - self.exponent();
        let floor = quotient(fraction.numerator.clone(), fraction.denominator.clone(), shift);
        let bound = Number::dyadic(floor.clone(), shift);
        match toward {
            Toward::Below => bound,
            Toward::Above if &bound == self => bound,
            Toward::Above => Number::dyadic(floor + 1, shift),
        }
    }

    /// A bound of a product on the given side, with at least `bits` leading bits right. Brings nothing to lowest terms on
    /// the way, which would cost more than all the rest.
    pub(in crate::quantity) fn product_bound(&self, other: &Number, bits: u32, toward: Toward) -> Number {
        // What was measured is short, what it is multiplied by often a root or a multiple of π.
        if let (Form::Big(long), Form::Decimal { units, places }) | (Form::Decimal { units, places }, Form::Big(long)) =
            (&self.0, &other.0)
        {
            return bounded(&long.numerator * *units, &long.denominator * ten(*places), bits, toward);
        }
        let ((a, b), (c, d)) = (self.big_parts(), other.big_parts());
        bounded(a * c, b * d, bits, toward)
    }

    /// A bound of a sum on the given side, with at least `bits` leading bits right.
    pub(in crate::quantity) fn sum_bound(&self, other: &Number, bits: u32, toward: Toward) -> Number {
        let ((a, b), (c, d)) = (self.big_parts(), other.big_parts());
        if b == d {
            return bounded(a + c, b, bits, toward);
        }
        bounded(a * &d + c * &b, b * d, bits, toward)
    }

    /// A bound of a quotient by a number above zero on the given side, with at least `bits` leading bits right.
    pub(in crate::quantity) fn quotient_bound(&self, divisor: &Number, bits: u32, toward: Toward) -> Number {
        let ((a, b), (c, d)) = (self.big_parts(), divisor.big_parts());
        bounded(a * d, b * c, bits, toward)
    }

    /// The whole part, rounded down.
    pub(in crate::quantity) fn floor(&self) -> BigInt {
        self.scaled(0)
    }

    /// The largest whole number that is not above it.
    #[must_use]
    pub fn floor_number(&self) -> Number {
        Number::dyadic(self.floor(), 0)
    }

    /// The root of a number that is a square, else `None`.
    pub(in crate::quantity) fn exact_root(&self) -> Option<Number> {
        let (above, below) = match self.reduced_parts() {
            Some((above, below)) => (BigInt::from(above), BigInt::from(below)),
            None => self.big_parts(),
        };
        if above < BigInt::ZERO {
            return None;
        }
        let (root_above, root_below) = (above.sqrt(), below.sqrt());
        (&root_above * &root_above == above && &root_below * &root_below == below)
            .then(|| Number::big_reduced(root_above, root_below))
    }

    /// A bound of the root on the given side, at least `bits` leading bits right; the number is not below zero.
    pub(in crate::quantity) fn root_bound(&self, bits: u32, toward: Toward) -> Number {
        // An even shift, so that the root of the scale is a power of two too.
        let half = i64::from(bits) + 2 - self.exponent().div_euclid(2);
        let floor = self.scaled(2 * half).sqrt();
        match toward {
            Toward::Below => Number::dyadic(floor, half),
            Toward::Above => Number::dyadic(floor + 1, half),
        }
    }
}
