//! A book made ready to judge by: for one generation, every derivation and row written out for every position, as flat
//! programs over numbered slots. Refuses to know what a record looks like.

mod complete;
mod gate;
mod lower;
mod only;
mod plain;
mod plausible;
mod span;
mod telling;
mod wording;

pub use complete::complete;
pub use only::{Leaves, SlotSet};
pub use plain::Plain;
pub use plausible::{Agreeing, Bounds, PlausibleBand, PlausibleValues};
pub use telling::{Telling, known_range};

use crate::book::{Book, Characteristic, Datum, Function, Generation, Id, Row, Table};
use crate::finding::Finding;
use crate::quantity::{Band, Value};
use crate::syntax::tree::{Collector, Operator};
use std::sync::Arc;

/// Everything there is to judge about one generation.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The generation.
    pub generation: Id<Generation>,
    /// How many slots a record's values take.
    pub slot_count: usize,
    /// For each slot, whether it may be left empty.
    pub optional: Vec<bool>,
    /// For each slot, whether it is a quantity with a unit, which no measurement gives exactly.
    pub measured: Vec<bool>,
    /// What readings can be at all.
    pub plausible: PlausibleValues,
    /// For each slot, the step that fills it, if it is derived and needed.
    pub step_of: Vec<Option<u32>>,
    /// Derived values to work out, each after those it needs.
    pub steps: Vec<Step>,
    /// For each step, whether a row with two known ends rests on it: how finely such a value is measured is looked at in every
    /// record.
    pub spanned: Vec<bool>,
    /// Whether some rows are in force on some days only.
    pub dated: bool,
    /// Rows to judge, in the book's order, position by position.
    pub checks: Vec<Check>,
    /// For each check, where one look may tell that it is skipped.
    pub gates: Vec<Gate>,
    /// For each check, how one look may tell that it is good.
    pub plain: Vec<Option<Plain>>,
    /// How many different conditions the checks have.
    pub condition_count: usize,
    /// What tells the generation from others.
    pub tellings: Vec<Telling>,
    /// What tells the values of its readings of names.
    pub value_tellings: Vec<Telling>,
}

/// One derived value at one position.
#[derive(Clone, Debug)]
pub struct Step {
    /// The slot it fills.
    pub slot: usize,
    /// How.
    pub program: Program,
}

/// A straight list of operations; each uses the results of earlier ones, and the last is the answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Program {
    /// The operations.
    pub operations: Vec<Operation>,
}

/// A number of an operation earlier in the same program.
pub type Earlier = u32;

/// One operation.
#[derive(Clone, PartialEq, Debug)]
pub enum Operation {
    /// A value known from the book.
    Known(Datum),
    /// The value of a slot that has one.
    Slot(usize),
    /// `-x`.
    Negate(Earlier),
    /// `not x`.
    Not(Earlier),
    /// Arithmetic or logic between two.
    Binary(Operator, Earlier, Earlier),
    /// `x ^ n`.
    Power(Earlier, u8),
    /// A function.
    Function(Function, Box<[Earlier]>),
    /// A function given by points.
    Table(Arc<Table>, Earlier),
    /// One value of several.
    Collect(Collector, Box<[Element]>),
    /// Whether a value is in a range.
    Test {
        /// The value.
        subject: Earlier,
        /// Whether it must be outside instead.
        negated: bool,
        /// The range.
        range: TestRange,
    },
    /// What the book asks for has no answer for this generation (a division of constants by zero).
    Impossible,
}

/// What a collection is made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Element {
    /// One value worked out before.
    Value(Earlier),
    /// Every reading of a slot; none where the slot may be empty and is.
    Slot(usize),
}

/// A range inside a condition: its bounds are operations of the same program.
#[derive(Clone, PartialEq, Debug)]
pub enum TestRange {
    /// Between bounds, each with whether it is closed.
    Band {
        /// The lower bound.
        low: Option<(Earlier, bool)>,
        /// The upper bound.
        high: Option<(Earlier, bool)>,
    },
    /// One of these names.
    Names(Box<[u16]>),
    /// Yes, or no.
    YesNo(bool),
}

/// One row at one position.
#[derive(Clone, Debug)]
pub struct Check {
    /// The row.
    pub row: Arc<Row>,
    /// The positions of the part it is about, outermost first.
    pub positions: Box<[u16]>,
    /// The number of that instance of the part.
    pub instance: usize,
    /// When it applies; always if none.
    pub condition: Option<Condition>,
    /// What is judged.
    pub subject: Subject,
    /// As new.
    pub standard: Option<CheckRange>,
    /// Worn as far as may be.
    pub limit: Option<CheckRange>,
    /// The narrower of the two with two known ends, if one has them.
    pub span: Option<Box<Span>>,
    /// Whether the row compares values rounded: every value asks, and the row lies elsewhere.
    pub rounds: bool,
}

/// When a check applies. Many checks share one condition, so that a record answers it once.
#[derive(Clone, Debug)]
pub struct Condition {
    /// Its number among the different conditions of the plan.
    pub number: usize,
    /// What is to be true.
    pub program: Arc<Program>,
}

/// Where one look may tell that a check is skipped: most rows are about readings that may be left out, and most of those are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Gate {
    /// Nowhere: the check is to be worked through.
    Open,
    /// At a slot that may be left empty: where it is, the check is skipped.
    Slot(u32),
    /// At a derived value: where its step is skipped, the check is.
    Step(u32),
}

/// How wide a range is, and how finely a value must be measured for it.
#[derive(Clone, Debug)]
pub struct Span {
    /// Whether it is the limit.
    pub limit: bool,
    /// From end to end.
    pub width: Value,
    /// The square of the largest expanded uncertainty that the book's gauge ratio allows: the width over twice the ratio, since
    /// an uncertainty reaches to both sides.
    pub finest_squared: Value,
    /// Not more than the root of that, for a first look.
    pub finest: f64,
}

/// What a row judges at one position.
#[derive(Clone, Debug)]
pub enum Subject {
    /// The one value of a slot.
    Slot {
        /// The slot.
        slot: usize,
        /// Its station, if it is one of several.
        station: Option<u16>,
    },
    /// Every reading of a slot, each by itself.
    Each {
        /// The slot.
        slot: usize,
        /// Its station, if it is one of several.
        station: Option<u16>,
    },
    /// One value made of several.
    Made(Program),
    /// Values that must all be the same; each slot with its positions.
    Group(Box<[(usize, Box<[u16]>)]>),
}

/// A range of a row.
#[derive(Clone, Debug)]
pub enum CheckRange {
    /// Bounds known from the book.
    Known(Band),
    /// Bounds that depend on the record.
    Worked {
        /// The lower bound, and whether it is closed.
        low: Option<(Program, bool)>,
        /// The upper bound, and whether it is closed.
        high: Option<(Program, bool)>,
    },
    /// One of these names.
    Names(Box<[u16]>),
    /// Yes, or no.
    YesNo(bool),
    /// All the same.
    Same,
}

impl Plan {
    /// Writes out one generation of a book. What a generation lacks (a constant, a position) is a finding.
    #[must_use]
    pub fn new(book: &Book, generation: Id<Generation>) -> (Plan, Vec<Finding>) {
        lower::plan(book, generation, None)
    }

    /// Writes out only what it takes to work some characteristics out, whether a row needs them or not; there is nothing to
    /// judge in it.
    #[must_use]
    pub fn for_values(book: &Book, generation: Id<Generation>, wanted: &[Id<Characteristic>]) -> (Plan, Vec<Finding>) {
        lower::plan(book, generation, Some(wanted))
    }
}

/// Visits the earlier operations an operation works on.
fn visit(operation: &Operation, visit: &mut impl FnMut(Earlier)) {
    let mut copy = operation.clone();
    each_earlier(&mut copy, &mut |earlier| visit(*earlier));
}

/// Gives the earlier operations an operation works on other numbers.
fn renumber(operation: &mut Operation, new: &impl Fn(Earlier) -> Earlier) {
    each_earlier(operation, &mut |earlier| *earlier = new(*earlier));
}

fn each_earlier(operation: &mut Operation, each: &mut impl FnMut(&mut Earlier)) {
    match operation {
        Operation::Known(_) | Operation::Slot(_) | Operation::Impossible => {}
        Operation::Negate(inner) | Operation::Not(inner) | Operation::Power(inner, _) | Operation::Table(_, inner) => {
            each(inner)
        }
        Operation::Binary(_, left, right) => {
            each(left);
            each(right);
        }
        Operation::Function(_, arguments) => arguments.iter_mut().for_each(each),
        Operation::Collect(_, elements) => {
            for element in elements.iter_mut() {
                if let Element::Value(earlier) = element {
                    each(earlier);
                }
            }
        }
        Operation::Test { subject, range, .. } => {
            each(subject);
            if let TestRange::Band { low, high } = range {
                for (earlier, _) in [low, high].into_iter().flatten() {
                    each(earlier);
                }
            }
        }
    }
}

/// Every slot a program takes values from, in order, each once.
#[must_use]
pub fn slots_of(program: &Program) -> Vec<usize> {
    let mut slots = Vec::new();
    for operation in &program.operations {
        match operation {
            Operation::Slot(slot) => slots.push(*slot),
            Operation::Collect(_, elements) => {
                slots.extend(elements.iter().filter_map(|element| match element {
                    Element::Slot(slot) => Some(*slot),
                    Element::Value(_) => None,
                }));
            }
            _ => {}
        }
    }
    slots.sort_unstable();
    slots.dedup();
    slots
}
