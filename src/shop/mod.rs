//! How the papers of one shop belong together: its settings, its rulebooks, its records. Refuses to know how anything
//! is printed.

mod checked;
mod choosing;
mod gather;
mod gauges;
mod history;
mod loose;
mod matched;
mod papers;
mod places;
mod plans;
mod reworking;
mod settings;
mod shelf;
pub mod shipped;
mod shops;
mod taken;
mod together;
mod wording;
mod wording_shelf;

pub use checked::Checked;
pub use choosing::{Choosing, LeftOut, NotTaken, Prepared};
pub use history::{Change, History, Occasion, Sighting, named_in};
pub use loose::{Alternative, CheckedPart, PartAt, View, words_of};
pub use matched::{
    Conflict, Least, Machines, MatchReport, MatchSet, Matched, RefusingRow, Scored, Tight, best_sets, record_of_set,
};
pub use papers::{Papers, ReadBook};
pub use reworking::{Planned, PlannedPart, PlannedParts};
pub use shelf::{Shelf, ShelfPart};
pub use shops::Shops;
pub use taken::{TakenPart, place_of};
pub use wording::no_generation_left;
pub use wording_shelf::in_two_builds;

use crate::bind::{self, Gauges, Readings};
use crate::book::{self, Book};
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::{Code, Finding};
use crate::judge::{self, Grade, GradeSet};
use crate::plan::Plan;
use crate::quantity::Date;
use crate::record::{Record, Sheet};
use crate::syntax::Tree;
use crate::text::Source;
use gather::Gathering;
use plans::Plans;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// One shop: its rulebooks compiled, every generation ready to judge by.
#[derive(Debug)]
pub struct Shop {
    /// The shop's name, where its settings say one.
    pub name: Option<String>,
    /// The rulebooks. Shops that differ only in their gauges share them.
    pub book: Arc<Book>,
    /// What its books were made of.
    trees: Arc<[Arc<Tree>]>,
    plans: Arc<Plans>,
    findings: Arc<[Finding]>,
    /// The gauges its records may name besides those they list.
    gauges: Option<Arc<Listed>>,
    /// What its loose parts share.
    views: Arc<loose::Views>,
    /// Where its loose parts lie, if its settings say so.
    shelf: Option<Arc<shelf::ShelfAt>>,
}

/// A list of gauges as read, for all records it is for.
#[derive(Debug)]
struct Listed {
    file: PathBuf,
    /// The file as it was read, if it could be.
    source: Option<Source>,
    gauges: Gauges,
    findings: Vec<Finding>,
}

/// What to say about a record.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ask {
    /// Which grades get a finding for each ruling.
    pub tell: GradeSet,
    /// Whether every ruling is wanted in words, good ones included.
    pub rulings: bool,
    /// Judge by the rows in force on this day, not on the day the build was finished.
    pub as_of: Option<Date>,
}

/// What is said about the machine that loose parts go into: readings of it and their values, each as written.
pub type Given = [(String, String)];

impl Shop {
    /// Compiles rulebooks already read, each after those it uses. For tests and for callers that keep books elsewhere.
    #[must_use]
    pub fn of_sources(sources: &[Source]) -> Shop {
        let mut findings = Vec::new();
        let mut trees = Vec::new();
        for source in sources {
            let (tree, said) = crate::syntax::parse(source);
            findings.extend(said);
            trees.push(Arc::new(tree));
        }
        Shop::of_trees(None, trees, findings)
    }

    /// The shop of the shipped rulebooks.
    #[must_use]
    pub fn shipped() -> Shop {
        Shop::shipped_from(&Papers::default())
    }

    fn shipped_from(papers: &Papers) -> Shop {
        let mut gathering = Gathering::new(papers, PathBuf::new());
        gathering.all_shipped();
        Shop::of_trees(None, gathering.trees, gathering.findings)
    }

    fn of_trees(name: Option<String>, trees: Vec<Arc<Tree>>, mut findings: Vec<Finding>) -> Shop {
        let (book, mut said) = book::compile(&trees);
        // A declaration that could not be read leaves its name unknown wherever it is used: that is one mistake, not many.
        if findings.iter().any(Finding::is_error) {
            said.retain(|finding| !follows_from_unread(finding.code));
        }
        findings.extend(said);
        let book = Arc::new(book);
        // A book with errors is never judged by, so its plans need not be made.
        let plans = if findings.iter().any(Finding::is_error) {
            Plans::none(book.clone())
        } else {
            let (plans, said) = Plans::new(book.clone());
            findings.extend(said);
            plans
        };
        Shop {
            name,
            book,
            trees: trees.into(),
            plans: Arc::new(plans),
            findings: findings.into(),
            gauges: None,
            views: Arc::default(),
            shelf: None,
        }
    }

    /// The same books, with a list of gauges.
    fn with_gauges(&self, gauges: Arc<Listed>) -> Shop {
        Shop { gauges: Some(gauges), ..self.same() }
    }

    /// The same shop: all it holds is shared.
    fn same(&self) -> Shop {
        Shop {
            name: self.name.clone(),
            book: self.book.clone(),
            trees: self.trees.clone(),
            plans: self.plans.clone(),
            findings: self.findings.clone(),
            gauges: self.gauges.clone(),
            views: self.views.clone(),
            shelf: self.shelf.clone(),
        }
    }

    /// What is to be said of its books.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Its books as they are written, each after those it uses.
    #[must_use]
    pub fn trees(&self) -> &[Arc<Tree>] {
        &self.trees
    }

    /// What is to be said of its list of gauges. The records are judged all the same.
    #[must_use]
    pub fn gauge_findings(&self) -> &[Finding] {
        self.gauges.as_ref().map_or(&[], |listed| &listed.findings)
    }

    /// The file its gauges are listed in, if there is one.
    #[must_use]
    pub fn gauges_file(&self) -> Option<&Path> {
        self.gauges.as_ref().map(|listed| listed.file.as_path())
    }

    /// Whether a file is the list of gauges, under a name of its own.
    #[must_use]
    pub fn is_gauges_list(&self, file: &Path) -> bool {
        self.gauges_file().is_some_and(|list| list.file_name() == file.file_name() && disk::is_same(list, file))
    }

    /// That file as it was read, if it could be.
    #[must_use]
    pub fn gauges_source(&self) -> Option<&Source> {
        self.gauges.as_ref()?.source.as_ref()
    }

    /// The gauges it lists, each as its calibration in force on a day left it.
    #[must_use]
    pub fn gauges_on(&self, day: Option<Date>) -> Vec<&bind::Gauge> {
        self.own_gauges().map(|gauges| gauges.on(day).collect()).unwrap_or_default()
    }

    /// What changed from one calibration of a gauge of its list to the next, in the order of their days.
    #[must_use]
    pub fn gauge_drifts(&self, name: &str) -> Vec<bind::Drift> {
        self.own_gauges().map(|gauges| gauges.drifts(name)).unwrap_or_default()
    }

    /// Its gauges, for what binds readings.
    fn own_gauges(&self) -> Option<&Gauges> {
        self.gauges.as_ref().map(|listed| &listed.gauges)
    }

    /// The names of the gauges of its list, in the order written.
    #[must_use]
    pub fn gauge_names(&self) -> Vec<String> {
        self.own_gauges().map_or_else(Vec::new, |gauges| gauges.names().map(str::to_owned).collect())
    }

    /// Reads a sheet against the vocabulary of its books, with its gauges.
    #[must_use]
    pub fn bind(&self, sheet: &Sheet, source: &Source) -> (Readings, Vec<Finding>) {
        if let Some(span) = bind::loose_span(&self.book, sheet) {
            return (bind::nothing(&self.book, source), vec![wording::not_a_build(source.place(span))]);
        }
        match &self.gauges {
            Some(listed) => bind::bind_with(&self.book, sheet, source, &listed.gauges),
            None => bind::bind(&self.book, sheet, source),
        }
    }

    /// As [`Shop::bind`], with the day whose rows judge the record if that is not the day the build was finished; readings
    /// that cannot be on the generation are set aside.
    #[must_use]
    pub fn readings(&self, sheet: &Sheet, source: &Source, as_of: Option<Date>) -> (Readings, Vec<Finding>) {
        let (mut readings, mut findings) = self.bind(sheet, source);
        findings.extend(self.take_parts((sheet, source), &mut readings));
        readings.judged_on = as_of.or(readings.judged_on);
        if let Some(plan) = readings.generation.and_then(|id| self.plan(id)) {
            findings.extend(judge::screen(&self.book, plan, &mut readings));
        }
        (readings, findings)
    }

    /// As [`Shop::bind`], for a machine whose generation is not known: readings that could be on no generation are set aside,
    /// and only those have a finding.
    #[must_use]
    pub fn readings_of_any(&self, sheet: &Sheet, source: &Source) -> (Readings, Vec<Finding>) {
        let (mut readings, _) = self.bind(sheet, source);
        let findings = judge::screen_for_any(&self.book, &self.plans.all_together(), &mut readings);
        (readings, findings)
    }

    /// The plan of a generation; none for a basis, and none where the books have errors.
    #[must_use]
    pub fn plan(&self, generation: book::Id<book::Generation>) -> Option<&Plan> {
        self.plans.of(generation)
    }

    /// Whether its books have no errors. A shop that is not sound judges nothing.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        !self.findings.iter().any(Finding::is_error)
    }

    /// The files its books were read from, in the order they were compiled.
    #[must_use]
    pub fn books(&self) -> Vec<String> {
        self.book.titles.iter().map(|title| title.file.clone()).collect()
    }

    /// Reads, binds and judges one record on disk.
    #[must_use]
    pub fn check(&self, path: &Path, ask: &Ask) -> Checked {
        match disk::read_source(path, MOST_RECORD_BYTES) {
            Ok(source) => self.check_source(&source, ask),
            Err(finding) => Checked::unread(path, finding),
        }
    }

    /// Binds and judges one record already read.
    #[must_use]
    pub fn check_source(&self, source: &Source, ask: &Ask) -> Checked {
        if self.is_sound() {
            self.check_record(&Record::of(source.clone()), ask)
        } else {
            Checked::nothing(source.name().to_string())
        }
    }

    /// Binds and judges one record whose YAML was read as well.
    #[must_use]
    pub fn check_record(&self, record: &Record, ask: &Ask) -> Checked {
        self.judged(record, ask, |reporter, verdict, checked| {
            if ask.rulings {
                checked.rulings.extend(verdict.rulings.iter().filter_map(|ruling| reporter.tell(ruling)));
            }
        })
        .0
    }

    /// As [`Shop::check_record`] with every ruling, for a record that changes from moment to moment: `before` is what was told of
    /// another state of it, and what rests on nothing that changed is told as before. The rulings are not in what was checked but
    /// beside it; there are none if it cannot be judged.
    #[must_use]
    pub fn check_again(
        &self,
        record: &Record,
        before: Option<&judge::ReportedBefore>,
    ) -> (Checked, Option<judge::ReportedBefore>) {
        let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
        let (checked, told) = self.judged(record, &ask, |reporter, verdict, _| {
            let leaves = self.leaves(reporter.generation())?;
            Some(reporter.report_again(verdict, leaves, before))
        });
        (checked, told.flatten())
    }

    /// Binds and judges a record; what else is to be said of its verdict is the caller's.
    fn judged<T>(
        &self,
        record: &Record,
        ask: &Ask,
        tell: impl FnOnce(&judge::Reporter<'_>, &judge::Verdict, &mut Checked) -> T,
    ) -> (Checked, Option<T>) {
        let mut checked = Checked::nothing(record.source.name().to_string());
        let mut told = None;
        if !self.is_sound() {
            return (checked, told);
        }
        checked.findings.clone_from(&record.findings);
        if let Some(sheet) = &record.sheet {
            let (readings, findings) = self.readings(sheet, &record.source, ask.as_of);
            checked.findings.extend(findings);
            if let Some(build) = &readings.build {
                checked.build.clone_from(build);
            }
            checked.finished = readings.finished;
            checked.finished_place = readings.finished_span.map(|span| record.source.place(span));
            checked.generation = readings.generation.map(|id| self.book.generations.get(id).name.to_string());
            checked.record_errors = checked.findings.iter().filter(|finding| finding.is_error()).count();
            if let Some(plan) = readings.generation.and_then(|id| self.plan(id)) {
                told = self.judge((plan, &readings), ask, tell, &mut checked);
            }
        } else {
            checked.unreadable = true;
            checked.record_errors = checked.findings.iter().filter(|finding| finding.is_error()).count();
        }
        (checked, told)
    }

    /// Looks at one record, judged, in a way of the caller's own; none where it cannot be judged.
    pub fn look<T>(
        &self,
        record: &Record,
        as_of: Option<Date>,
        look: impl FnOnce(&Plan, &Readings, &judge::Verdict) -> T,
    ) -> Option<T> {
        let (readings, _) = self.readings(record.sheet.as_ref()?, &record.source, as_of);
        let plan = self.plan(readings.generation?)?;
        Some(look(plan, &readings, &judge::judge(&self.book, plan, &readings)))
    }

    fn judge<T>(
        &self,
        (plan, readings): (&Plan, &Readings),
        ask: &Ask,
        tell: impl FnOnce(&judge::Reporter<'_>, &judge::Verdict, &mut Checked) -> T,
        checked: &mut Checked,
    ) -> Option<T> {
        let mut told = None;
        // A good ruling is told only where every one is.
        let all = ask.rulings || ask.tell.contains(Grade::Good);
        let judge = if all { judge::judge } else { judge::judge_for_faults };
        let verdict = judge(&self.book, plan, readings);
        // What the build is judged by comes first: if that is wrong, all that follows is.
        let others = || self.plans.all();
        if let Some(finding) = judge::contradicted(&self.book, plan, others, readings) {
            checked.contradicted = true;
            checked.record_errors += 1;
            checked.findings.insert(0, finding);
        }
        checked.findings.extend(judge::values_contradicted(&self.book, plan, readings));
        checked.grade = Some(verdict.grade);
        checked.counts = verdict.counts;
        checked.skipped = verdict.skipped;
        // An unmeasured row is not known to be anything but good. Where missing readings are listed, rows that `--only` leaves out are
        // not named either.
        let named = |one: &judge::Ruling| {
            one.grade != Grade::Unmeasured && (!ask.tell.lists() || ask.tell.shows(one.grade, one.advisory))
        };
        let unverified = |one: &&judge::Ruling| one.advisory && one.grade > Grade::Good && named(one);
        let nothing_to_tell = verdict.rulings.iter().all(|one| !ask.tell.shows(one.grade, one.advisory));
        if !nothing_to_tell || ask.rulings || verdict.counts.advisory > 0 {
            let reporter = judge::Reporter::new(&self.book, plan, readings);
            let unverified = verdict.rulings.iter().filter(unverified);
            checked.unverified.extend(unverified.filter_map(|ruling| reporter.name(ruling)));
            checked.findings.extend(reporter.findings(&verdict, ask.tell));
            if ask.tell.lists() || ask.rulings {
                checked.to_measure = reporter.to_measure(&verdict, ask.tell);
            }
            told = Some(tell(&reporter, &verdict, checked));
        }
        checked.record_errors += verdict.findings.iter().filter(|finding| finding.is_error()).count();
        checked.findings.extend(verdict.findings);
        told
    }
}

/// Whether a finding of this kind may only follow from a declaration that could not be read.
fn follows_from_unread(code: Code) -> bool {
    matches!(
        code,
        Code::NameUnknown
            | Code::UnitUnknown
            | Code::ConstantMissing
            | Code::PositionUnknown
            | Code::ReplaceNothing
            | Code::RootPart
            | Code::FitsMissing
            | Code::FitsTable
            | Code::FitUnknown
            | Code::FitSize
    )
}

/// The settings file of the shop a record belongs to, in or above its folder.
#[must_use]
pub fn settings_of(record: &Path) -> Option<PathBuf> {
    disk::find_upward(&disk::folder_of(record), &settings::FILE_NAMES)
}

/// A rulebook, a folder of them, or a shop's settings file, which names them.
fn open_books(papers: &Papers, path: &Path) -> Shop {
    let is_settings = settings::FILE_NAMES.iter().any(|name| path.file_name().is_some_and(|file| file == *name));
    if is_settings && !disk::is_folder(path) {
        return open_settings(papers, path);
    }
    let root = if disk::is_folder(path) { path.to_path_buf() } else { disk::folder_of(path) };
    let mut gathering = Gathering::new(papers, root);
    add(&mut gathering, path, None);
    Shop::of_trees(None, gathering.trees, gathering.findings)
}

fn open_settings(papers: &Papers, path: &Path) -> Shop {
    let (settings, findings) = settings::read(papers, path);
    let root = disk::folder_of(path);
    let mut gathering = Gathering::new(papers, root.clone());
    gathering.findings = findings;
    if settings.books.is_empty() && gathering.findings.is_empty() {
        gathering.all_shipped();
    }
    for book in &settings.books {
        add(&mut gathering, &disk::normalise(&root.join(book)), settings.source.as_ref());
    }
    Shop::of_trees(settings.shop, gathering.trees, gathering.findings)
}

/// Adds a book, or every book of a folder.
fn add(gathering: &mut Gathering<'_>, path: &Path, named_in: Option<&Source>) {
    let (books, findings) = match (disk::exists(path), gathering.is_open(path)) {
        (true, _) => disk::rulebooks_below(path),
        (false, true) => (vec![path.to_path_buf()], Vec::new()),
        (false, false) => (Vec::new(), Vec::new()),
    };
    gathering.findings.extend(findings);
    if books.is_empty() {
        let place = named_in.map(|source| source.place(crate::text::Span::default()));
        gathering.findings.push(wording::books_missing(path, place));
    }
    for book in books {
        gathering.file(&book);
    }
}
