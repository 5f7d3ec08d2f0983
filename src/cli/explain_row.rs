//! `trochoid explain RECORD ROW`: reads one record and has one of its verdicts written out. Refuses to know rules.

use crate::bind;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::explain::explain_row;
use crate::finding::Finding;
use crate::record;
use crate::report::{explain, plain};
use crate::shop::Shops;
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::PathBuf;

/// Write out the whole arithmetic of one verdict, to be done again on paper
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid explain builds/K-0143.yaml rotor.front.side_clearance
  trochoid explain builds/K-0143.yaml rotor.side_clearance        every rotor
  trochoid explain builds/K-0143.yaml 'spread of rotor.width'     the row of this collection word only

Exit status:
  0  it is written out, whatever the grade
  1  the record has errors, or says no generation
  2  it could not be done: a rulebook with errors, a file that cannot be read, a path nothing judges"
)]
pub(super) struct ExplainRow {
    /// The record
    #[arg(value_name = "RECORD")]
    pub(super) record: PathBuf,

    /// What is judged, as the record's keys say it; positions may be left out
    #[arg(value_name = "ROW")]
    pub(super) row: String,

    /// Judge by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    pub(super) books: Option<PathBuf>,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = ExplainFormat::Text)]
    pub(super) format: ExplainFormat,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum ExplainFormat {
    /// Lines to read and to reckon with
    Text,
    /// One JSON document
    Json,
}

/// Writes what was asked for and gives the exit status.
pub(super) fn run(asked: &ExplainRow) -> io::Result<u8> {
    let mut out = io::stdout().lock();
    let shop = Shops::new(asked.books.clone()).of(&asked.record);
    if !shop.is_sound() {
        say(shop.findings().iter())?;
        return Ok(2);
    }
    let source = match disk::read_source(&asked.record, MOST_RECORD_BYTES) {
        Ok(source) => source,
        Err(finding) => {
            say([&finding])?;
            return Ok(2);
        }
    };
    let (sheet, mut findings) = record::read(&source);
    let Some(sheet) = sheet else {
        say(&findings)?;
        return Ok(2);
    };
    let (readings, said) = bind::bind(&shop.book, &sheet, &source);
    findings.extend(said);
    say(&findings)?;
    let errors = findings.iter().any(Finding::is_error);
    let Some(plan) = readings.generation.and_then(|id| shop.plan(id)) else { return Ok(1) };
    match explain_row(&shop.book, plan, &readings, &asked.row) {
        Ok(explanation) => {
            let text = match asked.format {
                ExplainFormat::Text => explain::text(&explanation),
                ExplainFormat::Json => explain::json(&explanation),
            };
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
