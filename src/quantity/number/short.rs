//! Decimals of at most 18 digits, which most readings and most ends of ranges are; refuses what would not fit 64 bits.

use super::{Form, MOST_PLACES, Number, ten};
use std::cmp::Ordering;

/// A decimal of at most 18 digits as written: `units / 10^places`, zeros at its end kept.
#[derive(Clone, Copy, Debug)]
pub struct Short {
    pub(super) units: i64,
    pub(super) places: u8,
}

impl Short {
    /// Which is larger; none where the two cannot be brought to the same places in 64 bits.
    #[inline]
    pub(in crate::quantity) fn compare(self, other: Short) -> Option<Ordering> {
        let more = self.places.max(other.places);
        let left = self.units.checked_mul(ten(more - self.places))?;
        let right = other.units.checked_mul(ten(more - other.places))?;
        Some(left.cmp(&right))
    }
}

impl Number {
    /// The number, if it is a decimal held in 64 bits.
    #[inline]
    pub(in crate::quantity) fn short(&self) -> Option<Short> {
        if let Form::Decimal { units, places } = self.0 { Some(Short { units, places }) } else { None }
    }

    /// The product with a short decimal, if both and the product are short; none else.
    #[inline]
    pub(in crate::quantity) fn short_product(&self, short: Short) -> Option<Number> {
        let own = self.short()?;
        let places = own.places + short.places;
        (places <= MOST_PLACES).then_some(())?;
        Some(Number::decimal(own.units.checked_mul(short.units)?, places))
    }
}
