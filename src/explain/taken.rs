//! What is said of a reading besides its value, line by line: how warm it was and what that comes to, how sure it is, what
//! it was taken with.

use super::figure::figure;
use super::wording::folded;
use super::{Block, Line};
use crate::bind::{Certified, Gauge, Reading, Readings, Temperature, Warmth};
use crate::book::{Book, Characteristic, Datum};
use crate::judge::uncertainty::APART;
use crate::plan::Plan;
use crate::quantity::{Dimension, Number, Rounded, Unit, Value, shown_apart, shown_significant};
use crate::statistics::{grubbs, sample};

/// 20 °C in kelvin (ISO 1:2022; BIPM SI Brochure, 9th ed., 2.3.1).
fn above_reference(temperature: &Temperature) -> Value {
    temperature.value.subtract(&Value::from(Number::ratio(29_315, 100).unwrap_or_default()))
}

fn millionth() -> Value {
    Value::from(Number::ratio(1, 1_000_000).unwrap_or_default())
}

/// The unit tables print expansions in.
pub(super) fn per_kelvin() -> Unit {
    Unit::new("µm/(m·K)", Dimension::NUMBER, millionth())
}

/// The unit of differences of temperature.
pub(super) fn kelvin() -> Unit {
    Unit::new("K", Dimension::TEMPERATURE, Value::ONE)
}

/// `(1 + 21.5 µm/(m·K) × 7 K)`.
fn growth(expansion: &Value, temperature: &Temperature) -> String {
    let (expansion, warmer) = (figure(expansion, &per_kelvin()), figure(&above_reference(temperature), &kelvin()));
    format!("(1 + {} × {})", expansion.operand(), warmer.operand())
}

/// How a length was brought to 20 °C: `brought to 20 °C: 80.00 mm / (1 + 21.5 µm/(m·K) × 7 K) ≈ 79.987962 mm, 12.0 µm less`.
fn brought(book: &Book, readings: &Readings, reading: &Reading, warmth: &Warmth, unit: &Unit) -> Option<String> {
    let Datum::Quantity(value) = &reading.datum else { return None };
    let part = book.parts.get(warmth.part).expansion.as_ref()?;
    let gauge = readings.gauge_of(reading).and_then(|gauge| gauge.expansion.as_ref());
    let gauge = gauge.map(|(expansion, _)| format!(" × {}", growth(expansion, &warmth.gauge_temperature)));
    let micrometre = Unit::new("µm", Dimension::LENGTH, millionth());
    let (less, more) = (warmth.as_taken.subtract(value), value.subtract(&warmth.as_taken));
    let by = |difference: &Value, word| {
        let (text, _) = shown_apart(difference, &Value::ZERO, &micrometre, 1);
        format!("{text} {word}")
    };
    let by = match less.compare(&Value::ZERO) {
        Some(std::cmp::Ordering::Greater) => by(&less, "less"),
        Some(std::cmp::Ordering::Less) => by(&more, "more"),
        _ => "the same".into(),
    };
    Some(format!(
        "brought to 20 °C: {}{} / {} {}, {by}",
        figure(&warmth.as_taken, unit).operand(),
        gauge.unwrap_or_default(),
        growth(&part.coefficient, &warmth.part_temperature),
        figure(value, unit).result()
    ))
}

/// An uncertainty as its certificate gives it.
fn certified(uncertainty: &Certified, unit: &Unit) -> String {
    match &uncertainty.written {
        None => {
            let (k, why) = (uncertainty.factor_text(), uncertainty.coverage_text());
            format!("uncertainty {} (k = {k}{why})", figure(&uncertainty.fixed, unit).operand())
        }
        Some(_) => format!("uncertainty {}", uncertainty.words(unit)),
    }
}

fn of_gauge(gauge: &Gauge, unit: &Unit) -> String {
    let mut said = Vec::new();
    if let Some(uncertainty) = &gauge.uncertainty {
        said.push(certified(uncertainty, unit));
    }
    if let Some(resolution) = &gauge.resolution {
        said.push(format!("resolution {}", figure(resolution, unit).operand()));
    }
    said.extend(gauge.correlated.iter().map(|it| format!("correlated with {}, r = {}", it.gauge, it.coefficient)));
    said.extend(gauge.calibrated.map(|day| format!("calibrated {day}")));
    said.extend(gauge.due.map(|day| format!("due {day}")));
    let said = if said.is_empty() { "nothing more is listed of it".into() } else { said.join(", ") };
    format!("{}: {said}", gauge.name)
}

/// What several readings of one thing come to: their mean, their standard deviation, and whether one of them stands apart.
pub(super) fn together(readings: &Readings, slot: usize, unit: &Unit) -> Option<String> {
    let values = readings.quantities(slot).filter(|values| values.len() > 1)?;
    let (mean, deviation) = (sample::mean(&values)?, sample::deviation(&values)?);
    let deviation = shown_significant(&deviation, &unit.difference(), 2, Rounded::Up);
    let apart = match grubbs::apart(&values, APART) {
        grubbs::Verdict::TooFew => "too few readings to tell whether one is an outlier".to_string(),
        grubbs::Verdict::Together => "no outlier (Grubbs' test at 5 %)".to_string(),
        grubbs::Verdict::Apart { index, statistic, critical } => {
            format!(
                "reading {} is an outlier (Grubbs' test at 5 %: {statistic:.2}, more than {critical:.2})",
                index + 1
            )
        }
    };
    Some(format!("mean {}, standard deviation {deviation}; {apart}", figure(&mean, unit).operand()))
}

/// Adds what is said of a reading to the lines of a block. Of each gauge it is said once.
pub(super) fn besides(
    block: &mut Block,
    (book, readings): (&Book, &Readings),
    characteristic: &Characteristic,
    reading: &Reading,
    gauges_said: &mut Vec<u16>,
) {
    let mut say = |text: String, place| block.lines.push(Line { text, place, depth: 1 });
    let unit = characteristic.unit.as_ref().map_or_else(Unit::number, Unit::difference);
    let detail = reading.detail.as_deref();
    if let Some((detail, part_at)) = detail.and_then(|detail| Some((detail, detail.temperature.as_ref()?))) {
        let place = Some(readings.place(part_at.span));
        let at = folded(readings.slice(part_at.span));
        match &detail.warmth {
            Some(warmth) => {
                let gauge_at = &warmth.gauge_temperature;
                let apart = if gauge_at.span == part_at.span {
                    String::new()
                } else {
                    format!(", the gauge at {}", folded(readings.slice(gauge_at.span)))
                };
                say(format!("measured at {at}{apart}"), place);
                if let Some(text) = brought(book, readings, reading, warmth, &unit) {
                    let expansion = book.parts.get(warmth.part).expansion.as_ref();
                    say(text, expansion.map(|expansion| expansion.place.clone()));
                }
            }
            None => say(format!("measured at {at}: judged as taken"), place),
        }
    }
    if let Some(uncertainty) = detail.and_then(|detail| detail.uncertainty.as_ref()) {
        let degrees = detail.and_then(|detail| detail.degrees_of_freedom.as_ref());
        let degrees = degrees.map(|degrees| format!(", {} degrees of freedom", degrees.to_text(9))).unwrap_or_default();
        say(format!("own {}{degrees}", certified(uncertainty, &unit)), None);
    }
    if let (Some(number), Some(gauge)) = (reading.gauge, readings.gauge_of(reading))
        && !gauges_said.contains(&number)
    {
        gauges_said.push(number);
        say(of_gauge(gauge, &unit), Some(gauge.place.clone()));
    }
    if let Some(note) = detail.and_then(|detail| detail.note.as_ref()) {
        say(format!("note: {}", folded(note)), None);
    }
}

/// What a slot's values can be at all, as its books declare it.
pub(super) fn plausible(block: &mut Block, plan: &Plan, slot: usize) {
    let bands = plan.plausible.of_slot(slot).map_or(&[][..], |bounds| &bounds.bands);
    for declared in bands.iter().filter_map(|band| band.declared.as_ref()) {
        let text = format!("the plausible range is {}", folded(declared.range.place.text()));
        block.lines.push(Line { text, place: Some(declared.range.place.clone()), depth: 1 });
    }
}
