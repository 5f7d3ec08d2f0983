//! Tells a whole verdict: one ruling after another, and what lacks one reading at many positions in one breath.

use super::evaluate::Bench;
use super::inputs::Trouble;
use super::ruling_report::{self, ReportContext, RulingReport};
use super::uncertainty::{Memory, Weighing};
use super::{Edge, Found, Grade, GradeSet, Ruling, Verdict, margin, wording};
use crate::bind::Readings;
use crate::book::{Book, Generation, Id};
use crate::finding::{Finding, Severity};
use crate::plan::{Plan, Subject};
use crate::syntax::tree::RowWord;
use rustc_hash::FxHashSet;
use std::cell::OnceCell;

/// For each check of a plan what it is about, in words that another edition of the books would use too:
/// `smallest of rotor.front.apex_seal.1.height`. Several rows on one value have the same words.
#[must_use]
pub fn keys(book: &Book, plan: &Plan) -> Vec<String> {
    plan.checks
        .iter()
        .map(|check| {
            let station = match &check.subject {
                Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
                Subject::Made(_) | Subject::Group(_) => None,
            };
            let positions: &[u16] = if matches!(check.subject, Subject::Group(_)) { &[] } else { &check.positions };
            let path = book.path(check.row.subject.characteristic, positions, station);
            match check.row.word {
                Some(RowWord::Collect(collector)) => format!("{} of {path}", collector.word()),
                Some(RowWord::Each) | None => path,
            }
        })
        .collect()
}

/// Tells the rulings of one record.
pub struct Reporter<'a> {
    pub(super) book: &'a Book,
    pub(super) plan: &'a Plan,
    pub(super) readings: &'a Readings,
    pub(super) bench: Bench<'a>,
    memory: Memory,
}

/// What a ruling is about: the characteristic, the instance of its part, the station, the row's word, which reading.
type About = (usize, usize, Option<u16>, Option<RowWord>, Option<usize>);

/// Rulings that lack readings and are about one characteristic.
struct Gap<'a> {
    first: &'a Ruling,
    rulings: Vec<&'a Ruling>,
    at: usize,
}

impl<'a> Reporter<'a> {
    /// A reporter for the rulings that a plan gave a record's readings.
    #[must_use]
    pub fn new(book: &'a Book, plan: &'a Plan, readings: &'a Readings) -> Reporter<'a> {
        let bench = Bench::new(plan, readings);
        Reporter { book, plan, readings, bench, memory: Memory::default() }
    }

    /// The generation it is judged as.
    #[must_use]
    pub fn generation(&self) -> Id<Generation> {
        self.plan.generation
    }

    pub(super) fn context<'b>(&'b self, ruling: &'b Ruling) -> Option<ReportContext<'b>> {
        let check = self.plan.checks.get(ruling.check)?;
        let weighing = Weighing { book: self.book, bench: &self.bench, memory: &self.memory };
        Some(ReportContext {
            book: self.book,
            readings: self.readings,
            bench: &self.bench,
            weighing,
            check,
            ruling,
            numbers: OnceCell::new(),
        })
    }

    /// What a ruling is about, as a record's keys say it: `smallest of rotor.front.apex_seal.1.height`.
    #[must_use]
    pub fn name(&self, ruling: &Ruling) -> Option<String> {
        self.context(ruling).map(|context| context.about())
    }

    /// A ruling in words, for machine output and sheets.
    #[must_use]
    pub fn tell(&self, ruling: &Ruling) -> Option<RulingReport> {
        self.context(ruling).map(|context| ruling_report::report_ruling(&context))
    }

    /// The value judged in the unit of the book, however the reading was written.
    pub(super) fn plain_value(&self, ruling: &Ruling) -> Option<String> {
        self.context(ruling)?.numbers().map(|numbers| numbers.value.clone())
    }

    /// A ruling as a finding; none for a good one.
    #[must_use]
    pub fn finding(&self, ruling: &Ruling) -> Option<Finding> {
        self.context(ruling).and_then(|context| ruling_report::finding(&context))
    }

    /// The values of a verdict that pass within so many thousandths of an end of their range, in the order of its rulings.
    #[must_use]
    pub fn edges(&self, verdict: &Verdict, permille: u16) -> Vec<Edge> {
        let passing = verdict.rulings.iter().filter(|ruling| ruling.grade <= Grade::Worn);
        passing.filter_map(|ruling| margin::edge(&self.context(ruling)?, permille)).collect()
    }

    /// The findings of a verdict for the grades asked for, in the order of its rulings. Rulings on one characteristic
    /// that all lack readings make one finding: forty lines that say the same hide the one that does not.
    #[must_use]
    pub fn findings(&self, verdict: &Verdict, grades: GradeSet) -> Vec<Finding> {
        let mut findings: Vec<(usize, Finding)> = Vec::new();
        let mut gaps: Vec<Gap<'_>> = Vec::new();
        let beyond = self.beyond_outer(verdict);
        for (at, ruling) in verdict.rulings.iter().enumerate() {
            if ruling.grade == Grade::Good || !grades.shows(ruling.grade, ruling.advisory) {
                continue;
            }
            // The outer limit says as much of the same value, and binds.
            if ruling.advisory && self.subject(ruling).is_some_and(|subject| beyond.contains(&subject)) {
                continue;
            }
            let lacking = match ruling.found {
                Found::Missing | Found::ConditionMissing if ruling.grade == Grade::Unmeasured => {
                    self.context(ruling).map(|context| context.lacking()).unwrap_or_default()
                }
                _ => Vec::new(),
            };
            // What is wrong with a reading was said where it was read; that its rows cannot be judged follows.
            if !lacking.is_empty()
                && lacking.iter().all(|(_, why)| matches!(why, Some((Trouble::Unusable | Trouble::SetAside, _))))
            {
                continue;
            }
            if !lacking.is_empty() && grades.lists() {
                continue;
            }
            if lacking.is_empty() || lacking.iter().any(|(_, why)| why.is_some()) {
                findings.extend(self.finding(ruling).map(|finding| (at, finding)));
                continue;
            }
            match gaps.iter_mut().find(|gap| self.same_gap(gap.first, ruling)) {
                Some(gap) => gap.rulings.push(ruling),
                None => gaps.push(Gap { first: ruling, rulings: vec![ruling], at }),
            }
        }
        for gap in gaps {
            let finding = if gap.rulings.len() == 1 { self.finding(gap.first) } else { self.gap(&gap) };
            findings.extend(finding.map(|finding| (gap.at, finding)));
        }
        findings.sort_by_key(|(at, _)| *at);
        findings.into_iter().map(|(_, finding)| finding).collect()
    }

    /// What a ruling is about, the same for every row on one value.
    fn subject(&self, ruling: &Ruling) -> Option<About> {
        let check = self.plan.checks.get(ruling.check)?;
        let station = match &check.subject {
            Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
            Subject::Made(_) | Subject::Group(_) => None,
        };
        let characteristic = check.row.subject.characteristic.index();
        Some((characteristic, check.instance, station, check.row.word, ruling.reading))
    }

    /// The values that lie beyond an outer limit, or that it lacks.
    fn beyond_outer(&self, verdict: &Verdict) -> FxHashSet<About> {
        let outer = |ruling: &&Ruling| {
            matches!(ruling.grade, Grade::Out | Grade::Unmeasured)
                && self.plan.checks.get(ruling.check).is_some_and(|check| check.row.outer)
        };
        verdict.rulings.iter().filter(outer).filter_map(|ruling| self.subject(ruling)).collect()
    }

    fn same_gap(&self, one: &Ruling, other: &Ruling) -> bool {
        let about = |ruling: &Ruling| {
            self.plan.checks.get(ruling.check).map(|check| (check.row.subject.characteristic, ruling.weight()))
        };
        about(one) == about(other)
    }

    fn gap(&self, gap: &Gap<'_>) -> Option<Finding> {
        let mut missing: Vec<String> = Vec::new();
        let mut checks: Vec<usize> = Vec::new();
        for ruling in &gap.rulings {
            checks.push(self.plan.checks.get(ruling.check)?.instance);
            for (path, _) in self.context(ruling)?.lacking() {
                if !missing.contains(&path) {
                    missing.push(path);
                }
            }
        }
        checks.sort_unstable();
        checks.dedup();
        let context = self.context(gap.first)?;
        let mut finding = wording::gap(&context, checks.len(), &missing);
        if gap.first.advisory {
            finding.severity = finding.severity.min(Severity::Warning);
        }
        Some(finding)
    }
}
