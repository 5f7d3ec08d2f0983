//! Every sentence of the module `book` about operations.

use super::rework::Rework;
use crate::finding::{Code, Finding};
use crate::quantity::Dimension;
use crate::text::Place;

pub(super) fn replaces_nothing(rework: &Rework, word: Place) -> Finding {
    Finding::new(Code::ReplaceNothing, format!("{}: there is no operation of this name to replace", rework.name))
        .at(word, "replaces nothing")
        .help("leave `replace` out, or check the name")
}

pub(super) fn silent(rework: &Rework, generation: &str, old: &Rework) -> Finding {
    let name = &rework.name;
    Finding::new(
        Code::OverrideSilent,
        format!("{name}: generation {generation} inherits an operation of this name and declares another"),
    )
    .at(rework.place.clone(), "changes it silently")
    .since(old.place.clone(), "inherited from here")
    .help(format!("write `replace rework {name} …` if it is meant to differ, or choose another name"))
}

pub(super) fn twice(rework: &Rework, first: &Rework) -> Finding {
    Finding::new(Code::RowTwice, format!("there are two operations called {} in one generation", rework.name))
        .at(rework.place.clone(), "second operation")
        .since(first.place.clone(), "first operation")
        .help("rename one of them, or remove it")
}

pub(super) fn not_a_measurement(name: &str, derived: bool, place: Place) -> Finding {
    let (message, help) = if derived {
        (format!("{name} is calculated, and an operation changes a reading"), "name the reading that the work changes")
    } else {
        (
            format!("{name} is not a number, and only a number can become more or less"),
            "name a reading that is a number, or a part and `replaced`",
        )
    };
    Finding::new(Code::KindMismatch, message).at(place, "not a measurement").help(help)
}

pub(super) fn position_named(part: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("an operation is for every {part}, and this names one position"))
        .at(place, "names a position")
        .help("name the part without its position")
}

pub(super) fn dimension(name: &str, wanted: Dimension, found: Dimension, place: Place) -> Finding {
    Finding::new(
        Code::DimensionMismatch,
        format!("{name}: this must be {}, and it is {}", wanted.words(), found.words()),
    )
    .at(place, "another dimension")
}

pub(super) fn follower_derived(name: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("{name} is calculated: it follows its readings by itself"))
        .at(place, "not a reading")
        .help("leave it out")
}

pub(super) fn follower_elsewhere(name: &str, part: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("{name} is not a reading of the {part} that the operation changes"))
        .at(place, "of another part")
        .help("name a reading of the same part")
}

pub(super) fn follows_itself(name: &str, place: Place) -> Finding {
    Finding::new(Code::KindMismatch, format!("{name} is the reading that the operation changes"))
        .at(place, "follows itself")
        .help("leave it out")
}

pub(super) fn follower_of_another_kind(name: &str, place: Place) -> Finding {
    Finding::new(Code::DimensionMismatch, format!("{name} is not measured in the unit of the reading it follows"))
        .at(place, "another dimension")
        .help("leave `by` out: then it must be measured again")
}

pub(super) fn not_above_zero(name: &str, place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, format!("{name}: this must be more than zero"))
        .at(place, "not above zero")
        .help("`less` and `more` already say in which direction")
}

pub(super) fn sizes_fall(name: &str, place: Place) -> Finding {
    Finding::new(Code::RangeEmpty, format!("{name}: the first size is larger than the last"))
        .at(place, "larger than the last")
        .help("the smaller size comes first")
}
