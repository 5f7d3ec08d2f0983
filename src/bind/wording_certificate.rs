//! Every sentence of the room `bind` about how well a gauge measures by its certificate.

use super::certificate::Fault;
use super::walk::Binder;
use super::wording::{short, subject};
use super::wording_gauge::CONFIRM_OWN;
use super::{Gauge, Reading};
use crate::book::Characteristic;
use crate::finding::{Code, Finding, NoteKind};
use crate::quantity::{Dimension, Rounded, Unit, Value, shown_significant};
use crate::text::Place;

/// What becomes of a reading's own uncertainty that cannot be read.
pub(super) const DOES_NOT_COUNT: &str = "until it is corrected, this uncertainty does not count";

/// What is wrong with an uncertainty that grows with the reading, and what becomes of it.
pub(super) fn formula((what, text): (&str, &str), fault: &Fault, place: Place, counts: &'static str) -> Finding {
    const FORMS: &str = "write `4 %` (of the reading), `2 um + 3 um/m`, or `(2 + L/300) um, L in mm`";
    let (code, label, message, help) = match fault {
        Fault::Number(piece) if piece.trim_matches(['%', ' ']).is_empty() => {
            (Code::NumberUnreadable, "no number", format!("{what}: there is no number in `{}`", short(text)), FORMS)
        }
        Fault::Number(piece) => (
            Code::NumberUnreadable,
            "not a number",
            format!("{what}: no number can be read in `{}`", short(piece)),
            FORMS,
        ),
        Fault::NotAbove(piece) => (
            Code::NumberUnreadable,
            "not above zero",
            format!("{what}: every part of it is above zero, and `{}` is not", short(piece)),
            "write it without the minus, since it holds to both sides; leave out a part that is nothing",
        ),
        Fault::Unit(piece) if piece.is_empty() => {
            (Code::UnitMissing, "no unit", format!("{what}: a unit is missing in `{}`", short(text)), FORMS)
        }
        Fault::Unit(piece) => (Code::UnitMissing, "no unit", format!("{what}: `{}` has no unit", short(piece)), FORMS),
        Fault::Unknown(unit) => (
            Code::UnitUnknown,
            "unknown unit",
            format!("{what}: no rulebook declares a unit `{}`", short(unit)),
            "write a unit that the rulebooks declare",
        ),
        Fault::LengthUnit => (
            Code::UnitMissing,
            "which unit?",
            format!("{what}: nothing says in which unit L is in `{}`", short(text)),
            "add it as the certificate has it: `(2 + L/300) um, L in mm`",
        ),
        Fault::Differ(one, other) => (
            Code::GaugeDimension,
            "two kinds",
            format!("{what}: one part of it is {}, and another is {}", one.words(), other.words()),
            "check the units: all parts are in units of what the gauge measures",
        ),
        Fault::FullScale => (
            Code::ShapeWrong,
            "not of the reading",
            format!("{what}: `{}` is a share of the whole scale, and not of the reading", short(text)),
            "work it out and write it in the unit of the scale: 2 % of 50 kPa is `1 kPa`",
        ),
        Fault::Whole => (
            Code::NumberUnreadable,
            "all of it",
            format!("{what}: `{}` is as much as the reading itself, or more", short(text)),
            "check the figure, and the units of both parts",
        ),
        Fault::Bracket => {
            (Code::ShapeWrong, "not closed", format!("{what}: a bracket is missing in `{}`", short(text)), FORMS)
        }
    };
    Finding::new(code, message).at(place, label).help(help).note(NoteKind::Remark, counts)
}

pub(super) fn factor(text: &str, place: Place, counts: &'static str) -> Finding {
    Finding::new(
        Code::NumberUnreadable,
        format!("a coverage factor is a number above zero, and `{}` is not", short(text.trim())),
    )
    .at(place, "not above zero")
    .help("write k as the certificate gives it, such as `2.13`; without it, k = 2")
    .note(NoteKind::Remark, counts)
}

pub(super) fn coverage(text: &str, place: Place, counts: &'static str) -> Finding {
    Finding::new(
        Code::NumberUnreadable,
        format!("a coverage probability lies between 50 % and 100 %, and `{}` does not", short(text)),
    )
    .at(place, "no such probability")
    .help("write what the certificate says, such as `95 %`; if it gives k, write that: `k: 2`")
    .note(NoteKind::Remark, counts)
}

pub(super) fn factor_implausible(owner: &str, place: Place, help: &'static str) -> Finding {
    let message =
        format!("{}: its k cannot be {}: certificates have 1 to 14", short(owner), short(place.text().trim()));
    Finding::new(Code::GaugeImplausible, message).at(place, "not counted").help(help)
}

/// How a gauge's k is confirmed.
pub(super) const CONFIRM_FACTOR: &str = "check k; if it is right, add `confirmed: NAME` to the gauge";

/// How the k of a reading's own uncertainty is confirmed.
pub(super) const CONFIRM_OWN_FACTOR: &str = "check k; if it is right, add `confirmed: NAME` beside the value";

/// A factor, or a probability, beside no uncertainty.
pub(super) fn nothing_expanded(gauge: &str, key: &str, place: Place) -> Finding {
    without_uncertainty(format!("gauge {} says `{key}` and no uncertainty", short(gauge)), place)
}

/// The same beside a reading that has no uncertainty of its own.
pub(super) fn own_nothing_expanded(owner: &str, key: &str, place: Place) -> Finding {
    without_uncertainty(format!("{owner}: the reading says `{key}` and no uncertainty of its own"), place)
}

fn without_uncertainty(message: String, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, message)
        .at(place, "of what?")
        .help("add `uncertainty: …`, which it belongs to; or take it away")
}

/// A share of what has no zero of its own.
pub(super) fn no_zero(binder: &Binder<'_>, characteristic: &Characteristic, gauge: &Gauge, place: Place) -> Finding {
    let written = gauge.uncertainty.as_ref().and_then(|it| it.written.as_deref()).unwrap_or_default();
    Finding::new(
        Code::GaugeDimension,
        format!(
            "{}: gauge {} is uncertain by {}, and of a temperature on a scale there is no such share",
            subject(binder, characteristic, None),
            short(&gauge.name),
            short(written)
        ),
    )
    .at(place, "a temperature")
    .since(gauge.place.clone(), "listed here")
    .help("write the gauge's uncertainty in kelvin: `0.5 K`")
    .note(NoteKind::Remark, "the uncertainty of the reading counts as not known")
}

/// What an uncertainty comes to at a reading, where it cannot be that.
pub(super) fn comes_to(
    binder: &Binder<'_>,
    (owner, written, is_gauge): (&str, &Place, bool),
    (at, characteristic, reading): (&Value, &Characteristic, &Reading),
    beside: Place,
    label: &'static str,
) -> Finding {
    let unit = characteristic.unit.as_ref().map_or_else(Unit::number, Unit::difference);
    let read = binder.place(reading.span);
    let range = beside.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let which = if label == "its resolution" { "its resolution" } else { "the plausible range" };
    let message = format!(
        "{owner}: its uncertainty cannot be {}: at {} it comes to {}, and {which} is {range}",
        short(written.text().trim()),
        short(read.text().trim()),
        shown_significant(at, &unit, 2, Rounded::Nearest)
    );
    Finding::new(Code::GaugeImplausible, message).at(written.clone(), "not counted").since(beside, label).help(
        if is_gauge {
            "check the uncertainty and its units; if it is right, add `confirmed: NAME` to the gauge"
        } else {
            CONFIRM_OWN
        },
    )
}

/// A reading's own uncertainty that is of another dimension than the reading.
pub(super) fn own_dimension(owner: &str, (found, needed): (Dimension, Dimension), place: Place) -> Finding {
    let message = format!("{owner}: its uncertainty is {}, and the reading is {}", found.words(), needed.words());
    Finding::new(Code::DimensionWrong, message)
        .at(place, found.words())
        .help("check the units: the parts of an uncertainty are in units of the reading, or in `%` of it")
        .note(NoteKind::Remark, DOES_NOT_COUNT)
}

/// A reading's own uncertainty that is a share of a temperature on a scale.
pub(super) fn own_no_zero(owner: &str, place: Place) -> Finding {
    let written = place.text().trim().to_owned();
    let message =
        format!("{owner}: a temperature on a scale has no share, so its uncertainty cannot be {}", short(&written));
    Finding::new(Code::ShapeWrong, message)
        .at(place, "a temperature")
        .help("write it in kelvin: `0.5 K`")
        .note(NoteKind::Remark, DOES_NOT_COUNT)
}
