//! Puts on paper what became of a table of readings: what is wrong with it, and each record it makes. Refuses to write the records.

use super::json::{document as whole, finding_value};
use super::style::{Look, clean};
use super::{Format, plain, terminal, wording};
use crate::finding::Finding;
use crate::import::Imported;
use serde_json::json;

/// What became of a record.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// It is written.
    Written,
    /// It was there already, letter for letter.
    Same,
    /// Nothing is written, for nobody said where to.
    Would,
    /// Another record stands in its place.
    InTheWay,
    /// It could not be written, and why.
    Unwritable(String),
}

impl Outcome {
    /// Whether the record is there now, or nothing more was wanted.
    #[must_use]
    pub fn is_done(&self) -> bool {
        matches!(self, Outcome::Written | Outcome::Same | Outcome::Would)
    }

    fn words(&self) -> &'static str {
        match self {
            Outcome::Written => "written",
            Outcome::Same => "unchanged",
            Outcome::Would => "would be written",
            Outcome::InTheWay => "not written: another record is there, and --replace was not said",
            Outcome::Unwritable(_) => "not written",
        }
    }
}

/// Everything there is to put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// Each record, the file it is for, and what became of it.
    pub records: &'a [(&'a Imported, String, Outcome)],
    /// Whether they are of loose parts.
    pub of_parts: bool,
    /// Builds or parts that make no record.
    pub refused: usize,
    /// What is wrong.
    pub findings: &'a [Finding],
    /// The exit status.
    pub status: u8,
}

/// The sheet in a format, ended by a line end.
#[must_use]
pub fn written(sheet: &Sheet<'_>, format: Format, look: Look) -> String {
    match format {
        Format::Json => document(sheet),
        Format::Plain => text(sheet, plain::write),
        Format::Graphic => text(sheet, |finding| format!("{}\n", terminal::draw(finding, look))),
    }
}

fn text(sheet: &Sheet<'_>, draw: impl Fn(&Finding) -> String) -> String {
    let mut out: String = sheet.findings.iter().map(draw).collect();
    for (record, file, outcome) in sheet.records {
        let why = if let Outcome::Unwritable(why) = outcome { format!(": {}", clean(why)) } else { String::new() };
        let values = wording::number_of(record.values, "value");
        out.push_str(&format!("{}: {}, {values}: {}{why}\n", clean(file), clean(&record.build), outcome.words()));
    }
    let done = sheet.records.iter().filter(|(.., outcome)| outcome.is_done()).count();
    let not_done = sheet.refused + sheet.records.len() - done;
    if done + not_done > 0 || sheet.findings.is_empty() {
        out.push_str(&wording::imported(done, not_done, if sheet.of_parts { "part" } else { "build" }));
    }
    if sheet.records.iter().any(|(.., outcome)| *outcome == Outcome::Would) {
        out.push_str(wording::SAY_WHERE_TO);
    }
    out
}

/// One JSON document: `format` `"trochoid import"`, `version` 1, `records` (each with `build` or `tag`, `file`, `lines` of the table, `values`
/// and `outcome`), `refused` (builds that make no record), `findings` and `status`.
fn document(sheet: &Sheet<'_>) -> String {
    let records = sheet.records.iter().map(|(record, file, outcome)| {
        json!({
            "build": (!sheet.of_parts).then_some(&record.build),
            "tag": sheet.of_parts.then_some(&record.build),
            "file": file,
            "lines": record.lines,
            "values": record.values,
            "outcome": outcome.words(),
        })
    });
    whole(&json!({
        "format": "trochoid import",
        "version": 1,
        "records": records.collect::<Vec<_>>(),
        "refused": sheet.refused,
        "findings": sheet.findings.iter().map(finding_value).collect::<Vec<_>>(),
        "status": sheet.status,
    }))
}
