//! `trochoid trend`: reads records on every core and puts one characteristic of them on charts. Refuses to know rules and
//! statistics.

use super::arguments::Drawing;
use super::progress::Progress;
use super::{COULD_NOT, terminal, wording};
use crate::bind::{Readings, loose_parts};
use crate::book::{Id, Part};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::{Code, Finding, nearest};
use crate::record::Record;
use crate::report::trend::{Sheet, csv, json, left_out as told_left_out, text, unfit};
use crate::report::{Look, plain};
use crate::shop::{Shop, Shops};
use crate::trend::{Fault, LeftOut, Point, Sight, Subgrouped, Survey, charts, study, subgrouped};
use clap::{Args, ValueEnum};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Records between two moves of the progress bar.
const BATCH: usize = 256;

/// Put one characteristic of many builds on a chart
///
/// Each build's value in the order of the days the builds were finished, with limits calculated from the builds
/// themselves, and what stands out: values beyond the limits, runs, drifts, jumps. There is one chart for each
/// position, since each is made and wears in its own way.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid trend rotor.side_clearance builds/              a chart for each rotor
  trochoid trend rotor.front.side_clearance builds/        one of them
  trochoid trend 'smallest of housing.width' builds/       one value made of several
  trochoid trend rotor.side_clearance builds/ --by casting      and compare the castings
  trochoid trend rotor.width builds/ --by gauge            whether two gauges agree
  trochoid trend rotor.width study/ --by measured_by --study    how well people measure with it
  trochoid trend rotor.side_clearance builds/ --risk       how often an out part passes
  trochoid trend rotor.width builds/ --subgroups           means and ranges of the repeats
  trochoid trend rotor.mass shelf/ --generation light_2mm  loose parts, by the day each was measured
  trochoid trend rotor.side_clearance builds/ --generation light_2mm --together
  trochoid trend rotor.side_clearance builds/ --format csv > side_clearance.csv

Values taken several times count by their mean, unless a word is given: smallest, largest, mean, spread, sum, count.

Exit status:
  0  the charts are drawn, whatever they show
  2  not everything could be done: there is no such name, no build to put on a chart,
     a rulebook with errors, a file that cannot be read"
)]
pub(super) struct Trend {
    /// The characteristic, as the record's keys name it; positions may be left out
    #[arg(value_name = "CHARACTERISTIC", add = super::complete::readings())]
    characteristic: String,

    /// Records, or folders with records below them (*.yaml, *.yml, *.json); `-` for standard input
    #[arg(required = true, value_name = "PATH", add = super::complete::records())]
    paths: Vec<PathBuf>,

    /// Compare the builds by this choice, class, yes-or-no or words, as seen from the characteristic; or by `gauge`
    ///
    /// `gauge` compares what they were measured with, unless the rulebooks declare something of that name. Readings of one thing by
    /// several gauges are then a value for each.
    #[arg(long, value_name = "READING")]
    by: Option<String>,

    /// Take the values as a gauge study: those that --by names measured the same parts, each several times
    ///
    /// A part is a build, or a loose part, of one name, position by position; the values of a list are the repeats. Prints how
    /// much of the scatter is the gauge, how much the people, and how much the parts.
    #[arg(long, requires = "by", conflicts_with_all = ["together", "subgroups"])]
    study: bool,

    /// Chart the means and ranges of small groups: the values of each record, 2 to 10 of them
    ///
    /// The values of a list are a group; with --together, those of all positions.
    #[arg(long)]
    subgroups: bool,

    /// Say how often a part that is out of its limits passes, and one within them does not, if parts vary as these do
    ///
    /// Consumer's and producer's risk of the row that judges the values (JCGM 106:2012), with the guard band in force. Loose parts are
    /// left out of it.
    #[arg(long, conflicts_with_all = ["study", "subgroups"])]
    risk: bool,

    /// Only builds of this generation
    #[arg(long, short, value_name = "NAME", add = super::complete::generations())]
    generation: Option<String>,

    /// One chart of all positions together
    #[arg(long)]
    together: bool,

    /// Leave out the table with a line for each build
    #[arg(long)]
    short: bool,

    /// Read every record by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Text)]
    format: Form,

    #[command(flatten)]
    drawing: Drawing,

    /// Records to read at the same time [default: one for each processor]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// Charts drawn with characters
    Text,
    /// One JSON document
    Json,
    /// A line for each value, for spreadsheets
    Csv,
}

/// What was read of one record.
enum Read {
    Unreadable(Vec<Finding>),
    Unsound,
    Errors,
    Elsewhere,
    OtherGeneration,
    OpenGeneration,
    NoDay,
    Seen(String, Sight),
}

/// A shop of the run, and what is looked for in its records; none where its books do not know it.
struct Place {
    shop: Arc<Shop>,
    survey: Option<Survey>,
    /// As loose parts of each kind are looked at: their positions have no names.
    of_parts: Mutex<FxHashMap<Id<Part>, Option<Arc<Survey>>>>,
}

impl Place {
    /// How loose parts of a kind are looked at; `None` if it is something else that is looked for.
    fn survey_of(&self, asked: &Trend, part: Id<Part>) -> Option<Arc<Survey>> {
        let mut known = self.of_parts.lock().unwrap_or_else(PoisonError::into_inner);
        known
            .entry(part)
            .or_insert_with(|| {
                self.survey.as_ref().filter(|survey| survey.is_of(&self.shop.book, part))?;
                let book = self.shop.book_of_part(part);
                Survey::new(&book, &asked.characteristic, asked.by.as_deref()).ok().map(Arc::new)
            })
            .clone()
    }
}

/// Draws what was asked for and gives the exit status.
pub(super) fn run(asked: &Trend) -> io::Result<u8> {
    let shops = Shops::new(asked.books.clone());
    let (records, mut could_not) = records(asked, &shops)?;
    let mut opened: Vec<Arc<Shop>> = Vec::new();
    let owners: Vec<usize> = records
        .iter()
        .map(|record| {
            let shop = shops.of(record);
            opened.iter().position(|other| Arc::ptr_eq(other, &shop)).unwrap_or_else(|| {
                opened.push(shop);
                opened.len() - 1
            })
        })
        .collect();
    for shop in opened.iter().filter(|shop| !shop.is_sound()) {
        could_not = true;
        say(shop.findings().iter())?;
    }
    // One list may be read with the units of several books.
    let mut said = FxHashSet::default();
    for finding in opened.iter().flat_map(|shop| shop.gauge_findings()) {
        could_not |= finding.is_error();
        let written = plain::write(finding);
        if said.insert(written.clone()) {
            io::stderr().lock().write_all(written.as_bytes())?;
        }
    }
    let places = match places(asked, opened) {
        Ok(places) => places,
        Err(said) => {
            writeln!(io::stderr(), "{said}")?;
            return Ok(COULD_NOT);
        }
    };
    let Some(survey) = places.iter().find_map(|place| place.survey.as_ref()) else { return Ok(COULD_NOT) };
    let gathered = gather(asked, &records, &owners, &places);
    let mut left_out = LeftOut::default();
    let mut points: Vec<Point> = Vec::new();
    let mut generations: BTreeMap<String, usize> = BTreeMap::new();
    let each = records.iter().zip(gathered).flat_map(|(record, all)| all.into_iter().map(move |one| (record, one)));
    for (record, (build, read)) in each {
        let file = named(record);
        match read {
            Read::Unreadable(findings) => {
                could_not = true;
                say(findings.iter())?;
                left_out.unreadable.push(file);
            }
            Read::Unsound => left_out.unsound.push(file),
            Read::Errors => left_out.errors.push(file),
            Read::Elsewhere => left_out.elsewhere.push(build),
            Read::OtherGeneration => left_out.other_generation.push(build),
            Read::OpenGeneration => left_out.open_generation.push(build),
            Read::NoDay => left_out.no_day.push(build),
            Read::Seen(generation, sight) => {
                if !sight.points.is_empty() {
                    *generations.entry(generation).or_default() += 1;
                }
                left_out.unmeasured.extend(sight.missing.into_iter().map(|path| (build.clone(), path)));
                points.extend(sight.points);
            }
        }
    }
    let status = if could_not || points.is_empty() { COULD_NOT } else { 0 };
    let study = asked.study.then(|| study(&points));
    let status = if matches!(study, Some(Err(_))) { COULD_NOT } else { status };
    let charts = charts(points, asked.together.then_some(survey.path.as_str()), asked.by.is_some());
    let subgroups = asked.subgroups.then(|| charts.iter().map(subgrouped).collect::<Vec<Subgrouped>>());
    let sheet = Sheet {
        path: &survey.path,
        unit: &survey.unit,
        by: survey.by.as_deref(),
        charts: &charts,
        subgroups: subgroups.as_deref(),
        study: study.as_ref(),
        risk: asked.risk,
        generations: &generations,
        left_out: &left_out,
        short: asked.short,
        status,
    };
    let written = match asked.format {
        Form::Text => terminal::fitted(asked.drawing, |look| text(&sheet, look)),
        Form::Json => json(&sheet),
        Form::Csv => {
            // A table has no room for what does not stand in it.
            io::stderr().lock().write_all(told_left_out(&left_out, Look::PLAIN).as_bytes())?;
            if let Some(why) = unfit(&sheet) {
                io::stderr().lock().write_all(format!("{why}\n").as_bytes())?;
            }
            csv(&sheet)
        }
    };
    let mut stdout = io::stdout().lock();
    stdout.write_all(written.as_bytes())?;
    stdout.flush()?;
    Ok(status)
}

/// Every record below the paths, each once, and whether some path could not be followed.
fn records(asked: &Trend, shops: &Shops) -> io::Result<(Vec<PathBuf>, bool)> {
    // A build counted twice would narrow the limits.
    let (records, said) = super::paths::records(&asked.paths, shops);
    say(&said)?;
    let records = records.into_iter().map(|(_, record)| record).collect();
    Ok((records, said.iter().any(Finding::is_error)))
}

/// Looks the characteristic up in the books of every shop.
fn places(asked: &Trend, shops: Vec<Arc<Shop>>) -> Result<Vec<Place>, String> {
    let mut places: Vec<Place> = Vec::new();
    let mut fault: Option<(Fault, bool)> = None;
    let mut known: Option<Survey> = None;
    for shop in shops {
        let mut survey = None;
        if shop.is_sound() {
            match Survey::new(&shop.book, &asked.characteristic, asked.by.as_deref()) {
                Ok(found) => {
                    // Elsewhere the same name may be another kind of thing.
                    let first = known.get_or_insert_with(|| found.clone());
                    survey = (first.unit.dimension == found.unit.dimension).then_some(found);
                }
                Err(said) => fault = fault.or(Some(said)),
            }
        }
        places.push(Place { shop, survey, of_parts: Mutex::default() });
    }
    if let (None, Some((fault, by))) = (&known, &fault) {
        let name = if *by { asked.by.as_deref().unwrap_or_default() } else { asked.characteristic.as_str() };
        return Err(wording::no_characteristic(name, fault));
    }
    if let Some(name) = &asked.generation {
        let sound = places.iter().filter(|place| place.survey.is_some());
        let all = sound.flat_map(|place| place.shop.book.generations.iter()).filter(|generation| !generation.basis);
        let mut names: Vec<&str> = all.map(|generation| &*generation.name).collect();
        names.sort_unstable();
        names.dedup();
        if !names.is_empty() && !names.contains(&name.as_str()) {
            return Err(wording::no_generation(name, nearest(name, names.iter().copied()), &names));
        }
    }
    Ok(places)
}

/// Reads all records, on several threads, each answer in the place of its record: the build's name, and what was seen.
fn gather(asked: &Trend, records: &[PathBuf], owners: &[usize], places: &[Place]) -> Vec<Vec<(String, Read)>> {
    let threads = match asked.threads {
        Some(threads) => usize::from(threads),
        None => std::thread::available_parallelism().map_or(1, usize::from),
    };
    let pool = (threads > 1).then(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok()).flatten();
    let progress = Progress::new(if Progress::is_wanted() { records.len() as u64 } else { 0 });
    let mut gathered = Vec::with_capacity(records.len());
    let one = |(record, owner): (&PathBuf, &usize)| match places.get(*owner) {
        Some(place) => read(asked, record, place),
        None => vec![(named(record), Read::Elsewhere)],
    };
    for (records, owners) in records.chunks(BATCH).zip(owners.chunks(BATCH)) {
        match &pool {
            Some(pool) => {
                let batch: Vec<Vec<(String, Read)>> =
                    pool.install(|| records.par_iter().zip(owners.par_iter()).map(one).collect());
                gathered.extend(batch);
            }
            None => gathered.extend(records.iter().zip(owners).map(one)),
        }
        progress.done(records.len());
    }
    gathered
}

/// Reads one record: of a build, or of any number of loose parts.
fn read(asked: &Trend, record: &Path, place: &Place) -> Vec<(String, Read)> {
    let file = named(record);
    let name = file.rsplit('/').next().unwrap_or(&file);
    let mut build = name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_owned();
    if !place.shop.is_sound() {
        return vec![(build, Read::Unsound)];
    }
    let source = match disk::read_source(record, MOST_RECORD_BYTES) {
        Ok(source) => source,
        Err(finding) => return vec![(build, Read::Unreadable(vec![finding]))],
    };
    let record = Record::of(source);
    if place.shop.is_loose(&record) {
        return parts(asked, &record, place);
    }
    let Record { source, sheet, mut findings } = record;
    let Some(sheet) = sheet else { return vec![(build, Read::Unreadable(findings))] };
    let book = &place.shop.book;
    let (readings, said) = place.shop.readings(&sheet, &source, None);
    findings.extend(said);
    if let Some(said) = &readings.build {
        build.clone_from(said);
    }
    let Some(survey) = &place.survey else { return vec![(build, Read::Elsewhere)] };
    let Some(generation) = readings.generation.map(|id| book.generations.get(id).name.to_string()) else {
        return vec![(build, Read::Errors)];
    };
    let read = looked_at(asked, &findings, (&generation, &readings), || {
        let mut sight = survey.sight(book, &readings, &file, &build);
        if let Some(plan) = readings.generation.and_then(|id| place.shop.plan(id)).filter(|_| asked.risk) {
            survey.judge((book, plan, &readings), &mut sight);
        }
        sight
    });
    vec![(build, read)]
}

/// What becomes of a record whose generation is known.
fn looked_at(
    asked: &Trend,
    findings: &[Finding],
    (generation, readings): (&str, &Readings),
    sight: impl FnOnce() -> Sight,
) -> Read {
    if findings.iter().any(|finding| finding.is_error() && !is_set_aside(finding)) {
        Read::Errors
    } else if asked.generation.as_deref().is_some_and(|wanted| wanted != generation) {
        Read::OtherGeneration
    } else if readings.finished.is_none() {
        Read::NoDay
    } else {
        Read::Seen(generation.to_owned(), sight())
    }
}

/// The parts of a file of loose parts that may have what is looked for.
fn parts(asked: &Trend, record: &Record, place: &Place) -> Vec<(String, Read)> {
    let Some(sheet) = &record.sheet else { return Vec::new() };
    let (parts, said) = loose_parts(&place.shop.book, sheet, &record.source);
    let mut all = Vec::new();
    let findings: Vec<Finding> = record.findings.iter().cloned().chain(said).filter(Finding::is_error).collect();
    if !findings.is_empty() {
        all.push((record.source.name().to_owned(), Read::Unreadable(findings)));
    }
    for part in &parts {
        let Some(survey) = place.survey_of(asked, part.part) else { continue };
        let tag = Shop::part_name(record, part);
        let Some((generation, readings, findings)) = place.shop.screened_part(record, part) else {
            all.push((tag, Read::OpenGeneration));
            continue;
        };
        let book = place.shop.book_of_part(part.part);
        let generation = book.generations.get(generation).name.to_string();
        let sight = || survey.sight_of_part(&book, &readings, record.source.name(), &tag);
        let read = looked_at(asked, &findings, (&generation, &readings), sight);
        all.push((tag, read));
    }
    all
}

/// Whether a finding is about a reading that was set aside: that leaves the others as they are.
fn is_set_aside(finding: &Finding) -> bool {
    matches!(finding.code, Code::ReadingImplausible | Code::ReadingsDisagree)
}

fn named(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}

/// Findings go to standard error, so that the charts stand alone.
fn say<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> io::Result<()> {
    let mut out = io::stderr().lock();
    for finding in findings {
        out.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
