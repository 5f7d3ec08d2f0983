//! Every sentence of the room `judge` about readings that cannot be.

use super::slip::Slip;
use super::{warmth, who, wording};
use crate::bind::{Gauge, Reading, Readings};
use crate::book::{Book, Characteristic, Datum, Origin};
use crate::finding::{Code, Finding, NoteKind, Severity};
use crate::plan::{Agreeing, PlausibleBand};
use crate::quantity::slip::SlipKind;
use crate::quantity::{Band, Number, Unit, Value, shown};
use crate::text::Span;

/// A reading by its slot and its number there: what it is of, in words, and its path.
struct Subject<'a> {
    characteristic: &'a Characteristic,
    words: String,
    /// The same without the number of the reading.
    whole: String,
    path: String,
}

fn subject<'a>(book: &'a Book, readings: &Readings, (slot, number): (usize, usize)) -> Option<Subject<'a>> {
    let (id, positions, station) = book.slot_owner(slot)?;
    let characteristic = book.characteristics.get(id);
    let part = book.part_path(characteristic.part, &positions, " ").replace('_', " ");
    let mut words = characteristic.name.replace('_', " ");
    if let Some(name) = station.and_then(|station| characteristic.stations().get(usize::from(station))) {
        words = format!("{words} at {}", name.replace('_', " "));
    }
    let whole = if part.is_empty() { words } else { format!("{part}: {words}") };
    let several = readings.taken(slot).len() > 1;
    let words = if several { format!("{whole}, reading {}", number + 1) } else { whole.clone() };
    Some(Subject { characteristic, words, whole, path: book.path(id, &positions, station) })
}

/// The value as it is written; one that was brought to 20 °C with what it comes to.
fn value(readings: &Readings, characteristic: &Characteristic, reading: &Reading) -> String {
    let written = readings.slice(reading.span).trim().to_string();
    match (&reading.datum, &characteristic.unit) {
        (Datum::Quantity(value), Some(unit)) if reading.warmth().is_some() => {
            warmth::brought(readings, reading, &shown(value, unit, places(value, unit)))
        }
        _ => written,
    }
}

/// As many places as a value needs in a unit, four at most.
fn places(value: &Value, unit: &Unit) -> u32 {
    unit.from_base(value).is_exact_rational().and_then(Number::decimal_places).unwrap_or(4).min(4)
}

fn quantity(value: &Value, unit: Option<&Unit>) -> String {
    let number = Unit::number();
    let unit = unit.unwrap_or(&number);
    shown(value, unit, places(value, unit))
}

/// The ends of a band in a unit: "79.0 to 80.3 mm", "at least 0 mm".
fn ends(band: &Band, unit: Option<&Unit>) -> String {
    match (&band.low, &band.high) {
        (Some(low), Some(high)) => {
            let (low, high) = (quantity(&low.value, unit), quantity(&high.value, unit));
            let bare = unit.and_then(|unit| low.strip_suffix(&*unit.symbol)).map_or(low.as_str(), str::trim_end);
            format!("{bare} to {high}")
        }
        (Some(low), None) => {
            format!("{} {}", if low.closed { "at least" } else { "above" }, quantity(&low.value, unit))
        }
        (None, Some(high)) => {
            format!("{} {}", if high.closed { "at most" } else { "below" }, quantity(&high.value, unit))
        }
        (None, None) => "anything".into(),
    }
}

/// Why a value lies outside: "it can only be 79.0 to 80.3 mm".
fn reason(outside: &PlausibleBand, unit: Option<&Unit>) -> String {
    match &outside.declared {
        None => "it cannot be negative".into(),
        Some(declared) if declared.or_zero => format!("the plausible range is {}, or zero", ends(&outside.band, unit)),
        Some(_) => format!("the plausible range is {}", ends(&outside.band, unit)),
    }
}

fn with_declaration(
    book: &Book,
    finding: Finding,
    characteristic: &Characteristic,
    outside: &PlausibleBand,
) -> Finding {
    let Some(declared) = &outside.declared else {
        return finding.since(characteristic.place.clone(), "may not be negative");
    };
    let label = if declared.shop.is_some() { "narrowed here" } else { "declared here" };
    let mut finding = finding.since(declared.range.place.clone(), label);
    if let Some(because) = &declared.texts.because {
        finding = finding.note(NoteKind::Because, because.to_string());
    }
    match (&declared.texts.provenance, &declared.shop) {
        (Some(provenance), _) => finding.note(NoteKind::Source, who::source_words(book, provenance)),
        (None, Some(shop)) => finding.note(NoteKind::Source, format!("{shop}, house tolerance")),
        (None, None) => finding,
    }
}

fn slipped(finding: Finding, readings: &Readings, slip: Option<Slip>) -> Finding {
    let Some(slip) = slip else { return finding };
    let written = readings.slice(slip.span);
    let words = match slip.kind {
        SlipKind::Sign => format!("{written} reads like {} with a minus sign", slip.instead),
        kind => wording::slip(written, &slip.instead, kind == SlipKind::Swapped, kind == SlipKind::Inches),
    };
    finding.note(NoteKind::Slip, words)
}

/// What to do about a reading that cannot be.
fn measure_again(reading: &Reading, readings: &Readings) -> String {
    let written = readings.slice(reading.span).trim();
    if reading.detail.is_some() || reading.gauge.is_some() {
        return "measure it again; if it is right, add `confirmed: NAME` beside its value".into();
    }
    format!("measure it again; if it is right, write `{{ value: {written}, confirmed: NAME }}`")
}

pub(super) fn implausible(
    book: &Book,
    readings: &Readings,
    input: (usize, usize),
    outside: &PlausibleBand,
    slip: Option<Slip>,
) -> Finding {
    let Some((about, reading)) = found(book, readings, input) else { return lost(Code::ReadingImplausible) };
    let written = value(readings, about.characteristic, reading);
    let reason = reason(outside, about.characteristic.unit.as_ref());
    let finding = Finding::new(Code::ReadingImplausible, format!("{} cannot be {written}: {reason}", about.words))
        .about(about.path)
        .at(readings.place(reading.span), "not counted")
        .help(measure_again(reading, readings));
    with_declaration(book, slipped(finding, readings, slip), about.characteristic, outside)
}

/// Why a value would be doubted if nobody confirmed it.
#[derive(Clone, Copy)]
pub(super) enum Doubt<'a> {
    /// It lies outside a band of what it can be.
    Outside(&'a PlausibleBand),
    /// It lies too far from the others of its list or its stations.
    Apart,
    /// It would be among its like with two digits swapped: as this.
    Swapped(&'a str),
}

pub(super) fn confirmed(book: &Book, readings: &Readings, input: (usize, usize), doubt: Doubt<'_>) -> Finding {
    let Some((about, reading)) = found(book, readings, input) else { return lost(Code::ReadingConfirmed) };
    let written = value(readings, about.characteristic, reading);
    let who = reading.detail.as_ref().and_then(|it| it.confirmed.as_ref()).map_or("", |it| &*it.by);
    let reason = match doubt {
        Doubt::Outside(outside) => reason(outside, about.characteristic.unit.as_ref()),
        Doubt::Apart => "it does not agree with the others".into(),
        Doubt::Swapped(instead) => format!("the others are nearer to {instead}, the same with two digits swapped"),
    };
    let message = format!("{} is {written}, confirmed by {who}, though {reason}", about.words);
    let finding = Finding::new(Code::ReadingConfirmed, message)
        .about(about.path)
        .at(readings.place(reading.span), "counted as confirmed");
    match (doubt, &about.characteristic.origin) {
        (Doubt::Outside(outside), _) => with_declaration(book, finding, about.characteristic, outside),
        (Doubt::Apart, Origin::Reading { agree: Some(agree), .. }) => {
            finding.since(agree.place.clone(), "declared here")
        }
        (Doubt::Apart | Doubt::Swapped(_), _) => finding,
    }
}

/// A value, or a list of them, that somebody confirms and that counts without that.
pub(super) fn confirmation_idle(book: &Book, readings: &Readings, slot: usize, numbers: &[usize]) -> Finding {
    let first = numbers.first().copied().unwrap_or(0);
    let Some((about, reading)) = found(book, readings, (slot, first)) else { return lost(Code::ConfirmationIdle) };
    let Some(confirmed) = reading.detail.as_ref().and_then(|detail| detail.confirmed.as_ref()) else {
        return lost(Code::ConfirmationIdle);
    };
    let reason = match (&reading.datum, numbers.len()) {
        (Datum::Quantity(_), 1) => format!("{} is plausible", value(readings, about.characteristic, reading)),
        (Datum::Quantity(_), _) => "its values are plausible".into(),
        _ => "only a number can be implausible".into(),
    };
    let words = if numbers.len() > 1 { about.whole } else { about.words };
    let message = format!("{words} does not need `confirmed: {}`: {reason}", confirmed.by);
    Finding::new(Code::ConfirmationIdle, message).about(about.path).at(readings.place(confirmed.span), "not needed")
}

/// Values too far from each other; `two` if there are only two, and nobody can say which is wrong.
pub(super) fn disagree(
    book: &Book,
    readings: &Readings,
    agreeing: &Agreeing,
    (apart, other): ((usize, usize), (usize, usize)),
    (width, two): (&Value, bool),
    slip: Option<Slip>,
) -> Finding {
    let code = Code::ReadingsDisagree;
    let (Some((about, reading)), Some((_, beside))) = (found(book, readings, apart), found(book, readings, other))
    else {
        return lost(code);
    };
    let unit = about.characteristic.unit.as_ref().map(Unit::difference);
    let within = quantity(&agreeing.within, unit.as_ref());
    let written = value(readings, about.characteristic, reading);
    let width = quantity(width, unit.as_ref());
    let message = format!(
        "{} is {written}: the readings differ by {width} and must agree within {within}; none of them is counted",
        about.words
    );
    let label = if two { "one value" } else { "furthest from the others" };
    let mut finding = Finding::new(code, message)
        .about(about.path)
        .at(readings.place(reading.span), label)
        .since(readings.place(beside.span), "another value")
        .help(measure_again(reading, readings));
    if let Origin::Reading { agree: Some(agree), .. } = &about.characteristic.origin {
        finding = finding.since(agree.place.clone(), "declared here");
    }
    slipped(finding, readings, slip)
}

fn found<'a>(book: &'a Book, readings: &'a Readings, input: (usize, usize)) -> Option<(Subject<'a>, &'a Reading)> {
    let about = subject(book, readings, input)?;
    Some((about, readings.taken(input.0).get(input.1)?))
}

/// Readings by a gauge whose figures cannot be, under a guard band that would rest on them.
pub(super) fn gauge_implausible(readings: &Readings, gauge: &Gauge, count: usize, first: Span) -> Finding {
    let taken = if count == 1 { "1 reading is".to_string() } else { format!("{count} readings are") };
    let message =
        format!("{taken} not counted: {} has an uncertainty or a resolution that is not plausible", gauge.name);
    let mut finding = Finding::new(Code::GaugeImplausible, message)
        .at(readings.place(first), "not counted")
        .since(gauge.place.clone(), "the gauge")
        .help("check the figures of the gauge; if they are right, add `confirmed: NAME` to it");
    // The guard band rests on these figures, so nothing can be judged.
    finding.severity = Severity::Error;
    finding
}

/// Readings whose own uncertainty cannot be, under a guard band that would rest on it.
pub(super) fn own_uncertainty_implausible(readings: &Readings, count: usize, first: Span) -> Finding {
    let message = if count == 1 {
        "1 reading is not counted: its own uncertainty is not plausible".to_string()
    } else {
        format!("{count} readings are not counted: their own uncertainties are not plausible")
    };
    let mut finding = Finding::new(Code::GaugeImplausible, message)
        .at(readings.place(first), "not counted")
        .help("check the uncertainty; if it is right, add `confirmed: NAME` beside the value");
    finding.severity = Severity::Error;
    finding
}

/// No caller has an input that is not there.
fn lost(code: Code) -> Finding {
    Finding::new(code, "a reading is not plausible")
}
