//! `trochoid match`: chooses parts of the shelf that go together, and says why. Refuses to know rules.

use super::arguments::{Drawing, day};
use super::interrupt::Interrupt;
use super::match_least::Values;
use super::{COULD_NOT, terminal, wording, wording_match};
use crate::bind::part_named;
use crate::book::{Book, Id, Part};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::{Finding, did_you_mean, list, nearest};
use crate::matching::{Limits, Remembered};
use crate::quantity::Date;
use crate::record::Record;
use crate::report::matching::{csv, document, text};
use crate::report::plain;
use crate::shop::{Choosing, Machines, MatchReport, MatchSet, Matched, Prepared, Shop, Shops, record_of_set};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Choose parts of the shelf that go together, the best set first
///
/// Every set that the shelf allows is compared by the rows of the books: no row out; then the fewest worn, the fewest
/// unverified rows not good, the most room at the tightest row, and the most room in all. Room is how far inside its
/// range a value lies. Rows that need other parts or readings wait. The shelf is what `shelf` in the shop's
/// trochoid.yaml names.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid match light_2mm                       the best set of all kinds of parts on the shelf
  trochoid match light_2mm --only rotor          the best pair of rotors
  trochoid match light_2mm --only rotor --best 5
  trochoid match light_2mm --with R-018          the best set that has this part
  trochoid match light_2mm --build K-0207.yaml   fill what this build does not have yet
  trochoid match light_2mm --builds all          as many engines at once as the shelf gives
  trochoid match light_2mm --only rotor --least mass_gap
                                                 the pairs of the pile that leave the least in all
  trochoid match light_2mm --write K-0208.yaml   write the record of a build that takes these parts

Exit status:
  0  a set goes together
  1  nothing goes together
  2  not everything could be done: no shelf, a word that means nothing, the search was cut short")]
pub(super) struct Match {
    /// The generation to choose for
    #[arg(value_name = "GENERATION", add = super::complete::generations())]
    generation: String,

    /// The folder of the shop
    #[arg(value_name = "SHOP", default_value = ".")]
    shop: PathBuf,

    /// Say something about the machine, as in `duty=street`; rows that depend on it wait otherwise
    #[arg(long, value_name = "READING=VALUE", value_parser = super::question::given)]
    given: Vec<(String, String)>,

    /// Keep what this record has, and fill the places it leaves
    #[arg(long, value_name = "RECORD", add = super::complete::records())]
    build: Option<PathBuf>,

    /// Choose only these kinds of parts, and judge only the rows that lie within them
    #[arg(long, value_name = "PARTS", value_delimiter = ',', add = super::complete::parts())]
    only: Vec<String>,

    /// How many sets to show [default: 1]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    best: Option<u16>,

    /// Choose for this many machines at once, or for as many as possible: `all`
    #[arg(long, value_name = "N")]
    builds: Option<String>,

    /// Pair up the whole pile so that this value of the machine comes to the least in all, as in `mass_gap`
    #[arg(long, value_name = "READING")]
    least: Option<String>,

    /// Show this value of each machine too, such as a grade calculated from it
    #[arg(long, value_name = "READING")]
    show: Vec<String>,

    /// A part that must be in the set
    #[arg(long, value_name = "TAG")]
    with: Vec<String>,

    /// A part that must not be in it
    #[arg(long, value_name = "TAG")]
    without: Vec<String>,

    /// Leave out sets that lack a reading
    #[arg(long)]
    complete: bool,

    /// Stop after this many seconds with the best set found
    #[arg(long, value_name = "N", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..=86_400))]
    seconds: u32,

    /// Judge by the rows in force on this day [default: the day each part was measured]
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Date>,

    /// Write the record of a build with these parts; a file that exists is never overwritten
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,

    /// Judge by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Text)]
    format: Form,

    #[command(flatten)]
    drawing: Drawing,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// For people
    Text,
    /// One JSON document
    Json,
    /// Comma-separated text, a line for each part of each set
    Csv,
}

/// Chooses what was asked for and gives the exit status.
pub(super) fn run(asked: &Match) -> io::Result<u8> {
    let shop = Shops::new(asked.books.clone()).of(&asked.shop.join("record.yaml"));
    let mut err = io::stderr().lock();
    if !shop.is_sound() {
        for finding in shop.findings() {
            err.write_all(plain::write(finding).as_bytes())?;
        }
        return Ok(COULD_NOT);
    }
    let matched = match matched(asked, &shop) {
        Ok(matched) => matched,
        Err(said) => {
            writeln!(err, "{}", wording::complaint(&said))?;
            return Ok(COULD_NOT);
        }
    };
    for finding in &matched.findings {
        err.write_all(plain::write(finding).as_bytes())?;
    }
    let written = match asked.format {
        Form::Text => terminal::fitted(asked.drawing, |look| text(&matched, look)),
        Form::Json => document(&matched),
        Form::Csv => csv(&matched),
    };
    io::stdout().lock().write_all(written.as_bytes())?;
    if let (Some(file), Some(set)) = (&asked.write, matched.sets.first()) {
        if let Err(said) = write_record(file, asked, set) {
            writeln!(err, "{}", wording::complaint(&said))?;
            return Ok(COULD_NOT);
        }
        // A document stays whole.
        writeln!(err, "{}", wording_match::written(file))?;
    }
    Ok(match (matched.proved, matched.sets.is_empty()) {
        (false, _) => COULD_NOT,
        (true, nothing) => u8::from(nothing),
    })
}

/// Whether what was asked for can be had at once.
fn at_once(asked: &Match) -> Result<(), String> {
    if asked.builds.is_none() && asked.least.is_none() {
        return Ok(());
    }
    let refused = [
        (asked.best.is_some(), wording_match::BEST_AND_BUILDS),
        (asked.build.is_some(), wording_match::BUILD_AND_BUILDS),
        (asked.write.is_some(), wording_match::WRITE_AND_BUILDS),
    ];
    let refused = refused.into_iter().find_map(|(refused, words)| refused.then_some(words));
    // What is said of --builds is as true of --least.
    refused.map_or(Ok(()), |words| {
        Err(if asked.builds.is_some() { words.to_owned() } else { words.replace("--builds", "--least") })
    })
}

/// Everything that is to be said, or why nothing can be.
fn matched(asked: &Match, shop: &Shop) -> Result<Matched, String> {
    at_once(asked)?;
    let book = &shop.book;
    if shop.shelf().is_none() {
        return Err(wording_match::NO_SHELF.into());
    }
    let generation = book.generation_typed(&asked.generation).filter(|id| !book.generations.get(*id).basis);
    let names: Vec<&str> = book.generations.iter().filter(|one| !one.basis).map(|one| &*one.name).collect();
    let generation = generation.ok_or_else(|| {
        wording::no_generation(&asked.generation, nearest(&asked.generation, names.iter().copied()), &names)
    })?;
    let only = kinds(book, &asked.only)?;
    let build = match &asked.build {
        Some(path) => Some(Record::of(
            disk::read_source(path, MOST_RECORD_BYTES)
                .map_err(|finding| plain::write(&finding).trim_end().to_owned())?,
        )),
        None => None,
    };
    let (_, given_wrong) = shop.given(&asked.given);
    if let Some(wrong) = given_wrong.iter().find(|finding| finding.is_error()) {
        return Err(plain::write(wrong).trim_end().to_owned());
    }
    let taken = taken(shop, &asked.shop);
    let choosing = Choosing {
        generation,
        given: &asked.given,
        build: build.as_ref(),
        only: &only,
        without: &asked.without,
        taken: &taken,
        on: asked.as_of,
    };
    let prepared = shop.prepare(&choosing).ok_or(wording_match::NO_SHELF)?;
    let with = tags(&prepared, &asked.with)?;
    let evaluator = &prepared.evaluator;
    let one = prepared.problem(with);
    let scores = Remembered::new(evaluator, one.groups.len());
    let interrupt = Interrupt::watch();
    let until = Instant::now() + Duration::from_secs(u64::from(asked.seconds));
    let go_on = || !interrupt.is_asked() && Instant::now() < until;
    let limits = Limits { best: usize::from(asked.best.unwrap_or(1)), allow_out: false, allow_open: !asked.complete };
    let mut matched = Matched::begin(shop, &choosing, &prepared);
    let report = MatchReport { shop, prepared: &prepared, one: &one };
    if one.domains.is_empty() {
        return Err(wording_match::NO_PLACES.into());
    }
    let words = asked.least.iter().map(|word| ("--least", word.clone()));
    let words: Vec<(&str, String)> = words.chain(asked.show.iter().map(|word| ("--show", word.clone()))).collect();
    let values = Values::new(book, generation, &words)?;
    if asked.least.is_some() {
        let wanted = match asked.builds.as_deref().map(machines).transpose()? {
            None | Some(Machines::AsMany) => None,
            Some(Machines::Number(number)) => Some(number),
        };
        report.least(&values, (wanted, asked.complete), &scores, &go_on, &mut matched)?;
        return Ok(matched);
    }
    if let Some(wanted) = &asked.builds {
        let left = |now: Instant| until.saturating_duration_since(now);
        let found = report.machines(machines(wanted)?, &scores, (&go_on, &left), &mut matched);
        report.show(&values, &found, &mut matched);
        return Ok(matched);
    }
    let (found, more) = report.choose((limits, &choosing), &scores, &go_on, &mut matched);
    report.show(&values, &found, &mut matched);
    if more > 0 {
        matched.left.push(("…".into(), wording_match::more_left(more)));
    }
    Ok(matched)
}

/// The parts that open builds in a folder take. What cannot be read takes nothing: `check` says what is wrong with it.
fn taken(shop: &Shop, folder: &Path) -> Vec<(String, String)> {
    let (files, _) = disk::records_below(folder);
    let sources = files.iter().filter_map(|file| disk::read_source(file, MOST_RECORD_BYTES).ok());
    // Most records take nothing from the shelf, and need not be read for that.
    let named = sources.filter(|source| source.text().contains("parts"));
    named.flat_map(|source| shop.taken_by_open_build(&Record::of(source))).collect()
}

/// How many machines were asked for.
fn machines(text: &str) -> Result<Machines, String> {
    if text == "all" {
        return Ok(Machines::AsMany);
    }
    let number = text.parse().ok().filter(|number| *number > 0);
    number.map(Machines::Number).ok_or_else(|| wording_match::NO_NUMBER.to_owned())
}

fn kinds(book: &Book, names: &[String]) -> Result<Vec<Id<Part>>, String> {
    let kind = |name: &String| {
        part_named(book, name.trim()).map_err(|candidates| {
            let known = book.parts.iter().map(|part| &*part.name);
            let help = match candidates.is_empty() {
                true => did_you_mean(nearest(name, known)).unwrap_or_default(),
                false => format!("it could be {}", list(candidates.iter().map(String::as_str), "or")),
            };
            wording_match::no_kind(name, &help)
        })
    };
    names.iter().map(kind).collect()
}

fn tags(prepared: &Prepared<'_>, tags: &[String]) -> Result<Vec<usize>, String> {
    let number = |tag: &String| {
        prepared.part(tag).map_err(|not| {
            let near = did_you_mean(not.nearest.as_deref());
            wording_match::no_tag(tag, not.because.as_deref(), near.as_deref())
        })
    };
    tags.iter().map(number).collect()
}

/// Writes the record of a build that takes a set; never over a file.
fn write_record(file: &Path, asked: &Match, set: &MatchSet) -> Result<(), String> {
    if disk::exists(file) {
        return Err(wording_match::in_the_way(file));
    }
    let name = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let text = record_text(&name, asked, set)?;
    disk::write_whole(file, text.as_bytes()).map_err(|error| wording::cannot_write(&error))
}

/// The record of a build that takes a set.
fn record_text(name: &str, asked: &Match, set: &MatchSet) -> Result<String, String> {
    let build = match &asked.build {
        Some(build) => {
            Some(disk::read_source(build, MOST_RECORD_BYTES).map_err(|finding: Finding| plain::write(&finding))?)
        }
        None => None,
    };
    record_of_set(name, (&asked.generation, &asked.given), build.as_ref(), &set.parts)
        .map_err(|fault| wording_match::not_added(&fault))
}
