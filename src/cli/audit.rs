//! `trochoid audit`: judges records by the rules before and those after, on every core, and says which builds move. Refuses
//! to know rules.

use super::arguments::{Drawing, Work, day};
use super::cached::Cached;
use super::in_order::{Handful, in_order};
use super::interrupt::Interrupt;
use super::paths::{Step, Steps, counted};
use super::progress::Progress;
use super::revision::Checkout;
use super::sheet_folder::SheetFolder;
use super::{COULD_NOT, terminal, wording};
use crate::audit::{Audited, Comparison, Fate, since};
use crate::book::Book;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::quantity::Date;
use crate::record::Record;
use crate::report::audit::{Sheet, document, text};
use crate::report::plain;
use crate::shop::{Shop, Shops};
use clap::{Args, ValueEnum};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Say what changed rules mean for builds already judged
///
/// Judges every record by the rulebooks before and by those after, and says which builds change, by which rows, from which
/// range to which, and how far the value was and is from its end; the most urgent first.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid audit builds/ --before ../books-2025/         the shop's books against older ones
  trochoid audit builds/ --before-rev HEAD~1             against those of an earlier revision of git
  trochoid audit builds/ --before-rev HEAD --ignore-dates    as if today's rows had always been in force
  trochoid audit builds/ --before books/ --after trial/  two folders of books
  trochoid audit builds/ --before-rev v3 --diff          every ruling that differs, line by line
  trochoid audit builds/ --sheets signed/                against what was signed off
  trochoid audit builds/ --before books-2025/ --format json > recall.json

Exit status:
  0  no build that passed before fails now
  1  some build that passed before fails now
  2  not everything could be done: a rulebook with errors, a record that cannot be read
     or judged by both, a revision that is not there"
)]
pub(super) struct Audit {
    /// Records, or folders with records below them (*.yaml, *.yml, *.json); `-` for standard input
    #[arg(required = true, value_name = "PATH", add = super::complete::records())]
    paths: Vec<PathBuf>,

    /// The rulebook before, or the folder of rulebooks
    #[arg(long, value_name = "BOOKS", required_unless_present_any = ["before_rev", "sheets"], conflicts_with = "before_rev")]
    before: Option<PathBuf>,

    /// The rulebooks as they were at a revision of git
    #[arg(long, value_name = "REVISION")]
    before_rev: Option<String>,

    /// The folder of verdict sheets that the builds were signed off with, as `check --sheets` wrote them
    #[arg(long, value_name = "DIR", conflicts_with_all = ["before", "before_rev", "ignore_dates", "diff"])]
    sheets: Option<PathBuf>,

    /// The rulebook after, or the folder of rulebooks [default: those of each record's shop]
    #[arg(long, value_name = "BOOKS")]
    after: Option<PathBuf>,

    /// Judge by the newest of the rows after, as if they had always been in force
    #[arg(long)]
    ignore_dates: bool,

    /// Judge by the rows in force on this day, before and after [default: the day each build was finished]
    #[arg(long, value_name = "DATE", value_parser = day, conflicts_with = "ignore_dates")]
    as_of: Option<Date>,

    /// Show every ruling that differs between the two verdicts of a build
    #[arg(long)]
    diff: bool,

    /// How to write it
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = Form::Text)]
    format: Form,

    #[command(flatten)]
    drawing: Drawing,

    #[command(flatten)]
    work: Work,
}

/// The words for the formats.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    /// For people
    Text,
    /// One JSON document
    Json,
}

/// Where the rules before are.
enum Before {
    Books(Shops),
    Revision(Checkout),
    /// No rules, but what was signed off by them.
    Sheets(SheetFolder),
}

impl Before {
    /// The shop whose rules were in force before for a record; its gauges are today's.
    fn of(&self, record: &Path) -> Result<Arc<Shop>, String> {
        match self {
            Before::Books(shops) => Ok(shops.of(record)),
            Before::Revision(checkout) => checkout.shop_of(record),
            Before::Sheets(_) => Err(String::new()),
        }
    }
}

/// A comparison and the two shops it is for, by where their books lie in memory; none where one of them has errors.
type Desks = FxHashMap<(usize, usize, Option<PathBuf>, Option<usize>), Option<Arc<Comparison>>>;

/// What every thread needs.
struct Bench {
    before: Before,
    after: Shops,
    /// The days whose rows are meant, before and after.
    days: (Option<Date>, Option<Date>),
    sheets: bool,
    kept: Cached,
    comparisons: Mutex<Desks>,
    /// What was said of books and lists of gauges, each once.
    said: Mutex<BTreeSet<String>>,
}

/// Audits what was asked for and gives the exit status.
pub(super) fn run(asked: &Audit) -> io::Result<u8> {
    let before = match (&asked.before, &asked.before_rev, &asked.sheets) {
        (Some(books), ..) => Before::Books(Shops::new(Some(books.clone()))),
        (None, None, Some(folder)) => match SheetFolder::new(folder, asked.as_of, false, &asked.paths) {
            Some(cabinet) => Before::Sheets(cabinet),
            None => {
                writeln!(io::stderr(), "{}", wording::NO_CLOCK)?;
                return Ok(COULD_NOT);
            }
        },
        (None, revision, _) => {
            let first = asked.paths.first().map_or(Path::new("."), PathBuf::as_path);
            match Checkout::new(revision.as_deref().unwrap_or("HEAD"), first) {
                Ok(checkout) => Before::Revision(checkout),
                Err(said) => {
                    writeln!(io::stderr(), "{said}")?;
                    return Ok(COULD_NOT);
                }
            }
        }
    };
    let days = (asked.as_of, if asked.ignore_dates { Date::new(2999, 12, 31) } else { asked.as_of });
    let bench = Bench {
        before,
        after: Shops::new(asked.after.clone()),
        days,
        sheets: asked.diff,
        kept: Cached::open(asked.work.cache(), asked.work.threads(), format!("{days:?}")),
        comparisons: Mutex::default(),
        said: Mutex::default(),
    };
    let Moved { builds, fates, loose, same, interrupted, mut could_not } = judged(asked, &bench)?;
    could_not |= interrupted;
    bench.kept.settle();
    bench.kept.say()?;
    let said = bench.said.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    for line in &said {
        let line = if let Before::Revision(checkout) = &bench.before { checkout.named(line) } else { line.clone() };
        io::stderr().write_all(line.as_bytes())?;
    }
    could_not |= fates.contains_key(&Fate::NotJudged);
    let status = if could_not { COULD_NOT } else { u8::from(fates.contains_key(&Fate::FailsNow)) };
    let before_words = match (asked.before.as_ref().or(asked.sheets.as_ref()), &asked.before_rev) {
        (Some(books), _) => books.to_string_lossy().replace('\\', "/"),
        (None, revision) => wording::revision(revision.as_deref().unwrap_or("HEAD")),
    };
    let sheet = Sheet { before: &before_words, builds: &builds, fates: &fates, loose, same, interrupted, status };
    let written = match asked.format {
        Form::Text => terminal::fitted(asked.drawing, |look| text(&sheet, look)),
        Form::Json => document(&sheet),
    };
    let mut stdout = io::stdout().lock();
    stdout.write_all(written.as_bytes())?;
    stdout.flush()?;
    Ok(status)
}

/// What became of the builds.
#[derive(Default)]
struct Moved {
    /// Those that moved, the most urgent first.
    builds: Vec<Audited>,
    /// How many came to what.
    fates: BTreeMap<Fate, usize>,
    /// Files of loose parts that were left out.
    loose: usize,
    /// How many rulings are as they were.
    same: usize,
    /// Whether the run was broken off.
    interrupted: bool,
    /// Whether some path could not be followed.
    could_not: bool,
}

/// What became of a step.
enum Taken {
    Audited(Audited),
    Loose,
    Said(Box<Finding>),
}

/// Audits every record below the paths, each once.
fn judged(asked: &Audit, bench: &Bench) -> io::Result<Moved> {
    let progress = Progress::new(if Progress::is_wanted() { counted(&asked.paths) } else { 0 });
    let mut moved = Moved::default();
    let interrupt = Interrupt::watch();
    let steps = Steps::new(&asked.paths, &bench.after).until(&interrupt).each_once();
    let take = |step| match step {
        // Loose parts are among the records of a shop; one that is named is for `audit` to refuse.
        Step::Record { below, record, shop, .. } if *below != record && is_loose(&shop, &record) => Taken::Loose,
        Step::Record { below, record, shop, is_file } => Taken::Audited(bench.audit(below, &record, shop, is_file)),
        Step::Said(finding) => Taken::Said(finding),
    };
    in_order(asked.work.pool().as_ref(), Handful::Large, steps, take, |taken| -> io::Result<()> {
        for one in taken {
            match one {
                Taken::Audited(one) => {
                    progress.done(1);
                    moved.take(one);
                }
                Taken::Loose => {
                    progress.done(1);
                    moved.loose += 1;
                }
                Taken::Said(finding) => {
                    moved.could_not |= finding.is_error();
                    progress.aside(|| io::stderr().write_all(plain::write(&finding).as_bytes()))?;
                }
            }
        }
        Ok(())
    })?;
    moved.interrupted = interrupt.is_asked();
    moved.builds.sort_by(|one, other| one.urgency().cmp(&other.urgency()));
    Ok(moved)
}

/// Whether a file is about loose parts.
fn is_loose(shop: &Shop, record: &Path) -> bool {
    let Ok(source) = disk::read_source(record, MOST_RECORD_BYTES) else { return false };
    source.text().contains("part") && shop.is_loose(&Record::of(source))
}

impl Moved {
    fn take(&mut self, one: Audited) {
        self.same += one.same;
        *self.fates.entry(one.fate()).or_insert(0) += 1;
        // What did not move is counted and not kept: there may be very many of them.
        // Nor is what could not be judged because of its books: they have said why.
        let silent = one.fate() == Fate::NotJudged && one.findings.is_empty() && one.before == one.after;
        if !silent && !matches!(one.fate(), Fate::Unmoved | Fate::FailsStill) {
            self.builds.push(one);
        }
    }
}

impl Bench {
    fn audit(&self, below: &Path, record: &Path, shop: Arc<Shop>, is_file: bool) -> Audited {
        let name = record.to_string_lossy().replace('\\', "/");
        if let Before::Sheets(cabinet) = &self.before {
            return self.since(cabinet, below, record, &shop, name);
        }
        let comparison = match self.comparison(record, shop) {
            Ok(Some(comparison)) => comparison,
            Ok(None) => return Audited::nothing(name, Vec::new()),
            Err(said) => {
                self.say(format!("{said}\n"));
                return Audited::nothing(name, Vec::new());
            }
        };
        let read = if is_file { disk::read_walked } else { disk::read_source };
        match read(record, MOST_RECORD_BYTES) {
            Ok(source) => {
                let find = |record: &Record| comparison.audit(record, self.days, self.sheets);
                let mut audited = match self.sheets {
                    true => find(&self.kept.record(source)),
                    false => {
                        // An earlier revision is laid out anew each time.
                        let lasting = matches!(self.before, Before::Books(_));
                        self.kept.audited(comparison.shops(), lasting, source, find)
                    }
                };
                if let Before::Revision(checkout) = &self.before {
                    audited.name_before(|name| checkout.named(name));
                }
                audited
            }
            Err(finding) => Audited::nothing(name, vec![finding]),
        }
    }

    /// A record held to the sheet it was signed off with.
    fn since(&self, cabinet: &SheetFolder, below: &Path, record: &Path, shop: &Arc<Shop>, name: String) -> Audited {
        if !shop.is_sound() {
            shop.findings().iter().for_each(|finding| self.say(plain::write(finding)));
            return Audited::nothing(name, Vec::new());
        }
        let source = match disk::read_source(record, MOST_RECORD_BYTES) {
            Ok(source) => source,
            Err(finding) => return Audited::nothing(name, vec![finding]),
        };
        let signed = match cabinet.get(below, record) {
            Ok(signed) => signed,
            Err(said) => {
                self.say(format!("{said}\n"));
                return Audited::nothing(name, Vec::new());
            }
        };
        // Judged by the rows that were meant then, where a day was asked for then.
        let as_of = self.days.1.or_else(|| signed.as_of.as_deref().and_then(Date::parse));
        let record = self.kept.record(source);
        match cabinet.today(shop, &record, as_of) {
            Some(today) => since(&signed, &today, &name),
            None => Audited::nothing(name, record.findings),
        }
    }

    /// The comparison for a record: its shop's rules and those before, side by side.
    fn comparison(&self, record: &Path, after: Arc<Shop>) -> Result<Option<Arc<Comparison>>, String> {
        let before = self.before.of(record)?;
        let address = |book: &Arc<Book>| Arc::as_ptr(book) as usize;
        let gauges = after.gauges_file().map(Path::to_path_buf);
        let key = (address(&before.book), address(&after.book), gauges, after.shelf_number());
        // Held while it is made, so that two threads do not make the same one.
        let mut comparisons = self.comparisons.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(comparison) = comparisons.get(&key) {
            return Ok(comparison.clone());
        }
        for finding in before.findings().iter().chain(after.findings()).chain(after.gauge_findings()) {
            self.say(plain::write(finding));
        }
        let comparison = (before.is_sound() && after.is_sound()).then(|| Arc::new(Comparison::new(before, after)));
        comparisons.insert(key, comparison.clone());
        Ok(comparison)
    }

    fn say(&self, line: String) {
        self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner).insert(line);
    }
}
