//! `trochoid report`: puts records on sheets of HTML, one alone or a folder of them with a page over all. Refuses to know rules,
//! and what a page looks like.

use super::arguments::day;
use super::over_time::OverTime;
use super::progress::Progress;
use super::question::named;
use super::sheet_folder;
use super::{COULD_NOT, paths, wording};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::handover::{Handover, Measured, handover};
use crate::judge::GradeSet;
use crate::quantity::Date;
use crate::record::Record;
use crate::report::html::{self, BuildSheet, ChartPage, Charted, Index, Labels, Listed, PaperSize, Reader, is_ours};
use crate::report::{Tally, plain};
use crate::shop::{Ask, Checked, Shop, Shops};
use clap::{Args, ValueEnum};
use rayon::prelude::*;
use rustc_hash::FxHashSet;
use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Records judged before their sheets are written.
const BATCH: usize = 64;
/// As much of a page as says who wrote it.
const HEAD_BYTES: u64 = 1024;
/// The page over all sheets.
const INDEX: &str = "index.html";

/// Write build sheets in HTML to hand over, to print and to file
///
/// A sheet needs nothing but itself: no network, no script. It has every reading as it was taken, every range with a
/// drawn bar, what was found and what to do, concessions, gauges, the digests of all it rests on, and lines to sign on.
/// For many records it writes a folder of sheets with an index page.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid report builds/K-0147.yaml --to K-0147.html
  trochoid report builds/K-0147.yaml --paper letter > K-0147.html
  trochoid report builds/K-0147.yaml --for customer --to K-0147.html      two pages for the owner
  trochoid report builds/ --to sheets/            a sheet for each build, and sheets/index.html
  trochoid report shelf/rotors.yaml --to labels.html      a label to tie on each loose part

A file that already exists is overwritten only if this command wrote it.

Exit status:
  0  every build passes: its grade is good, worn or excused
  1  some build fails: it is out, unmeasured or unsettled, or its record has errors
  2  not everything could be done: a rulebook with errors, a file that cannot be read,
     nothing to judge, a page that cannot be written"
)]
pub(super) struct Report {
    /// Records, or folders with records below them (*.yaml, *.yml, *.json); `-` for standard input
    #[arg(required = true, value_name = "PATH", add = super::complete::records())]
    paths: Vec<PathBuf>,

    /// Write to this file, or for many records into this folder [default: standard output, for one record]
    #[arg(long, short, value_name = "PATH")]
    to: Option<PathBuf>,

    /// The paper it is printed on
    #[arg(long, value_name = "SIZE", value_enum, default_value_t = Paper::A4)]
    paper: Paper,

    /// Who the sheet is for
    #[arg(long = "for", value_name = "READER", value_enum, default_value_t = For::Workshop)]
    reader: For,

    /// Judge every record by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,

    /// Judge by the rows in force on this day [default: the day each build was finished]
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Date>,

    /// Say something about the machine that loose parts go into, as in `duty=street`
    #[arg(long, value_name = "READING=VALUE", value_parser = super::question::given)]
    given: Vec<(String, String)>,

    /// Use this as today: a build finished later is an error [default: TROCHOID_TODAY in the environment, otherwise
    /// this machine's clock]
    #[arg(long, value_name = "DATE", value_parser = day)]
    today: Option<Date>,
}

/// The words for sizes of paper.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Paper {
    /// 210 mm by 297 mm
    A4,
    /// 8.5 in by 11 in
    Letter,
}

impl Paper {
    pub(super) fn size(self) -> PaperSize {
        match self {
            Paper::A4 => PaperSize::A4,
            Paper::Letter => PaperSize::Letter,
        }
    }
}

/// The words for readers of a sheet.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum For {
    /// Everything: readings, ranges, findings, gauges, digests
    Workshop,
    /// Two pages in words: what is worn or let through, what was measured on each part
    Customer,
}

impl For {
    fn reader(self) -> Reader {
        match self {
            For::Workshop => Reader::Workshop,
            For::Customer => Reader::Customer,
        }
    }
}

/// A record judged and put on its sheet, or loose parts on their labels; no page where there is nothing to put on it.
struct Sheet {
    shop: Arc<Shop>,
    /// The build, or each loose part; nothing where the rulebooks have errors.
    checked: Vec<Checked>,
    measured: Vec<Measured>,
    page: Option<String>,
}

/// Writes what was asked for and gives the exit status.
pub(super) fn run(asked: &Report) -> io::Result<u8> {
    let shops = Shops::new(asked.books.clone());
    let lone = match asked.paths.as_slice() {
        [path] if !disk::is_folder(path) => Some(path),
        _ => None,
    };
    match (lone, &asked.to) {
        (Some(record), to) if !to.as_deref().is_some_and(disk::is_folder) => one(asked, &shops, record, to.as_deref()),
        (_, Some(folder)) => many(asked, &shops, folder),
        (_, None) => {
            writeln!(io::stderr(), "{}", wording::REPORT_NEEDS_FOLDER)?;
            Ok(COULD_NOT)
        }
    }
}

/// Judges a record and puts it on its sheet.
fn sheet(asked: &Report, shops: &Shops, record: &Path) -> Sheet {
    let shop = shops.of(record);
    if !shop.is_sound() {
        return Sheet { shop, checked: Vec::new(), measured: Vec::new(), page: None };
    }
    let ask = Ask { tell: GradeSet::NOT_GOOD.with_list(), rulings: false, as_of: asked.as_of };
    // Read once: what is digested is what was judged.
    let read = disk::read_source(record, MOST_RECORD_BYTES).map(Record::of);
    if let Some(read) = read.as_ref().ok().filter(|read| shop.is_loose(read)) {
        return labels(asked, shop, read);
    }
    let (mut checked, record) = match read {
        Ok(read) => (shop.check_record(&read, &ask), Some(read)),
        Err(why) => (Checked::unread(record, why), None),
    };
    checked.hold_against(sheet_folder::today(asked.today));
    let mut sheet = Sheet { shop: shop.clone(), checked: Vec::new(), measured: Vec::new(), page: None };
    if let Some(record) = record.filter(|_| !checked.unreadable) {
        let mut handed: Option<Handover> =
            shop.look(&record, asked.as_of, |plan, readings, verdict| handover(&shop.book, plan, readings, verdict));
        sheet.page = Some(html::sheet(&BuildSheet {
            checked: &checked,
            handover: handed.as_ref(),
            shop: shop.name.as_deref(),
            cautions: &shop.book.cautions,
            files: &html::sheet_files(&shop, &record),
            units: &shop.book.units,
            paper: asked.paper.size(),
            reader: asked.reader.reader(),
        }));
        sheet.measured = handed.as_mut().map(|handed| std::mem::take(&mut handed.measured)).unwrap_or_default();
    }
    sheet.checked.push(checked);
    sheet
}

/// Judges the loose parts of a file and puts them on labels.
fn labels(asked: &Report, shop: Arc<Shop>, record: &Record) -> Sheet {
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: asked.as_of };
    let mut checked = shop.check_all(record, &ask, &asked.given);
    checked.iter_mut().for_each(|one| one.hold_against(sheet_folder::today(asked.today)));
    let parts: Vec<&Checked> = checked.iter().filter(|one| one.part.is_some()).collect();
    let file = record.source.name().rsplit(['/', '\\']).next().unwrap_or_default();
    let page = (!parts.is_empty()).then(|| {
        html::labels(&Labels {
            name: file,
            parts: &parts,
            shop: shop.name.as_deref(),
            cautions: &shop.book.cautions,
            paper: asked.paper.size(),
        })
    });
    Sheet { shop: shop.clone(), checked, measured: Vec::new(), page }
}

/// One record: to a file, or to standard output.
fn one(asked: &Report, shops: &Shops, record: &Path, to: Option<&Path>) -> io::Result<u8> {
    let (found, said) = paths::records(std::slice::from_ref(&record.to_path_buf()), shops);
    let mut tally = Tally::default();
    tell(&mut tally, said.iter())?;
    let Some((_, record)) = found.first() else { return Ok(COULD_NOT) };
    let sheet = sheet(asked, shops, record);
    tell(&mut tally, sheet.shop.findings().iter().chain(sheet.shop.gauge_findings()))?;
    if sheet.checked.is_empty() {
        return Ok(COULD_NOT);
    }
    sheet.checked.iter().for_each(|checked| tally.add(&Tally::of(checked)));
    let Some(page) = &sheet.page else {
        tell(&mut Tally::default(), sheet.checked.iter().flat_map(|checked| &checked.findings))?;
        return Ok(COULD_NOT);
    };
    match to {
        None => {
            let mut stdout = io::stdout().lock();
            stdout.write_all(page.as_bytes())?;
            stdout.flush()?;
        }
        Some(path) => {
            if let Err(said) = may_write(path).and_then(|()| put(path, page)) {
                writeln!(io::stderr(), "{said}")?;
                return Ok(COULD_NOT);
            }
        }
    }
    Ok(tally.status())
}

/// Many records: a folder of sheets, and the page over all of them. Nothing is written where that page may not be; a sheet that
/// cannot be written is said, and listed without a link.
fn many(asked: &Report, shops: &Shops, folder: &Path) -> io::Result<u8> {
    let (records, said) = paths::records(&asked.paths, shops);
    let mut tally = Tally::default();
    let mut troubles: Vec<Finding> = said;
    if records.is_empty() {
        tell(&mut tally, troubles.iter())?;
        return Ok(COULD_NOT);
    }
    let names = names(&records);
    let index = folder.join(INDEX);
    if let Err(said) = may_write(&index) {
        writeln!(io::stderr(), "{said}")?;
        return Ok(COULD_NOT);
    }
    let progress = Progress::new(records.len() as u64);
    let mut over_time = OverTime::default();
    let mut listed = Vec::new();
    let mut cautions: Vec<Box<str>> = Vec::new();
    let mut names_of_shops: Vec<String> = Vec::new();
    let mut said_of: FxHashSet<String> = FxHashSet::default();
    for (records, names) in records.chunks(BATCH).zip(names.chunks(BATCH)) {
        let sheets: Vec<Sheet> = records.par_iter().map(|(_, record)| sheet(asked, shops, record)).collect();
        for ((sheet, (_, record)), name) in sheets.into_iter().zip(records).zip(names) {
            for finding in sheet.shop.findings().iter().chain(sheet.shop.gauge_findings()) {
                if said_of.insert(plain::write(finding)) {
                    troubles.push(finding.clone());
                }
            }
            cautions.extend(
                sheet.shop.book.cautions.iter().filter(|one| !cautions.contains(one)).cloned().collect::<Vec<_>>(),
            );
            names_of_shops.extend(
                sheet.shop.name.iter().filter(|one| !names_of_shops.contains(one)).cloned().collect::<Vec<_>>(),
            );
            if sheet.checked.is_empty() {
                tally.add(&Tally::of_unsound());
                listed.push(Listed::unsound(named(record)));
                continue;
            }
            sheet.checked.iter().for_each(|checked| tally.add(&Tally::of(checked)));
            if let Some(build) = sheet.checked.first().filter(|checked| checked.part.is_none()) {
                over_time.add(build, sheet.measured);
            }
            let place = folder.join(name);
            let written = sheet.page.as_ref().map(|page| may_write(&place).and_then(|()| put(&place, page)));
            // The others, and the page over all, are no worse for one that is not there.
            if let Some(Err(said)) = &written {
                progress.aside(|| writeln!(io::stderr(), "{said}"))?;
                tally.troubles += 1;
            }
            let page = written.and_then(|written| written.ok().map(|()| name.clone()));
            listed.extend(sheet.checked.iter().map(|checked| Listed::new(checked, page.clone())));
        }
        progress.done(records.len());
    }
    drop(progress);
    tell(&mut tally, troubles.iter())?;
    let charts = over_time.charts();
    let mut chart_pages = Vec::new();
    for page in pages_of_charts(&charts, &names) {
        let text = html::write_charts(&page.generation, &charts, INDEX, asked.paper.size());
        let place = folder.join(&page.file);
        match may_write(&place).and_then(|()| put(&place, &text)) {
            Ok(()) => chart_pages.push(page),
            Err(said) => {
                writeln!(io::stderr(), "{said}")?;
                tally.troubles += 1;
            }
        }
    }
    let page = html::index(&Index {
        shops: &names_of_shops,
        listed: &listed,
        tally: &tally,
        charts: &charts,
        chart_pages: &chart_pages,
        troubles: &troubles,
        cautions: &cautions,
        paper: asked.paper.size(),
    });
    if let Err(said) = put(&index, &page) {
        writeln!(io::stderr(), "{said}")?;
        return Ok(COULD_NOT);
    }
    writeln!(io::stdout().lock(), "{}", wording::report_written(&index, tally.records, tally.failing))?;
    Ok(tally.status())
}

/// The pages of charts, if the index has no room for all: each beside it, under a name that no sheet has.
fn pages_of_charts(charts: &[Charted], sheets: &[String]) -> Vec<ChartPage> {
    if !html::has_chart_pages(charts) {
        return Vec::new();
    }
    let mut generations: Vec<&str> = charts.iter().map(|one| one.generation.as_str()).collect();
    generations.dedup();
    let mut taken: BTreeSet<String> = sheets.iter().map(|name| name.to_lowercase()).collect();
    let page = |generation: &str| {
        let stem = named(&disk::safe_path(Path::new(&format!("charts-{generation}"))));
        ChartPage { generation: generation.to_owned(), file: untaken(&mut taken, &stem) }
    };
    generations.into_iter().map(page).collect()
}

/// The name of each record's sheet below the folder: its own, below the path it was found under. Two that would be the same,
/// also on a disk that does not tell capitals, are told apart by a number.
fn names(records: &[(PathBuf, PathBuf)]) -> Vec<String> {
    let mut taken: BTreeSet<String> = BTreeSet::from([INDEX.to_string()]);
    let mut names = Vec::with_capacity(records.len());
    for (below, record) in records {
        let inside = record.strip_prefix(below).ok().filter(|rest| !rest.as_os_str().is_empty());
        let inside = inside.or(record.file_name().map(Path::new)).unwrap_or(record).with_extension("");
        // A name may hold what leads elsewhere on this system or another.
        names.push(untaken(&mut taken, &named(&disk::safe_path(&inside))));
    }
    names
}

/// A name for a page that no other has, also on a disk that does not tell capitals; those taken are in small letters.
fn untaken(taken: &mut BTreeSet<String>, stem: &str) -> String {
    let mut name = format!("{stem}.html");
    let mut number = 1;
    while !taken.insert(name.to_lowercase()) {
        number += 1;
        name = format!("{stem}-{number}.html");
    }
    name
}

/// Whether a page may be written here: nothing is there yet, or a page of this program.
fn may_write(path: &Path) -> Result<(), String> {
    if !disk::exists(path) {
        return Ok(());
    }
    match disk::beginning(path, HEAD_BYTES) {
        Ok(head) if is_ours(&head) => Ok(()),
        _ => Err(wording::page_not_ours(path)),
    }
}

fn put(path: &Path, page: &str) -> Result<(), String> {
    disk::write_whole_below(path, page.as_bytes()).map_err(|error| wording::page_unwritten(path, &error))
}

/// Says on standard error what stands outside the records. An error is a trouble of the run.
fn tell<'a>(tally: &mut Tally, findings: impl Iterator<Item = &'a Finding>) -> io::Result<()> {
    let mut stderr = io::stderr().lock();
    for finding in findings {
        tally.troubles += usize::from(finding.is_error());
        stderr.write_all(plain::write(finding).as_bytes())?;
    }
    Ok(())
}
