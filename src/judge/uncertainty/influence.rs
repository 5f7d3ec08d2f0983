//! What can be off in a reading, and by how much: the gauge, its resolution, the temperature, repeats.

use super::{Form, Weighing};
use crate::bind::{Certified, Gauge, Reading, Temperature};
use crate::book::{Datum, Id, Part};
use crate::quantity::{Number, Value};
use crate::statistics::sample;

/// One thing that is not known exactly. Any two of them are independent of each other, but for calibrations whose certificates
/// state a correlation.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Influence {
    /// A gauge's calibration: common to all readings by it. Its number in the record's gauges. One that grows with the
    /// reading counts in shares of it, or in what it comes to at each.
    Calibration(u16),
    /// The expansion of a gauge's scale: common to all readings by it.
    GaugeExpansion(u16),
    /// The expansion of a part's material: common to all its readings, at every position.
    PartExpansion(Id<Part>),
    /// A temperature, by the byte of the record it is written at: common to the readings under it.
    Temperature(u32),
    /// The resolution of the gauge in one reading: its slot, and which of the slot's readings.
    Resolution(u32, u32),
    /// The uncertainty one reading says for itself.
    Stated(u32, u32),
    /// How far repeats of a slot lie from each other, in their mean (type A, JCGM 100:2008, 4.2).
    Repeats(u32),
}

/// A slot or a number of readings as an influence names it; there are never so many that it does not fit.
fn short(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

impl Weighing<'_> {
    /// How one reading of a slot follows.
    pub(in crate::judge) fn reading(&self, slot: usize, number: usize) -> Form {
        let readings = self.bench.readings;
        let Some(reading) = readings.taken(slot).get(number) else { return Form::default() };
        let mut form = self.as_taken(reading, slot, number);
        let warmth = reading.detail.as_ref().and_then(|detail| detail.warmth.as_ref());
        if let Some(warmth) = warmth {
            form = form.scaled(&warmth.to_reading);
            let mut add = |influence: Influence, by: &Value| {
                if *by != Value::ZERO {
                    form = std::mem::take(&mut form).with(&Form::one(influence, by.clone()), false);
                }
            };
            let at = |temperature: &Temperature| Influence::Temperature(temperature.span.start);
            add(at(&warmth.part_temperature), &warmth.to_part_temperature);
            add(at(&warmth.gauge_temperature), &warmth.to_gauge_temperature);
            add(Influence::PartExpansion(warmth.part), &warmth.to_part_expansion);
            if let Some(gauge) = reading.gauge {
                add(Influence::GaugeExpansion(gauge), &warmth.to_gauge_expansion);
            }
        }
        form
    }

    /// How a reading follows what was said of it, apart from warmth.
    pub(super) fn as_taken(&self, reading: &Reading, slot: usize, number: usize) -> Form {
        let (at, nth) = (short(slot), short(number));
        if reading.detail.as_ref().is_some_and(|detail| detail.uncertainty.is_some()) {
            return Form::one(Influence::Stated(at, nth), Value::ONE);
        }
        let mut terms = Vec::new();
        if let (Some(number), Some(gauge)) = (reading.gauge, self.gauge(reading.gauge)) {
            if let Some(certified) = &gauge.uncertainty {
                let by = reading_value(reading).map_or(Value::ONE, |value| certified.sensitivity(value));
                terms.push((Influence::Calibration(number), by));
            }
            if gauge.resolution.is_some() {
                terms.push((Influence::Resolution(at, nth), Value::ONE));
            }
        }
        let measured = self.bench.plan.measured.get(slot).copied().unwrap_or(false);
        Form { unknown: terms.is_empty() && measured, terms, boundless: false }
    }

    fn gauge(&self, number: Option<u16>) -> Option<&Gauge> {
        self.bench.readings.gauges.get(usize::from(number?))
    }

    fn reading_at(&self, slot: u32, number: u32) -> Option<&Reading> {
        self.bench.readings.taken(slot as usize).get(number as usize)
    }

    /// The square of an influence's standard uncertainty, in its own base unit.
    pub(super) fn variance_of(&self, influence: Influence) -> Value {
        let readings = self.bench.readings;
        match influence {
            Influence::Calibration(gauge) => {
                let certified = self.gauge(Some(gauge)).and_then(|gauge| gauge.uncertainty.as_ref());
                certified.map_or(Value::ZERO, Certified::variance)
            }
            Influence::GaugeExpansion(gauge) => self
                .gauge(Some(gauge))
                .and_then(|gauge| gauge.expansion.as_ref())
                .map_or(Value::ZERO, |(_, half_width)| rectangular(half_width)),
            Influence::PartExpansion(part) => {
                let expansion = self.book.parts.get(part).expansion.as_ref();
                expansion.map_or(Value::ZERO, |expansion| rectangular(&expansion.half_width))
            }
            Influence::Temperature(at) => self.memory.temperature(readings, at).map_or(Value::ZERO, rectangular),
            Influence::Resolution(slot, number) => self
                .reading_at(slot, number)
                .and_then(|reading| self.gauge(reading.gauge))
                .and_then(|gauge| gauge.resolution.as_ref())
                .map_or(Value::ZERO, step),
            Influence::Stated(slot, number) => self
                .reading_at(slot, number)
                .and_then(|reading| {
                    let certified = reading.detail.as_ref()?.uncertainty.as_ref()?;
                    Some(certified.variance_at(reading_value(reading).unwrap_or(&Value::ZERO)))
                })
                .unwrap_or(Value::ZERO),
            Influence::Repeats(slot) => {
                let values = readings.quantities(slot as usize).unwrap_or_default();
                let count = i64::try_from(values.len()).unwrap_or(i64::MAX);
                sample::variance(&values)
                    .and_then(|variance| variance.divide(&Value::from(Number::from_integer(count))))
                    .unwrap_or(Value::ZERO)
            }
        }
    }

    /// The degrees of freedom of an influence's variance; none for as good as without end.
    pub(super) fn freedom_of(&self, influence: Influence) -> Option<Number> {
        match influence {
            Influence::Calibration(gauge) => self.gauge(Some(gauge))?.degrees_of_freedom.clone(),
            Influence::Stated(slot, number) => {
                self.reading_at(slot, number)?.detail.as_ref()?.degrees_of_freedom.clone()
            }
            Influence::Repeats(slot) => {
                let count = self.bench.readings.taken(slot as usize).len();
                Some(Number::from_integer(i64::try_from(count.saturating_sub(1)).unwrap_or(i64::MAX)))
            }
            Influence::GaugeExpansion(_)
            | Influence::PartExpansion(_)
            | Influence::Temperature(_)
            | Influence::Resolution(..) => None,
        }
    }
}

/// What was read of a quantity, as it was taken.
fn reading_value(reading: &Reading) -> Option<&Value> {
    match (reading.warmth(), &reading.datum) {
        (Some(warmth), _) => Some(&warmth.as_taken),
        (None, Datum::Quantity(value)) => Some(value),
        (None, _) => None,
    }
}

/// The square of the standard uncertainty of one reading by a gauge whose uncertainty is the same at each; none where the
/// gauge says nothing of itself.
pub(super) fn variance_of_gauge(gauge: &Gauge) -> Option<Value> {
    let certified = gauge.uncertainty.as_ref().map(Certified::variance);
    let step = gauge.resolution.as_ref().map(step);
    match (certified, step) {
        (Some(certified), Some(step)) => Some(certified.add(&step)),
        (one, other) => one.or(other),
    }
}

/// The variance of what may lie anywhere within a half width to either side (JCGM 100:2008, 4.3.7).
fn rectangular(half_width: &Value) -> Value {
    let third = Number::ratio(1, 3).unwrap_or_default();
    half_width.squared().multiply(&third.into())
}

/// The variance of a step: half of it to either side (JCGM 100:2008, F.2.2.1).
fn step(resolution: &Value) -> Value {
    let twelfth = Number::ratio(1, 12).unwrap_or_default();
    resolution.squared().multiply(&twelfth.into())
}
