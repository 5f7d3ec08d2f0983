//! A record read against the vocabulary of a book: every value in its slot, every mistake a finding of its own. Refuses
//! to know what any value may be.

mod capitals;
mod certificate;
mod changed;
mod converted;
mod correlated;
mod day;
mod drift;
mod files;
mod gauge_entry;
mod gauges;
mod header;
mod loose;
mod number;
mod own;
mod reading;
mod same;
mod take_over;
mod temperature;
#[cfg(test)]
mod tests;
mod unit_meant;
mod walk;
mod warmth;
mod wording;
mod wording_certificate;
mod wording_correlated;
mod wording_gauge;
mod wording_loose;
mod wording_number;

pub use converted::rounded;
pub use correlated::Correlations;
pub use drift::Drift;
pub use gauges::{Gauges, gauges};
pub use loose::{LoosePart, PartState, bind_part, is_loose, loose_parts, loose_span, part_named};
pub use same::Moved;
pub use take_over::MeasuredAgain;
pub(crate) use warmth::reference;

use crate::book::{Book, Characteristic, Datum, Generation, Id, Part};
use crate::finding::Finding;
use crate::quantity::{Date, Dimension, Number, Value};
use crate::record::Sheet;
use crate::text::{Place, Source, Span};
use files::Files;

/// The keys of records, for whoever offers what may be written.
#[cfg(feature = "editor")]
pub(crate) mod keys {
    pub(crate) use super::capitals::as_named;
    pub(crate) use super::gauge_entry::GAUGE_KEYS;
    pub(crate) use super::header::CONCESSION_KEYS;
    pub(crate) use super::loose::{PART_HEADER, PARTS_HEADER};
    pub(crate) use super::reading::KEYS as READING_KEYS;
    pub(crate) use super::walk::HEADER as BUILD_HEADER;
}

/// A record's values, each in the slot its book gives it.
#[derive(Clone, Debug)]
pub struct Readings {
    /// The build's name, if the record says one.
    pub build: Option<String>,
    /// The day it was finished, if the record says one.
    pub finished: Option<Date>,
    /// Where the record says that day.
    pub finished_span: Option<Span>,
    /// The day whose rows it is judged by: the day it was finished, unless the caller puts another here.
    pub judged_on: Option<Date>,
    /// The generation it is judged as; none where the record says none that is known.
    pub generation: Option<Id<Generation>>,
    /// Where the record says its generation.
    pub generation_span: Option<Span>,
    /// Whether it is the record of a loose part, whose day is the one it was measured on.
    pub is_part: bool,
    /// The gauges it lists itself, then those of the shop's list that its readings name.
    pub gauges: Vec<Gauge>,
    /// The signed concessions it carries.
    pub concessions: Vec<Concession>,
    slots: Vec<Slot>,
    taken: Vec<Reading>,
    /// The slots with several readings, in the order written.
    several: Vec<usize>,
    are_set_aside: bool,
    /// The slots with readings that somebody confirms.
    confirmed: Vec<usize>,
    /// Slots whose `unknown` says why, each with its note.
    unknown_because: Vec<(usize, String)>,
    source: Source,
    /// The files of parts whose readings were taken over.
    taken_over: Files,
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
    /// Readings that do not count, with a finding: see [`Readings::set_aside`].
    SetAside(Span),
}

/// What is in a slot, and where its readings are kept.
#[derive(Clone, Copy, Debug)]
enum Slot {
    Absent,
    Unknown(Span),
    Unusable(Span),
    Taken { first: u32, count: u32 },
    SetAside { first: u32, count: u32 },
}

/// One value as it was taken.
#[derive(Clone, PartialEq, Debug)]
pub struct Reading {
    /// The value; a length taken warm, or cold, is brought to 20 °C here.
    pub datum: Datum,
    /// Where it is written, unit included.
    pub span: Span,
    /// Which gauge it was taken with, by its number in [`Readings::gauges`].
    pub gauge: Option<u16>,
    /// What else is said of it; most readings say nothing else.
    pub detail: Option<Box<Detail>>,
}

impl Reading {
    /// How it was brought to 20 °C, if it was.
    #[must_use]
    pub fn warmth(&self) -> Option<&Warmth> {
        self.detail.as_ref()?.warmth.as_ref()
    }

    /// Whether somebody confirms that it is right.
    #[must_use]
    pub fn is_confirmed(&self) -> bool {
        self.detail.as_ref().is_some_and(|detail| detail.confirmed.is_some())
    }

    /// The value as it was taken.
    #[must_use]
    pub fn as_taken(&self) -> Datum {
        self.warmth().map_or_else(|| self.datum.clone(), |warmth| Datum::Quantity(warmth.as_taken.clone()))
    }
}

/// What a reading may say besides its value.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Detail {
    /// Its own expanded uncertainty as its certificate gives it. It stands in place of what its gauge says.
    pub uncertainty: Option<Certified>,
    /// Whether that figure is outside what such gauges have. Unless somebody confirms it, it is then not known.
    pub implausible: bool,
    /// The degrees of freedom of that; none for as good as any number.
    pub degrees_of_freedom: Option<Number>,
    /// The temperature of the part when it was taken.
    pub temperature: Option<Temperature>,
    /// How it was brought to 20 °C, if it was.
    pub warmth: Option<Warmth>,
    /// Who confirms that it is right though it does not seem plausible.
    pub confirmed: Option<Confirmed>,
    /// A word about it.
    pub note: Option<String>,
}

/// Who confirms a value, or a list of them.
#[derive(Clone, PartialEq, Debug)]
pub struct Confirmed {
    /// The name, as the record has it.
    pub by: String,
    /// Where it is written. The readings of one list may share it.
    pub span: Span,
}

/// A temperature as the record says it.
#[derive(Clone, PartialEq, Debug)]
pub struct Temperature {
    /// In kelvin.
    pub value: Value,
    /// How far the true one may lie from it, either way, in kelvin: as the record says after `±`, or half a step of the last
    /// digit written.
    pub half_width: Value,
    /// Where it is written. Readings under one `at` share one temperature, and its error.
    pub span: Span,
}

/// How a length was brought to 20 °C (ISO 1:2022): `L·(1 + a_g·(T_g − 20 °C)) / (1 + a_p·(T_p − 20 °C))`, with the expansion
/// `a` and temperature `T` of gauge and part. The sensitivities are the derivatives of that.
#[derive(Clone, PartialEq, Debug)]
pub struct Warmth {
    /// The value as it was taken.
    pub as_taken: Value,
    /// The temperature of the part.
    pub part_temperature: Temperature,
    /// The temperature of the gauge.
    pub gauge_temperature: Temperature,
    /// The part whose expansion counts.
    pub part: Id<Part>,
    /// By how much the value follows the reading, without unit.
    pub to_reading: Value,
    /// By how much it follows the part's temperature, in m/K.
    pub to_part_temperature: Value,
    /// By how much it follows the gauge's temperature, in m/K; nothing where the gauge says no expansion.
    pub to_gauge_temperature: Value,
    /// By how much it follows the part's expansion, in m·K.
    pub to_part_expansion: Value,
    /// By how much it follows the gauge's expansion, in m·K.
    pub to_gauge_expansion: Value,
}

/// A gauge as the record, or the shop's own list, has it.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// The name readings use.
    pub name: String,
    /// What its figures measure, differences on a scale as such; none where it has none.
    pub dimension: Option<Dimension>,
    /// Its expanded uncertainty as its certificate gives it: common to all readings taken with it.
    pub uncertainty: Option<Certified>,
    /// The degrees of freedom of that; none for as good as any number.
    pub degrees_of_freedom: Option<Number>,
    /// Which other gauges are wrong together with it, as its certificate states.
    pub correlated: Vec<Correlated>,
    /// How much it shows too much, by its certificate, in base units; readings are not corrected for it.
    pub error: Option<Value>,
    /// The expansion of its scale and how far the true one may lie from it, in 1/K.
    pub expansion: Option<(Value, Value)>,
    /// Its resolution, in base units.
    pub resolution: Option<Value>,
    /// The ends of its range, in base units.
    pub range: Option<(Value, Value)>,
    /// Whether a figure of it is one that no such gauge has: then its uncertainty and resolution are not known.
    pub implausible: bool,
    /// The day it was calibrated.
    pub calibrated: Option<Date>,
    /// The day it is due again.
    pub due: Option<Date>,
    /// Where it is listed: in the record, or in the shop's list.
    pub place: Place,
}

/// An expanded uncertainty as a certificate gives it: a width, a share of the reading, or both together.
#[derive(Clone, PartialEq, Debug)]
pub struct Certified {
    /// What every reading has, in base units.
    pub fixed: Value,
    /// What comes on top for each unit of the reading: 0.04 where it is 4 % of it.
    pub share: Value,
    /// What it was expanded by: over this it is the standard uncertainty.
    pub factor: Number,
    /// The coverage probability that factor was worked out from, where it is not written itself.
    pub coverage: Option<Number>,
    /// As it is written, where it grows with the reading.
    pub written: Option<String>,
}

/// A gauge whose calibration is correlated with another's, as a certificate states it (JCGM 100:2008, 5.2.2).
#[derive(Clone, Debug)]
pub struct Correlated {
    /// The name of the other gauge.
    pub gauge: String,
    /// The correlation coefficient, from -1 to 1.
    pub coefficient: Number,
    /// Where that is written.
    pub place: Place,
}

impl Correlated {
    /// The other gauge with the coefficient, `mic-25-50 (0.6)`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{} ({})", self.gauge, self.coefficient)
    }
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

    /// The place of some bytes of a reading: in the record, or in the file of a part it was taken over from.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        let (source, span) = self.taken_over.of(&self.source, span);
        source.place(span)
    }

    /// The text of some bytes of a reading.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        let (source, span) = self.taken_over.of(&self.source, span);
        source.slice(span)
    }

    /// What is in a slot.
    #[must_use]
    pub fn state(&self, slot: usize) -> State {
        match self.slots.get(slot) {
            None | Some(Slot::Absent) => State::Absent,
            Some(Slot::Unknown(span)) => State::Unknown(*span),
            Some(Slot::Unusable(span)) => State::Unusable(*span),
            Some(Slot::Taken { .. }) => State::Taken,
            Some(Slot::SetAside { .. }) => State::SetAside(self.span_aside(slot)),
        }
    }

    /// Why a reading is `unknown`, if the record says.
    #[must_use]
    pub fn unknown_because(&self, slot: usize) -> Option<&str> {
        self.unknown_because.iter().find(|(other, _)| *other == slot).map(|(_, note)| note.as_str())
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

    /// Counts the readings in a slot as not taken: nothing is calculated from them, and nothing judges them.
    pub fn set_aside(&mut self, slot: usize) {
        if let Some(entry) = self.slots.get_mut(slot)
            && let Slot::Taken { first, count } = *entry
        {
            *entry = Slot::SetAside { first, count };
            self.are_set_aside = true;
        }
    }

    /// The slots with readings that somebody confirms, in the order written.
    #[must_use]
    pub fn confirmed(&self) -> &[usize] {
        &self.confirmed
    }

    /// The readings in a slot that were set aside, in the order written.
    #[must_use]
    pub fn aside(&self, slot: usize) -> &[Reading] {
        match self.slots.get(slot) {
            Some(Slot::SetAside { first, count }) => {
                self.taken.get(*first as usize..(*first + *count) as usize).unwrap_or(&[])
            }
            _ => &[],
        }
    }

    /// Whether any readings were set aside.
    #[must_use]
    pub fn are_set_aside(&self) -> bool {
        self.are_set_aside
    }

    fn span_aside(&self, slot: usize) -> Span {
        let readings = self.aside(slot);
        let first = readings.first().map_or(Span::default(), |reading| reading.span);
        readings.last().map_or(first, |last| first.to(last.span))
    }

    /// Every reading, in the order written, also those set aside.
    pub fn all(&self) -> impl Iterator<Item = &Reading> {
        self.taken.iter()
    }

    /// The quantities of a slot's readings, in the order written; none where it is no quantity that was taken.
    #[must_use]
    pub fn quantities(&self, slot: usize) -> Option<Vec<Value>> {
        let quantity = |reading: &Reading| match &reading.datum {
            Datum::Quantity(value) => Some(value.clone()),
            _ => None,
        };
        self.taken(slot).iter().map(quantity).collect()
    }

    /// The slots with several readings, in their order.
    #[must_use]
    pub fn repeated(&self) -> Vec<usize> {
        let mut several = self.several.clone();
        several.sort_unstable();
        several.dedup();
        several
    }

    /// Whether anything is said of how well a reading was taken: its gauge, its own uncertainty, its temperature.
    #[must_use]
    pub fn are_weighed(&self) -> bool {
        self.taken.iter().any(|reading| reading.gauge.is_some() || reading.detail.is_some())
    }

    /// How many readings there are in all.
    #[must_use]
    pub fn count(&self) -> usize {
        self.taken.len()
    }
}

/// The readings of a machine of which nothing is known yet.
#[must_use]
pub fn nothing(book: &Book, source: &Source) -> Readings {
    walk::Binder::new(book, source, book.slot_count, None).readings
}

/// Reads a sheet against the vocabulary of a book. Its readings may name the gauges it lists itself.
#[must_use]
pub fn bind(book: &Book, sheet: &Sheet, source: &Source) -> (Readings, Vec<Finding>) {
    walk::bind(book, sheet, source, None)
}

/// As [`bind`], with the gauges of the shop to name besides. A gauge that the record lists itself is the record's.
#[must_use]
pub fn bind_with(book: &Book, sheet: &Sheet, source: &Source, shop: &Gauges) -> (Readings, Vec<Finding>) {
    walk::bind(book, sheet, source, Some(shop))
}
