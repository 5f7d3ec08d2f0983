//! `trochoid.yaml`: the shop's name, and where its rulebooks, its list of gauges and its loose parts are.

use super::{Papers, wording};
use crate::finding::Finding;
use crate::text::{Place, Source, Span};
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
    /// The list of gauges, relative to the settings file, and where it is named.
    pub(super) gauges: Option<(String, Place)>,
    /// The files and folders of its loose parts, relative to the settings file, and where they are named.
    pub(super) shelf: Option<(Vec<String>, Place)>,
    /// The settings file itself, for findings about the books it names.
    pub(super) source: Option<Source>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, expecting = "keys such as `shop: NAME`")]
struct Written {
    shop: Option<String>,
    #[serde(default)]
    books: OneOrMany,
    gauges: Option<String>,
    shelf: Option<ShelfPaths>,
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "`books` is a file or folder, or a list of them")]
enum OneOrMany {
    One(String),
    Many(Vec<String>),
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "`shelf` is a file or folder, or a list of them")]
enum ShelfPaths {
    One(String),
    Many(Vec<String>),
}

impl Default for OneOrMany {
    fn default() -> Self {
        OneOrMany::Many(Vec::new())
    }
}

/// Reads a settings file. What is wrong with it is a finding, and the rest is as if it were not there.
pub(super) fn read(papers: &Papers, path: &Path) -> (Settings, Vec<Finding>) {
    let source = match papers.read(path, MOST_BYTES) {
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
            let gauges = written.gauges.map(|file| (file, line_of(&source, "gauges")));
            let shelf = written.shelf.map(|shelf| {
                let paths = match shelf {
                    ShelfPaths::One(path) => vec![path],
                    ShelfPaths::Many(paths) => paths,
                };
                (paths, line_of(&source, "shelf"))
            });
            (Settings { shop: written.shop, books, gauges, shelf, source: Some(source) }, Vec::new())
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

/// The line of a key at the top of the settings.
fn line_of(source: &Source, key: &str) -> Place {
    let text = source.text();
    let lines = text.split_inclusive('\n').scan(0, |at, line| {
        let start = *at;
        *at += line.len();
        Some((start, line.trim_end()))
    });
    let found = lines.filter(|(_, line)| line.trim_matches(['"', '\'']).starts_with(key)).last();
    source.place(found.map_or(Span::default(), |(start, line)| Span::new(start, start + line.len())))
}
