//! Every sentence this room says beside its help. Refuses to know when it is said.

use crate::finding::{Code, Finding, did_you_mean};
use crate::report::clean;
use std::io;
use std::path::Path;

/// Nothing that looks like a record below a path.
pub(super) fn no_records(path: &Path) -> Finding {
    let path = path.to_string_lossy().replace('\\', "/");
    let below = if path.ends_with('/') { path } else { format!("{path}/") };
    Finding::new(Code::NoRecords, format!("no records below {below} (looked for *.yaml, *.yml, *.json)"))
}

/// A code was asked for that there is not.
pub(super) fn no_code(name: &str, near: Option<&str>) -> String {
    let help = did_you_mean(near).unwrap_or_else(|| "`trochoid explain --list` has every code".into());
    format!("trochoid: no finding has the code `{}`; {help}", clean(name))
}

pub(super) fn cannot_write(error: &io::Error) -> String {
    format!("trochoid: what was found cannot be written: {error}")
}

/// The progress bar, in the words of indicatif's templates.
pub(super) const PROGRESS: &str = "{bar:30} {pos} of {len} records, {eta} left";

/// A generation was asked for that there is not.
pub(super) fn no_generation(name: &str, near: Option<&str>, all: &[&str]) -> String {
    let help = crate::finding::did_you_mean(near)
        .unwrap_or_else(|| format!("there is {}", crate::finding::list(all.iter().copied(), "and")));
    format!("trochoid: no generation is called `{}`; {}", crate::report::clean(name), crate::report::clean(&help))
}
