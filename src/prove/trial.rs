//! Runs the examples a book carries with it: each is written out as a record, judged, and held against what it expects.
//! Refuses to judge by itself.

use super::wording;
use super::written::Written;
use crate::bind;
use crate::book::{Book, Expected, Selector, Trial};
use crate::explain::explain_row;
use crate::finding::Finding;
use crate::judge::{self, Reporter, Ruling, RulingReport};
use crate::plan::{Check, Plan, Subject};
use crate::record;
use crate::text::{Place, Source};

/// One example, and whether it holds.
#[derive(Clone, Debug)]
pub struct TrialProof {
    /// What it shows.
    pub title: String,
    /// The generation it is about.
    pub generation: String,
    /// Whether every grade is as expected.
    pub holds: bool,
    /// Where it is.
    pub place: Place,
}

/// Runs every example about a generation that is asked for.
pub(super) fn trials(
    book: &Book,
    only: Option<crate::book::Id<crate::book::Generation>>,
) -> (Vec<TrialProof>, Vec<Finding>) {
    let mut proofs = Vec::new();
    let mut findings = Vec::new();
    for trial in book.trials.iter().filter(|trial| only.is_none_or(|only| only == trial.generation)) {
        let said = run(book, trial);
        proofs.push(TrialProof {
            title: trial.title.to_string(),
            generation: book.generations.get(trial.generation).name.to_string(),
            holds: said.is_empty(),
            place: trial.place.clone(),
        });
        findings.extend(said);
    }
    (proofs, findings)
}

/// What is wrong with an example; nothing where it holds.
fn run(book: &Book, trial: &Trial) -> Vec<Finding> {
    let mut findings = Vec::new();
    let name = &book.generations.get(trial.generation).name;
    let mut head = vec![("generation", name.to_string())];
    head.extend(trial.finished.map(|finished| ("finished", finished.to_string())));
    let (written, in_the_way) = Written::new(&head, &trial.given);
    let in_the_way = in_the_way.into_iter();
    findings.extend(in_the_way.map(|given| wording::given_in_the_way(&given.keys.join("."), given.place.clone())));
    let source = Source::new("example", written.text.as_str());
    let (sheet, said) = record::read(&source);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, &trial.place)));
    let Some(sheet) = sheet else { return findings };
    let (mut readings, said) = bind::bind(book, &sheet, &source);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, &trial.place)));
    // A plan says what the generation lacks when the books are compiled.
    let (plan, _) = Plan::new(book, trial.generation);
    let said = judge::screen(book, &plan, &mut readings);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, &trial.place)));
    let verdict = judge::judge(book, &plan, &readings);
    let reporter = Reporter::new(book, &plan, &readings);
    for expected in &trial.expected {
        let meant: Vec<(&Ruling, &Check)> = verdict
            .rulings
            .iter()
            .filter_map(|ruling| plan.checks.get(ruling.check).map(|check| (ruling, check)))
            .filter(|(_, check)| is_meant(expected, check))
            .collect();
        if meant.is_empty() {
            findings.push(wording::try_judges_nothing(trial, expected, name));
        }
        let wrong = meant.iter().find(|(ruling, _)| {
            let named = expected.grades.iter().any(|grade| **grade == *ruling.grade.word());
            named == expected.negated
        });
        if let Some((ruling, check)) = wrong {
            let told: Option<RulingReport> = reporter.tell(ruling);
            let because = reporter.finding(ruling);
            let arithmetic = told.as_ref().map(|told| arithmetic(book, &plan, &readings, ruling, &told.path));
            findings.push(wording::try_fails(
                (trial, expected),
                (ruling.grade, check),
                told.as_ref(),
                because.as_ref(),
                &arithmetic.unwrap_or_default(),
            ));
        }
    }
    findings
}

/// How a ruling came about, line by line, to be done again on paper.
fn arithmetic(book: &Book, plan: &Plan, readings: &bind::Readings, ruling: &Ruling, path: &str) -> Vec<String> {
    let Ok(explanation) = explain_row(book, plan, readings, path) else { return Vec::new() };
    explanation
        .verdicts
        .iter()
        .filter(|verdict| verdict.check == ruling.check && verdict.reading == ruling.reading)
        .flat_map(|verdict| &verdict.blocks)
        .flat_map(|block| &block.lines)
        // Where a line is a step it says so with its sign; who wrote what, and what was taken, stands at the places shown.
        .filter(|line| line.text.contains(" = ") || line.text.starts_with("= ") || line.text.contains(" is "))
        .map(|line| line.text.clone())
        .collect()
}

/// Whether an expectation is about what a check judges.
fn is_meant(expected: &Expected, check: &Check) -> bool {
    let subject = &check.row.subject;
    let positions = || {
        expected.subject.selectors.iter().zip(&check.positions).all(|(selector, position)| match selector {
            Selector::At(at) => at == position,
            Selector::All | Selector::Same(_) => true,
        })
    };
    let station = match &check.subject {
        Subject::Slot { station, .. } | Subject::Each { station, .. } => {
            expected.subject.station.is_none() || expected.subject.station == *station
        }
        Subject::Made(_) | Subject::Group(_) => expected.subject.station.is_none(),
    };
    expected.subject.characteristic == subject.characteristic
        && station
        && expected.outer == check.row.outer
        && expected.word.is_none_or(|word| check.row.word == Some(word))
        && (matches!(check.subject, Subject::Group(_)) || positions())
}
