//! What can be established about rulebooks with no record: stack-ups, coverage, provenance, conditions. Refuses to know
//! any record, and how what it finds is printed.

mod collect;
mod conditions;
mod corners;
mod coverage;
mod force;
mod fraction;
mod input;
mod lookup;
mod model;
mod plausible;
mod provenance;
mod reach;
mod runs;
mod sharp;
mod stack;
mod stackup;
pub mod telltale;
mod trial;
mod witness;
mod wording;
mod worth;
mod written;

pub use coverage::{Coverage, How};
pub use provenance::Provenances;
pub use stackup::{Outcome, StackUp};
pub use trial::TrialProof;
pub use witness::Witness;

use crate::book::{Book, Generation, Id};
use crate::finding::{Finding, Note, NoteKind};

/// What was established about a set of books.
#[derive(Clone, Debug, Default)]
pub struct Proof {
    /// One entry for each generation a record may name, in the books' order.
    pub generations: Vec<GenerationProof>,
    /// The examples the books carry with them.
    pub trials: Vec<TrialProof>,
}

/// What was established about one generation.
#[derive(Clone, Debug)]
pub struct GenerationProof {
    /// The generation.
    pub id: Id<Generation>,
    /// Its name.
    pub name: String,
    /// What it is, in technical words.
    pub description: String,
    /// How many rows it has, inherited ones included.
    pub rows: usize,
    /// How many of them are advisory.
    pub advisory: usize,
    /// How many questions about its rows' conditions were too large to decide.
    pub undecided: usize,
    /// Where the rows come from.
    pub provenances: Provenances,
    /// Every reading of a part the generation has, and what judges it.
    pub coverage: Vec<Coverage>,
    /// Every derived quantity, with each row on it.
    pub stack_ups: Vec<StackUp>,
}

/// Establishes what can be, for every generation or only one. The book must be free of errors.
#[must_use]
pub fn prove(book: &Book, only: Option<Id<Generation>>) -> (Proof, Vec<Finding>) {
    let mut proof = Proof::default();
    let mut found = Found::default();
    for (id, generation) in book.generations.entries() {
        if generation.basis || only.is_some_and(|only| only != id) {
            continue;
        }
        let name = &*generation.name;
        let (findings, undecided) = conditions::check(book, generation);
        found.take(name, findings);
        found.take(name, force::check(book, generation));
        let (stack_ups, findings) = stackup::stack_ups(book, (id, generation));
        found.take(name, findings);
        let (coverage, findings) = coverage::coverage(book, generation);
        found.take(name, findings);
        found.take(name, plausible::plausible(book, generation));
        let (provenances, findings) = provenance::provenances(book, generation);
        found.take(name, findings);
        proof.generations.push(GenerationProof {
            id,
            name: name.to_string(),
            description: generation.description.to_string(),
            rows: generation.rows.len(),
            advisory: generation.rows.iter().filter(|row| row.advisory).count(),
            undecided,
            provenances,
            coverage,
            stack_ups,
        });
    }
    let mut findings = found.into_findings(proof.generations.len());
    findings.extend(provenance::never_named(book));
    findings.extend(telltale::alike(book, only));
    findings.extend(telltale::values_alike(book, only));
    let (trials, said) = trial::trials(book, only);
    proof.trials = trials;
    findings.splice(0..0, said);
    (proof, findings)
}

/// Findings so far; what is true of several generations is said once.
#[derive(Default)]
struct Found(Vec<(Finding, Vec<String>)>);

impl Found {
    fn take(&mut self, generation: &str, findings: Vec<Finding>) {
        for finding in findings {
            match self.0.iter_mut().find(|(other, _)| *other == finding) {
                Some((_, generations)) if generations.iter().any(|other| other == generation) => {}
                Some((_, generations)) => generations.push(generation.to_string()),
                None => self.0.push((finding, vec![generation.to_string()])),
            }
        }
    }

    /// The worst first; each says of which generations it is true, where it is not true of all of them.
    fn into_findings(mut self, generations: usize) -> Vec<Finding> {
        self.0.sort_by_key(|(finding, _)| std::cmp::Reverse(finding.severity));
        let named = |(mut finding, names): (Finding, Vec<String>)| {
            if generations > 1 {
                let text = wording::of_generations(&names, generations);
                finding.notes.push(Note { kind: NoteKind::Remark, text });
            }
            finding
        };
        self.0.into_iter().map(named).collect()
    }
}

#[cfg(test)]
mod tests;
