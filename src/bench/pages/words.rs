//! Every sentence that the pages at the bench answer with besides what is on them. Refuses to know when it is said.

use crate::finding::list;
use crate::identify::Trouble;
use crate::shop::NotTaken;
use std::io::Error;

/// An address that nothing is at.
pub(in crate::bench) const NO_SUCH_PAGE: &str = "There is no page at this address.";
pub(in crate::bench) const GO_TO_BUILDS: (&str, &str) = ("/", "Go to the builds");
pub(super) const GO_TO_RULES: (&str, &str) = ("/rules", "See all rules");
pub(super) const GO_TO_SHELF: (&str, &str) = ("/shelf", "Go to the shelf");

pub(super) const NOT_A_FORM: &str = "What was sent is not a form of this page. Go back and try again.";
pub(super) const READ_ONLY: &str = "These pages are for reading only: nothing was written.";
pub(super) const NAME_MISSING: &str = "Give the build a name.";
pub(super) const TAG_MISSING: &str = "Give the part a tag: what is painted on it.";
pub(super) const NAME_TOO_LONG: &str = "A name may have 100 characters, on one line.";
pub(super) const NAME_OF_THE_SHOPS_OWN: &str = "A record cannot have this name: it is the name of the shop's settings, or it begins with a dot. Choose another name.";
pub(super) const BOOKS_WRONG: &str = "The rulebooks have errors. Put those right first.";
pub(super) const GENERATION_MISSING: &str = "Choose the generation from the list.";
pub(super) const PART_MISSING: &str = "Choose the kind of part from the list.";
pub(super) const SERIAL_REFUSED: &str = "The serial number cannot be written into a record as it is.";
pub(super) const NOTHING_TO_MEASURE: &str = "The rulebooks have nothing to measure there.";

/// Something was said of a machine that its generation does not have.
pub(super) fn no_such_reading(reading: &str) -> String {
    format!(
        "This generation has no {} to write down, or does not have this value. Leave it out.",
        reading.replace('_', " ")
    )
}

pub(super) fn there_already(name: &str, file: &str) -> String {
    format!("There is already a record called {name}, in {file}. Choose another name.")
}

pub(super) fn file_there(file: &str) -> String {
    format!("The file {file} already exists and was left unchanged. Choose another name.")
}

pub(super) fn not_written(file: &str, error: &Error) -> String {
    format!("{file} could not be written: {error}.")
}

pub(super) fn no_generation(name: &str) -> String {
    format!("There is no generation called {name}.")
}

pub(super) fn no_record(name: &str) -> String {
    format!("There is no record called {name} in this shop. It may have been moved or renamed.")
}

/// An answer that cannot be taken.
pub(super) fn no_feature(path: &str, trouble: &Trouble) -> String {
    match trouble {
        Trouble::Unknown(near) => {
            let near = near.as_ref().map(|near| format!(" Did you mean {near}?")).unwrap_or_default();
            format!("There is nothing called {path}.{near}")
        }
        Trouble::Several(paths) => format!("{path} may be {}.", list(paths.iter().map(String::as_str), "or")),
        Trouble::WorkedOut(path) => format!("{path} is calculated from readings: give those."),
        Trouble::TellsNothing(path) => format!("{path} does not tell one generation from another."),
        Trouble::Value(findings) => {
            let each = findings.iter().map(|finding| match &finding.help {
                Some(help) => format!("{}; {help}", finding.message),
                None => finding.message.clone(),
            });
            each.collect::<Vec<_>>().join("; ")
        }
    }
}

pub(super) const NO_SHELF: &str =
    "This shop has no shelf. Name the folder of its loose parts in trochoid.yaml, such as `shelf: shelf/`.";
pub(super) const NO_PLACES: &str =
    "There is nothing to choose: no part of these kinds is on the shelf, or no place is left.";
pub(super) const ONE_BUILD: &str =
    "A build that has begun takes one set: choose for a new build, or for one build at a time.";
pub(super) const PARTS_REFUSED: &str =
    "The parts cannot be added to this record as it is written. Open its file and add them under `parts`.";

pub(super) fn no_machines(most: usize) -> String {
    format!("Choose for 1 to {most} builds at once, or for as many as the shelf allows.")
}

/// A part that was asked for and cannot be had.
pub(super) fn not_taken(tag: &str, not: &NotTaken) -> String {
    match (&not.because, &not.nearest) {
        (Some(because), _) => format!("{tag} cannot be taken: {because}."),
        (None, Some(near)) => {
            format!("No part on the shelf that could be taken has the tag {tag}. Did you mean {near}?")
        }
        (None, None) => format!("No part on the shelf that could be taken has the tag {tag}."),
    }
}

/// A part that does not go where it was to go.
pub(super) fn not_there(tag: &str, place: &str) -> String {
    format!("{tag} cannot be at {place} of this build. Find the best sets again.")
}

pub(super) const NO_LABELS: &str = "There is no loose part like that to print a label for.";
pub(super) const ALL_PARTS: &str = "all parts";

pub(super) fn no_kind(kind: &str) -> String {
    format!("There is no part of the kind {kind} on the shelf.")
}

pub(super) fn no_part(tag: &str, file: &str) -> String {
    format!("There is no part with the tag {tag} in {file}. It may have been moved or renamed.")
}

pub(super) fn back_to(name: &str) -> String {
    format!("Back to {name}")
}
