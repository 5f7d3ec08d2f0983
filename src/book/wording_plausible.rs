//! Every sentence of the room `book` about plausible ranges and readings that must agree.

use super::Plausible;
use crate::finding::{Code, Finding};
use crate::text::Place;

pub(super) fn replaces_nothing(range: &Plausible, word: Place) -> Finding {
    Finding::new(Code::ReplaceNothing, format!("{}: there is no plausible range to replace", range.path))
        .at(word, "replaces nothing")
        .help("leave `replace` out, or check the path")
}

pub(super) fn silent(range: &Plausible, generation: &str, old: &Plausible) -> Finding {
    let path = &range.path;
    Finding::new(
        Code::OverrideSilent,
        format!("{path}: generation {generation} inherits a plausible range and declares another"),
    )
    .at(range.place.clone(), "changes it silently")
    .since(old.place.clone(), "inherited from here")
    .help(format!("write `replace plausible {path} …` if it is meant to differ, or remove it"))
}

pub(super) fn twice(range: &Plausible, first: &Plausible) -> Finding {
    Finding::new(Code::RowTwice, format!("{} has two plausible ranges in one generation", range.path))
        .at(range.place.clone(), "second range")
        .since(first.place.clone(), "first range")
        .help("remove one of them")
}

pub(super) fn narrowed_twice(range: &Plausible, first: &Plausible) -> Finding {
    Finding::new(
        Code::OverlayConflict,
        format!("{}: the plausible range is narrowed twice for the same days", range.path),
    )
    .at(range.place.clone(), "second change")
    .since(first.place.clone(), "first change")
    .help("remove one of them")
}

pub(super) fn empty(path: &str, place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, format!("{path}: nothing can be in this range"))
        .at(place, "empty")
        .help("the smaller value comes first; no value is both below and above the same number")
}

pub(super) fn not_a_measurement(name: &str, derived: bool, place: Place) -> Finding {
    let (message, help) = if derived {
        (
            format!("{name} is calculated, and a plausible range is for a reading"),
            "give the readings it is calculated from a plausible range",
        )
    } else {
        (format!("{name} is not a number, and only a number has a plausible range"), "remove this line")
    };
    Finding::new(Code::KindMismatch, message).at(place, "no plausible range").help(help)
}

pub(super) fn widens(range: &Plausible, old: &Plausible) -> Finding {
    Finding::new(
        Code::NarrowWidens,
        format!(
            "{}: a plausible range may only be narrowed, and this one is not inside the one it narrows",
            range.path
        ),
    )
    .at(range.range.place.clone(), "reaches outside")
    .since(old.range.place.clone(), "narrows this")
    .help("keep both ends inside the range it narrows")
}

pub(super) fn narrow_where(range: Place, condition: Place) -> Finding {
    Finding::new(Code::OverlayWord, "a plausible range cannot depend on the record, and this `for` has a `where`")
        .at(range, "cannot depend")
        .since(condition, "depends on this")
        .help("move the line to a `for` without `where`")
}

pub(super) fn gauges_twice(unit: &str, place: Place, first: &Place) -> Finding {
    Finding::new(Code::RowTwice, format!("two plausible ranges for gauges in {unit}"))
        .at(place, "second range")
        .since(first.clone(), "first range")
        .help("remove one of them")
}

pub(super) fn negative_without_numbers(name: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("{name} is not a number, so it cannot be negative"))
        .at(place, "not a number")
        .help("leave `may be negative` out")
}

pub(super) fn agree_without_numbers(name: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("{name} is not a number, so its values cannot agree within a width"))
        .at(place, "not a number")
        .help("leave `agree within` out")
}

pub(super) fn agree_alone(name: &str, place: Place) -> Finding {
    Finding::new(Code::OneValue, format!("{name} is taken once, so there is nothing it could agree with"))
        .at(place, "one value")
        .help("say how often it is taken, such as `2 readings or more`, or leave `agree within` out")
}
