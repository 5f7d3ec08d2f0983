//! The step a value is rounded to before it is compared, and which values a range then lets through. Refuses to compare.

use crate::quantity::{Band, Enclosure, End, Number, Unit, Value};
use crate::text::Place;

/// The step a value is rounded to before it is compared: to the nearest multiple, halfway to the even one (ASTM E29 rounding
/// method; ISO 80000-1:2009, Annex B, rule A).
#[derive(Clone, Debug)]
pub struct Rounding {
    /// The step, above zero, in base units.
    pub step: Value,
    /// Where multiples are counted from, in base units: nothing but on a scale such as °C, where it is the zero of the scale
    /// the characteristic is declared in.
    pub zero: Value,
    /// Where it is said, and as it is written.
    pub place: Place,
}

impl Rounding {
    /// A step, with the zero of the scale its multiples are counted on.
    #[must_use]
    pub fn new(step: Value, scale: Option<&Unit>, place: Place) -> Rounding {
        let zero = scale.and_then(|unit| unit.zero.clone()).unwrap_or_default();
        Rounding { step, zero, place }
    }

    /// How many places a rounded value is printed with in a unit: those of the step.
    #[must_use]
    pub fn places(&self, unit: &Unit) -> u32 {
        /// Places printed of a step whose decimal does not end.
        const MOST_PLACES: u32 = 4;
        let step = unit.difference().from_base(&self.step);
        step.is_exact_rational().and_then(Number::decimal_places).unwrap_or(MOST_PLACES)
    }

    /// The nearest multiple of the step. Where what is known of the value does not settle which, the answer encloses both.
    #[must_use]
    pub fn round(&self, value: &Value) -> Value {
        // A step is above zero, so there is always an answer.
        value.subtract(&self.zero).round_to(&self.step).map_or_else(|| value.clone(), |above| above.add(&self.zero))
    }

    /// The values that lie in a band once they are rounded: from half a step under its first multiple to half a step over its
    /// last, the half itself where that multiple is even. Empty where the band holds no multiple. `None` where an end is not
    /// known closely enough to tell which multiple that is.
    #[must_use]
    pub fn accepts(&self, band: &Band) -> Option<Band> {
        Some(Band { low: self.accepted(band.low.as_ref(), true)?, high: self.accepted(band.high.as_ref(), false)? })
    }

    /// A band that surely holds every value that lies in another once it is rounded.
    #[must_use]
    pub fn accepts_at_most(&self, band: &Band) -> Band {
        let half = |end: &End, sign: i64| {
            let half = Number::ratio(sign, 2).map_or(Value::ZERO, Value::from);
            End { value: end.value.add(&self.step.multiply(&half)), closed: true }
        };
        self.accepts(band).unwrap_or_else(|| Band {
            low: band.low.as_ref().map(|end| half(end, -1)),
            high: band.high.as_ref().map(|end| half(end, 1)),
        })
    }

    /// The same of one end: `Some(None)` where there is none.
    #[allow(clippy::option_option, reason = "no end is not the same as one that is not known")]
    fn accepted(&self, end: Option<&End>, low: bool) -> Option<Option<End>> {
        let Some(end) = end else { return Some(None) };
        let steps = end.value.subtract(&self.zero).divide(&self.step)?;
        let multiple = multiple(&steps, end.closed, low)?;
        let half = Number::ratio(if low { -1 } else { 1 }, 2)?;
        let value = self.step.multiply(&Value::from(&multiple + &half)).add(&self.zero);
        let even = multiple.checked_div(&Number::from_integer(2))?.is_integer();
        Some(Some(End { value, closed: even }))
    }
}

/// The first whole number at or past an end: upward from a lower one, downward from an upper one.
fn multiple(steps: &Value, closed: bool, low: bool) -> Option<Number> {
    let one = Number::ONE;
    let inward = |number: &Number| match (low, closed) {
        (true, true) => -&(-number).floor_number(),
        (true, false) => &number.floor_number() + &one,
        (false, true) => number.floor_number(),
        (false, false) => &-&(-number).floor_number() - &one,
    };
    if let Some(number) = steps.is_exact_rational() {
        return Some(inward(number));
    }
    let Enclosure { low: least, high: most } = steps.enclosure();
    let (first, last) = (inward(&least), inward(&most));
    (first == last).then_some(first)
}

#[cfg(test)]
mod tests;
