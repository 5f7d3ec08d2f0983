//! `trochoid check`: walks the paths, judges records on every core, writes them in order. Refuses to know rules.
//!
//! Records are taken in batches. A batch is judged and put on paper on all threads, then written in its order, so that
//! the output is the same with any number of threads and never more than a batch is held.

use super::arguments::Check;
use super::cabinet::Cabinet;
use super::interrupt::Interrupt;
use super::kept::Kept;
use super::progress::Progress;
use super::question::{Answers, Questions, named};
use super::{terminal, wording};
use crate::audit::Signed;
use crate::book::Book;
use crate::disk::{self, Kind, MOST_RECORD_BYTES, walk};
use crate::finding::Finding;
use crate::record::Record;
use crate::report::survey::{self, Survey};
use crate::report::{Page, Paper, Roll, Tally, plain};
use crate::shop::{Ask, Checked, Shop, Shops};
use rayon::prelude::*;
use rustc_hash::FxHashSet;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Records a thread has in a batch, once the run is under way: enough that the threads seldom wait for each other.
const BATCH: usize = 64;

/// Judges what was asked for and gives the numbers of the run.
pub(super) fn run(asked: &Check) -> io::Result<Tally> {
    let paper = Paper { format: asked.format.format(), look: terminal::look_as(asked.drawing), quiet: asked.quiet };
    let ask = Ask { tell: asked.tell(), rulings: paper.format.has_rulings(), as_of: asked.as_of };
    let threads = asked.work.threads();
    let records = if Progress::is_wanted() { counted(&asked.paths) } else { 0 };
    let stdout = io::stdout().lock();
    let cabinet = match &asked.sheets {
        Some(folder) => match Cabinet::new(folder, asked.signed, asked.replace) {
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
    let mut run = Run {
        bench: Bench {
            shops: Shops::new(asked.books.clone()),
            paper,
            ask,
            cabinet,
            questions,
            kept: Kept::open(asked.work.cache.as_deref(), threads, format!("{paper:?} {ask:?}")),
        },
        survey: Survey::default(),
        unwritten: 0,
        pool: asked.work.pool(),
        roll: Roll::begin(paper, BufWriter::with_capacity(1 << 16, stdout))?,
        seen: FxHashSet::default(),
        said: FxHashSet::default(),
        progress: Progress::new(records),
    };
    let interrupt = Interrupt::watch();
    let largest = threads.max(1) * BATCH;
    // The first batches are small, so that something is seen at once.
    let mut size = threads.max(1) * 4;
    for path in &asked.paths {
        let mut batch = Vec::new();
        let mut nothing = true;
        for step in walk(path, Kind::Records) {
            match step {
                // A list of gauges with a name of its own, beside the builds. A file that is asked for is taken as it is.
                Ok(record) if record != *path && run.bench.shops.is_gauges_list(&record) => {}
                Ok(record) => {
                    nothing = false;
                    batch.push(record);
                }
                Err(finding) => {
                    nothing &= !finding.is_error();
                    // What was met on the way is said where it was met.
                    run.batch(path, &std::mem::take(&mut batch))?;
                    run.path(&finding)?;
                }
            }
            if interrupt.is_asked() {
                break;
            }
            if batch.len() >= size {
                run.batch(path, &std::mem::take(&mut batch))?;
                size = (size * 2).min(largest);
            }
        }
        if !interrupt.is_asked() {
            run.batch(path, &batch)?;
        }
        if interrupt.is_asked() {
            run.path(&wording::interrupted(run.roll.records()))?;
            break;
        }
        if nothing {
            run.path(&wording::no_records(path))?;
        }
    }
    let Run { bench, mut roll, progress, unwritten, survey, .. } = run;
    drop(progress);
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
        io::stdout().lock().write_all(text.as_bytes())?;
    }
    if unwritten > 0 {
        tally.troubles += unwritten;
        writeln!(io::stderr(), "{}", wording::sheets_not_written(unwritten))?;
    }
    Ok(tally)
}

fn counted(paths: &[PathBuf]) -> u64 {
    let files = paths.iter().map(|path| walk(path, Kind::Records).filter(Result::is_ok).count());
    files.sum::<usize>() as u64
}

/// What every thread needs to judge a record and put it on paper.
struct Bench {
    shops: Shops,
    paper: Paper,
    ask: Ask,
    /// Where verdict sheets go, if they are asked for.
    cabinet: Option<Cabinet>,
    questions: Questions,
    kept: Kept,
}

/// A record judged: by which shop, as a page, and what its sheet says.
struct Judged {
    shop: Arc<Shop>,
    /// None where the record is not one of those meant.
    page: Option<Page>,
    signed: Option<Signed>,
    build: String,
    answers: Answers,
}

impl Bench {
    fn judge(&self, record: &Path) -> Judged {
        let shop = self.shops.of(record);
        if !shop.is_sound() {
            let page = Some(self.paper.unsound(&named(record)));
            return Judged { shop, page, signed: None, build: String::new(), answers: Answers::default() };
        }
        let nothing =
            |shop, page| Judged { shop, page, signed: None, build: String::new(), answers: Answers::default() };
        // Read once: what is signed is what was judged.
        let source = match disk::read_source(record, MOST_RECORD_BYTES) {
            Ok(source) => source,
            Err(why) => {
                let page = self.paper.page(&Checked::unread(record, why));
                return nothing(shop, Some(page));
            }
        };
        let judge = |record: &Record| self.paper.page(&shop.check_record(record, &self.ask));
        // A page with every ruling is long, and costs more to keep than to make.
        if self.cabinet.is_none() && self.questions.are_none() && !self.paper.format.has_rulings() {
            let page = self.kept.page(&shop, source, judge);
            return nothing(shop, Some(page));
        }
        let record = self.kept.record(source);
        if !self.questions.meant(&shop, &record) {
            return nothing(shop, None);
        }
        let checked = shop.check_record(&record, &self.ask);
        let answers = self.questions.ask(&shop, &record, self.ask.as_of);
        let signed = self.cabinet.as_ref().and_then(|cabinet| cabinet.today(&shop, &record, self.ask.as_of));
        let page = Some(self.paper.page(&checked));
        Judged { page, shop, signed, build: checked.build, answers }
    }
}

/// A run under way.
struct Run<W: Write> {
    bench: Bench,
    pool: Option<rayon::ThreadPool>,
    roll: Roll<W>,
    /// The books whose findings are written, by where they lie in memory: `bench` keeps them all until the end.
    seen: FxHashSet<*const Book>,
    /// What was said of lists of gauges: one list may be read with the units of several books.
    said: FxHashSet<String>,
    progress: Progress,
    /// What the records said to what was asked of them all.
    survey: Survey,
    /// Verdict sheets that were not written.
    unwritten: usize,
}

impl<W: Write> Run<W> {
    /// Judges some records and writes them in their order.
    fn batch(&mut self, below: &Path, records: &[PathBuf]) -> io::Result<()> {
        let bench = &self.bench;
        let judged: Vec<Judged> = match &self.pool {
            Some(pool) if records.len() > 1 => {
                pool.install(|| records.par_iter().map(|record| bench.judge(record)).collect())
            }
            _ => records.iter().map(|record| bench.judge(record)).collect(),
        };
        let (roll, seen, said, unwritten) = (&mut self.roll, &mut self.seen, &mut self.said, &mut self.unwritten);
        self.progress.aside(|| {
            for (Judged { shop, page, signed, .. }, record) in judged.iter().zip(records) {
                let Some(page) = page else { continue };
                if seen.insert(Arc::as_ptr(&shop.book)) {
                    roll.shop(shop)?;
                    elsewhere(bench.paper, shop.findings())?;
                }
                for finding in shop.gauge_findings() {
                    let place = finding.place.as_ref().map(|(place, _)| place.to_string()).unwrap_or_default();
                    if said.insert(format!("{place}: {}", finding.message)) {
                        roll.path(finding)?;
                        elsewhere(bench.paper, std::slice::from_ref(finding))?;
                    }
                }
                roll.page(page)?;
                if let (Some(cabinet), Some(signed)) = (&bench.cabinet, signed)
                    && let Err(said) = cabinet.put(below, record, signed)
                {
                    *unwritten += 1;
                    writeln!(io::stderr(), "{said}")?;
                }
            }
            roll.flush()
        })?;
        for (one, record) in judged.into_iter().zip(records) {
            let Answers { edges, conversions, rows } = one.answers;
            self.survey.add(&one.build, &named(record), edges, conversions, rows);
        }
        self.progress.done(records.len());
        Ok(())
    }

    fn path(&mut self, finding: &Finding) -> io::Result<()> {
        let (roll, paper) = (&mut self.roll, self.bench.paper);
        self.progress.aside(|| {
            roll.path(finding)?;
            elsewhere(paper, std::slice::from_ref(finding))
        })
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
