//! `trochoid blank`: prints an empty record of a generation, to be filled in at the bench. Refuses to know what is asked for.

use super::arguments::day;
#[cfg(feature = "pages")]
use super::report::Paper;
use super::{COULD_NOT, wording};
use crate::bind::part_named;
use crate::blank::{blank, blank_part, parts};
use crate::book::{Id, Part};
use crate::disk;
use crate::finding::nearest;
use crate::quantity::Date;
use crate::report::blank::{Head, write};
#[cfg(feature = "pages")]
use crate::report::html;
use crate::report::plain;
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Print an empty record: every reading the rulebooks ask for, ready to be filled in
///
/// It is for a generation, or for one loose part. Its readings are in the order the rulebooks declare the parts, which
/// is that of the bench, with unit, range and station as comments beside each. Readings that may be left out are
/// comments too. `trochoid check` on a half-filled record says what remains.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = super::left_out::without("\
Examples:
  trochoid blank light_2mm > builds/K-0201.yaml
  trochoid blank light_2mm --build K-0201 --output builds/K-0201.yaml
  trochoid blank light_2mm --only rotors           the rotors alone, with what is inside them
  trochoid blank light_2mm --only housings,irons   several parts
  trochoid blank small --books books/              by other rulebooks
  trochoid blank light_2mm --format html > sheet.html      to print and to write on
  trochoid blank rotor --generation light_2mm --tag R-041  a loose part
  trochoid blank rotor                             a loose part of a generation nobody knows yet

The rulebooks are those of --books, else those of the `trochoid.yaml` in the folder of the
new record or the nearest above it, else the shipped ones.

Exit status:
  0  the record is printed, or written
  2  it is not: no such generation or part, a rulebook with errors, a file that already exists")
)]
pub(super) struct Blank {
    /// The generation, as records name it; or a part, for the record of a loose one
    #[arg(value_name = "GENERATION|PART", add = super::complete::generations_and_parts())]
    what: String,

    /// The generation of a loose part, if it is known
    #[arg(long, value_name = "GENERATION", add = super::complete::generations(), conflicts_with_all = ["only", "build", "finished"])]
    generation: Option<String>,

    /// The tag of a loose part
    #[arg(long, value_name = "TAG", conflicts_with_all = ["only", "build", "finished"])]
    tag: Option<String>,

    /// The day a loose part is measured; the rows in force on it are shown
    #[arg(long, value_name = "DATE", value_parser = day, conflicts_with_all = ["only", "build", "finished"])]
    measured: Option<Date>,

    /// Only these parts and what is inside them, as in `rotors,housings`
    #[arg(long, value_name = "PARTS", value_delimiter = ',', add = super::complete::parts())]
    only: Vec<String>,

    /// Use this rulebook, or every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// The name of the build
    #[arg(long, value_name = "NAME")]
    build: Option<String>,

    /// The day the build is finished; the rows in force on it are shown
    #[arg(long, value_name = "DATE", value_parser = day)]
    finished: Option<Date>,

    /// Show the rows in force on this day [default: the day the build is finished, or the newest]
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Date>,

    /// What to print: a record to fill in here, or a sheet to write on
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Yaml)]
    format: Form,

    /// The paper a sheet is printed on
    #[cfg(feature = "pages")]
    #[arg(long, value_name = "SIZE", value_enum, default_value_t = Paper::A4)]
    paper: Paper,

    /// Write to this file, which must not exist yet [default: standard output]
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// The words for what is printed.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// A record, as YAML
    Yaml,
    /// A page of HTML with boxes to write in, the ranges beside, part by part
    #[cfg(feature = "pages")]
    Html,
}

/// Prints what was asked for and gives the exit status.
pub(super) fn run(asked: &Blank) -> io::Result<u8> {
    // A record that is not there yet has a shop all the same: that of its folder.
    let record = asked.output.as_deref().unwrap_or(Path::new("blank.yaml"));
    if let Some(path) = asked.output.as_deref().filter(|path| !disk::exists(&disk::folder_of(path))) {
        let error = io::Error::from(io::ErrorKind::NotFound);
        writeln!(io::stderr(), "{}", wording::record_unwritable(path, &error))?;
        return Ok(COULD_NOT);
    }
    let shop = Shops::new(asked.books.clone()).of(record);
    let text = match record_of(asked, &shop) {
        Ok(text) => text,
        Err(said) => {
            let mut stderr = io::stderr().lock();
            stderr.write_all(said.as_bytes())?;
            return Ok(COULD_NOT);
        }
    };
    match &asked.output {
        None => {
            let mut stdout = io::stdout().lock();
            stdout.write_all(text.as_bytes())?;
            stdout.flush()?;
        }
        Some(path) => {
            if let Err(error) = disk::create_whole(path, text.as_bytes()) {
                writeln!(io::stderr(), "{}", wording::record_unwritable(path, &error))?;
                return Ok(COULD_NOT);
            }
        }
    }
    Ok(0)
}

/// The record, or what is to be said instead, ended by a line end.
fn record_of(asked: &Blank, shop: &Shop) -> Result<String, String> {
    if !shop.is_sound() {
        return Err(shop.findings().iter().map(plain::write).collect());
    }
    let book = &shop.book;
    let line = |said: String| format!("{said}\n");
    let names: Vec<&str> = book.generations.iter().filter(|one| !one.basis).map(|one| &*one.name).collect();
    let name = asked.what.as_str();
    let found = book.generation(name);
    let of_part = asked.generation.is_some() || asked.tag.is_some() || asked.measured.is_some();
    let one = match part_named(book, name) {
        Ok(part) if found.is_none() => Some(part),
        Err(paths) if found.is_none() && !paths.is_empty() => {
            return Err(line(super::wording_part::several_parts(name, &paths)));
        }
        _ => None,
    };
    if let Some(part) = one {
        return part_record(asked, shop, part);
    }
    if of_part {
        let parts: Vec<&str> = book.parts.iter().skip(1).map(|part| &*part.name).collect();
        return Err(line(super::wording_part::no_part(name, &parts)));
    }
    let Some(plan) = found.and_then(|id| shop.plan(id)) else {
        return Err(line(match found {
            Some(_) => wording::basis_only(name, &names),
            None => wording::no_generation(name, nearest(name, names.iter().copied()), &names),
        }));
    };
    let only = parts(book, &asked.only).map_err(|unnamed| line(wording::no_part(&unnamed)))?;
    let blank = blank(book, plan, asked.as_of.or(asked.finished), &only);
    if blank.is_empty() {
        return Err(line(wording::nothing_asked(name, &asked.only)));
    }
    let head = Head { build: asked.build.as_deref(), finished: asked.finished };
    Ok(printed(asked, shop, &blank, &head))
}

/// The record of a loose part.
fn part_record(asked: &Blank, shop: &Shop, part: Id<Part>) -> Result<String, String> {
    let book = &shop.book;
    let line = |said: String| format!("{said}\n");
    let generation = match &asked.generation {
        None => None,
        Some(name) => Some(book.generation(name).filter(|id| shop.plan(*id).is_some()).ok_or_else(|| {
            let names: Vec<&str> = book.generations.iter().filter(|one| !one.basis).map(|one| &*one.name).collect();
            line(wording::no_generation(name, nearest(name, names.iter().copied()), &names))
        })?),
    };
    let blank = blank_part(book, part, asked.as_of.or(asked.measured), &shop.places_of(part, generation));
    if blank.is_empty() {
        return Err(line(super::wording_part::nothing_of_part(&asked.what, asked.generation.as_deref())));
    }
    let head = Head { build: asked.tag.as_deref(), finished: asked.measured };
    Ok(printed(asked, shop, &blank, &head))
}

#[cfg_attr(not(feature = "pages"), expect(unused_variables, reason = "a record to fill in does not name the shop"))]
fn printed(asked: &Blank, shop: &Shop, blank: &crate::blank::Blank, head: &Head<'_>) -> String {
    match asked.format {
        Form::Yaml => write(blank, head),
        #[cfg(feature = "pages")]
        Form::Html => html::blank(blank, head, shop.name.as_deref(), asked.paper.size()),
    }
}
