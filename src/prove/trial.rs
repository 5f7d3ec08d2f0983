//! Runs the examples a book carries with it: each is written out as a record, judged, and held against what it expects.
//! Refuses to judge by itself.

use super::wording;
use crate::bind;
use crate::book::{Book, Expected, Given, Selector, Trial};
use crate::explain::explain_row;
use crate::finding::Finding;
use crate::judge::{self, Ruling, Teller, Told};
use crate::plan::{Check, Plan, Subject};
use crate::record;
use crate::text::{Place, Source};

/// A path of more steps than this leads into no machine.
const MOST_STEPS: usize = 40;

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
    let mut written = Written { text: String::new(), places: Vec::new() };
    let name = &book.generations.get(trial.generation).name;
    written.text.push_str(&format!("generation: {}\n", quoted(name)));
    if let Some(finished) = trial.finished {
        written.text.push_str(&format!("finished: {finished}\n"));
    }
    let mut root = Vec::new();
    for given in &trial.given {
        if given.keys.len() > MOST_STEPS || !put(&mut root, given) {
            findings.push(wording::given_in_the_way(&given.keys.join("."), given.place.clone()));
        }
    }
    written.branches(&root, 0);
    let source = Source::new("example", written.text.as_str());
    let (sheet, said) = record::read(&source);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, trial)));
    let Some(sheet) = sheet else { return findings };
    let (mut readings, said) = bind::bind(book, &sheet, &source);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, trial)));
    // A plan says what the generation lacks when the books are compiled.
    let (plan, _) = Plan::new(book, trial.generation);
    let said = judge::screen(book, &plan, &mut readings);
    findings.extend(said.into_iter().map(|finding| written.moved(finding, trial)));
    let verdict = judge::judge(book, &plan, &readings);
    let teller = Teller::new(book, &plan, &readings);
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
            let told: Option<Told> = teller.tell(ruling);
            let because = teller.finding(ruling);
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

/// The readings of an example as the keys of a record.
enum Branch<'a> {
    Inner(Vec<(&'a str, Branch<'a>)>),
    Leaf(&'a Given),
}

/// Puts a reading under its keys; false where another reading stands in the way.
fn put<'a>(root: &mut Vec<(&'a str, Branch<'a>)>, given: &'a Given) -> bool {
    let Some((last, before)) = given.keys.split_last() else { return false };
    let mut here = root;
    for key in before {
        let at = match here.iter().position(|(name, _)| *name == &**key) {
            Some(at) => at,
            None => {
                here.push((&**key, Branch::Inner(Vec::new())));
                here.len() - 1
            }
        };
        match here.get_mut(at) {
            Some((_, Branch::Inner(inner))) => here = inner,
            _ => return false,
        }
    }
    if here.iter().any(|(name, _)| *name == &**last) {
        return false;
    }
    here.push((&**last, Branch::Leaf(given)));
    true
}

/// The first reading below some keys.
fn first_leaf<'a>(branches: &[(&str, Branch<'a>)]) -> Option<&'a Given> {
    let mut here = branches;
    loop {
        match here.first()? {
            (_, Branch::Leaf(given)) => return Some(given),
            (_, Branch::Inner(inner)) => here = inner,
        }
    }
}

/// A record as it is written, and which bytes of it stand for which place of the book.
struct Written {
    text: String,
    places: Vec<(std::ops::Range<usize>, Place)>,
}

impl Written {
    /// No deeper than [`MOST_STEPS`].
    fn branches(&mut self, branches: &[(&str, Branch<'_>)], depth: usize) {
        for (key, branch) in branches {
            let start = self.text.len();
            self.text.push_str(&format!("{}{}:", "  ".repeat(depth), quoted(key)));
            match branch {
                Branch::Inner(inner) => {
                    if let Some(given) = first_leaf(inner) {
                        self.places.push((start..self.text.len(), given.place.clone()));
                    }
                    self.text.push('\n');
                    self.branches(inner, depth + 1);
                }
                Branch::Leaf(given) => {
                    self.places.push((start..self.text.len(), given.place.clone()));
                    self.text.push_str(if given.values.len() == 1 { " " } else { " [" });
                    for (number, (value, place)) in given.values.iter().enumerate() {
                        if number > 0 {
                            self.text.push_str(", ");
                        }
                        let start = self.text.len();
                        self.text.push_str(&quoted(value));
                        self.places.push((start..self.text.len(), place.clone()));
                    }
                    self.text.push_str(if given.values.len() == 1 { "\n" } else { "]\n" });
                }
            }
        }
    }

    /// What was said of the record, said of the book instead.
    fn moved(&self, mut finding: Finding, trial: &Trial) -> Finding {
        let of = |place: &Place| {
            let start = place.span.start as usize;
            let found = self.places.iter().find(|(range, _)| range.contains(&start));
            found.map_or_else(|| trial.place.clone(), |(_, place)| place.clone())
        };
        if let Some((place, _)) = &mut finding.place {
            *place = of(place);
        }
        for (place, _) in &mut finding.because {
            if place.source.name() == "example" {
                *place = of(place);
            }
        }
        finding
    }
}

/// A text as a YAML scalar that is never taken for anything else.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
