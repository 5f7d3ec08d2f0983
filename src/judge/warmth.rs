//! Readings that were brought to 20 °C, in words: as they were taken, and as they were judged.

use super::ruling_report::ReportContext;
use crate::bind::{Reading, Readings};
use crate::book::Datum;
use crate::quantity::{Unit, shown_apart};

/// What stands behind a value that was brought to 20 °C.
pub(super) const AT_REFERENCE: &str = " at 20 degC";

/// A reading as it is written, with its temperature where it was brought to 20 °C: `80.00 mm at 27 degC`.
pub(super) fn written(readings: &Readings, reading: &Reading) -> String {
    as_taken(readings, reading).unwrap_or_else(|| readings.slice(reading.span).trim().to_string())
}

fn as_taken(readings: &Readings, reading: &Reading) -> Option<String> {
    let part_at = &reading.warmth()?.part_temperature;
    Some(format!("{} at {}", readings.slice(reading.span).trim(), unquoted(readings.slice(part_at.span))))
}

fn unquoted(text: &str) -> &str {
    text.trim().trim_matches(['"', '\'']).trim()
}

/// `80.00 mm at 27 degC, 79.9944 mm at 20 degC`, of a reading and the value it comes to.
pub(super) fn brought(readings: &Readings, reading: &Reading, value: &str) -> String {
    match as_taken(readings, reading) {
        Some(as_taken) => format!("{as_taken}, {value}{AT_REFERENCE}"),
        None => value.to_string(),
    }
}

/// What the readings come to that a value is worked out from, where some were not taken at 20 °C.
pub(super) fn behind(context: &ReportContext<'_>) -> Option<String> {
    const MOST_TOLD: usize = 4;
    if context.direct().is_some() {
        return None;
    }
    let mut told = Vec::new();
    for (slot, number) in context.inputs() {
        let Some(reading) = context.readings.taken(slot).get(number) else { continue };
        let (Some(warmth), Datum::Quantity(value)) = (reading.warmth(), &reading.datum) else { continue };
        let unit =
            context.book.slot_owner(slot).and_then(|(id, _, _)| context.book.characteristics.get(id).unit.clone());
        let (value, _) = shown_apart(value, &warmth.as_taken, &unit.unwrap_or_else(Unit::number), 4);
        told.push(format!("{} counts as {value}", as_taken(context.readings, reading)?));
    }
    let more = if told.len() > MOST_TOLD { format!(", and {} more", told.len() - MOST_TOLD) } else { String::new() };
    told.truncate(MOST_TOLD);
    (!told.is_empty()).then(|| format!("brought to 20 °C: {}{more}", told.join(", ")))
}
