//! `trochoid list`: prints the names that records, rulebooks and command lines use. Refuses to know what they mean.

use super::arguments::Drawing;
use super::{COULD_NOT, terminal, wording};
use crate::bind::{Correlated, Gauge};
use crate::blank::parts;
use crate::catalogue::{ListedGauge, Wanted, catalogue};
use crate::finding::nearest;
use crate::quantity::{Rounded, Unit, shown_significant};
use crate::report::catalogue as write;
use crate::report::plain;
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Print every name there is: generations, parts, readings, rows, units, books
///
/// Every name that a record or a command may use, by the rulebooks of this folder, so that you need not guess.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid list                          generations, parts and books
  trochoid list generations              each with what it is
  trochoid list parts                    each with its positions
  trochoid list readings rotor           of the rotors and what is inside them: unit, optional or not, how measured
  trochoid list rows light_2mm           every row of a generation, with its source
  trochoid list units                    every unit, with all its forms
  trochoid list gauges                   the gauges of the shop, and how each moved between calibrations
  trochoid list books                    the rulebooks
  trochoid list books parts.rulebook     the text of one, a shipped one too
  trochoid list readings --format json   for programs

The rulebooks are those of --books, else those of the `trochoid.yaml` in this folder or the
nearest above it, else the shipped ones.

Exit status:
  0  the names are printed
  2  they are not: no such generation, part or book, a rulebook with errors")]
pub(super) struct List {
    /// Which names
    #[arg(value_name = "WHAT", value_enum)]
    what: Option<What>,

    /// The part whose readings to print, the generation whose rows, or the book whose text
    #[arg(value_name = "NAME", add = super::complete::listed())]
    name: Option<String>,

    /// Use this rulebook, or every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// How to write them: `text` for people, `json` for programs
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = ListFormat::Text, hide_possible_values = true)]
    format: ListFormat,

    #[command(flatten)]
    drawing: Drawing,
}

/// The words for what is listed.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum What {
    /// What a build may be
    Generations,
    /// The parts and their positions
    Parts,
    /// What is measured, and what is calculated from it
    Readings,
    /// What judges a generation
    Rows,
    /// What may follow a number
    Units,
    /// The gauges of the shop's list, and what changed between calibrations
    Gauges,
    /// The rulebooks
    Books,
}

/// The words for how it is written.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum ListFormat {
    /// A line for each name
    Text,
    /// One JSON document
    Json,
}

/// Prints what was asked for and gives the exit status.
pub(super) fn run(asked: &List) -> io::Result<u8> {
    let shop = Shops::new(asked.books.clone()).of(Path::new("list.yaml"));
    match listed(asked, &shop) {
        Ok(text) => {
            let mut stdout = io::stdout().lock();
            stdout.write_all(text.as_bytes())?;
            stdout.flush()?;
            Ok(0)
        }
        Err(said) => {
            io::stderr().lock().write_all(said.as_bytes())?;
            Ok(COULD_NOT)
        }
    }
}

/// The gauges of the shop, each as its last calibration left it.
fn gauges(shop: &Shop) -> Vec<ListedGauge> {
    let one = |gauge: &Gauge| {
        // Its figures are shown in the unit of the first reading that it could take.
        let units = shop.book.characteristics.iter().filter_map(|one| one.unit.as_ref());
        let unit = units.map(Unit::difference).find(|unit| Some(unit.dimension) == gauge.dimension);
        let unit = unit.unwrap_or_else(Unit::number);
        ListedGauge {
            name: gauge.name.clone(),
            uncertainty: gauge.uncertainty.as_ref().map(|it| it.words(&unit)),
            resolution: gauge.resolution.as_ref().map(|it| shown_significant(it, &unit, 2, Rounded::Nearest)),
            error: gauge.error.as_ref().map(|it| shown_significant(it, &unit, 2, Rounded::Nearest)),
            correlated: gauge.correlated.iter().map(Correlated::words).collect(),
            calibrated: gauge.calibrated,
            due: gauge.due,
            drifts: shop.gauge_drifts(&gauge.name).iter().map(|drift| drift.words(&unit)).collect(),
        }
    };
    shop.gauges_on(None).into_iter().map(one).collect()
}

/// The names, or what is to be said instead, ended by a line end.
fn listed(asked: &List, shop: &Shop) -> Result<String, String> {
    if !shop.is_sound() {
        return Err(shop.findings().iter().map(plain::write).collect());
    }
    let book = &shop.book;
    let line = |said: String| format!("{said}\n");
    let only;
    let shipped;
    let (book, wanted) = match (asked.what, asked.name.as_deref()) {
        (None, _) => (&**book, Wanted::Overview),
        (Some(What::Readings), name) => {
            let names: Vec<String> = name.map(str::to_string).into_iter().collect();
            only = parts(book, &names).map_err(|unnamed| line(wording::no_part(&unnamed)))?;
            (&**book, Wanted::Readings(&only))
        }
        (Some(What::Rows), name) => {
            let names: Vec<&str> = book.generations.iter().map(|one| &*one.name).collect();
            let Some(name) = name else { return Err(line(wording::rows_of_which(&names))) };
            let generation = book
                .generation(name)
                .ok_or_else(|| line(wording::no_generation(name, nearest(name, names.iter().copied()), &names)))?;
            (&**book, Wanted::Rows(generation))
        }
        (Some(What::Books), Some(name)) => {
            let wanted = Wanted::Books(Some(name));
            if catalogue(book, wanted).books.is_some_and(|books| !books.is_empty()) {
                (&**book, wanted)
            } else {
                // A shop may use few of the shipped books; each can be read all the same.
                shipped = Shop::shipped();
                let files: Vec<&str> = shipped.book.titles.iter().map(|title| title.file.as_str()).collect();
                if catalogue(&shipped.book, wanted).books.is_none_or(|books| books.is_empty()) {
                    let own = book.titles.iter().map(|title| title.file.as_str());
                    let all: Vec<&str> =
                        own.filter(|file| !files.contains(file)).chain(files.iter().copied()).collect();
                    return Err(line(wording::no_book(name, &all)));
                }
                (&*shipped.book, wanted)
            }
        }
        (Some(What::Books), None) => (&**book, Wanted::Books(None)),
        (Some(what), Some(name)) => {
            let word = what.to_possible_value().map_or_else(String::new, |value| value.get_name().to_string());
            return Err(line(wording::list_takes_no_name(&word, name)));
        }
        (Some(What::Generations), None) => (&**book, Wanted::Generations),
        (Some(What::Parts), None) => (&**book, Wanted::Parts),
        (Some(What::Units), None) => (&**book, Wanted::Units),
        (Some(What::Gauges), None) => (&**book, Wanted::Gauges),
    };
    let mut found = catalogue(book, wanted);
    if asked.what == Some(What::Gauges) {
        found.gauges = Some(gauges(shop));
    }
    Ok(match asked.format {
        ListFormat::Json => write::json(&found),
        ListFormat::Text => terminal::fitted(asked.drawing, |look| write::text(&found, look)),
    })
}
