//! What a generation asks of a record, before anything is measured: every reading in bench order, with what is to be said
//! beside it. Refuses to know how a record is written down.

mod ask;
mod named;
mod part;
mod taken;
mod wording;

pub use ask::blank;
pub use named::{Unnamed, parts};
pub use part::{PlaceAsked, blank_part};
pub use taken::{Taken, taken};
pub use wording::ranges;

use crate::book::{Characteristic, Id};
use crate::quantity::Date;

/// A record with nothing measured yet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Blank {
    /// The generation's name, as a record says it; empty for a part of any generation.
    pub generation: String,
    /// The loose part it is about, as a record says it and in words; `None` for a whole machine.
    pub part: Option<(String, String)>,
    /// What the generation is, in technical words.
    pub description: String,
    /// What to mind whenever one works on the machine.
    pub cautions: Vec<String>,
    /// The day whose rows are shown; none where no day is known, and the newest are.
    pub day: Option<Date>,
    /// Whether some rows of the generation are in force on some days only.
    pub dated: bool,
    /// What is asked for of the whole machine, its parts included, in the order the books declare it.
    pub entries: Vec<Entry>,
}

/// One thing in a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Entry {
    /// Something to measure or to note.
    Reading(Reading),
    /// Something a row judges that is worked out from readings.
    Derived(Derived),
    /// A part in the part.
    Part(Part),
}

/// Something to measure or to note.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reading {
    /// What it is a reading of.
    pub id: Id<Characteristic>,
    /// Its key.
    pub name: String,
    /// Whether it may be left out.
    pub optional: bool,
    /// Its unit or its words, and how often it is taken: `mm, 2 readings or more`.
    pub what: String,
    /// How it is measured, if its book says so.
    pub measure: Option<String>,
    /// What it may be, a text for each row: `standard 0.05 to 0.10 mm, limit at most 0.15 mm where duty is race`.
    pub rows: Vec<String>,
    /// The places it is taken at, each with the rows on it alone; none if anywhere.
    pub stations: Vec<(String, Vec<String>)>,
}

/// A value worked out from readings, with the rows that judge it; there is at least one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Derived {
    /// Its name.
    pub name: String,
    /// How it is worked out, as its book writes it.
    pub formula: String,
    /// What it may be, a text for each row.
    pub rows: Vec<String>,
}

/// A part with what is asked for of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Part {
    /// Its key.
    pub name: String,
    /// How its positions are told apart, if its book says so.
    pub measure: Option<String>,
    /// Each position that is fitted, with what is asked for there; one without a name where a part has no positions.
    pub instances: Vec<(Option<String>, Vec<Entry>)>,
}

impl Blank {
    /// How many values are asked for that may not be left out, each station counted.
    #[must_use]
    pub fn required(&self) -> usize {
        required(&self.entries)
    }

    /// Whether there is nothing to write at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }
}

fn required(entries: &[Entry]) -> usize {
    let of = |entry: &Entry| match entry {
        Entry::Reading(reading) if !reading.optional => reading.stations.len().max(1),
        Entry::Reading(_) | Entry::Derived(_) => 0,
        Entry::Part(part) => part.instances.iter().map(|(_, entries)| required(entries)).sum(),
    };
    entries.iter().map(of).sum()
}
