//! `trochoid rework`: says what would put a record right, by the operations of its books. Refuses to choose any, and to write
//! into a record.

use super::arguments::Drawing;
use super::{COULD_NOT, terminal};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::record;
use crate::report::plain;
use crate::report::rework::{Planned, document, table, text};
use crate::rework::{Reworked, rework};
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Say what would put a record right, and which parts to order
///
/// For every row that is not good: by how much each reading would have to be less or more. Then the fewest operations that
/// the rulebooks allow, judged again as if they were done, what must be measured afterwards, and which parts to order. Every
/// value is a prediction, and nothing is written into a record.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid rework K-0143.yaml                   what would put this build right
  trochoid rework builds/ --format csv          the parts to order for every build of a folder
  trochoid rework K-0143.yaml --format json

The operations are those that the rulebooks declare with `rework`, each with its bound and its
cautions. The maker's documents come first.

Exit status:
  0  nothing needs to be put right, or a plan puts it right as far as can be judged before
     it is measured again
  1  no plan that the rulebooks allow puts it right
  2  not everything could be done: a record that cannot be judged, a rulebook with errors"
)]
pub(super) struct Rework {
    /// Records, or folders of them
    #[arg(value_name = "RECORD", required = true)]
    records: Vec<PathBuf>,

    /// By this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Text)]
    format: Form,

    #[command(flatten)]
    drawing: Drawing,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// For people
    Text,
    /// One JSON document
    Json,
    /// The parts to order as comma-separated text, for spreadsheets
    Csv,
}

/// One record, and what would put it right.
struct Known {
    name: String,
    shop: Arc<Shop>,
    found: Reworked,
}

/// Plans what was asked for and gives the exit status.
pub(super) fn run(asked: &Rework) -> io::Result<u8> {
    let shops = Shops::new(asked.books.clone());
    let (records, said) = super::paths::records(&asked.records, &shops);
    say(&said)?;
    let mut could_not = said.iter().any(Finding::is_error);
    let mut known: Vec<Known> = Vec::new();
    for (_, record) in records {
        match one(&record, &shops) {
            Ok((planned, findings)) => {
                say(&findings)?;
                known.push(planned);
            }
            Err(findings) => {
                could_not = true;
                say(&findings)?;
            }
        }
    }
    let not_right = known.iter().any(|known| !known.found.puts_right());
    let status = if could_not { COULD_NOT } else { u8::from(not_right) };
    let planned: Vec<Planned<'_>> =
        known.iter().map(|known| Planned { name: &known.name, book: &known.shop.book, found: &known.found }).collect();
    let written = match asked.format {
        _ if planned.is_empty() => return Ok(status),
        Form::Json => document(&planned, status),
        Form::Csv => table(&planned),
        Form::Text => {
            let look = terminal::look_as(asked.drawing);
            planned.iter().map(|planned| text(*planned, look)).collect::<Vec<_>>().join("\n")
        }
    };
    io::stdout().lock().write_all(written.as_bytes())?;
    Ok(status)
}

/// Plans for one record. Its mistakes are told, and what can be judged is planned for all the same.
fn one(record: &Path, shops: &Shops) -> Result<(Known, Vec<Finding>), Vec<Finding>> {
    let shop = shops.of(record);
    if !shop.is_sound() {
        return Err(shop.findings().to_vec());
    }
    let source = disk::read_source(record, MOST_RECORD_BYTES).map_err(|finding| vec![finding])?;
    let (sheet, findings) = record::read(&source);
    let sheet = sheet.ok_or(findings)?;
    let (readings, findings) = shop.readings(&sheet, &source, None);
    let found = match readings.generation.and_then(|id| shop.plan(id)) {
        Some(plan) if !findings.iter().any(Finding::is_error) => rework(&shop.book, plan, &readings),
        _ => return Err(findings),
    };
    Ok((Known { name: record.to_string_lossy().replace('\\', "/"), shop, found }, findings))
}

/// Findings go to standard error, so that the answer stands alone.
fn say(findings: &[Finding]) -> io::Result<()> {
    let mut out = io::stderr().lock();
    for finding in findings {
        out.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
