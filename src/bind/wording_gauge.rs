//! Every sentence of the room `bind` about gauges and about how warm things were.

use super::gauge_entry::GAUGE_KEYS;
use super::walk::Binder;
use super::wording::{short, subject};
use super::{Gauge, Reading};
use crate::book::{Characteristic, Part, PlausibleGauges};
use crate::finding::{Code, Finding, NoteKind, did_you_mean, list, nearest};
use crate::quantity::slip::{self, SlipKind, plain_number};
use crate::quantity::{Date, Dimension, Side, Value};
use crate::text::Place;

/// What becomes of a reading whose temperature cannot be read.
pub(super) const AS_TAKEN: &str = "the reading is judged as taken, and not brought to 20 °C";

/// What becomes of the figures of a gauge one of which cannot be read.
pub(super) const NOTHING_KNOWN: &str = "until it is corrected, the uncertainty of this gauge counts as not known";

fn readings(count: usize) -> String {
    if count == 1 { "1 reading was taken with it".into() } else { format!("{count} readings were taken with it") }
}

fn days(count: i64) -> String {
    if count == 1 { "1 day".into() } else { format!("{count} days") }
}

/// What a figure measures, with its article: `a length`.
fn measures(dimension: Dimension) -> String {
    dimension.difference().words()
}

pub(super) fn gauge_unknown(binder: &Binder<'_>, name: &str, place: Place) -> Finding {
    let own = binder.readings.gauges.iter().map(|gauge| &*gauge.name);
    let names = own.chain(binder.shop.into_iter().flat_map(|shop| shop.names()));
    let help = did_you_mean(nearest(name, names)).unwrap_or_else(|| {
        format!(
            "list it under `gauges`, with its uncertainty and the day it is due: `{name}: {{ uncertainty: …, due: … }}`"
        )
    });
    let who = if binder.shop.is_some() { "neither the record nor the shop lists a" } else { "the record lists no" };
    Finding::new(Code::GaugeUnknown, format!("{who} gauge `{}`, so its uncertainty is not known", short(name)))
        .at(place, "not listed")
        .help(help)
}

pub(super) fn gauges_shape(shops: bool, place: Place) -> Finding {
    let example = "`NAME: { uncertainty: 2 um, calibrated: 2026-01-12, due: 2027-01-12 }`";
    Finding::new(Code::ShapeWrong, "gauges are listed by name, each with what its calibration says")
        .at(place, "not a gauge")
        .help(if shops { format!("write {example}") } else { format!("write `gauges:` and below it {example}") })
}

pub(super) fn names_at_the_top(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "a shop's list of gauges begins with their names, not with `gauges`")
        .at(place, "not a gauge")
        .help("remove `gauges:` and move the lines below it to the left; until then the list is read as if you had")
}

pub(super) fn calibration_undated(name: &str, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("gauge {} has several calibrations, and this one has no date", short(name)))
        .at(place, "no date")
        .help("add `calibrated: DATE`: the last calibration before the build was finished counts")
}

pub(super) fn range_shape(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "a gauge's range is its two ends, the lower first, with their unit")
        .at(place, "not a range")
        .help("write `range: 50 to 75 mm`")
}

pub(super) fn gauge_key(key: &str, place: Place) -> Finding {
    let near = nearest(key, GAUGE_KEYS);
    Finding::new(Code::KeyUnknown, format!("a gauge has no key `{}`", short(key)))
        .at(place, "unknown key")
        .help(did_you_mean(near).unwrap_or_else(|| format!("the keys of a gauge are {}", list(GAUGE_KEYS, "and"))))
}

pub(super) fn degrees_of_freedom(text: &str, place: Place) -> Finding {
    Finding::new(
        Code::NumberUnreadable,
        format!("degrees of freedom are a number above zero, and `{}` is not", short(text.trim())),
    )
    .at(place, "not above zero")
    .help("write what the certificate says, such as `9`; or leave the line out where it says none")
}

pub(super) fn expansion_alone(text: &str, place: Place) -> Finding {
    Finding::new(
        Code::ShapeWrong,
        format!("a gauge's expansion needs its uncertainty, and `{}` has none", short(text.trim())),
    )
    .at(place, "no uncertainty")
    .help("write both: `expansion: 11.5 um/m/K ± 1 um/m/K`")
    .note(NoteKind::Remark, NOTHING_KNOWN)
}

pub(super) fn expansion_below_zero(text: &str, place: Place) -> Finding {
    Finding::new(Code::NumberUnreadable, format!("a gauge's expansion cannot be negative: `{}`", short(text)))
        .at(place, "below zero")
        .help("write it without the minus: `11.5 um/m/K ± 1 um/m/K`")
        .note(NoteKind::Remark, NOTHING_KNOWN)
}

pub(super) fn below_absolute_zero(what: &str, text: &str, place: Place) -> Finding {
    Finding::new(Code::NumberUnreadable, format!("{what}: `{}` is below absolute zero", short(text.trim())))
        .at(place, "too cold")
        .help("check the sign and the unit: absolute zero is -273.15 degC")
}

pub(super) fn gauge_at_alone(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    station: Option<usize>,
    place: Place,
) -> Finding {
    Finding::new(
        Code::ShapeWrong,
        format!(
            "{}: `gauge_at` says how warm the gauge was, and nothing says how warm the part was",
            subject(binder, characteristic, station)
        ),
    )
    .at(place, "the gauge alone")
    .help("add `at: …`, the temperature of the part")
    .note(NoteKind::Remark, AS_TAKEN)
}

pub(super) fn figures_differ(
    name: &str,
    (what, measured, place): (&str, Dimension, Place),
    (first, first_measured, first_place): (&str, Dimension, Place),
) -> Finding {
    Finding::new(
        Code::GaugeDimension,
        format!(
            "gauge {}: its {what} is {}, and its {first} is {}",
            short(name),
            measures(measured),
            measures(first_measured)
        ),
    )
    .at(place, format!("its {what}"))
    .since(first_place, format!("its {first}"))
    .help("check the units: a gauge's figures are in units of what it measures")
    .note(NoteKind::Remark, NOTHING_KNOWN)
}

pub(super) fn measures_else(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    gauge: &Gauge,
    place: Place,
) -> Finding {
    let of_gauge = gauge.dimension.unwrap_or(Dimension::NUMBER);
    let of_reading = match characteristic.kind {
        crate::book::Kind::Quantity(dimension) => dimension.difference(),
        _ => Dimension::NUMBER,
    };
    Finding::new(
        Code::GaugeDimension,
        format!(
            "{}: gauge {} measures {}, and this is {}",
            subject(binder, characteristic, None),
            short(&gauge.name),
            of_gauge.words(),
            of_reading.words()
        ),
    )
    .at(place, "measures something else")
    .since(gauge.place.clone(), "listed here")
    .help("name the gauge it was measured with, or correct the units of the gauge")
    .note(NoteKind::Remark, "the uncertainty of the reading counts as not known")
}

pub(super) fn outside_range(
    binder: &Binder<'_>,
    (characteristic, station): (&Characteristic, Option<usize>),
    reading: &Reading,
    (name, range): (&str, Place),
) -> Finding {
    let place = binder.place(reading.span);
    Finding::new(
        Code::GaugeRange,
        format!(
            "{} is {}, and gauge {} measures {}",
            subject(binder, characteristic, station),
            short(place.text().trim()),
            short(name),
            short(range.text().trim())
        ),
    )
    .at(place, "outside its range")
    .since(range, "its range")
    .help("check the reading and the gauge's name; what a gauge shows outside its range is not calibrated")
}

pub(super) fn overdue(
    name: &str,
    (count, first): (usize, Place),
    (due, due_at): (Date, &Place),
    finished: Date,
) -> Finding {
    Finding::new(
        Code::GaugeOverdue,
        format!(
            "gauge {} was due for calibration on {due}, {} before the build was finished; {}",
            short(name),
            days(finished.days_since(due)),
            readings(count)
        ),
    )
    .at(first, if count == 1 { "taken with it" } else { "the first" })
    .since(due_at.clone(), "due here")
    .help("have it calibrated, and measure again; or list the later calibration, if there was one")
}

pub(super) fn used_before(
    name: &str,
    (count, first): (usize, Place),
    (calibrated, at): (Date, &Place),
    finished: Date,
) -> Finding {
    Finding::new(
        Code::GaugeDates,
        format!(
            "gauge {} was calibrated on {calibrated}, {} after the build was finished; {}",
            short(name),
            days(calibrated.days_since(finished)),
            readings(count)
        ),
    )
    .at(first, if count == 1 { "taken with it" } else { "the first" })
    .since(at.clone(), "calibrated here")
    .help("list the calibration before it too, as a list: `NAME: [{ calibrated: … }, { calibrated: … }]`")
}

pub(super) fn calibrated_after_due(
    name: &str,
    (calibrated, at): (Date, &Place),
    (due, due_at): (Date, Option<&Place>),
) -> Finding {
    let finding = Finding::new(
        Code::GaugeDates,
        format!(
            "gauge {} was calibrated on {calibrated}, {} after it was due again on {due}",
            short(name),
            days(calibrated.days_since(due))
        ),
    )
    .at(at.clone(), "after it was due")
    .help("check both days: `due` is the day the next calibration is needed");
    match due_at {
        Some(due_at) => finding.since(due_at.clone(), "due here"),
        None => finding,
    }
}

pub(super) fn expansion_missing(part: &Part, count: usize, first: Place) -> Finding {
    let name = part.name.replace('_', " ");
    let many = if count == 1 {
        "1 length measured away from 20 °C is".to_string()
    } else {
        format!("{count} lengths measured away from 20 °C are")
    };
    Finding::new(Code::ExpansionMissing, format!("{name}: no book says how it expands, so {many} judged as taken"))
        .at(first, if count == 1 { "not 20 °C" } else { "the first" })
        .since(part.place.clone(), "the part")
        .help(format!("measure at 20 °C, or declare the expansion of its material in part {}", part.name))
}

pub(super) fn left_warm(name: &str, listed: &Place, place: Place) -> Finding {
    Finding::new(
        Code::ExpansionMissing,
        format!(
            "the entry of gauge {} in the list cannot be read, so lengths measured with it away from 20 °C are judged as taken",
            short(name)
        ),
    )
    .at(place, "the first")
    .since(listed.clone(), "listed here")
    .help("correct the gauge's entry in the list")
}

pub(super) fn no_length_left(
    binder: &Binder<'_>,
    (characteristic, station): (&Characteristic, Option<usize>),
    expansion: Place,
    place: Place,
) -> Finding {
    Finding::new(
        Code::ExpansionMissing,
        format!(
            "{}: with so large an expansion there is no length at 20 °C, so the reading is judged as taken",
            subject(binder, characteristic, station)
        ),
    )
    .at(place, "measured here")
    .since(expansion, "its expansion")
    .help("check the expansion of the part and that of the gauge")
}

/// How a reading's own uncertainty is confirmed.
pub(super) const CONFIRM_OWN: &str =
    "check the uncertainty and its unit; if it is right, add `confirmed: NAME` beside the value";

/// How a gauge's figure is confirmed.
pub(super) fn confirm_figure(what: &str) -> String {
    format!("check the {what} and its unit; if it is right, add `confirmed: NAME` to the gauge")
}

/// A figure of a gauge, or of a reading itself, outside what the books say gauges have.
pub(super) fn figure_implausible(
    binder: &Binder<'_>,
    (owner, what): (&str, &str),
    (value, place): (&Value, Place),
    declared: &PlausibleGauges,
) -> Finding {
    let written = place.text().trim().to_string();
    let range = declared.range.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let message = format!("{owner}: its {what} cannot be {written}: the plausible range is {range}");
    let slip = figure_slip(binder, &written, value, declared);
    let finding = Finding::new(Code::GaugeImplausible, message)
        .at(place, "not counted")
        .since(declared.range.clone(), "declared here");
    match slip {
        Some(slip) => finding.note(NoteKind::Slip, slip),
        None => finding,
    }
}

/// What a figure reads like, where exactly one slip explains it. A factor of 1000 is named by the unit that was meant, since
/// figures of gauges are copied from certificates in micrometres.
fn figure_slip(binder: &Binder<'_>, written: &str, value: &Value, declared: &PlausibleGauges) -> Option<String> {
    let (kind, instead) = slip::likely(written, value, |value| declared.band.locate(value) == Side::Inside)?;
    let how = match kind {
        SlipKind::Sign => "with a minus sign",
        SlipKind::Swapped => "with two digits swapped",
        SlipKind::Inches => "with inches and millimetres mixed up, a factor of 25.4",
        SlipKind::Point => match in_unit_meant(binder, written, &instead) {
            Some(meant) => return Some(format!("{written} reads like {meant} with the wrong unit")),
            None => "with its decimal point moved",
        },
    };
    Some(format!("{written} reads like {instead} {how}"))
}

/// The same digits in the unit that makes them come to what is meant: `0.002 mm` for `0.002 um` where `2 um` is meant.
fn in_unit_meant(binder: &Binder<'_>, written: &str, instead: &str) -> Option<String> {
    let units = binder.units();
    let (number, unit) = units.quantity(written)?;
    let (other, _) = units.quantity(instead)?;
    let ratio = other.checked_div(&number)?;
    let size = unit.size.multiply(&Value::from(ratio));
    let meant = units.of_dimension(unit.dimension).find(|other| other.size == size && other.zero.is_none())?;
    let digits = plain_number(written).and_then(|(_, length)| written.get(..length))?;
    Some(format!("{digits} {}", meant.symbol))
}

/// A gauge whose figures count without anybody confirming them.
pub(super) fn confirmation_idle(gauge: &str, who: Place) -> Finding {
    let message = format!("{gauge} does not need `confirmed: {}`: its figures are plausible", who.text().trim());
    Finding::new(Code::ConfirmationIdle, message).at(who, "not needed")
}

pub(super) fn finer_than_resolution(gauge: &str, (uncertainty, resolution): (Place, Place)) -> Finding {
    let message = format!(
        "{gauge}: its uncertainty cannot be {} with a resolution of {}",
        uncertainty.text().trim(),
        resolution.text().trim()
    );
    Finding::new(Code::GaugeImplausible, message)
        .at(uncertainty, "not counted")
        .since(resolution, "its resolution")
        .help("check both and their units; if they are right, add `confirmed: NAME` to the gauge")
}
