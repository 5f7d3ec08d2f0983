//! The sentences of `trochoid match` beside its help and its answer.

use crate::finding::list;
use crate::record::edit::EditFault;
use crate::report::clean;
use std::path::Path;

pub(super) const NO_SHELF: &str =
    "this shop has no shelf: name the folder of its loose parts in trochoid.yaml, such as `shelf: shelf/`";
pub(super) const NO_PLACES: &str =
    "there is nothing to choose: no part of these kinds is on the shelf, or no place is left";
pub(super) const NO_NUMBER: &str = "--builds takes a number, or `all`";

pub(super) const NO_PARTNER: &str = "a row is out with every part it could be paired with";
pub(super) const NO_PARTNER_LEFT: &str = "no partner is left for it";
pub(super) const BEST_AND_BUILDS: &str =
    "--best shows sets to choose from, and --builds sets to be built at once: leave one of them out";
pub(super) const BUILD_AND_BUILDS: &str =
    "--build fills what one record leaves open, and --builds chooses for several machines: leave one of them out";
pub(super) const WRITE_AND_BUILDS: &str = "--write writes one build's record, and --builds chooses for several: write them one by one, each with `--with TAG`";

pub(super) fn several_values(word: &str) -> String {
    format!("one machine has several values of `{word}`: name one it has once, such as the spread of them")
}

pub(super) fn no_quantity(word: &str) -> String {
    format!("`{word}` is not a number")
}

pub(super) fn not_two_places(places: &[String]) -> String {
    format!(
        "--least makes pairs, and there are {} places to fill: choose one kind of part with two positions, as in `--only rotor`",
        places.len()
    )
}

pub(super) fn not_exact(path: &str) -> String {
    format!(
        "--least: {path} is not an exact number, so its sums cannot be compared exactly; name what it is calculated from"
    )
}

pub(super) fn below_nought(path: &str) -> String {
    format!("--least: {path} can be negative: name a value that cannot, such as a spread")
}

pub(super) fn never_known(path: &str, lacking: &[String]) -> String {
    let needs = list(lacking.iter().map(String::as_str), "and");
    format!("--least: {path} is not known for any pair; it needs {needs}")
}

/// What a part lacks.
pub(super) fn lacks(path: &str, names: &[String]) -> String {
    format!("{path} needs its {}", list(names.iter().map(String::as_str), "and"))
}

/// What a value lacks.
pub(super) fn needs(paths: &[String]) -> String {
    if paths.is_empty() {
        "has no answer".into()
    } else {
        format!("needs {}", list(paths.iter().map(String::as_str), "and"))
    }
}

pub(super) fn no_kind(name: &str, help: &str) -> String {
    format!("--only: there is no part called `{name}`{}{help}", if help.is_empty() { "" } else { "; " })
}

pub(super) fn no_tag(tag: &str, because: Option<&str>, help: Option<&str>) -> String {
    match (because, help) {
        (Some(because), _) => format!("--with: {tag} cannot be taken: {because}"),
        (None, Some(help)) => format!("--with: no part that can be taken has the tag {tag}; {help}"),
        (None, None) => format!("--with: no part that can be taken has the tag {tag}"),
    }
}

pub(super) fn in_the_way(file: &Path) -> String {
    format!("{} already exists and was left unchanged: name another file", file.to_string_lossy().replace('\\', "/"))
}

pub(super) fn more_left(count: usize) -> String {
    format!("{count} more: `--with TAG` shows the best set that has one of them")
}

/// The record of a build was written.
pub(super) fn written(file: &Path) -> String {
    format!("{}: written", clean(&file.to_string_lossy().replace('\\', "/")))
}

/// The parts cannot be added to the record of a build.
pub(super) fn not_added(fault: &EditFault) -> String {
    format!("trochoid: {}: the parts cannot be added: {}", clean(&fault.place.to_string()), clean(&fault.to_string()))
}
