//! `trochoid import`: makes records of a table of readings, and writes each whole or not at all. Refuses to know what a cell says.

use super::arguments::{Drawing, FormatName};
use super::terminal::drawn;
use super::{COULD_NOT, wording};
use crate::bind::part_named;
use crate::book::{Id, Part};
use crate::disk::{self, MOST_RECORD_BYTES, MOST_SHEET_BYTES};
use crate::finding::{Finding, nearest};
use crate::import::{Ask, Columns, Imported, Separator, import, map_for};
use crate::report::import::{Outcome, Sheet, written};
use crate::report::plain;
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Make records from a table of readings, as a spreadsheet saves it (CSV)
///
/// A table has one build or one loose part per line, with a column for each reading, or one reading per line, with the
/// columns build, path, value and perhaps unit and gauge. Numbers stay as they were typed; a cell that the spreadsheet
/// has changed is refused, and so is its build.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid import --columns-for light_2mm > columns.yaml     a column map, to write your own headings into
  trochoid import readings.csv --generation light_2mm --columns columns.yaml
  trochoid import readings.csv --generation light_2mm --columns columns.yaml --to builds/
  trochoid import readings.csv --to builds/                  headings as the records' keys, a column `generation`
  trochoid import liste.csv --generation light_2mm --decimal-comma
  trochoid import rotors.csv --part rotor --to shelf/        loose parts, a line for each tag

Without --to nothing is written; it only says what would be. The rulebooks are those of --books, else
those of the `trochoid.yaml` in the folder of the records or the nearest above it, else the shipped ones.

Exit status:
  0  every build has its record
  2  some build has none: a cell, a line or a column was refused, or another record is in its place"
)]
pub(super) struct Import {
    /// The table; `-` for standard input
    #[arg(value_name = "FILE", required_unless_present = "columns_for")]
    file: Option<PathBuf>,

    /// The generation of builds whose line names none
    #[arg(long, short, value_name = "NAME", add = super::complete::generations())]
    generation: Option<String>,

    /// The table is about loose parts of this kind, with a column `tag` for `build` and `measured` for `finished`
    #[arg(long, value_name = "PART", add = super::complete::parts())]
    part: Option<String>,

    /// What the columns are, if their headings do not say it: a YAML file with the headings as keys
    #[arg(long, value_name = "FILE")]
    columns: Option<PathBuf>,

    /// Write the records into this folder [default: nothing is written]
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,

    /// Replace records that say something else
    #[arg(long, requires = "to")]
    replace: bool,

    /// What separates the cells [default: what separates the headings]
    #[arg(long, value_name = "SIGN", value_enum)]
    separator: Option<Sign>,

    /// Decimals are written with a comma
    #[arg(long)]
    decimal_comma: bool,

    /// Print a column map of this generation to fill in, and do nothing else
    #[arg(long, value_name = "GENERATION", add = super::complete::generations(), conflicts_with_all = ["file", "to", "columns"])]
    columns_for: Option<String>,

    /// Read the table by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// How to write what is found
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = FormatName::Graphic)]
    format: FormatName,

    #[command(flatten)]
    drawing: Drawing,
}

/// The words for what parts cells.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Sign {
    /// ,
    Comma,
    /// ;
    Semicolon,
    /// A tab
    Tab,
}

/// Does what was asked for and gives the exit status.
pub(super) fn run(asked: &Import) -> io::Result<u8> {
    match imported(asked) {
        Ok(status) => status,
        Err(said) => {
            io::stderr().lock().write_all(said.as_bytes())?;
            Ok(COULD_NOT)
        }
    }
}

/// The exit status, or what is to be said instead of doing anything.
fn imported(asked: &Import) -> Result<io::Result<u8>, String> {
    if let Some(folder) = asked.to.as_ref().filter(|folder| !disk::is_folder(folder)) {
        return Err(format!("{}\n", wording::no_folder(folder)));
    }
    let table = asked.file.as_deref().unwrap_or(Path::new("table.csv"));
    let beside = asked.to.as_ref().map_or_else(|| table.to_path_buf(), |folder| folder.join("record.yaml"));
    let shop = Shops::new(asked.books.clone()).of(&beside);
    if !shop.is_sound() {
        return Err(said(shop.findings()));
    }
    let part = asked.part.as_deref().map(|name| part_of(&shop, name)).transpose()?;
    if let Some(name) = &asked.columns_for {
        let id = generation(&shop, name)?;
        let map = map_for(&shop, part, id);
        return Ok(io::stdout().lock().write_all(map.as_bytes()).map(|()| 0));
    }
    if let Some(name) = &asked.generation {
        generation(&shop, name)?;
    }
    let one = |finding: Finding| said(&[finding]);
    let source = disk::read_source(table, MOST_SHEET_BYTES).map_err(one)?;
    let columns = match &asked.columns {
        None => None,
        Some(path) => {
            let (columns, findings) = Columns::read(&disk::read_source(path, MOST_RECORD_BYTES).map_err(one)?);
            if findings.iter().any(Finding::is_error) {
                return Ok(print(asked, &[], 0, &findings));
            }
            Some(columns)
        }
    };
    let ask = Ask {
        part,
        generation: asked.generation.as_deref(),
        columns: columns.as_ref(),
        separator: asked.separator.map(|sign| match sign {
            Sign::Comma => Separator::Comma,
            Sign::Semicolon => Separator::Semicolon,
            Sign::Tab => Separator::Tab,
        }),
        decimal_comma: asked.decimal_comma,
    };
    let import = import(&shop, &source, &ask);
    let records: Vec<(&Imported, String, Outcome)> = import
        .records
        .iter()
        .map(|record| {
            let path = PathBuf::from(format!("{}.yaml", record.build));
            let path = asked.to.as_ref().map_or(path.clone(), |folder| folder.join(path));
            // Not even where everything may be replaced: it is no record.
            let own = shop.is_gauges_list(&path)
                || asked.columns.iter().chain(&asked.file).any(|file| disk::is_same(file, &path));
            let outcome = if own { Outcome::Unwritable(wording::NO_RECORD.into()) } else { put(asked, &path, record) };
            (record, super::question::named(&path), outcome)
        })
        .collect();
    Ok(print(asked, &records, import.refused, &import.findings))
}

/// Writes a record, if it is to be written.
fn put(asked: &Import, path: &Path, record: &Imported) -> Outcome {
    if asked.to.is_none() {
        return Outcome::Would;
    }
    if disk::read_source(path, MOST_SHEET_BYTES).is_ok_and(|there| there.text() == record.text) {
        return Outcome::Same;
    }
    let bytes = record.text.as_bytes();
    let done = if asked.replace { disk::write_whole(path, bytes) } else { disk::create_whole(path, bytes) };
    match done {
        Ok(()) => Outcome::Written,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Outcome::InTheWay,
        Err(error) => Outcome::Unwritable(error.to_string()),
    }
}

fn print(
    asked: &Import,
    records: &[(&Imported, String, Outcome)],
    refused: usize,
    findings: &[Finding],
) -> io::Result<u8> {
    let undone = records.iter().any(|(.., outcome)| !outcome.is_done());
    let nothing = records.is_empty();
    let status = if undone || nothing || refused > 0 || findings.iter().any(Finding::is_error) { COULD_NOT } else { 0 };
    let sheet = Sheet { records, of_parts: asked.part.is_some(), refused, findings, status };
    let text = drawn(asked.format, asked.drawing, |look| written(&sheet, asked.format.format(), look));
    let mut stdout = io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()?;
    Ok(status)
}

fn said(findings: &[Finding]) -> String {
    findings.iter().map(plain::write).collect()
}

/// The generation of a name, which records may say.
fn generation(shop: &Shop, name: &str) -> Result<crate::book::Id<crate::book::Generation>, String> {
    let names: Vec<&str> = shop.book.generations.iter().filter(|one| !one.basis).map(|one| &*one.name).collect();
    match shop.book.generation(name) {
        Some(id) if !shop.book.generations.get(id).basis => Ok(id),
        Some(_) => Err(format!("{}\n", wording::basis_only(name, &names))),
        None => Err(format!("{}\n", wording::no_generation(name, nearest(name, names.iter().copied()), &names))),
    }
}

/// The part of a name.
fn part_of(shop: &Shop, name: &str) -> Result<Id<Part>, String> {
    part_named(&shop.book, name).map_err(|paths| {
        let parts: Vec<&str> = shop.book.parts.iter().skip(1).map(|part| &*part.name).collect();
        let said = if paths.is_empty() {
            super::wording_part::no_part(name, &parts)
        } else {
            super::wording_part::several_parts(name, &paths)
        };
        format!("{said}\n")
    })
}
