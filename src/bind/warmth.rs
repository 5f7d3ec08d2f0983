//! Lengths taken warm or cold, brought to 20 °C, the reference temperature of ISO 1:2022, with the derivatives of what
//! that comes to. Refuses to know how sure anything is.

use super::walk::Binder;
use super::{Reading, Temperature, Warmth, wording_gauge};
use crate::book::{Characteristic, Datum, Id, Kind, Part};
use crate::quantity::{Dimension, Number, Value};
use crate::text::Span;
use std::cmp::Ordering;

/// 20 °C in kelvin: 0 °C is 273.15 K exactly (BIPM SI Brochure, 9th ed., 2.3.1).
pub(crate) fn reference() -> Value {
    Value::from(Number::ratio(29_315, 100).unwrap_or_default())
}

/// A part without an expansion, of which readings were taken away from 20 °C.
pub(super) struct Unexpanded {
    pub(super) part: Id<Part>,
    pub(super) first: Span,
    pub(super) readings: usize,
}

/// A length brought to 20 °C: `L·(1 + a_g·(T_g − 20 °C)) / (1 + a_p·(T_p − 20 °C))`. The reading of a gauge whose scale has
/// grown is too small, that of a part that has grown too large. `None` where the part would have no length left.
pub(super) fn to_reference(
    as_taken: &Value,
    (part, part_expansion, part_temperature): (Id<Part>, &Value, &Temperature),
    (gauge_expansion, gauge_temperature): (&Value, &Temperature),
) -> Option<(Value, Warmth)> {
    let reference = reference();
    let part_warmer = part_temperature.value.subtract(&reference);
    let gauge_warmer = gauge_temperature.value.subtract(&reference);
    let part_growth = Value::ONE.add(&part_expansion.multiply(&part_warmer));
    let gauge_growth = Value::ONE.add(&gauge_expansion.multiply(&gauge_warmer));
    let above = |value: &Value| value.compare(&Value::ZERO) == Some(Ordering::Greater);
    if !above(&part_growth) || !above(&gauge_growth) {
        return None;
    }
    let to_reading = gauge_growth.divide(&part_growth)?;
    let value = as_taken.multiply(&to_reading);
    // By how much the value falls as the part's growth rises by one: both of the part's derivatives hang on it.
    let to_growth = value.divide(&part_growth)?.negate();
    let per_gauge_growth = as_taken.divide(&part_growth)?;
    let warmth = Warmth {
        as_taken: as_taken.clone(),
        part_temperature: part_temperature.clone(),
        gauge_temperature: gauge_temperature.clone(),
        part,
        to_part_temperature: to_growth.multiply(part_expansion),
        to_gauge_temperature: per_gauge_growth.multiply(gauge_expansion),
        to_part_expansion: to_growth.multiply(&part_warmer),
        to_gauge_expansion: per_gauge_growth.multiply(&gauge_warmer),
        to_reading,
    };
    Some((value, warmth))
}

impl Binder<'_> {
    /// Brings a reading to 20 °C, if it is a length with a temperature on a part whose expansion is declared.
    pub(super) fn bring_to_reference(
        &mut self,
        (characteristic, station): (&Characteristic, Option<usize>),
        reading: &mut Reading,
        gauge_at: Option<&Temperature>,
    ) {
        let (Kind::Quantity(Dimension::LENGTH), Datum::Quantity(as_taken)) = (characteristic.kind, &reading.datum)
        else {
            return;
        };
        let Some(detail) = reading.detail.as_mut() else { return };
        let Some(part_at) = &detail.temperature else { return };
        let gauge_at = gauge_at.unwrap_or(part_at);
        let Some(expansion) = &self.book.parts.get(characteristic.part).expansion else {
            if part_at.value.compare(&reference()) != Some(Ordering::Equal) {
                self.unexpanded(characteristic.part, part_at.span);
            }
            return;
        };
        let number = reading.gauge.map(usize::from);
        // How the gauge grows was written and cannot be read: half a correction would be a wrong one.
        if let Some(about) = number.and_then(|number| self.about_gauges.get_mut(number)).filter(|about| about.unsound) {
            about.left_warm.get_or_insert(part_at.span);
            return;
        }
        let gauge_expansion = number
            .and_then(|number| self.readings.gauges.get(number))
            .and_then(|gauge| gauge.expansion.as_ref())
            .map_or(&Value::ZERO, |(coefficient, _)| coefficient);
        let part = (characteristic.part, &expansion.coefficient, part_at);
        match to_reference(as_taken, part, (gauge_expansion, gauge_at)) {
            Some((value, warmth)) => {
                reading.datum = Datum::Quantity(value);
                detail.warmth = Some(warmth);
            }
            None => {
                let place = self.place(part_at.span);
                let finding =
                    wording_gauge::no_length_left(self, (characteristic, station), expansion.place.clone(), place);
                self.say(finding);
            }
        }
    }

    fn unexpanded(&mut self, part: Id<Part>, span: Span) {
        match self.unexpanded.iter_mut().find(|one| one.part == part) {
            Some(one) => one.readings += 1,
            None => self.unexpanded.push(Unexpanded { part, first: span, readings: 1 }),
        }
    }

    /// Says, once a part, that readings were taken away from 20 °C and no book says how the part grows.
    pub(super) fn expansions_missing(&mut self) {
        for one in std::mem::take(&mut self.unexpanded) {
            let finding =
                wording_gauge::expansion_missing(self.book.parts.get(one.part), one.readings, self.place(one.first));
            self.say(finding);
        }
        for number in 0..self.about_gauges.len() {
            let left = self.about_gauges.get(number).and_then(|about| about.left_warm);
            if let (Some(left), Some(gauge)) = (left, self.readings.gauges.get(number)) {
                let finding = wording_gauge::left_warm(&gauge.name, &gauge.place, self.place(left));
                self.say(finding);
            }
        }
    }
}
