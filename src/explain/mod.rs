//! What the program can explain beside judging: what each code of a finding means, and the arithmetic of one verdict
//! written out, so that it can be done again on paper. Refuses to know how it is drawn, and judges nothing: every grade it
//! tells is the judge's.

mod budget;
pub mod code;
mod figure;
mod find;
mod held;
mod judged;
mod measured;
mod replaced;
mod rounded;
mod row;
mod simulated;
mod taken;
mod unjudged;
mod wording;
mod working;

pub use find::checks;
pub use row::{explain_row, explain_row_drawn};
pub use simulated::MonteCarlo;

use crate::book::Datum;
use crate::judge::Grade;
use crate::text::Place;

/// What was asked for, written out.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The record, as the user named it.
    pub record: String,
    /// The build's name, where the record says one; the tag of a loose part.
    pub build: Option<String>,
    /// The kind of part, if it is a loose one: `rotor`.
    pub part: Option<String>,
    /// The generation it is judged as, and what that is.
    pub generation: (String, String),
    /// Each row at each position that was meant, in the plan's order.
    pub verdicts: Vec<Verdict>,
}

/// One row at one position.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// The way to what is judged, as a record's keys say it.
    pub path: String,
    /// What a loose part is taken to be, where that makes a difference: `front`, `light_2mm`.
    pub taken_as: Option<String>,
    /// The check of the plan; of a value that no row judges, of a plan that has one more.
    pub check: usize,
    /// Which reading of several, where each is judged by itself.
    pub reading: Option<usize>,
    /// The judge's grade; none where the row does not apply or is skipped, and where no row judges the value.
    pub grade: Option<Grade>,
    /// The grade this arithmetic comes to, before any concession.
    pub worked_grade: Option<Grade>,
    /// The value this arithmetic comes to.
    pub worked: Option<Datum>,
    /// What draws say of its uncertainty, where the straight-line budget is not good enough.
    pub monte_carlo: Option<MonteCarlo>,
    /// What it is worked out from and how, in the order a person would do it.
    pub blocks: Vec<Block>,
}

/// Lines that belong together.
#[derive(Clone, PartialEq, Debug)]
pub struct Block {
    /// What they are about.
    pub title: String,
    /// Where that is written.
    pub place: Option<Place>,
    /// The lines.
    pub lines: Vec<Line>,
}

/// One line.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// What it says.
    pub text: String,
    /// Where that is written.
    pub place: Option<Place>,
    /// How far inside a formula it stands.
    pub depth: u8,
}

impl Block {
    fn new(title: impl Into<String>, place: Option<Place>) -> Block {
        Block { title: title.into(), place, lines: Vec::new() }
    }

    fn say(&mut self, text: impl Into<String>, place: Option<Place>) {
        self.lines.push(Line { text: text.into(), place, depth: 0 });
    }
}
