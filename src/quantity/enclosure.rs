//! Intervals with exact ends, rounded outward: what is known of a number that no fraction can hold.

use super::number::{Number, bounds::Toward};

/// Everything between two exact numbers, both counted in. The number meant lies somewhere inside.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Enclosure {
    /// The lower end; never above the upper one.
    pub low: Number,
    /// The upper end.
    pub high: Number,
}

/// Leading bits kept when an end is rounded outward: 48 decimal digits.
pub(super) const WORKING_BITS: u32 = 160;

/// Ends beyond 2^±40,000 (about 10^±12,041) are not followed: above, nothing is known any more; below, zero is the
/// bound. No exact value comes near (see `EXACT_BITS`), so a comparison with such an end is never decided wrongly.
const FAR: i64 = 40_000;

impl Enclosure {
    /// One exact number.
    pub(super) fn point(number: Number) -> Enclosure {
        Enclosure { low: number.clone(), high: number }
    }

    /// Both ends rounded outward to `bits` leading bits.
    pub(super) fn outward(low: &Number, high: &Number, bits: u32) -> Enclosure {
        if low.exponent() > FAR || high.exponent() > FAR {
            return Enclosure::unbounded();
        }
        Enclosure { low: bound(low, bits, Toward::Below), high: bound(high, bits, Toward::Above) }
    }

    /// Nothing is known.
    pub(super) fn unbounded() -> Enclosure {
        let far = Number::dyadic(1.into(), -FAR - 1);
        Enclosure { low: -&far, high: far }
    }

    /// Whether nothing is known.
    pub(super) fn is_unbounded(&self) -> bool {
        self.high.exponent() > FAR
    }

    /// Whether no sum or product of two such enclosures comes near the ends of what is followed.
    fn is_near(&self) -> bool {
        const NEAR: i64 = FAR / 4;
        [&self.low, &self.high].into_iter().all(|end| end.exponent().abs() < NEAR)
    }

    pub(super) fn holds_zero(&self) -> bool {
        self.low.signum() <= 0 && self.high.signum() >= 0
    }

    pub(super) fn add(&self, other: &Enclosure, bits: u32) -> Enclosure {
        if self.is_unbounded() || other.is_unbounded() {
            return Enclosure::unbounded();
        }
        if self.is_near() && other.is_near() {
            return Enclosure {
                low: self.low.sum_bound(&other.low, bits, Toward::Below),
                high: self.high.sum_bound(&other.high, bits, Toward::Above),
            };
        }
        Enclosure::outward(&(&self.low + &other.low), &(&self.high + &other.high), bits)
    }

    pub(super) fn negate(&self) -> Enclosure {
        Enclosure { low: -&self.high, high: -&self.low }
    }

    pub(super) fn multiply(&self, other: &Enclosure, bits: u32) -> Enclosure {
        if self.is_unbounded() || other.is_unbounded() {
            return Enclosure::unbounded();
        }
        // Both above zero, the usual case: each end is the product of two ends.
        if self.low.signum() >= 0 && other.low.signum() >= 0 && self.is_near() && other.is_near() {
            return Enclosure {
                low: self.low.product_bound(&other.low, bits, Toward::Below),
                high: self.high.product_bound(&other.high, bits, Toward::Above),
            };
        }
        let products =
            [&self.low * &other.low, &self.low * &other.high, &self.high * &other.low, &self.high * &other.high];
        let mut low = &self.low * &other.low;
        let mut high = low.clone();
        for product in products {
            if product < low {
                low = product;
            } else if product > high {
                high = product;
            }
        }
        Enclosure::outward(&low, &high, bits)
    }

    /// The quotient; `None` where the divisor may be zero.
    pub(super) fn divide(&self, divisor: &Enclosure, bits: u32) -> Option<Enclosure> {
        // Both above zero, the usual case: each end is the quotient of two ends.
        if self.low.signum() >= 0 && divisor.low.signum() > 0 && self.is_near() && divisor.is_near() {
            return Some(Enclosure {
                low: self.low.quotient_bound(&divisor.high, bits, Toward::Below),
                high: self.high.quotient_bound(&divisor.low, bits, Toward::Above),
            });
        }
        Some(self.multiply(&divisor.reciprocal(bits)?, bits))
    }

    /// One over it; `None` where it may be zero.
    fn reciprocal(&self, bits: u32) -> Option<Enclosure> {
        if self.holds_zero() {
            return None;
        }
        if self.low.signum() > 0 && self.is_near() {
            return Enclosure::point(Number::ONE).divide(self, bits);
        }
        let low = Number::ONE.checked_div(&self.high)?;
        let high = Number::ONE.checked_div(&self.low)?;
        Some(Enclosure::outward(&low, &high, bits))
    }

    pub(super) fn absolute(&self) -> Enclosure {
        if self.low.signum() >= 0 {
            self.clone()
        } else if self.high.signum() <= 0 {
            self.negate()
        } else {
            Enclosure { low: Number::ZERO, high: self.high.clone().max(-&self.low) }
        }
    }

    /// `None` for a negative power of what may be zero.
    pub(super) fn power(&self, exponent: i8, bits: u32) -> Option<Enclosure> {
        if exponent < 0 {
            return self.power_up(exponent.unsigned_abs(), bits).reciprocal(bits);
        }
        Some(self.power_up(exponent.unsigned_abs(), bits))
    }

    fn power_up(&self, exponent: u8, bits: u32) -> Enclosure {
        if exponent == 0 {
            return Enclosure::point(Number::ONE);
        }
        if exponent == 1 {
            return self.clone();
        }
        if self.is_unbounded() {
            return Enclosure::unbounded();
        }
        // An odd power rises everywhere, an even one with the magnitude: each end has its own power.
        let even = exponent.is_multiple_of(2);
        let base = if even { self.absolute() } else { self.clone() };
        let end = |number: &Number| {
            let magnitude = Enclosure::point(number.abs()).power_of_magnitude(exponent, bits);
            if number.signum() < 0 { magnitude.negate() } else { magnitude }
        };
        let (low, high) = (end(&base.low), end(&base.high));
        if low.is_unbounded() || high.is_unbounded() {
            return Enclosure::unbounded();
        }
        Enclosure { low: low.low, high: high.high }
    }

    fn power_of_magnitude(&self, exponent: u8, bits: u32) -> Enclosure {
        let mut result = Enclosure::point(Number::ONE);
        let mut square = self.clone();
        let mut left = exponent;
        while left > 0 {
            if left % 2 == 1 {
                result = result.multiply(&square, bits);
            }
            left /= 2;
            if left > 0 {
                square = square.multiply(&square, bits);
            }
        }
        result
    }

    /// The smallest enclosure that holds both.
    pub(super) fn hull(&self, other: &Enclosure) -> Enclosure {
        Enclosure { low: self.low.clone().min(other.low.clone()), high: self.high.clone().max(other.high.clone()) }
    }
}

fn bound(number: &Number, bits: u32, toward: Toward) -> Number {
    if number.exponent() >= -FAR {
        return number.shortened(bits, toward);
    }
    let smallest = Number::dyadic(1.into(), FAR);
    match (toward, number.signum() < 0) {
        (Toward::Below, true) => -smallest,
        (Toward::Above, false) => smallest,
        _ => Number::ZERO,
    }
}
