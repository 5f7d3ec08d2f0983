//! A record read against the vocabulary of a book: every value in its slot, every mistake a finding of its own. Refuses
//! to know what any value may be.

mod header;
mod number;
mod reading;
#[cfg(test)]
mod tests;
mod walk;
mod wording;
mod wording_number;

use crate::book::{Book, Characteristic, Datum, Generation, Id};
use crate::finding::Finding;
use crate::quantity::{Date, Value};
use crate::record::Sheet;
use crate::text::{Source, Span};

/// A record's values, each in the slot its book gives it.
#[derive(Debug)]
pub struct Readings {
    /// The build's name, if the record says one.
    pub build: Option<String>,
    /// The day it was finished, if the record says one.
    pub finished: Option<Date>,
    /// The day whose rows it is judged by: the day it was finished, unless the caller puts another here.
    pub judged_on: Option<Date>,
    /// The generation it is judged as; none where the record says none that is known.
    pub generation: Option<Id<Generation>>,
    /// The gauges it lists.
    pub gauges: Vec<Gauge>,
    /// The signed concessions it carries.
    pub concessions: Vec<Concession>,
    slots: Vec<Slot>,
    taken: Vec<Reading>,
    source: Source,
}

/// What is in a slot.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum State {
    /// Nothing.
    Absent,
    /// The record says `unknown`: looked for, and not to be read.
    Unknown(Span),
    /// Something that could not be used, and has a finding.
    Unusable(Span),
    /// Readings.
    Taken,
}

/// What is in a slot, and where its readings are kept.
#[derive(Clone, Copy, Debug)]
enum Slot {
    Absent,
    Unknown(Span),
    Unusable(Span),
    Taken { first: u32, count: u32 },
}

/// One value as it was taken.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The value.
    pub datum: Datum,
    /// Where it is written, unit included.
    pub span: Span,
    /// Which gauge it was taken with, by its number in [`Readings::gauges`].
    pub gauge: Option<u16>,
    /// What else is said of it; most readings say nothing else.
    pub detail: Option<Box<Detail>>,
}

/// What a reading may say besides its value.
#[derive(Clone, Debug, Default)]
pub struct Detail {
    /// Its own expanded uncertainty, in base units.
    pub uncertainty: Option<Value>,
    /// The temperature it was taken at, in base units.
    pub temperature: Option<Value>,
    /// A word about it.
    pub note: Option<String>,
}

/// A gauge as the record lists it.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// The name readings use.
    pub name: String,
    /// Its expanded uncertainty, k = 2, in base units.
    pub uncertainty: Option<Value>,
    /// Its resolution, in base units.
    pub resolution: Option<Value>,
    /// The ends of its range, in base units.
    pub range: Option<(Value, Value)>,
    /// The day it was calibrated.
    pub calibrated: Option<Date>,
    /// The day it is due again.
    pub due: Option<Date>,
    /// Where it is listed.
    pub span: Span,
}

/// A signed concession: a row let through for a reason.
#[derive(Clone, Debug)]
pub struct Concession {
    /// What it is for.
    pub row: ConcessionRow,
    /// Why.
    pub because: String,
    /// Who signed it.
    pub by: String,
    /// The last day it holds.
    pub until: Option<Date>,
    /// All of it.
    pub span: Span,
    /// Where it says what it is for.
    pub row_span: Span,
}

/// What a concession is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ConcessionRow {
    /// The characteristic.
    pub characteristic: Id<Characteristic>,
    /// The instance of its part; none for a row that compares the positions with each other.
    pub instance: Option<usize>,
    /// The station, if one is named.
    pub station: Option<u16>,
}

impl Readings {
    /// The record.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// What is in a slot.
    #[must_use]
    pub fn state(&self, slot: usize) -> State {
        match self.slots.get(slot) {
            None | Some(Slot::Absent) => State::Absent,
            Some(Slot::Unknown(span)) => State::Unknown(*span),
            Some(Slot::Unusable(span)) => State::Unusable(*span),
            Some(Slot::Taken { .. }) => State::Taken,
        }
    }

    /// The readings in a slot, in the order written.
    #[must_use]
    pub fn taken(&self, slot: usize) -> &[Reading] {
        match self.slots.get(slot) {
            Some(Slot::Taken { first, count }) => {
                self.taken.get(*first as usize..(*first + *count) as usize).unwrap_or(&[])
            }
            _ => &[],
        }
    }

    /// How many readings there are in all.
    #[must_use]
    pub fn count(&self) -> usize {
        self.taken.len()
    }
}

/// Reads a sheet against the vocabulary of a book.
#[must_use]
pub fn bind(book: &Book, sheet: &Sheet, source: &Source) -> (Readings, Vec<Finding>) {
    walk::bind(book, sheet, source)
}
