//! `trochoid explain`: prints what a code means, or the list of codes. Refuses to know what they mean.

use super::arguments::{Colour, FormatName};
use super::{COULD_NOT, terminal, wording};
use crate::explain::code;
use crate::finding::{Code, nearest};
use crate::report::{Format, Look, code_page};
use clap::Args;
use std::io::{self, Write};

/// Explain the code of a finding: what it means, what to do, an example that is wrong and one that is right
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid explain row-out                   what a finding of this code means
  trochoid explain use-circle --format json  the same for programs
  trochoid explain --list                    every code with what it means in one line

Exit status:
  0  it is explained
  2  there is nothing of that name"
)]
pub(super) struct Explain {
    /// The code of a finding, such as `row-out`
    #[arg(value_name = "CODE", required_unless_present = "list")]
    what: Option<String>,

    /// List every code with what it means in one line
    #[arg(long, visible_alias = "all", conflicts_with = "what")]
    list: bool,

    /// How to write it: `graphic` drawn, `plain` without colour and each paragraph on one line, `json` for programs
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = FormatName::Graphic, hide_possible_values = true)]
    format: FormatName,

    /// Columns to draw in [default: the terminal's, or 80]
    #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=1000))]
    width: Option<u16>,

    /// When to colour
    ///
    /// `auto` colours on a terminal, unless NO_COLOR is set.
    #[arg(long, visible_alias = "color", value_name = "WHEN", value_enum, default_value_t = Colour::Auto)]
    colour: Colour,
}

/// Explains what was asked for and gives the exit status.
pub(super) fn run(asked: &Explain) -> io::Result<u8> {
    let (format, look) = (asked.format.format(), terminal::look_as(asked.width, asked.colour));
    match &asked.what {
        Some(what) => explain_code(what, format, look),
        None => print(list(format, look)),
    }
}

fn explain_code(name: &str, format: Format, look: Look) -> io::Result<u8> {
    match code::named(name) {
        Some(code) => print(code::page(code).map(|page| code_page::write(&page, format, look))),
        None => {
            let near = nearest(name, Code::ALL.iter().map(|code| code.name()));
            print(Err(wording::no_code(name, near)))
        }
    }
}

fn list(format: Format, look: Look) -> Result<String, String> {
    let pages: Result<Vec<_>, String> = Code::ALL.iter().map(|code| code::page(*code)).collect();
    Ok(code_page::list(&pages?, format, look))
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
