//! What a record says that tells generations apart. Refuses to know what any generation has.

use super::{Skipped, telling_characteristics, value};
use crate::bind::{Readings, State};
use crate::book::{Book, Characteristic, Datum, Generation, Id, Origin, RangeKind, Reach, Selector};
use crate::judge::values_of;
use crate::plan::{Operation, Plan, Program};
use crate::quantity::shown;
use crate::text::Place;

/// Digits behind the point of a value that was worked out.
const PLACES: u32 = 4;

/// One value that was seen.
#[derive(Clone, Debug)]
pub struct Seen {
    /// Of which characteristic.
    pub characteristic: Id<Characteristic>,
    /// At which positions of its parts, outermost first.
    pub positions: Box<[u16]>,
    /// At which station, if it is taken at several.
    pub station: Option<u16>,
    /// Where it is written; none for a value worked out from others.
    pub place: Option<Place>,
    /// Its path, as a record's keys say it.
    pub path: String,
    /// The value as it is written, or as it was worked out.
    pub written: String,
    value: SeenValue,
}

#[derive(Clone, Debug)]
enum SeenValue {
    Read(Datum),
    /// For each generation whose constants give it a value.
    Worked(Vec<(Id<Generation>, Datum)>),
}

impl Seen {
    /// The value, taken for a machine of a generation; none where that gives it none.
    #[must_use]
    pub fn datum(&self, generation: Id<Generation>) -> Option<&Datum> {
        match &self.value {
            SeenValue::Read(datum) => Some(datum),
            SeenValue::Worked(values) => values.iter().find(|(id, _)| *id == generation).map(|(_, datum)| datum),
        }
    }

    /// The value that was read; none where it was worked out.
    pub(super) fn read(&self) -> Option<&Datum> {
        match &self.value {
            SeenValue::Read(datum) => Some(datum),
            SeenValue::Worked(_) => None,
        }
    }

    /// Whether a reach means it.
    pub(super) fn is_meant(&self, reach: &Reach) -> bool {
        let here = |(selector, position): (&Selector, &u16)| match selector {
            Selector::At(at) => at == position,
            Selector::All | Selector::Same(_) => true,
        };
        self.characteristic == reach.characteristic
            && (reach.station.is_none() || self.station.is_none() || reach.station == self.station)
            && reach.selectors.iter().zip(&self.positions).all(here)
    }
}

/// Everything in a record that tells generations apart, or that a set must have the same everywhere.
#[must_use]
pub fn evidence(book: &Book, readings: &Readings) -> Vec<Seen> {
    let mut characteristics = telling_characteristics(book);
    for more in value::told_characteristics(book).into_iter().chain(value::telling_values(book)) {
        if !characteristics.contains(&more) {
            characteristics.push(more);
        }
    }
    for generation in book.generations.iter().filter(|generation| !generation.basis) {
        for row in &generation.rows {
            let same = row.limit.as_ref().is_some_and(|limit| matches!(limit.kind, RangeKind::AllTheSame { .. }));
            if same && !characteristics.contains(&row.subject.characteristic) {
                characteristics.push(row.subject.characteristic);
            }
        }
    }
    let mut seen = Vec::new();
    for id in characteristics {
        match book.characteristics.get(id).origin {
            Origin::Reading { .. } => read(book, readings, id, &mut seen),
            Origin::Derived(_) => worked(book, readings, id, &mut seen),
        }
    }
    seen
}

/// The readings of a record that would tell something and could not be taken: `unknown`, or with an error of their own.
#[must_use]
pub fn skipped(book: &Book, readings: &Readings) -> Vec<Skipped> {
    let mut skipped = Vec::new();
    for id in telling_characteristics(book) {
        for (slot, positions, station) in slots(book, id) {
            if let State::Unknown(span) | State::Unusable(span) = readings.state(slot) {
                let path = book.path(id, &positions, station);
                skipped.push(Skipped { path, place: readings.place(span) });
            }
        }
    }
    skipped
}

/// The slots of a characteristic, each with the positions and the station it is for.
fn slots(book: &Book, id: Id<Characteristic>) -> impl Iterator<Item = (usize, Box<[u16]>, Option<u16>)> {
    let characteristic = book.characteristics.get(id);
    let count = book.parts.get(characteristic.part).instances * characteristic.slots_each();
    (characteristic.first_slot..characteristic.first_slot + count).filter_map(|slot| {
        let (_, positions, station) = book.slot_owner(slot)?;
        Some((slot, positions.into(), station))
    })
}

fn read(book: &Book, readings: &Readings, id: Id<Characteristic>, seen: &mut Vec<Seen>) {
    for (slot, positions, station) in slots(book, id) {
        let path = book.path(id, &positions, station);
        for reading in readings.taken(slot) {
            let place = readings.place(reading.span);
            seen.push(Seen {
                characteristic: id,
                positions: positions.clone(),
                station,
                path: path.clone(),
                written: place.text().trim_matches(['"', '\'']).to_owned(),
                place: Some(place),
                value: SeenValue::Read(reading.datum.clone()),
            });
        }
    }
}

/// A derived value depends on the constants of the generation it is taken for.
fn worked(book: &Book, readings: &Readings, id: Id<Characteristic>, seen: &mut Vec<Seen>) {
    let mut found: Vec<Seen> = slots(book, id)
        .map(|(_, positions, station)| Seen {
            characteristic: id,
            path: book.path(id, &positions, station),
            positions,
            station,
            place: None,
            written: String::new(),
            value: SeenValue::Worked(Vec::new()),
        })
        .collect();
    let programs: Vec<Program> =
        slots(book, id).map(|(slot, ..)| Program { operations: vec![Operation::Slot(slot)] }).collect();
    let unit = book.characteristics.get(id).unit.as_ref();
    for (generation, _) in book.generations.entries().filter(|(_, generation)| !generation.basis) {
        let (plan, _) = Plan::for_values(book, generation, &[id]);
        for (seen, value) in found.iter_mut().zip(values_of(&plan, readings, &programs)) {
            let (Some(datum), SeenValue::Worked(values)) = (value, &mut seen.value) else { continue };
            if let (Datum::Quantity(value), Some(unit)) = (&datum, unit) {
                let words = shown(value, unit, PLACES);
                if !seen.written.split(" or ").any(|before| before == words) {
                    let between = if seen.written.is_empty() { "" } else { " or " };
                    seen.written.push_str(between);
                    seen.written.push_str(&words);
                }
            }
            values.push((generation, datum));
        }
    }
    seen.extend(
        found.into_iter().filter(|seen| matches!(&seen.value, SeenValue::Worked(values) if !values.is_empty())),
    );
}
