//! `trochoid completions` and `trochoid manual`: what a shell and a reader of manuals need, made out of the command line itself
//! and so never older than it. Refuses to know what any command does.

use super::arguments::Arguments;
use super::{COULD_NOT, complete, manual, wording};
use crate::disk;
use clap::{Args, CommandFactory};
use clap_complete::Shell;
use clap_complete::env::Shells;
use std::io::{self, Write};
use std::path::PathBuf;

/// Print the script that makes a shell complete commands, flags and names
///
/// The names are those of your rulebooks: generations, parts, rows, codes, and the records below this folder. The shell asks the
/// program for them while you type. Your shell's manual says where to put the script; for bash it is a file in
/// ~/.local/share/bash-completion/completions.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid completions bash > ~/.local/share/bash-completion/completions/trochoid
  trochoid completions zsh > ~/.zfunc/_trochoid
  trochoid completions fish > ~/.config/fish/completions/trochoid.fish
  trochoid completions powershell >> $PROFILE")]
pub(super) struct Completions {
    /// The shell
    #[arg(value_name = "SHELL", value_enum)]
    shell: Shell,
}

/// Write the manual: a page for the program and one for each command
///
/// Pages are read with `man`, as in `man -l trochoid-check.1`, or by their name once they lie in a folder of manuals.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid manual                        print the page of the program
  trochoid manual ~/.local/share/man/man1    write every page into a folder")]
pub(super) struct Manual {
    /// The folder the pages go into; without it the page of the program is printed
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
}

/// Prints the completions.
pub(super) fn completions(asked: &Completions) -> io::Result<u8> {
    let mut script = Vec::new();
    let shell = asked.shell.to_string();
    let shells = Shells::builtins();
    let Some(shell) = shells.completer(&shell) else { return Ok(COULD_NOT) };
    shell.write_registration(complete::VARIABLE, "trochoid", "trochoid", "trochoid", &mut script)?;
    io::stdout().lock().write_all(&script)?;
    Ok(0)
}

/// Prints or writes the manual.
pub(super) fn manual(asked: &Manual) -> io::Result<u8> {
    let mut program = Arguments::command();
    program.build();
    let Some(folder) = &asked.folder else {
        io::stdout().lock().write_all(&manual::page(&program)?)?;
        return Ok(0);
    };
    let mut pages = vec![("trochoid.1".to_owned(), manual::page(&program)?)];
    for command in program.get_subcommands() {
        let name = format!("trochoid-{}", command.get_name());
        pages.push((format!("{name}.1"), manual::page(command)?));
    }
    for (name, text) in pages {
        let path = folder.join(name);
        if let Err(error) = disk::write_whole_below(&path, &text) {
            writeln!(io::stderr(), "{}", wording::page_unwritten(&path, &error))?;
            return Ok(COULD_NOT);
        }
    }
    Ok(0)
}
