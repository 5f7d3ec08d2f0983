//! Every sentence of the room `shop`.

use super::shipped;
use crate::finding::{Code, Finding, nearest};
use crate::quantity::Date;
use crate::text::Place;
use std::path::Path;

const SETTINGS: &str = "a settings file has `shop: NAME`, `books: [FILE OR FOLDER, …]`, `gauges: FILE` and `shelf: FILE OR FOLDER`, nothing else";

/// What the reader of YAML says of the settings file, as a finding about the settings.
pub(super) fn settings_unread(said: Finding) -> Finding {
    let message = format!("the shop's settings cannot be read: {}", said.message);
    Finding { code: Code::SettingsWrong, severity: Code::SettingsWrong.severity(), message, ..said }
}

pub(super) fn settings_no_map(place: Place) -> Finding {
    Finding::new(
        Code::SettingsWrong,
        "the shop's settings cannot be read: they are keys with values, such as `shop: NAME`",
    )
    .at(place, "here")
    .help(SETTINGS)
}

pub(super) fn settings_key(key: &str, place: Place) -> Finding {
    let help =
        nearest(key, super::settings::KEYS).map_or_else(|| SETTINGS.to_owned(), |near| format!("write `{near}`"));
    Finding::new(Code::SettingsWrong, format!("there is no setting called `{key}`")).at(place, "this key").help(help)
}

/// What a setting must be, and what it is not.
pub(super) fn settings_value(must: &str, place: Place) -> Finding {
    Finding::new(Code::SettingsWrong, format!("the shop's settings cannot be read: {must}"))
        .at(place, "this value")
        .help(SETTINGS)
}

pub(super) fn finished_future(finished: Date, today: Date, place: Option<Place>) -> Finding {
    let finding = Finding::new(
        Code::FinishedFuture,
        format!("the build cannot have been finished on {finished}: today is {today}"),
    )
    .help("write the day it was finished, or leave `finished` out until it is; `--today DATE` sets another day than this machine");
    match place {
        Some(place) => finding.at(place, "still to come"),
        None => finding,
    }
}

/// A loose part measured on a day still to come.
pub(super) fn measured_future(measured: Date, today: Date, place: Option<Place>) -> Finding {
    let finding = Finding::new(
        Code::FinishedFuture,
        format!("the part cannot have been measured on {measured}: today is {today}"),
    )
    .help("write the day it was measured; `--today DATE` sets another day than this machine");
    match place {
        Some(place) => finding.at(place, "still to come"),
        None => finding,
    }
}

/// A file of loose parts where the record of a build is needed.
pub(super) fn not_a_build(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "this file is about a loose part, and the record of a build is needed here")
        .at(place, "a loose part")
        .help("judge the part with `trochoid check`, or give a record that begins with `build: NAME`")
}

pub(super) fn books_missing(path: &Path, place: Option<Place>) -> Finding {
    let finding = Finding::new(Code::BooksMissing, format!("no rulebooks at {}", shown(path)))
        .help("name a *.rulebook file, or a folder that holds some");
    match place {
        Some(place) => finding.at(place, "named here"),
        None => finding,
    }
}

pub(super) fn gauges_missing(path: &Path, place: Place) -> Finding {
    Finding::new(Code::SettingsWrong, format!("no list of gauges at {}", shown(path)))
        .at(place, "named here")
        .help("name a file that is there, from the folder of the settings; or leave the line out and call the list gauges.yaml")
}

pub(super) fn use_missing(name: &str, path: &Path, place: Place) -> Finding {
    let beside = crate::disk::rulebooks_below(&crate::disk::folder_of(path)).0;
    let names: Vec<String> =
        beside.iter().filter_map(|path| path.file_name()).map(|name| name.to_string_lossy().into_owned()).collect();
    let near = nearest(name, names.iter().map(String::as_str));
    let is_shipped = shipped::book(name).is_some();
    Finding::new(Code::UseMissing, format!("there is no rulebook {name}")).at(place, "not found").maybe_help(
        match (near, is_shipped) {
            (Some(near), _) => Some(format!("did you mean \"{near}\"?")),
            (None, true) => Some(format!("it is one of the shipped books: write `use shipped \"{name}\"`")),
            (None, false) => {
                Some(format!("looked for {}; the name starts from the folder of the book that uses it", shown(path)))
            }
        },
    )
}

pub(super) fn shipped_missing(name: &str, place: Place) -> Finding {
    let near = nearest(name, shipped::names());
    Finding::new(Code::UseMissing, format!("there is no shipped rulebook called {name}")).at(place, "not found").help(
        match near {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("the shipped books are {}", shipped::names().join(", ")),
        },
    )
}

pub(super) fn use_outside(name: &str, root: &Path, place: Place) -> Finding {
    Finding::new(Code::UseOutside, format!("{name} is outside the folder of books, {}", shown(root)))
        .at(place, "leads out")
        .help("copy the book into the folder, or give the folder that holds both")
}

pub(super) fn use_too_deep(most: usize, place: Place) -> Finding {
    Finding::new(Code::NestingTooDeep, format!("more than {most} books use one another in a row"))
        .at(place, "too deep")
        .help("let one book use several others instead of a chain")
}

pub(super) fn use_circle(steps: &[(String, Place)]) -> Finding {
    let mut names: Vec<&str> = steps.iter().map(|(name, _)| &**name).collect();
    names.extend(steps.first().map(|(name, _)| &**name));
    let mut finding =
        Finding::new(Code::UseCircle, format!("rulebooks use each other in a circle: {}", names.join(" → ")))
            .help("move what both need into a book of its own that uses neither");
    let mut steps = steps.iter();
    if let Some((_, place)) = steps.next() {
        finding = finding.at(place.clone(), "comes back here");
    }
    for (_, place) in steps {
        finding = finding.since(place.clone(), "and from here");
    }
    finding
}

fn shown(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    if text.is_empty() { ".".into() } else { text }
}

/// A reading of the machine said on the command line that no book has.
pub(super) fn given_unknown(name: &str) -> Finding {
    Finding::new(Code::KeyUnknown, format!("--given: there is no reading called `{name}`"))
        .help("name a reading of the machine, such as `--given READING=VALUE`")
}

/// A loose part that fits no generation.
#[must_use]
pub fn no_generation_left(tag: &str, place: Place) -> Finding {
    Finding::new(
        Code::GenerationContradicted,
        format!("{tag} fits no generation: what was measured contradicts itself"),
    )
    .at(place, "fits none")
    .help("run `trochoid identify` on this file to see what rules out what, and correct the reading that is wrong")
}
