//! Which generation a machine is of, from what is seen of it: what fits, what speaks against the others, what to look at
//! next. Refuses to judge how good anything is.

mod evidence;
mod mixed;
mod question;
mod telling;
#[cfg(test)]
mod tests;
mod value;
mod words;

pub use evidence::{Seen, evidence, skipped};
pub use mixed::{Different, Group};
pub use question::{Answer, Question};
pub use value::{CandidateValue, Unlike, ValueEvidence, ValueQuestion};
pub use words::{Trouble, characteristic, feature, how_to_answer};

use crate::book::{Book, Characteristic, Generation, Id, Telltale};
use crate::text::Place;
use std::sync::Arc;

/// What is known of a machine's generation.
#[derive(Clone, Debug)]
pub struct Identification {
    /// What was seen that tells generations apart, in the order it was given.
    pub seen: Vec<Seen>,
    /// Every generation that a record may name, in the book's order.
    pub candidates: Vec<Candidate>,
    /// The same of each part that has positions, by itself, where something was seen of it.
    pub groups: Vec<Group>,
    /// Groups that no generation can have together, by their numbers.
    pub mixed: Vec<(usize, usize)>,
    /// What should be the same everywhere and is not.
    pub different: Vec<Different>,
    /// What would tell the generations that are left from each other, the best first.
    pub questions: Vec<Question>,
    /// What is known of each reading of names that telltales tell a value of, a position each.
    pub told: Vec<ValueEvidence>,
    /// Positions whose values of such a reading differ.
    pub unlike: Vec<Unlike>,
    /// What would tell such a reading that is not known yet, what the eye sees first.
    pub value_questions: Vec<ValueQuestion>,
    /// The generation the record says it is.
    pub stated: Option<Id<Generation>>,
    /// Readings that would tell something and could not be taken.
    pub skipped: Vec<Skipped>,
}

/// A reading that would tell something and could not be taken.
#[derive(Clone, PartialEq, Debug)]
pub struct Skipped {
    /// Its path, as a record's keys say it.
    pub path: String,
    /// Where it is written.
    pub place: Place,
}

/// One generation, and what was seen for and against it.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The generation.
    pub generation: Id<Generation>,
    /// How many of the things seen are as it has them.
    pub agree: usize,
    /// What it has otherwise.
    pub against: Vec<Against>,
}

/// Something seen that a generation has otherwise.
#[derive(Clone, Debug)]
pub struct Against {
    /// Its number in [`Identification::seen`].
    pub seen: usize,
    /// What the generation has.
    pub telltale: Arc<Telltale>,
}

impl Candidate {
    /// Whether nothing speaks against it.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.against.is_empty()
    }
}

impl Identification {
    /// The generations nothing speaks against.
    #[must_use]
    pub fn left(&self) -> Vec<Id<Generation>> {
        self.candidates.iter().filter(|candidate| candidate.fits()).map(|candidate| candidate.generation).collect()
    }

    /// Whether what was seen contradicts itself, or the generation the record states.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        let left = self.left();
        left.is_empty()
            || !self.mixed.is_empty()
            || !self.different.is_empty()
            || self.told.iter().any(ValueEvidence::contradicts)
            || self.unlike.iter().any(|unlike| unlike.row.is_some())
            || self.stated.is_some_and(|stated| !left.contains(&stated))
    }

    /// Where nothing fits, the generations with the fewest different characteristics against them.
    #[must_use]
    pub fn nearest(&self) -> Vec<&Candidate> {
        let count = |candidate: &Candidate| {
            let mut characteristics: Vec<usize> = candidate
                .against
                .iter()
                .filter_map(|against| Some(self.seen.get(against.seen)?.characteristic.index()))
                .collect();
            characteristics.sort_unstable();
            characteristics.dedup();
            characteristics.len()
        };
        let fewest = self.candidates.iter().map(count).min();
        self.candidates.iter().filter(|candidate| Some(count(candidate)) == fewest).collect()
    }
}

/// Weighs what was seen. `passed` are characteristics not to ask for: nobody knows them.
#[must_use]
pub fn identify(
    book: &Book,
    seen: Vec<Seen>,
    stated: Option<Id<Generation>>,
    passed: &[Id<Characteristic>],
) -> Identification {
    let named = book.generations.entries().filter(|(_, generation)| !generation.basis);
    let candidates: Vec<Candidate> = named.map(|(id, generation)| candidate(book, (id, generation), &seen)).collect();
    let groups = mixed::groups(book, &seen, &candidates);
    let mixed = mixed::apart(&groups);
    let mut different = mixed::different(book, &seen, &candidates);
    different.extend(mixed::of_different_kinds(book, &seen, &candidates));
    let left: Vec<Id<Generation>> =
        candidates.iter().filter(|candidate| candidate.fits()).map(|candidate| candidate.generation).collect();
    let told = value::told(book, &seen, &candidates);
    let unlike = value::unlike(book, &told, &candidates);
    let known = |characteristic| {
        passed.contains(&characteristic) || seen.iter().any(|seen| seen.characteristic == characteristic)
    };
    let questions = question::questions(book, &left, known);
    let value_questions = value::questions(book, &told, &candidates, known);
    Identification {
        seen,
        candidates,
        groups,
        mixed,
        different,
        questions,
        told,
        unlike,
        value_questions,
        stated,
        skipped: Vec::new(),
    }
}

fn candidate(book: &Book, (id, generation): (Id<Generation>, &Generation), seen: &[Seen]) -> Candidate {
    let mut candidate = Candidate { generation: id, agree: 0, against: Vec::new() };
    for (number, seen) in seen.iter().enumerate() {
        let Some(datum) = seen.datum(id) else { continue };
        let mut agrees = false;
        for telltale in generation.telltales.iter().filter(|telltale| seen.is_meant(&telltale.subject)) {
            match telling::holds(book, generation, &telltale.range, datum) {
                Some(true) => agrees = true,
                Some(false) => candidate.against.push(Against { seen: number, telltale: telltale.clone() }),
                // So near an end that no digits tell the sides apart: it says nothing.
                None => {}
            }
        }
        candidate.agree += usize::from(agrees);
    }
    candidate
}

/// The characteristics that tell some generation from others, in the order the generations name them.
fn telling_characteristics(book: &Book) -> Vec<Id<Characteristic>> {
    let mut all: Vec<Id<Characteristic>> = Vec::new();
    for generation in book.generations.iter().filter(|generation| !generation.basis) {
        for telltale in &generation.telltales {
            if !all.contains(&telltale.subject.characteristic) {
                all.push(telltale.subject.characteristic);
            }
        }
    }
    all
}
