//! `trochoid language-server`: answers an editor over standard input and output. Refuses to know what it asks.

use crate::lsp;
use clap::Args;
use std::io;

/// Serve an editor while rulebooks and records are written
///
/// Speaks the Language Server Protocol, version 3.17, over standard input and output: what is wrong as it is typed, what a
/// name means, what may stand next, where a row comes from, corrections, and the grade beside each reading.
#[derive(Args, Debug)]
#[command(after_help = "\
An editor starts it; there is nothing to type. It takes *.rulebook files, and the YAML and JSON records,
settings and gauges of a shop. specs/editors.md says how to set up an editor.

Exit status:
  0  the editor said `shutdown`, then `exit`
  1  the editor went away without saying so
  2  what it sent could not be read as messages")]
pub(super) struct LanguageServer {
    /// Use standard input and output: the only way there is, for editors that insist on saying so
    #[arg(long)]
    stdio: bool,
}

/// Answers until the editor goes, and gives the exit status.
pub(super) fn run(asked: &LanguageServer) -> io::Result<u8> {
    // Said or not, it is what is done.
    let _ = asked.stdio;
    match lsp::serve(io::stdin(), &mut io::stdout().lock(), || super::sheet_folder::today(None)) {
        Err(error) if error.kind() == io::ErrorKind::InvalidData => {
            use std::io::Write;
            writeln!(io::stderr(), "{}", super::wording::no_messages(&error))?;
            Ok(super::COULD_NOT)
        }
        outcome => outcome,
    }
}
