//! Bands with short decimal ends, for a first look at a value; refuses to say anything of a value but that it is inside.

use super::band::{Band, End};
use super::number::Short;
use super::value::Value;
use std::cmp::Ordering;

/// A band whose ends are decimals of at most 18 digits. What it holds lies inside for certain; of what it does not hold nothing
/// is known.
#[derive(Clone, Copy, Debug, Default)]
pub struct ShortBand {
    low: Option<ShortEnd>,
    high: Option<ShortEnd>,
}

#[derive(Clone, Copy, Debug)]
struct ShortEnd {
    value: Short,
    closed: bool,
}

impl ShortEnd {
    /// An end; none where it is no short decimal.
    fn new(end: &End) -> Option<ShortEnd> {
        let Value::Exact { number, pi: 0 } = &end.value else { return None };
        Some(ShortEnd { value: number.short()?, closed: end.closed })
    }

    /// Of two ends the one further inward; of two at one place, the one that does not count in.
    fn further(self, other: ShortEnd, inward: Ordering) -> Option<ShortEnd> {
        Some(match self.value.compare(other.value)? {
            Ordering::Equal => ShortEnd { closed: self.closed && other.closed, ..self },
            order if order == inward => self,
            _ => other,
        })
    }

    /// Whether a value lies on the inner side of it for certain.
    #[inline]
    fn is_past(self, value: Short, inward: Ordering) -> bool {
        match value.compare(self.value) {
            Some(Ordering::Equal) => self.closed,
            Some(order) => order == inward,
            None => false,
        }
    }
}

impl ShortBand {
    /// The band that lets through what all of some bands do; none where an end is no short decimal.
    #[must_use]
    pub fn within_all<'b>(bands: impl IntoIterator<Item = &'b Band>) -> Option<ShortBand> {
        let mut all = ShortBand::default();
        for band in bands {
            for (own, end, inward) in
                [(&mut all.low, &band.low, Ordering::Greater), (&mut all.high, &band.high, Ordering::Less)]
            {
                let Some(end) = end else { continue };
                let end = ShortEnd::new(end)?;
                *own = Some(own.map_or(Some(end), |own| own.further(end, inward))?);
            }
        }
        Some(all)
    }

    /// Whether a value lies inside for certain.
    #[must_use]
    #[inline]
    pub fn holds(&self, value: &Value) -> bool {
        let Value::Exact { number, pi: 0 } = value else { return false };
        let Some(value) = number.short() else { return false };
        self.low.is_none_or(|end| end.is_past(value, Ordering::Greater))
            && self.high.is_none_or(|end| end.is_past(value, Ordering::Less))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::quantity::{Number, Side};
    use proptest::prelude::*;

    /// Small decimals, so that values often lie at an end; now and then one that fills 64 bits.
    fn number() -> impl Strategy<Value = Number> {
        let (small, long) = (-2_i64..3, any::<i64>());
        let units = prop_oneof![9 => small, 1 => long];
        (units, prop_oneof![4 => Just(0), 1 => 0_u32..=18])
            .prop_map(|(units, places)| Number::ratio(units, 10_i64.pow(places)).unwrap())
    }

    fn end() -> impl Strategy<Value = Option<End>> {
        proptest::option::of((number(), any::<bool>()).prop_map(|(value, closed)| End { value: value.into(), closed }))
    }

    fn band() -> impl Strategy<Value = Band> {
        (end(), end()).prop_map(|(low, high)| Band { low, high })
    }

    proptest! {
        #[test]
        fn what_it_holds_lies_in_every_band(bands in prop::collection::vec(band(), 1..4), value in number()) {
            let value = Value::from(value);
            let inside = bands.iter().all(|band| band.locate(&value) == Side::Inside);
            if let Some(short) = ShortBand::within_all(&bands) {
                prop_assert!(!short.holds(&value) || inside, "{bands:?} {value:?}");
            }
        }

        #[test]
        fn of_decimals_as_readings_are_it_holds_all_that_lie_inside(
            low in (0_i64..8, 0_u32..2, any::<bool>()),
            high in (0_i64..8, 0_u32..2, any::<bool>()),
            value in (0_i64..8, 0_u32..2),
        ) {
            let number = |units: i64, places: u32| Value::from(Number::ratio(units, 10_i64.pow(places)).unwrap());
            let end = |(units, places, closed): (i64, u32, bool)| End { value: number(units, places), closed };
            let band = Band { low: Some(end(low)), high: Some(end(high)) };
            let value = number(value.0, value.1);
            let short = ShortBand::within_all([&band]).unwrap();
            prop_assert_eq!(short.holds(&value), band.locate(&value) == Side::Inside);
        }
    }

    #[test]
    fn of_two_ends_at_one_place_the_open_one_counts() {
        let end = |closed| Some(End { value: Value::ONE, closed });
        for (one, other) in [(true, false), (false, true), (false, false), (true, true)] {
            let low = [one, other].map(|closed| Band { low: end(closed), high: None });
            let high = [one, other].map(|closed| Band { low: None, high: end(closed) });
            for bands in [low, high] {
                assert_eq!(ShortBand::within_all(&bands).unwrap().holds(&Value::ONE), one && other);
            }
        }
    }

    #[test]
    fn a_multiple_of_pi_and_a_long_number_are_left_to_the_band() {
        let pi = Value::pi();
        assert!(ShortBand::within_all([&Band::at_least(pi.clone())]).is_none());
        let third = Value::from(Number::ratio(1, 3).unwrap());
        assert!(ShortBand::within_all([&Band::at_most(third.clone())]).is_none());
        let short = ShortBand::within_all([&Band::at_least(Value::ZERO)]).unwrap();
        assert!(!short.holds(&pi) && !short.holds(&third) && short.holds(&Value::ONE));
    }
}
