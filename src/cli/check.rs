//! `trochoid check`: walks the paths, judges records on every core, writes them in order. Refuses to know rules.
//!
//! Records are judged and put on paper on all threads and written in their order, so that the output is the same with any
//! number of threads and only a window of records is held.

use super::arguments::Check;
use super::cached::Cached;
use super::in_order::{Handful, in_order};
use super::interrupt::Interrupt;
use super::paths::{Step, Steps, counted};
use super::progress::Progress;
use super::question::{Answers, Questions, named};
use super::sheet_folder::{self, SheetFolder};
use super::{terminal, wording};
use crate::audit::Signed;
use crate::book::Book;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::Finding;
use crate::judge::GradeSet;
use crate::quantity::Date;
use crate::record::Record;
use crate::report::survey::{self, Survey};
use crate::report::{CheckFormat, Page, Paper, Stream, Tally, fitted, plain};
use crate::shop::in_two_builds;
use crate::shop::{Ask, Checked, Shop, Shops, TakenPart};
use crate::text::Place;
use rustc_hash::{FxHashMap, FxHashSet};
use std::cell::RefCell;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Judges what was asked for and gives the numbers of the run.
pub(super) fn run(asked: &Check) -> io::Result<Tally> {
    let paper = Paper { format: asked.format.format(), look: terminal::look_as(asked.drawing), quiet: asked.quiet };
    let ask = Ask { tell: asked.tell(), rulings: paper.format.has_rulings(), as_of: asked.as_of };
    let shops = Shops::new(asked.books.clone());
    if let Some(said) = asked.given_wrong(&shops) {
        write!(io::stderr(), "{said}")?;
        return Ok(Tally { troubles: 1, ..Tally::default() });
    }
    let threads = asked.work.threads();
    let records = if Progress::is_wanted() { counted(&asked.paths) } else { 0 };
    let stdout = io::stdout().lock();
    let cabinet = match &asked.sheets {
        Some(folder) => match SheetFolder::new(folder, asked.signed, asked.replace, &asked.paths) {
            Some(cabinet) => Some(cabinet),
            None => {
                writeln!(io::stderr(), "{}", wording::NO_CLOCK)?;
                return Ok(Tally { troubles: 1, ..Tally::default() });
            }
        },
        None => None,
    };
    let questions = match Questions::new(asked) {
        Ok(questions) => questions,
        Err(said) => {
            writeln!(io::stderr(), "{said}")?;
            return Ok(Tally { troubles: 1, ..Tally::default() });
        }
    };
    let today = sheet_folder::today(asked.today);
    let bench = Bench {
        shops,
        paper,
        ask,
        given: asked.given.clone(),
        today,
        cabinet,
        questions,
        // The totals of a JUnit document are of all its test cases.
        shown: asked.shown().filter(|_| paper.format != CheckFormat::Junit),
        kept: Cached::open(
            asked.work.cache(),
            threads,
            format!("{paper:?} {ask:?} {:?} {:?}", asked.given, sheet_folder::said_today(asked.today)),
        ),
    };
    let mut run = Run {
        bench: &bench,
        survey: Survey::default(),
        unwritten: 0,
        roll: Stream::begin(paper, BufWriter::with_capacity(1 << 16, stdout))?,
        seen: FxHashSet::default(),
        said: FxHashSet::default(),
        taken: FxHashMap::default(),
    };
    let progress = Progress::new(records);
    let interrupt = Interrupt::watch();
    let steps = Steps::new(&asked.paths, &bench.shops).until(&interrupt);
    in_order(
        asked.work.pool().as_ref(),
        // A page with every ruling is long.
        if paper.format.has_rulings() { Handful::Small } else { Handful::Large },
        steps,
        |step| bench.taken(step),
        |taken| {
            let records = taken.iter().filter(|one| matches!(one, Taken::Judged(..))).count();
            progress.aside(|| run.write(taken))?;
            progress.done(records);
            Ok::<(), io::Error>(())
        },
    )?;
    drop(progress);
    if interrupt.is_asked() {
        run.path(&wording::interrupted(run.roll.records()))?;
        run.roll.flush()?;
    }
    let Run { mut roll, unwritten, survey, .. } = run;
    bench.kept.settle();
    bench.kept.say()?;
    roll.survey(&survey, bench.questions.of_all())?;
    let mut tally = roll.end()?;
    // A document has no room for anything behind it.
    if !paper.format.is_document() {
        if tally.records == 0
            && let Some(said) = bench.questions.none_meant()
        {
            writeln!(io::stdout().lock(), "{said}")?;
        }
        let text = survey::text(&survey, bench.questions.of_all(), paper.look);
        io::stdout().lock().write_all(fitted(&text, paper.look).as_bytes())?;
    }
    if unwritten > 0 {
        tally.troubles += unwritten;
        writeln!(io::stderr(), "{}", wording::sheets_not_written(unwritten))?;
    }
    // The program ends here. To give every row of every book back first, one by one, takes as long as judging several records.
    std::mem::forget(bench.shops);
    Ok(tally)
}

/// What became of a step.
enum Taken<'a> {
    Judged(&'a Path, PathBuf, Judged),
    Said(Box<Finding>),
}

/// What every thread needs to judge a record and put it on paper.
struct Bench {
    shops: Shops,
    paper: Paper,
    ask: Ask,
    /// What is said about the machine that loose parts go into.
    given: Vec<(String, String)>,
    /// The day it is, if anybody knows.
    today: Option<Date>,
    /// Where verdict sheets go, if they are asked for.
    cabinet: Option<SheetFolder>,
    questions: Questions,
    /// The rulings a document is to have, where not all.
    shown: Option<GradeSet>,
    kept: Cached,
}

/// A record judged: by which shop, as a page, and what its sheet says.
struct Judged {
    shop: Arc<Shop>,
    /// None where the record is not one of those meant.
    page: Option<Page>,
    signed: Option<Signed>,
    build: String,
    answers: Answers,
    /// The parts it takes from the shelf, if it is a build that is not finished.
    takes: Vec<TakenPart>,
}

impl Bench {
    fn taken<'a>(&self, step: Step<'a>) -> Taken<'a> {
        match step {
            Step::Record { below, record, shop, is_file } => {
                let judged = self.judge(shop, &record, is_file);
                Taken::Judged(below, record, judged)
            }
            Step::Said(finding) => Taken::Said(finding),
        }
    }

    fn judge(&self, shop: Arc<Shop>, record: &Path, is_file: bool) -> Judged {
        if !shop.is_sound() {
            let page = Some(self.paper.unsound(&named(record)));
            return Judged {
                shop,
                page,
                signed: None,
                build: String::new(),
                answers: Answers::default(),
                takes: Vec::new(),
            };
        }
        let nothing =
            |shop, page, (build, takes)| Judged { shop, page, signed: None, build, answers: Answers::default(), takes };
        // Read once: what is signed is what was judged.
        let read = if is_file { disk::read_walked } else { disk::read_source };
        let source = match read(record, MOST_RECORD_BYTES) {
            Ok(source) => source,
            Err(why) => {
                let page = self.paper.page(&Checked::unread(record, why));
                return nothing(shop, Some(page), Default::default());
            }
        };
        let check = |record: &Record| {
            let mut all = shop.check_all(record, &self.ask, &self.given);
            all.iter_mut().for_each(|checked| checked.hold_against(self.today));
            all
        };
        let takes = RefCell::new((String::new(), Vec::new()));
        let judge = |record: &Record| {
            let all = check(record);
            // A day still to come will be past one day.
            let past = |finished: Date| self.today.is_some_and(|today| finished <= today);
            let lasts = all.iter().all(|checked| checked.finished.is_none_or(past));
            // Which parts it takes is compared with the other builds of this run, so it is read each time.
            if let Some(sheet) = &record.sheet
                && let found = shop.parts_of(sheet, &record.source)
                && !found.is_empty()
            {
                let build = all.first().map(|checked| checked.build.clone()).unwrap_or_default();
                let open = all.first().is_some_and(|checked| checked.part.is_none() && checked.finished.is_none());
                *takes.borrow_mut() = (build, if open { found } else { Vec::new() });
                return (self.paper.pages(&all), false);
            }
            (self.paper.pages(&all), lasts)
        };
        // A page with every ruling is long, and costs more to keep than to make.
        if self.cabinet.is_none() && self.questions.are_none() && !self.paper.format.has_rulings() {
            let page = self.kept.page(&shop, source, judge);
            return nothing(shop, Some(page), takes.into_inner());
        }
        let record = self.kept.record(source);
        if !self.questions.meant(&shop, &record) {
            return nothing(shop, None, Default::default());
        }
        let mut all = check(&record);
        if let Some(shown) = self.shown {
            all.iter_mut().for_each(|checked| checked.rulings.retain(|told| shown.shows(told.grade, told.advisory)));
        }
        let answers = self.questions.ask((&self.shops, &shop), &record, self.ask.as_of);
        let signed = self.cabinet.as_ref().and_then(|cabinet| cabinet.today(&shop, &record, self.ask.as_of));
        let page = Some(self.paper.pages(&all));
        let open = all.first().is_some_and(|checked| checked.part.is_none() && checked.finished.is_none());
        let build = all.into_iter().next().map(|checked| checked.build).unwrap_or_default();
        let sheet = record.sheet.as_ref().filter(|_| open);
        let takes = sheet.map(|sheet| shop.parts_of(sheet, &record.source)).unwrap_or_default();
        Judged { page, shop, signed, build, answers, takes }
    }
}

/// A run under way.
struct Run<'a, W: Write> {
    bench: &'a Bench,
    roll: Stream<W>,
    /// The books whose findings are written, by where they lie in memory: `bench` keeps them all until the end.
    seen: FxHashSet<*const Book>,
    /// What was said of lists of gauges: one list may be read with the units of several books.
    said: FxHashSet<String>,
    /// The parts of builds that are not finished: by tag, the build and where it says so.
    taken: FxHashMap<String, (String, Place)>,
    /// What the records said to what was asked of them all.
    survey: Survey,
    /// Verdict sheets that were not written.
    unwritten: usize,
}

impl<W: Write> Run<'_, W> {
    /// Writes some steps in their order.
    fn write(&mut self, taken: Vec<Taken<'_>>) -> io::Result<()> {
        for one in taken {
            match one {
                Taken::Judged(below, record, judged) => self.judged(below, &record, judged)?,
                Taken::Said(finding) => self.path(&finding)?,
            }
        }
        self.roll.flush()
    }

    fn judged(&mut self, below: &Path, record: &Path, judged: Judged) -> io::Result<()> {
        let Judged { shop, page, signed, build, answers: Answers { edges, conversions, rows, histories }, takes } =
            judged;
        for taken in takes {
            match self.taken.get(&taken.tag) {
                // Twice in one record is said there.
                Some((_, first)) if first.source == taken.place.source => {}
                Some((other, first)) => {
                    let said = in_two_builds(&taken.tag, (&build, taken.place), (other, first.clone()));
                    self.path(&said)?;
                }
                None => {
                    self.taken.insert(taken.tag, (build.clone(), taken.place));
                }
            }
        }
        if let Some(page) = page {
            if self.seen.insert(Arc::as_ptr(&shop.book)) {
                self.roll.shop(&shop)?;
                elsewhere(self.bench.paper, shop.findings())?;
            }
            for finding in shop.gauge_findings().iter().chain(shop.shelf_findings()) {
                let place = finding.place.as_ref().map(|(place, _)| place.to_string()).unwrap_or_default();
                if self.said.insert(format!("{place}: {}", finding.message)) {
                    self.path(finding)?;
                }
            }
            self.roll.page(&page)?;
            if let (Some(cabinet), Some(signed)) = (&self.bench.cabinet, signed)
                && let Err(said) = cabinet.put(below, record, &signed)
            {
                self.unwritten += 1;
                writeln!(io::stderr(), "{said}")?;
            }
        }
        self.survey.remember(histories);
        if !(edges.is_empty() && conversions.is_empty() && rows.is_empty()) {
            self.survey.add(&build, &named(record), edges, conversions, rows);
        }
        Ok(())
    }

    fn path(&mut self, finding: &Finding) -> io::Result<()> {
        self.roll.path(finding)?;
        elsewhere(self.bench.paper, std::slice::from_ref(finding))
    }
}

/// Says on standard error what a table has no line for, so that no run fails without a word.
fn elsewhere(paper: Paper, findings: &[Finding]) -> io::Result<()> {
    if paper.format.has_troubles() {
        return Ok(());
    }
    for finding in findings.iter().filter(|finding| finding.is_error() || !paper.quiet) {
        write!(io::stderr(), "{}", plain::write(finding))?;
    }
    Ok(())
}
