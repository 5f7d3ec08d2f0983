//! Loose parts of a shop: each judged as every generation and at every position it may be for, and what is common to them
//! gathered. Refuses to know how anything is printed.

use super::{Ask, Checked, Given, Shop, wording};
use crate::bind::{self, LoosePart, PartState, Readings};
use crate::book::{Book, Generation, Id, Part};
use crate::finding::{Finding, Severity};
use crate::identify::{characteristic, evidence, identify};
use crate::judge::{self, Counts, Grade, Reporter};
use crate::loose::{JudgedPart, Scope, conditional, judge_part, waiting, without_positions};
use crate::plan::{Leaves, Plan};
use crate::quantity::Date;
use crate::record::{Record, scalar};
use crate::text::Source;
use rustc_hash::FxHashMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// What is the same for all loose parts of a shop, made when the first of them asks.
#[derive(Debug, Default)]
pub(super) struct Views {
    books: Mutex<FxHashMap<Id<Part>, Arc<Book>>>,
    leaves: OnceLock<Vec<OnceLock<Leaves>>>,
    scopes: Mutex<FxHashMap<Place, Arc<View>>>,
}

/// A generation, a part, the number of its instance, and the parts within it that are there.
type Place = (Id<Generation>, Id<Part>, usize, Vec<Id<Part>>);

/// The rows of a generation as seen from one part at one position.
#[derive(Debug)]
pub struct View {
    /// Which rows lie within the part, and which wait.
    pub scope: Scope,
    /// Only those within.
    pub within: Plan,
}

/// A loose part with all it was judged as.
#[derive(Clone, Debug)]
pub struct CheckedPart {
    /// The part, as a record names it: `rotor`, `rotor.apex_seal`.
    pub part: String,
    /// Where it is now.
    pub state: PartState,
    /// What it was judged as, in the order of the books; several where its generation is open or its rows differ by position.
    pub alternatives: Vec<Alternative>,
    /// How many rows wait for other parts.
    pub waiting: usize,
    /// What they wait for: "side clearance for a housing".
    pub waits: Vec<String>,
}

/// One generation and some of its positions, at all of which a part comes to the same.
#[derive(Clone, PartialEq, Debug)]
pub struct Alternative {
    /// The generation.
    pub generation: String,
    /// The positions: `front`, or `front.2` of a part within a part; empty if the machine has one place for it.
    pub positions: Vec<String>,
    /// Whether these are all the positions it may take.
    pub everywhere: bool,
    /// Errors in its record as such a part, such as a reading it cannot have.
    pub errors: usize,
    /// Its grade.
    pub grade: Grade,
    /// Its rulings, by their grades.
    pub counts: Counts,
    /// Rows skipped because a reading that may be left out was.
    pub skipped: usize,
    /// What is not good about it if a condition on the machine holds.
    pub conditional: usize,
}

/// A part judged at one position of one generation.
#[derive(Debug)]
pub struct PartAt {
    /// The generation.
    pub generation: Id<Generation>,
    /// The positions of the part, outermost first.
    pub positions: Vec<u16>,
    /// What was measured, in the slots of that position.
    pub readings: Readings,
    /// What is wrong with the record of the part, as this one.
    pub findings: Vec<Finding>,
    /// What its rows come to.
    pub judged: JudgedPart,
    /// Its rows.
    pub view: Arc<View>,
}

impl Shop {
    /// Whether a record is about loose parts.
    #[must_use]
    pub fn is_loose(&self, record: &Record) -> bool {
        record.sheet.as_ref().is_some_and(|sheet| bind::is_loose(&self.book, sheet))
    }

    /// As [`Shop::check_record`], for a record of a build or of any number of loose parts.
    #[must_use]
    pub fn check_all(&self, record: &Record, ask: &Ask, given: &Given) -> Vec<Checked> {
        let Some(sheet) = record.sheet.as_ref().filter(|_| self.is_sound() && self.is_loose(record)) else {
            return vec![self.check_record(record, ask)];
        };
        let (parts, said) = bind::loose_parts(&self.book, sheet, &record.source);
        let mut all: Vec<Checked> = parts.iter().map(|part| self.check_part(record, part, ask, given)).collect();
        // What is wrong with the file stands with its first part; with none of them readable, by itself.
        if all.is_empty() {
            let mut nothing = Checked::nothing(record.source.name().to_string());
            nothing.unreadable = true;
            all.push(nothing);
        }
        if let Some(first) = all.first_mut() {
            let said: Vec<Finding> = record.findings.iter().cloned().chain(said).collect();
            first.record_errors += said.iter().filter(|finding| finding.is_error()).count();
            first.findings.splice(0..0, said);
        }
        all
    }

    /// The name of a loose part: its tag, or its file's name, with its number if the file has several.
    #[must_use]
    pub fn part_name(record: &Record, part: &LoosePart) -> String {
        match (&part.tag, part.number) {
            (Some((tag, _)), _) => tag.clone(),
            (None, None) => Checked::nothing(record.source.name().to_string()).build,
            (None, Some(number)) => {
                format!("{} {}", Checked::nothing(record.source.name().to_string()).build, number + 1)
            }
        }
    }

    /// The generations a loose part may be of: those its record names, or all that what was measured of it leaves.
    #[must_use]
    pub fn generations_of(&self, record: &Record, part: &LoosePart) -> Vec<Id<Generation>> {
        let has_part = |id: &Id<Generation>| !self.book.instances(part.part, self.book.generations.get(*id)).is_empty();
        if !part.generations.is_empty() || part.generation_unusable {
            return part.generations.iter().copied().filter(has_part).collect();
        }
        let Some(readings) = self.readings_of_part(record, part) else { return Vec::new() };
        let book = self.book_of_part(part.part);
        identify(&book, evidence(&book, &readings), None, &[]).left().into_iter().filter(has_part).collect()
    }

    /// What was measured of a loose part, whatever generation it is of; see [`Shop::book_of_part`].
    #[must_use]
    pub fn readings_of_part(&self, record: &Record, part: &LoosePart) -> Option<Readings> {
        self.bind_loose(record, part).map(|(readings, _)| readings)
    }

    /// What was measured of a loose part whose generation is known, and which that is; readings that cannot be on it are set
    /// aside. `None` if its generation is open. See [`Shop::book_of_part`].
    #[must_use]
    pub fn screened_part(&self, record: &Record, part: &LoosePart) -> Option<(Id<Generation>, Readings, Vec<Finding>)> {
        let [generation] = self.generations_of(record, part)[..] else { return None };
        let (mut readings, mut findings) = self.bind_loose(record, part)?;
        readings.generation = Some(generation);
        findings.extend(judge::screen(&self.book_of_part(part.part), self.plan(generation)?, &mut readings));
        Some((generation, readings, findings))
    }

    fn bind_loose(&self, record: &Record, part: &LoosePart) -> Option<(Readings, Vec<Finding>)> {
        let book = self.book_of_part(part.part);
        let positions = vec![0; self.book.parts.get(part.part).positioned.len()];
        let stated = part.generations.first().copied().filter(|_| part.generations.len() == 1);
        let sheet = record.sheet.as_ref()?;
        let at = (stated, positions.as_slice());
        Some(bind::bind_part(&book, (sheet, &record.source), part, at, self.own_gauges()))
    }

    /// What is wrong with how a file of loose parts is written, whatever its values are worth.
    #[must_use]
    pub fn mistakes_of_parts(&self, record: &Record) -> Vec<Finding> {
        let Some(sheet) = &record.sheet else { return Vec::new() };
        let (parts, mut findings) = bind::loose_parts(&self.book, sheet, &record.source);
        for part in &parts {
            findings.extend(self.bind_loose(record, part).map(|(_, findings)| findings).unwrap_or_default());
        }
        findings
    }

    /// A loose part judged as every generation it may be of, at every position.
    #[must_use]
    pub fn part_everywhere(
        &self,
        record: &Record,
        part: &LoosePart,
        as_of: Option<Date>,
        given: &Given,
    ) -> Vec<PartAt> {
        let book = self.book_of_part(part.part);
        let (given, _) = self.given(given);
        let mut all = Vec::new();
        for generation in self.generations_of(record, part) {
            for positions in self.book.instances(part.part, self.book.generations.get(generation)) {
                all.extend(self.part_at(&book, (record, part), (generation, positions), as_of, given.as_ref()));
            }
        }
        all
    }

    fn part_at(
        &self,
        book: &Book,
        (record, part): (&Record, &LoosePart),
        (generation, positions): (Id<Generation>, Vec<u16>),
        as_of: Option<Date>,
        given: Option<&Readings>,
    ) -> Option<PartAt> {
        let (sheet, plan) = (record.sheet.as_ref()?, self.plan(generation)?);
        let view = self.view(plan, part, &positions)?;
        let source = &record.source;
        let (mut readings, mut findings) =
            bind::bind_part(book, (sheet, source), part, (Some(generation), &positions), self.own_gauges());
        readings.judged_on = as_of.or(readings.judged_on);
        findings.extend(judge::screen(book, plan, &mut readings));
        if let Some(given) = given {
            readings.take_over(given);
        }
        if !part.generations.is_empty() {
            let others = || self.plans.all();
            findings.extend(judge::contradicted(book, plan, others, &readings));
        }
        findings.extend(judge::values_contradicted(book, plan, &readings));
        let leaves = self.leaves(generation)?;
        let judged = judge_part(book, (plan, leaves), (&view.scope, &view.within), &readings);
        findings.extend(judged.verdict.findings.iter().cloned());
        Some(PartAt { generation, positions, readings, findings, judged, view })
    }

    /// What was said about the machine on the command line, as readings; what cannot be one is a finding.
    #[must_use]
    pub fn given(&self, given: &Given) -> (Option<Readings>, Vec<Finding>) {
        let mut all: Option<Readings> = None;
        let mut said = Vec::new();
        for (name, value) in given {
            let Ok(id) = characteristic(&self.book, name) else {
                said.push(wording::given_unknown(name));
                continue;
            };
            let path = self.book.path(id, &[], None);
            let mut text = scalar(value);
            for step in path.split('.').rev() {
                text = format!("{{ {step}: {text} }}");
            }
            let record = Record::of(Source::new(format!("--given {name}"), text));
            let Some(sheet) = &record.sheet else { continue };
            let (readings, findings) = bind::bind(&self.book, sheet, &record.source);
            let about_value = |finding: &Finding| finding.code != crate::finding::Code::GenerationMissing;
            said.extend(findings.into_iter().filter(about_value));
            match &mut all {
                Some(all) => {
                    all.take_over(&readings);
                }
                None => all = Some(readings),
            }
        }
        (all, said)
    }

    fn check_part(&self, record: &Record, part: &LoosePart, ask: &Ask, given: &Given) -> Checked {
        let book = self.book_of_part(part.part);
        let mut checked = Checked::nothing(record.source.name().to_string());
        checked.build = Shop::part_name(record, part);
        checked.finished = part.measured;
        checked.finished_place = part.measured_span.map(|span| record.source.place(span));
        let named = self.book.part_path(part.part, &[], ".");
        let mut said = Gathered::default();
        let (alternatives, best) = self.alternatives(record, part, ask.as_of, given);
        for (number, (_, at)) in alternatives.iter().enumerate() {
            let reporter = Reporter::new(&book, &at.judged.plan, &at.readings);
            let mut findings = at.findings.clone();
            // Nothing is to be done about a part that is scrapped.
            if is_scrapped(part) {
                said.add(number, findings);
                continue;
            }
            findings.extend(reporter.findings(&at.judged.verdict, ask.tell));
            findings.extend(at.judged.conditional.iter().filter_map(|one| conditional(&reporter, one)));
            said.add(number, findings);
        }
        let names: Vec<String> = alternatives.iter().map(|(one, _)| words_of(one, &alternatives)).collect();
        checked.findings = said.into_findings(&names, best);
        if let Some((alternative, at)) = best.and_then(|best| alternatives.get(best)) {
            let reporter = Reporter::new(&book, &at.judged.plan, &at.readings);
            let verdict = &at.judged.verdict;
            checked.generation = Some(alternative.generation.clone());
            checked.grade = Some(alternative.grade);
            checked.counts = alternative.counts;
            checked.skipped = alternative.skipped;
            checked.record_errors = alternative.errors;
            let unverified = verdict.rulings.iter().filter(|one| one.advisory && one.grade > Grade::Good);
            let unverified = unverified.filter(|one| one.grade != Grade::Unmeasured);
            checked.unverified.extend(unverified.filter_map(|ruling| reporter.name(ruling)));
            if (ask.tell.lists() || ask.rulings) && !is_scrapped(part) {
                checked.to_measure = reporter.to_measure(verdict, ask.tell);
            }
            if ask.rulings {
                checked.rulings.extend(verdict.rulings.iter().filter_map(|ruling| reporter.tell(ruling)));
            }
        } else if part.generations.is_empty() && !part.generation_unusable {
            let place = record.source.place(part.span);
            checked.findings.insert(0, wording::no_generation_left(&checked.build, place));
            checked.record_errors += 1;
        }
        let waits = best.and_then(|best| alternatives.get(best)).map(|(_, at)| {
            let plan = self.plan(at.generation);
            let waits = &at.view.scope.waiting;
            (waits.len(), plan.map(|plan| waiting(&self.book, plan, part.part, waits)).unwrap_or_default())
        });
        let (waiting, waits) = waits.unwrap_or_default();
        let alternatives = alternatives.into_iter().map(|(alternative, _)| alternative).collect();
        checked.part = Some(CheckedPart { part: named, state: part.state.clone(), alternatives, waiting, waits });
        checked
    }

    /// What a loose part comes to, once for positions at which it comes to the same, and the number of the one that speaks for
    /// it: the best.
    #[must_use]
    pub fn alternatives(
        &self,
        record: &Record,
        part: &LoosePart,
        as_of: Option<Date>,
        given: &Given,
    ) -> (Vec<(Alternative, PartAt)>, Option<usize>) {
        let mut alternatives: Vec<(Alternative, PartAt)> = Vec::new();
        for at in self.part_everywhere(record, part, as_of, given) {
            let alternative = self.alternative(part, &at);
            // Where two positions come to the same, the part is one thing at both.
            let same = alternatives.iter_mut().find(|(_, other)| is_same(&at, other));
            match same {
                Some((known, _)) => known.positions.extend(alternative.positions),
                None => alternatives.push((alternative, at)),
            }
        }
        for (alternative, at) in &mut alternatives {
            let all = self.book.instances(part.part, self.book.generations.get(at.generation)).len();
            alternative.everywhere = alternative.positions.len() == all || all <= 1;
        }
        let best = alternatives.iter().enumerate().min_by_key(|(number, (one, _))| rank(one, *number));
        let best = best.map(|(number, _)| number);
        (alternatives, best)
    }

    fn alternative(&self, part: &LoosePart, at: &PartAt) -> Alternative {
        let mut steps = at.positions.iter();
        let mut names: Vec<&str> = Vec::new();
        for id in &self.book.parts.get(part.part).positioned {
            let positions = &self.book.parts.get(*id).positions;
            names.extend(steps.next().and_then(|number| positions.get(usize::from(*number))).map(|name| &**name));
        }
        Alternative {
            generation: self.book.generations.get(at.generation).name.to_string(),
            positions: if names.is_empty() { Vec::new() } else { vec![names.join(".")] },
            everywhere: true,
            errors: at.findings.iter().filter(|finding| finding.is_error()).count(),
            grade: at.judged.verdict.grade,
            counts: at.judged.verdict.counts,
            skipped: at.judged.verdict.skipped,
            conditional: at.judged.conditional.len(),
        }
    }

    /// The books as a loose part of a kind sees them.
    #[must_use]
    pub fn book_of_part(&self, part: Id<Part>) -> Arc<Book> {
        let mut books = self.views.books.lock().unwrap_or_else(PoisonError::into_inner);
        books.entry(part).or_insert_with(|| Arc::new(without_positions(&self.book, part))).clone()
    }

    pub(super) fn leaves(&self, generation: Id<Generation>) -> Option<&Leaves> {
        let plan = self.plan(generation)?;
        let leaves = self.views.leaves.get_or_init(|| self.book.generations.iter().map(|_| OnceLock::new()).collect());
        Some(leaves.get(generation.index())?.get_or_init(|| Leaves::new(plan)))
    }

    fn view(&self, plan: &Plan, part: &LoosePart, positions: &[u16]) -> Option<Arc<View>> {
        let key = (plan.generation, part.part, self.book.instance(part.part, positions), part.with.clone());
        let known = self.views.scopes.lock().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        if known.is_some() {
            return known;
        }
        let scope = Scope::new(&self.book, (plan, self.leaves(plan.generation)?), (part.part, &part.with), positions);
        let view = Arc::new(View { within: plan.only(&scope.within), scope });
        self.views.scopes.lock().unwrap_or_else(PoisonError::into_inner).insert(key, view.clone());
        Some(view)
    }
}

pub(super) fn is_scrapped(part: &LoosePart) -> bool {
    matches!(part.state, PartState::Scrapped { .. })
}

/// Whether a part comes to the same at two positions of one generation.
fn is_same(one: &PartAt, other: &PartAt) -> bool {
    let rulings = |at: &PartAt| {
        let row = |check: usize| at.judged.plan.checks.get(check).map(|check| Arc::as_ptr(&check.row));
        let verdict = &at.judged.verdict.rulings;
        let all = verdict.iter().chain(at.judged.conditional.iter().map(|one| &one.ruling));
        all.map(|it| (row(it.check), it.reading, it.grade, it.found, it.value.clone())).collect::<Vec<_>>()
    };
    one.generation == other.generation
        && one.findings == other.findings
        && one.view.scope.waiting.len() == other.view.scope.waiting.len()
        && rulings(one) == rulings(other)
}

/// Which alternative speaks for a part: the best.
fn rank(one: &Alternative, number: usize) -> (bool, Grade, [usize; 4], usize) {
    let of = |grade| one.counts.of(grade);
    let worse = [of(Grade::Out), of(Grade::Unmeasured), of(Grade::Worn), one.counts.advisory];
    (one.errors > 0, one.grade, worse, number)
}

/// "light_2mm", "front", "light_2mm front": what tells one alternative from the others.
pub fn words_of(one: &Alternative, all: &[(Alternative, PartAt)]) -> String {
    let several = all.iter().any(|(other, _)| other.generation != one.generation);
    let mut words: Vec<String> = Vec::new();
    if several {
        words.push(one.generation.clone());
    }
    if !one.everywhere {
        words.push(one.positions.join(" or "));
    }
    words.join(" ")
}

/// Findings of several alternatives, each once.
#[derive(Default)]
struct Gathered {
    all: Vec<(Finding, Vec<usize>)>,
}

impl Gathered {
    fn add(&mut self, alternative: usize, findings: Vec<Finding>) {
        for finding in findings {
            let same = |known: &Finding| {
                known.code == finding.code && known.message == finding.message && known.place == finding.place
            };
            match self.all.iter_mut().find(|(known, _)| same(known)) {
                Some((_, said_by)) if said_by.contains(&alternative) => {}
                Some((_, said_by)) => said_by.push(alternative),
                None => self.all.push((finding, vec![alternative])),
            }
        }
    }

    /// What all have in common as it is; what only some have with their names before it, and failing nothing unless the
    /// best is among them.
    fn into_findings(self, names: &[String], best: Option<usize>) -> Vec<Finding> {
        let of_all = |said_by: &[usize]| said_by.len() == names.len();
        let finding = |(mut finding, said_by): (Finding, Vec<usize>)| {
            if !of_all(&said_by) {
                let named: Vec<&str> = said_by.iter().filter_map(|at| names.get(*at)).map(String::as_str).collect();
                finding.message = format!("as {}: {}", named.join(", "), finding.message);
                if !best.is_some_and(|best| said_by.contains(&best)) {
                    finding.severity = finding.severity.min(Severity::Warning);
                }
            }
            finding
        };
        self.all.into_iter().map(finding).collect()
    }
}
