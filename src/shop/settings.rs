//! `trochoid.yaml`: the shop's name and where its rulebooks are.

use super::wording;
use crate::disk;
use crate::finding::Finding;
use crate::text::{Source, Span};
use serde::Deserialize;
use std::path::Path;

/// The names the settings file may have, first choice first.
pub(super) const FILE_NAMES: [&str; 2] = ["trochoid.yaml", "trochoid.yml"];

/// A settings file is a few lines.
const MOST_BYTES: u64 = 64 * 1024;

/// What the settings file says.
#[derive(Clone, Debug, Default)]
pub(super) struct Settings {
    pub(super) shop: Option<String>,
    /// Files and folders relative to the settings file; none for the shipped rulebooks.
    pub(super) books: Vec<String>,
    /// The settings file itself, for findings about the books it names.
    pub(super) source: Option<Source>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct Written {
    shop: Option<String>,
    #[serde(default)]
    books: OneOrMany,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum OneOrMany {
    One(String),
    Many(Vec<String>),
}

impl Default for OneOrMany {
    fn default() -> Self {
        OneOrMany::Many(Vec::new())
    }
}

/// Reads a settings file. What is wrong with it is a finding, and the rest is as if it were not there.
pub(super) fn read(path: &Path) -> (Settings, Vec<Finding>) {
    let source = match disk::read_source(path, MOST_BYTES) {
        Ok(source) => source,
        Err(finding) => return (Settings::default(), vec![finding]),
    };
    if source.text().trim().is_empty() {
        return (Settings { source: Some(source), ..Settings::default() }, Vec::new());
    }
    match serde_yaml::from_str::<Option<Written>>(source.text()) {
        Ok(written) => {
            let written = written.unwrap_or_default();
            let books = match written.books {
                OneOrMany::One(book) => vec![book],
                OneOrMany::Many(books) => books,
            };
            (Settings { shop: written.shop, books, source: Some(source) }, Vec::new())
        }
        Err(error) => {
            let start = error.location().map_or(0, |location| location.index());
            let end = source
                .text()
                .get(start..)
                .and_then(|rest| rest.find('\n'))
                .map_or(source.text().len(), |to| start + to);
            let finding = wording::settings_wrong(&error.to_string(), source.place(Span::new(start, end)));
            (Settings { source: Some(source), ..Settings::default() }, vec![finding])
        }
    }
}
