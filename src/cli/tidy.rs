//! `trochoid tidy`: sets rulebooks in their one layout, where they lie. Refuses to know the layout.

use super::arguments::{Colour, Drawing};
use super::{COULD_NOT, terminal, wording};
use crate::disk::{self, Kind, MOST_BOOK_BYTES, walk};
use crate::finding::Finding;
use crate::report::{self, terminal::draw};
use crate::text::Source;
use crate::tidy::tidy;
use clap::Args;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Exit status where a book asked about is not tidy.
const NOT_TIDY: u8 = 1;

/// Set rulebooks in their canonical layout
///
/// Spaces, line ends and columns are set anew; every word and comment stays, in order. A book with errors is left as it
/// is. A file is written whole or not at all, and only if something changes.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid tidy books/                   every rulebook below a folder
  trochoid tidy books/ --check           show what would change, and change nothing
  trochoid tidy - < trial.rulebook       from standard input to standard output

Exit status:
  0  every rulebook is tidy now; with --check, was tidy already
  1  with --check: some rulebook would change
  2  some rulebook has errors or cannot be read or written; the others are done"
)]
pub(super) struct Tidy {
    /// Rulebooks, or folders with rulebooks below them (*.rulebook); `-` for standard input
    #[arg(required = true, value_name = "BOOKS")]
    books: Vec<PathBuf>,

    /// Print what would change as a unified diff, and change nothing
    #[arg(long)]
    check: bool,
}

/// Tidies what was asked for and gives the exit status.
pub(super) fn run(asked: &Tidy) -> io::Result<u8> {
    let mut run = Run { check: asked.check, troubles: false, changes: false };
    for path in &asked.books {
        if path.as_os_str() == "-" {
            run.stdin()?;
            continue;
        }
        let mut nothing = true;
        for step in walk(path, Kind::Rulebooks) {
            match step {
                Ok(book) => {
                    nothing = false;
                    run.file(&book)?;
                }
                Err(finding) => {
                    nothing &= !finding.is_error();
                    run.say(&[finding])?;
                }
            }
        }
        if nothing {
            run.say(&[wording::no_rulebooks(path)])?;
        }
    }
    Ok(if run.troubles {
        COULD_NOT
    } else if run.check && run.changes {
        NOT_TIDY
    } else {
        0
    })
}

struct Run {
    check: bool,
    /// Whether something could not be done.
    troubles: bool,
    /// Whether some book was not tidy.
    changes: bool,
}

impl Run {
    /// Findings go to standard error: standard output is for the book or the diff.
    fn say(&mut self, findings: &[Finding]) -> io::Result<()> {
        self.troubles |= findings.iter().any(Finding::is_error);
        let look = terminal::look_as(Drawing { width: None, colour: Colour::Auto });
        let mut stderr = io::stderr().lock();
        findings.iter().try_for_each(|finding| stderr.write_all(draw(finding, look).as_bytes()))
    }

    fn complain(&mut self, sentence: &str) -> io::Result<()> {
        self.troubles = true;
        writeln!(io::stderr(), "{sentence}")
    }

    fn file(&mut self, path: &Path) -> io::Result<()> {
        let source = match disk::read_source(path, MOST_BOOK_BYTES) {
            Ok(source) => source,
            Err(finding) => return self.say(&[finding]),
        };
        let Some(text) = self.tidied(&source)? else { return Ok(()) };
        if self.check || text == source.text() {
            return Ok(());
        }
        match disk::rewrite_whole(path, text.as_bytes()) {
            Ok(()) => writeln!(io::stdout(), "{}", wording::tidied(source.name())),
            Err(error) => self.complain(&wording::book_unwritable(source.name(), &error)),
        }
    }

    fn stdin(&mut self) -> io::Result<()> {
        let mut bytes = Vec::new();
        io::stdin().lock().take(MOST_BOOK_BYTES + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > MOST_BOOK_BYTES {
            return self.complain(&wording::stdin_too_large());
        }
        let Ok(text) = String::from_utf8(bytes) else { return self.complain(wording::STDIN_NOT_UTF8) };
        match self.tidied(&Source::new(wording::STDIN, text))? {
            Some(text) if !self.check => {
                let mut stdout = io::stdout().lock();
                stdout.write_all(text.as_bytes())?;
                stdout.flush()
            }
            _ => Ok(()),
        }
    }

    /// The book's layout, if it has one; what would change is shown where that is asked for.
    fn tidied(&mut self, source: &Source) -> io::Result<Option<String>> {
        match tidy(source) {
            Ok(text) => {
                self.changes |= text != source.text();
                if self.check {
                    let difference = report::tidy::difference(source.name(), source.text(), &text);
                    io::stdout().write_all(difference.as_bytes())?;
                }
                Ok(Some(text))
            }
            Err(findings) => self.say(&findings).map(|()| None),
        }
    }
}
