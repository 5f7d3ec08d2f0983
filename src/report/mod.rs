//! Puts findings and verdicts on paper: drawn for a terminal, in plain lines, or as documents for programs. Refuses to know where the
//! paper goes, what was asked for on the command line, or how anything is judged.
//!
//! A [`Paper`] turns one record into a [`Page`]; pages may be made on several threads. A [`Stream`] writes pages in the
//! order it is given them, counts, and ends with a summary. Neither keeps a record once it is written.

mod address;
pub mod audit;
pub mod blank;
pub mod catalogue;
mod cells;
pub mod code_page;
mod csv;
mod excerpt;
pub mod explain;
mod history;
#[cfg(feature = "pages")]
pub mod html;
pub mod identify;
mod identify_values;
pub mod import;
pub mod json;
mod json_lines;
mod junit;
mod lines;
pub mod matching;
#[cfg(feature = "cache")]
mod packed;
pub mod plain;
pub mod prove;
pub mod rework;
mod sarif;
mod stream;
mod style;
pub mod survey;
mod tally;
pub mod terminal;
pub mod tidy;
mod to_measure;
pub mod trend;
mod wording;
mod wording_audit;
mod wording_history;
mod wording_identify;
mod wording_loose;
mod wording_match;
mod wording_rework;

pub use stream::{Page, Paper, Stream};
pub use style::{Look, clean, fitted};
pub use tally::Tally;

/// How a run of `check` is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CheckFormat {
    /// Findings drawn with the text they are about, for people at a terminal.
    Graphic,
    /// One line a finding, each beginning with its place, for people with `grep` and for editors.
    Plain,
    /// One JSON document, for programs.
    Json,
    /// Lines of JSON, one a record as soon as it is judged, for programs that read along.
    JsonLines,
    /// One SARIF document with every finding, for code hosts and viewers of results.
    Sarif,
    /// Comma-separated text with a line for every ruling, for spreadsheets.
    Csv,
    /// JUnit XML with a test case for every ruling, for programs that show test results.
    Junit,
}

impl CheckFormat {
    /// Whether it is for programs: whole whatever is said of width and quiet, and without colours.
    #[must_use]
    pub fn is_document(self) -> bool {
        !matches!(self, CheckFormat::Graphic | CheckFormat::Plain)
    }

    /// Whether it has every ruling, not only what is found wrong.
    #[must_use]
    pub fn has_rulings(self) -> bool {
        matches!(self, CheckFormat::Json | CheckFormat::JsonLines | CheckFormat::Csv | CheckFormat::Junit)
    }

    /// Whether it has room for what an owner asks of all records.
    #[must_use]
    pub fn has_answers(self) -> bool {
        !matches!(self, CheckFormat::Sarif | CheckFormat::Csv | CheckFormat::Junit)
    }

    /// Whether it has room for what is wrong outside the records: with rulebooks, with paths.
    #[must_use]
    pub fn has_troubles(self) -> bool {
        self != CheckFormat::Csv
    }
}

/// How what another command has to say is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// Findings drawn with the text they are about, for people at a terminal.
    Graphic,
    /// One line a finding, each beginning with its place, for people with `grep` and for editors.
    Plain,
    /// One JSON document, for programs.
    Json,
}
