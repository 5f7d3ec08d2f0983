//! The command line: what was asked for, and how the work is shared out. Refuses to know rules, readings and drawing.

mod arguments;
mod audit;
#[cfg(feature = "pages")]
mod bench;
mod blank;
#[cfg(feature = "cache")]
mod cached;
#[cfg(not(feature = "cache"))]
#[path = "uncached.rs"]
mod cached;
mod check;
mod complete;
mod explain;
mod explain_part;
mod explain_row;
mod history;
mod identify;
mod import;
mod in_order;
mod install;
mod interrupt;
#[cfg(feature = "editor")]
mod language_server;
mod left_out;
mod list;
mod manual;
mod match_least;
mod matching;
#[cfg(feature = "pages")]
mod over_time;
mod paths;
mod progress;
mod prove;
mod question;
#[cfg(feature = "pages")]
mod report;
mod revision;
mod rework;
mod sheet_folder;
#[cfg(feature = "pages")]
mod square;
mod terminal;
mod tidy;
mod trend;
mod wording;
#[cfg(feature = "pages")]
mod wording_bench;
mod wording_match;
mod wording_part;

use crate::disk;
use arguments::{Arguments, Command};
use clap::Parser;
use std::ffi::OsString;
use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

/// The exit status when the command could not do its work.
const COULD_NOT: u8 = 2;

/// The exit status where whoever read the output went away: what a shell shows of a program that SIGPIPE ended, 128 + 13.
const READER_GONE: u8 = 141;

/// Runs the program: 0 every build passes, 1 some build fails, 2 the command could not do its work.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if let Some(status) = complete::answered(&arguments) {
        return status;
    }
    if arguments.iter().any(|word| word == "-") {
        disk::name_standard_input();
    }
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(said) => {
            if let Some(said) = left_out::said(&said) {
                let _ = writeln!(io::stderr(), "{said}");
                return ExitCode::from(COULD_NOT);
            }
            // Help that was asked for is not a failure; where nobody reads it there is nobody to tell.
            let _ = match said.render().to_string().strip_prefix("error: ") {
                // One prefix for whatever is wrong with the command line.
                Some(fault) => write!(io::stderr(), "trochoid: {fault}"),
                None => said.print(),
            };
            return ExitCode::from(if said.use_stderr() { COULD_NOT } else { 0 });
        }
    };
    let outcome = match arguments.command {
        Command::Audit(asked) => audit::run(&asked),
        #[cfg(feature = "pages")]
        Command::Bench(asked) => bench::run(&asked),
        Command::Blank(asked) => blank::run(&asked),
        Command::Check(asked) => check::run(&asked).map(|tally| tally.status()),
        Command::Completions(asked) => install::completions(&asked),
        Command::Explain(asked) => explain::run(&asked),
        Command::Identify(asked) => identify::run(&asked),
        Command::Import(asked) => import::run(&asked),
        #[cfg(feature = "editor")]
        Command::LanguageServer(asked) => language_server::run(&asked),
        Command::List(asked) => list::run(&asked),
        Command::Match(asked) => matching::run(&asked),
        Command::Manual(asked) => install::manual(&asked),
        Command::Prove(asked) => prove::run(&asked),
        #[cfg(feature = "pages")]
        Command::Report(asked) => report::run(&asked),
        Command::Rework(asked) => rework::run(&asked),
        Command::Tidy(asked) => tidy::run(&asked),
        Command::Trend(asked) => trend::run(&asked),
    };
    match outcome {
        Ok(status) => ExitCode::from(status),
        // The reader went away, as `head` does: the rest of the run is not wanted, and was not done.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => ExitCode::from(READER_GONE),
        Err(error) => {
            let _ = writeln!(io::stderr(), "{}", wording::cannot_write(&error));
            ExitCode::from(COULD_NOT)
        }
    }
}
