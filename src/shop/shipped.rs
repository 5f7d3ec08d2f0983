//! The rulebooks inside the program, so that a fresh install works in an empty folder.

use crate::text::Source;
use include_dir::{Dir, include_dir};

static SPECS: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/specs");

/// The names of the shipped rulebooks, in order.
#[must_use]
pub fn names() -> Vec<&'static str> {
    let mut names: Vec<&str> =
        SPECS.files().filter_map(|file| file.path().to_str()).filter(|name| name.ends_with(".rulebook")).collect();
    names.sort_unstable();
    names
}

/// One of them by its file name.
#[must_use]
pub fn book(name: &str) -> Option<Source> {
    let text = SPECS.get_file(name).filter(|_| name.ends_with(".rulebook"))?.contents_utf8()?;
    Some(Source::new(format!("shipped {name}"), text))
}
