//! One record as it lies on the bench: every reading its books ask for, in bench order, with what is written there and what it
//! comes to; and what changes when somebody writes a value. Refuses to touch a file, and to know how it is shown.

mod change;
mod gather;
mod order;
mod wording;
mod written;

pub use change::{NotWritten, Wish, changed};
use gather::AskedFor;
pub use gather::worksheet;
pub use written::{Held, Item, SAYS};

use crate::finding::Finding;
use crate::judge::{ReportedBefore, RulingReport};
use crate::record::edit::Step;
use crate::shop::Checked;
use std::sync::Arc;

/// One record as it lies on the bench.
#[derive(Clone, Debug)]
pub struct Worksheet {
    /// The record as it was judged.
    pub checked: Checked,
    /// The generation and what it is, if it is known.
    pub generation: Option<(String, String)>,
    /// What the record says about itself: the day it was finished, its serial number.
    pub heads: Vec<Head>,
    /// Part by part, in the order of the blank.
    pub sections: Vec<Section>,
    /// Rulings that compare several parts, and stand on no line.
    pub together: Vec<Arc<RulingReport>>,
    /// What was found that is about no line.
    pub others: Vec<Finding>,
    /// How many values are asked for that may not be left out.
    pub required: usize,
    /// How many of them are written.
    pub taken: usize,
    /// The gauges that readings may name.
    pub gauges: Vec<String>,
    /// The concessions it carries: the row, why, by whom, until when.
    pub concessions: Vec<[String; 4]>,
    /// The way to it in its file: empty for a build, to one part of a list for a loose part.
    pub at: Vec<Step>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What is asked for, to be used again for the next state of the record.
    asked_for: Arc<AskedFor>,
    /// What was told of a build, to be told again for its next state.
    told: Option<ReportedBefore>,
}

/// Something the record says about itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Head {
    /// Its key.
    pub key: &'static str,
    /// What is written there.
    pub text: String,
    /// Whether it is written in a form that is not changed here, such as a list of notes or why a part is scrapped.
    pub is_fixed: bool,
}

/// One part at one position.
#[derive(Clone, Debug)]
pub struct Section {
    /// The way to it, as a record's keys say it: `rotor.front`; empty for the whole machine.
    pub key: String,
    /// Its name in words; empty for the whole machine.
    pub name: String,
    /// How its positions are told apart, at the first of them.
    pub measure: Option<String>,
    /// What is read and judged there.
    pub lines: Vec<Line>,
}

/// One line at the bench.
#[derive(Clone, Debug)]
pub enum Line {
    /// Something to measure or to note.
    Reading(ReadingLine),
    /// Something calculated, with its rulings.
    Derived(DerivedLine),
}

/// Something to measure or to note.
#[derive(Clone, Debug)]
pub struct ReadingLine {
    /// Its name in words.
    pub name: String,
    /// Whether it may be left out.
    pub optional: bool,
    /// Its unit or its words, and how often it is taken.
    pub what: String,
    /// How it is measured.
    pub measure: Option<String>,
    /// What it may be, a text for each row.
    pub rows: Vec<String>,
    /// How it is entered.
    pub entry: EntryKind,
    /// At least so many values in each field.
    pub least: usize,
    /// At most so many; `None` for as many as one likes.
    pub most: Option<usize>,
    /// One for each station, or one.
    pub fields: Vec<Field>,
    /// The rulings on it that are about no single station.
    pub told: Vec<Arc<RulingReport>>,
}

/// How a reading is entered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum EntryKind {
    /// A number in one of these units, the book's own first; a number without unit if there is none.
    Number(Vec<String>),
    /// One of these words.
    OneOf(Vec<String>),
    /// Any words.
    Words,
}

/// One place a reading is taken at.
#[derive(Clone, Debug)]
pub struct Field {
    /// The way to it, as a record's keys say it: `housing.front.width.plug_side`.
    pub key: String,
    /// The station in words.
    pub station: Option<String>,
    /// The way to it in the file.
    pub path: Vec<Step>,
    /// What is written there.
    pub held: Held,
    /// The rulings on it.
    pub told: Vec<Arc<RulingReport>>,
    /// What was found about what is written there.
    pub findings: Vec<Finding>,
}

/// Something calculated.
#[derive(Clone, Debug)]
pub struct DerivedLine {
    /// The way to it.
    pub key: String,
    /// Its name in words.
    pub name: String,
    /// How it is calculated, as its book writes it.
    pub formula: String,
    /// What it may be.
    pub rows: Vec<String>,
    /// The rulings on it.
    pub told: Vec<Arc<RulingReport>>,
}

impl Worksheet {
    /// Every field, in order.
    pub fn fields(&self) -> impl Iterator<Item = (&ReadingLine, &Field)> {
        let lines = self.sections.iter().flat_map(|section| &section.lines);
        lines.flat_map(|line| match line {
            Line::Reading(reading) => reading.fields.iter().map(|field| (reading, field)).collect::<Vec<_>>(),
            Line::Derived(_) => Vec::new(),
        })
    }

    /// The field of a way.
    #[must_use]
    pub fn field(&self, key: &str) -> Option<&Field> {
        self.fields().map(|(_, field)| field).find(|field| field.key == key)
    }
}
