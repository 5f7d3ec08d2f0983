//! `trochoid explain`: prints what a code means, the list of codes, or the arithmetic of one verdict. Refuses to know what
//! they mean.

use super::arguments::{Drawing, FormatName, day};
use super::explain_row::{self, ExplainRow};
use super::{COULD_NOT, terminal, wording};
use crate::disk;
use crate::explain::code;
use crate::finding::{Code, nearest};
use crate::quantity::Date;
use crate::report::{Format, Look, code_page, fitted};
use clap::Args;
use std::io::{self, Write};
use std::path::PathBuf;

/// Explain the code of a finding, or write out the whole arithmetic of one verdict
///
/// For a code: what it means, what to do, an example that is wrong and one that is right. For a record and a row: the
/// readings as taken, every conversion, every step, the range and where it comes from, so that you can do it again on
/// paper.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid explain row-out                   what a finding of this code means
  trochoid explain use-circle --format json  the same for programs
  trochoid explain --list                    every code with what it means in one line
  trochoid explain builds/K-0143.yaml rotor.front.side_clearance
  trochoid explain builds/K-0143.yaml rotor.side_clearance        at every rotor
  trochoid explain builds/K-0143.yaml 'spread of rotor.width'     the row of this word only
  trochoid explain shelf/rotors.yaml width --tag R-017            a row of a loose part

Exit status:
  0  it is explained, whatever the grade
  1  the record has errors, or says no generation
  2  it could not be done: there is no such name, a rulebook with errors, a file that cannot be read"
)]
pub(super) struct Explain {
    /// The code of a finding, such as `row-out`; or a record, `-` for standard input
    #[arg(value_name = "CODE|RECORD", required_unless_present = "list", add = super::complete::codes_and_records())]
    what: Option<PathBuf>,

    /// What is judged, as the record's keys name it; positions may be left out
    #[arg(value_name = "ROW", conflicts_with = "list", add = super::complete::rows())]
    row: Option<String>,

    /// Which part is meant, in a file of several loose parts
    #[arg(long, value_name = "TAG", requires = "row")]
    tag: Option<String>,

    /// Say something about the machine a loose part goes into, as in `duty=street`
    #[arg(long, value_name = "READING=VALUE", value_parser = super::question::given, requires = "row")]
    given: Vec<(String, String)>,

    /// Judge by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH", requires = "row")]
    books: Option<PathBuf>,

    /// Judge by the rows in force on this day [default: the day the build was finished]
    #[arg(long, value_name = "DATE", value_parser = day, requires = "row")]
    as_of: Option<Date>,

    /// List every code with what it means in one line
    #[arg(long, visible_alias = "all", conflicts_with = "what")]
    list: bool,

    /// How to write it: `graphic` drawn, `plain` without colour and each paragraph on one line, `json` for programs
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = FormatName::Graphic, hide_possible_values = true)]
    format: FormatName,

    #[command(flatten)]
    drawing: Drawing,
}

/// Explains what was asked for and gives the exit status.
pub(super) fn run(asked: &Explain) -> io::Result<u8> {
    let (format, look) = (asked.format.format(), terminal::look_as(asked.drawing));
    match (&asked.what, &asked.row) {
        (Some(record), Some(row)) => explain_row::run(&ExplainRow {
            record,
            row,
            tag: asked.tag.as_deref(),
            given: &asked.given,
            books: asked.books.as_deref(),
            as_of: asked.as_of,
            json: format == Format::Json,
            look,
        }),
        // A code is not read from a file, so what standard input holds lacks its row.
        (Some(what), None) if disk::is_standard_input(what) => {
            writeln!(io::stderr(), "{}", wording::ROW_WANTED)?;
            Ok(COULD_NOT)
        }
        (Some(what), None) => explain_code(&what.to_string_lossy(), format, look),
        (None, _) => print(list(format, look)),
    }
}

fn explain_code(name: &str, format: Format, look: Look) -> io::Result<u8> {
    match code::named(name) {
        Some(code) => print(code::page(code).map(|page| fit(code_page::write(&page, format, look), format, look))),
        None => {
            let near = nearest(name, Code::ALL.iter().map(|code| code.name()));
            print(Err(wording::no_code(name, near)))
        }
    }
}

fn list(format: Format, look: Look) -> Result<String, String> {
    let pages: Result<Vec<_>, String> = Code::ALL.iter().map(|code| code::page(*code)).collect();
    Ok(fit(code_page::list(&pages?, format, look), format, look))
}

/// A text as wide as there is room, where it is drawn.
fn fit(text: String, format: Format, look: Look) -> String {
    if format == Format::Graphic { fitted(&text, look) } else { text }
}

/// Prints what there is to say, or on standard error why there is nothing.
fn print(said: Result<String, String>) -> io::Result<u8> {
    match said {
        Ok(text) => {
            let mut stdout = io::stdout().lock();
            stdout.write_all(text.as_bytes())?;
            stdout.flush()?;
            Ok(0)
        }
        Err(fault) => {
            writeln!(io::stderr(), "{fault}")?;
            Ok(COULD_NOT)
        }
    }
}
