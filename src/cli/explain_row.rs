//! `trochoid explain RECORD ROW`: reads one record and has one of its verdicts written out. Refuses to know rules.

use super::explain_part::{self, Parts};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::explain::{Explanation, explain_row_drawn};
use crate::finding::Finding;
use crate::quantity::Date;
use crate::record::Record;
use crate::report::{Look, explain, fitted, plain};
use crate::shop::Shops;
use std::io::{self, Write};
use std::path::Path;

/// Which verdict is to be written out, and how.
pub(super) struct ExplainRow<'a> {
    /// The record.
    pub(super) record: &'a Path,
    /// What is judged, as the record's keys name it; positions may be left out.
    pub(super) row: &'a str,
    /// Which part of a file of several is meant.
    pub(super) tag: Option<&'a str>,
    /// What is said about the machine a loose part goes into.
    pub(super) given: &'a [(String, String)],
    /// The books to judge by, if not the shop's.
    pub(super) books: Option<&'a Path>,
    /// The day whose rows are meant, if not the one the build was finished on.
    pub(super) as_of: Option<Date>,
    /// Whether it is written as a JSON document.
    pub(super) json: bool,
    /// How it is drawn otherwise.
    pub(super) look: Look,
}

impl ExplainRow<'_> {
    fn written(&self, explanation: &Explanation) -> String {
        if self.json { explain::json(explanation) } else { fitted(&explain::text(explanation), self.look) }
    }
}

/// Writes what was asked for and gives the exit status.
pub(super) fn run(asked: &ExplainRow<'_>) -> io::Result<u8> {
    let mut out = io::stdout().lock();
    let shop = Shops::new(asked.books.map(Path::to_path_buf)).of(asked.record);
    if !shop.is_sound() {
        say(shop.findings().iter())?;
        return Ok(2);
    }
    say(shop.gauge_findings())?;
    let source = match disk::read_source(asked.record, MOST_RECORD_BYTES) {
        Ok(source) => source,
        Err(finding) => {
            say([&finding])?;
            return Ok(2);
        }
    };
    let record = Record::of(source);
    if shop.is_loose(&record) {
        let parts = Parts { tag: asked.tag, given: asked.given, as_of: asked.as_of };
        let (explained, findings) = explain_part::explain(&shop, &record, asked.row, &parts);
        say(&findings)?;
        let Some(explanation) = explained else { return Ok(2) };
        let text = asked.written(&explanation);
        out.write_all(text.as_bytes())?;
        return Ok(u8::from(findings.iter().any(Finding::is_error)));
    }
    let Record { source, sheet, mut findings } = record;
    let Some(sheet) = sheet else {
        say(&findings)?;
        return Ok(2);
    };
    let (readings, said) = shop.readings(&sheet, &source, asked.as_of);
    findings.extend(said);
    say(&findings)?;
    let errors = findings.iter().any(Finding::is_error);
    let Some(plan) = readings.generation.and_then(|id| shop.plan(id)) else { return Ok(1) };
    match explain_row_drawn(&shop.book, plan, &readings, asked.row) {
        Ok(explanation) => {
            let text = asked.written(&explanation);
            out.write_all(text.as_bytes())?;
            Ok(u8::from(errors))
        }
        Err(finding) => {
            say([&*finding])?;
            Ok(2)
        }
    }
}

/// Findings go to standard error, so that the explanation stands alone.
fn say<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> io::Result<()> {
    let mut out = io::stderr().lock();
    for finding in findings {
        out.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
