//! `trochoid identify`: gathers what is seen of a machine, from records, words and answers, and says which generation it is
//! of. Refuses to know what tells generations apart.

use super::arguments::Drawing;
use super::{COULD_NOT, terminal, wording};
use crate::bind::{Readings, loose_parts};
use crate::book::{Book, Characteristic, Generation, Id};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::identify::{Identification, Seen, evidence, feature, how_to_answer, identify, skipped};
use crate::record::Record;
use crate::report::identify::{Machine, document, question, text, value_question, values_known};
use crate::report::{Look, fitted, plain};
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use std::io::{self, BufRead, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Answers to one question that cannot be read, after which it is taken that nobody knows.
const MOST_TRIES: usize = 3;

/// Bytes of one answer that are read.
const MOST_ANSWER_BYTES: u64 = 4096;

/// Say which generation an engine belongs to, from what can be seen
///
/// What is seen comes from records, from words you type, or from your answers. Says which generations it fits, what
/// rules out the others, and what to look at next; and whether the parts of one record belong together.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  trochoid identify K-0147.yaml                          the record of an engine
  trochoid identify rotor.pocket=machined 'apex_seal.thickness=2.0 mm'
  trochoid identify rotor pocket=machined casting=late   the same part for all that follow
  trochoid identify                                      be asked, the most telling thing first
  trochoid identify rotor.pocket=cast --ask              and be asked for the rest
  trochoid identify builds/ --format json > generations.json

Exit status:
  0  something fits, and nothing contradicts it
  1  what is seen contradicts itself, or the generation the record states
  2  not everything could be done: a word that means nothing, a file that cannot be read,
     a rulebook with errors")]
pub(super) struct Identify {
    /// Records or folders of them (`-` for standard input), features as FEATURE=VALUE, or the part that the features after it belong to
    #[arg(value_name = "SEEN", add = super::complete::records())]
    seen: Vec<String>,

    /// Ask on standard input for what would tell the remaining generations apart
    #[arg(long)]
    ask: bool,

    /// Look generations up in this rulebook, or in every rulebook in this folder
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
}

/// One machine, and what is known of it.
struct Known {
    name: Option<String>,
    /// The books as they are read for it: of a loose part nobody knows the position.
    book: Arc<Book>,
    found: Identification,
}

/// A feature said in words.
struct Feature<'a> {
    /// The part said before it.
    part: Option<&'a str>,
    name: &'a str,
    value: &'a str,
}

/// Identifies what was asked for and gives the exit status.
pub(super) fn run(asked: &Identify) -> io::Result<u8> {
    let shops = Shops::new(asked.books.clone());
    let (words, paths) = sorted(&asked.seen);
    let mut machines: Vec<Known> = Vec::new();
    let mut could_not = !records(&paths, &shops, &mut machines)?;
    if paths.is_empty() {
        let shop = shops.of(Path::new("."));
        if !shop.is_sound() {
            say(shop.findings())?;
            return Ok(COULD_NOT);
        }
        machines.push(Known {
            name: None,
            found: identify(&shop.book, Vec::new(), None, &[]),
            book: shop.book.clone(),
        });
    }
    let look = terminal::look_as(asked.drawing);
    let asks = asked.ask || asked.seen.is_empty();
    for machine in &mut machines {
        could_not |= !said(machine, &words)?;
        if asks {
            ask(machine, look, asked.format == Form::Json)?;
        }
    }
    let contradicts = machines.iter().any(|machine| machine.found.contradicts());
    let status = if could_not { COULD_NOT } else { u8::from(contradicts) };
    // A feature that means nothing is named and left out; the others still say something.
    let said_nothing = could_not && machines.iter().all(|machine| machine.found.seen.is_empty());
    if !said_nothing {
        let machines: Vec<Machine<'_>> = machines
            .iter()
            .map(|known| Machine { name: known.name.as_deref(), book: &known.book, found: &known.found })
            .collect();
        let written = match asked.format {
            Form::Json => document(&machines, status),
            Form::Text => {
                let all: Vec<String> = machines.iter().map(|machine| text(*machine, look)).collect();
                fitted(&all.join("\n"), look)
            }
        };
        io::stdout().lock().write_all(written.as_bytes())?;
    }
    Ok(status)
}

/// What the words on the command line are: features, each with the part before it, and paths.
fn sorted(words: &[String]) -> (Vec<Feature<'_>>, Vec<PathBuf>) {
    let (mut features, mut paths) = (Vec::new(), Vec::new());
    let mut part = None;
    for word in words {
        let path = Path::new(word);
        match word.split_once('=') {
            Some((name, value)) if !disk::exists(path) => features.push(Feature { part, name, value }),
            _ if disk::exists(path) || path.extension().is_some() || word.contains(['/', '\\']) => {
                paths.push(path.to_path_buf());
            }
            _ => part = Some(word.as_str()),
        }
    }
    (features, paths)
}

/// Takes every record below the paths in; whether all of them could be read.
fn records(paths: &[PathBuf], shops: &Shops, machines: &mut Vec<Known>) -> io::Result<bool> {
    let (records, said) = super::paths::records(paths, shops);
    say(&said)?;
    let mut whole = !said.iter().any(Finding::is_error);
    for (_, record) in records {
        match one(&record, shops) {
            Ok((found, impossible)) => {
                say(&impossible)?;
                machines.extend(found);
            }
            Err(findings) => {
                whole = false;
                say(&findings)?;
            }
        }
    }
    Ok(whole)
}

/// Reads one record. That it names no generation, or has mistakes elsewhere, is for `check` to say.
/// The findings are of readings that no generation could have, which are not looked at.
fn one(record: &Path, shops: &Shops) -> Result<(Vec<Known>, Vec<Finding>), Vec<Finding>> {
    let shop = shops.of(record);
    if !shop.is_sound() {
        return Err(shop.findings().to_vec());
    }
    let source = disk::read_source(record, MOST_RECORD_BYTES).map_err(|finding| vec![finding])?;
    let read = Record::of(source.clone());
    if shop.is_loose(&read) {
        return Ok(loose(&shop, &read));
    }
    let sheet = read.sheet.ok_or(read.findings)?;
    let (readings, impossible) = shop.readings_of_any(&sheet, &source);
    let mut found = identify(&shop.book, evidence(&shop.book, &readings), stated(&readings), &[]);
    found.skipped = skipped(&shop.book, &readings);
    let name = Some(record.to_string_lossy().replace('\\', "/"));
    Ok((vec![Known { name, book: shop.book.clone(), found }], impossible))
}

/// Every part of a file of loose parts, each by itself.
fn loose(shop: &Shop, record: &Record) -> (Vec<Known>, Vec<Finding>) {
    let Some(sheet) = &record.sheet else { return (Vec::new(), Vec::new()) };
    let (parts, findings) = loose_parts(&shop.book, sheet, &record.source);
    let known = parts.iter().filter_map(|part| {
        let (book, readings) = (shop.book_of_part(part.part), shop.readings_of_part(record, part)?);
        let mut found = identify(&book, evidence(&book, &readings), stated(&readings), &[]);
        found.skipped = skipped(&book, &readings);
        Some(Known { name: Some(Shop::part_name(record, part)), book, found })
    });
    (known.collect(), findings)
}

fn stated(readings: &Readings) -> Option<Id<Generation>> {
    readings.generation
}

/// Adds the features said in words; whether all of them mean something.
fn said(machine: &mut Known, words: &[Feature<'_>]) -> io::Result<bool> {
    let book = &machine.book.clone();
    let mut whole = true;
    let mut seen = std::mem::take(&mut machine.found.seen);
    for Feature { part, name, value } in words {
        let longer = part.map(|part| format!("{part}.{name}"));
        let found = match &longer {
            Some(longer) => feature(book, longer, value),
            None => feature(book, name, value),
        };
        match found {
            Ok(more) => seen.extend(more),
            Err(trouble) => {
                whole = false;
                writeln!(io::stderr(), "{}", wording::no_feature(longer.as_deref().unwrap_or(name), &trouble))?;
            }
        }
    }
    let skipped = std::mem::take(&mut machine.found.skipped);
    machine.found = identify(book, seen, machine.found.stated, &[]);
    machine.found.skipped = skipped;
    Ok(whole)
}

/// Asks for what tells most, until one generation is left, nothing is, or nobody answers any more. A document on standard
/// output leaves the questions to standard error.
fn ask(machine: &mut Known, look: Look, aside: bool) -> io::Result<()> {
    let book: &Book = &machine.book.clone();
    let mut passed: Vec<Id<Characteristic>> = Vec::new();
    let mut input = io::stdin().lock();
    let mut out: Box<dyn Write> = if aside { Box::new(io::stderr()) } else { Box::new(io::stdout()) };
    loop {
        let found = &machine.found;
        // Once the generation is settled, what the readings have that tell no generation: which casting it is.
        let of_value = found.value_questions.first().filter(|_| found.questions.is_empty() && !found.left().is_empty());
        let (id, asked) = match (found.questions.first(), of_value) {
            (Some(next), _) => {
                let id = next.characteristic;
                (id, question(book, next, &how_to_answer(book, id), look))
            }
            (None, Some(next)) => {
                let id = next.characteristic;
                (id, value_question(book, next, &how_to_answer(book, id), look))
            }
            (None, None) => break,
        };
        let of_value = of_value.is_some();
        out.write_all(asked.as_bytes())?;
        let Some(answer) = answer(book, id, &mut input, &mut out)? else { break };
        match answer {
            Some(seen) => machine.found.seen.extend(seen),
            None => passed.push(id),
        }
        let seen = std::mem::take(&mut machine.found.seen);
        let skipped = std::mem::take(&mut machine.found.skipped);
        machine.found = identify(book, seen, machine.found.stated, &passed);
        machine.found.skipped = skipped;
        let left = machine.found.left();
        let names: Vec<&str> = left.iter().map(|id| &*book.generations.get(*id).name).collect();
        if of_value {
            writeln!(out, "{}", values_known(book, &machine.found))?;
        } else {
            writeln!(out, "  {}\n", wording::still_fit(&names))?;
        }
    }
    Ok(())
}

/// One answer: outside none where there is nothing more to read, inside none where nobody knows.
fn answer(
    book: &Book,
    id: Id<Characteristic>,
    input: &mut impl BufRead,
    out: &mut impl Write,
) -> io::Result<Option<Option<Vec<Seen>>>> {
    let path = book.path(id, &[], None);
    for _ in 0..MOST_TRIES {
        write!(out, "> ")?;
        out.flush()?;
        let mut line = Vec::new();
        let read = io::Read::take(&mut *input, MOST_ANSWER_BYTES).read_until(b'\n', &mut line)?;
        if read == 0 {
            writeln!(out)?;
            return Ok(None);
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() || line == "?" {
            return Ok(Some(None));
        }
        match feature(book, &path, line) {
            Ok(seen) => return Ok(Some(Some(seen))),
            Err(trouble) => writeln!(out, "  {}", wording::no_feature(&path, &trouble))?,
        }
    }
    Ok(Some(None))
}

/// Findings go to standard error, so that the answer stands alone.
fn say<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> io::Result<()> {
    let mut out = io::stderr().lock();
    for finding in findings {
        out.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
