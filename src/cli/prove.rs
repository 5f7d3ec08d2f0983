//! `trochoid prove`: says what can be established about rulebooks with no record. Refuses to know how.

use super::arguments::{Drawing, FormatName};
use super::terminal::drawn;
use super::{COULD_NOT, wording};
use crate::finding::{Finding, nearest};
use crate::prove::prove;
use crate::report::prove::{Sheet, write};
use crate::shop::{Shop, Shops};
use clap::Args;
use std::io::{self, Write};
use std::path::PathBuf;

/// Say what can be proved about rulebooks alone, without a record
///
/// Whether good parts can add up to more than a row on a calculated value allows, which readings no row judges, where the
/// numbers come from, and which rows contradict each other or never apply.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid prove                                the shipped rulebooks
  trochoid prove books/                         every rulebook in a folder, and those they use
  trochoid prove books/ --generation small      one generation, reading by reading
  trochoid prove books/ --format json > proof.json

Exit status:
  0  nothing is wrong; there may be warnings
  1  something is proved to be wrong
  2  the rulebooks cannot be read or have errors")]
pub(super) struct Prove {
    /// A rulebook, or a folder of them; `-` for standard input [default: the shipped ones]
    #[arg(value_name = "BOOKS")]
    books: Option<PathBuf>,

    /// Show everything about this generation
    #[arg(long, short, value_name = "NAME", add = super::complete::generations())]
    generation: Option<String>,

    /// How to write what is found
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = FormatName::Graphic)]
    format: FormatName,

    #[command(flatten)]
    drawing: Drawing,
}

/// Proves what was asked for and gives the exit status.
pub(super) fn run(asked: &Prove) -> io::Result<u8> {
    let opened;
    let shop = match &asked.books {
        Some(books) => {
            opened = Shops::new(Some(books.clone())).of(books);
            &*opened
        }
        None => &Shop::shipped(),
    };
    let mut findings: Vec<Finding> = shop.findings().to_vec();
    let mut proof = None;
    if shop.is_sound() {
        let names = generations(shop);
        if let Some(name) = asked.generation.as_deref().filter(|name| !names.contains(name)) {
            let near = nearest(name, names.iter().copied());
            writeln!(io::stderr(), "{}", wording::no_generation(name, near, &names))?;
            return Ok(COULD_NOT);
        }
        let only = asked.generation.as_deref().and_then(|name| shop.book.generation(name));
        let (proved, said) = prove(&shop.book, only);
        findings.extend(said);
        proof = Some(proved);
    }
    let status = match &proof {
        None => COULD_NOT,
        Some(_) => u8::from(findings.iter().any(Finding::is_error)),
    };
    let sheet = Sheet {
        books: &shop.books(),
        proof: proof.as_ref(),
        findings: &findings,
        whole: asked.generation.is_some(),
        status,
    };
    let text = drawn(asked.format, asked.drawing, |look| write(&sheet, asked.format.format(), look));
    let mut stdout = io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()?;
    Ok(status)
}

/// The generations a record may name.
fn generations(shop: &Shop) -> Vec<&str> {
    let generations = shop.book.generations.iter().filter(|generation| !generation.basis);
    generations.map(|generation| &*generation.name).collect()
}
