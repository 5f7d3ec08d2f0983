//! One walk over the record, part by part, each key looked up in the part it stands in.

use super::files::Files;
use super::gauges::{About, Gauges};
use super::loose::PART_HEADER;
use super::warmth::Unexpanded;
use super::{Reading, Readings, Slot, capitals, wording};
use crate::book::{Book, Characteristic, Generation, Id, Member, Origin, Part};
use crate::finding::{Finding, Said};
use crate::record::{MapNode, Node, ScalarNode, Sheet};
use crate::text::{Place, Source, Span, same_letters};

/// Keys at the top of a record that are about the build and not about a part.
pub(crate) const HEADER: [&str; 8] =
    ["build", "finished", "generation", "gauges", "concessions", "notes", "parts", "serial"];

/// The work of reading one record.
pub(super) struct Binder<'a> {
    pub(super) book: &'a Book,
    pub(super) source: &'a Source,
    pub(super) readings: Readings,
    pub(super) said: Said,
    /// The positions of the parts the walk is in, outermost first.
    pub(super) positions: Vec<u16>,
    /// The unit found last: readings come in runs of one unit.
    pub(super) last_unit: Option<(&'a str, &'a crate::quantity::Unit)>,
    /// The gauges of the shop.
    pub(super) shop: Option<&'a Gauges>,
    /// Whether it is the shop's list of gauges that is read.
    pub(super) shops_list: bool,
    /// More of each gauge of the readings, in their order.
    pub(super) about_gauges: Vec<About>,
    /// The parts without an expansion that something was measured of away from 20 °C.
    pub(super) unexpanded: Vec<Unexpanded>,
    /// The part whose record it is, if it is a loose one's.
    pub(super) loose: Option<Id<Part>>,
}

pub(super) fn bind(book: &Book, sheet: &Sheet, source: &Source, shop: Option<&Gauges>) -> (Readings, Vec<Finding>) {
    let (readings, findings) = bind_as_written(book, sheet, source, shop);
    // Nearly every record is written as the book is: the others are read again.
    match capitals::may_matter(&findings).then(|| capitals::as_named(book, sheet)).flatten() {
        Some(named) => bind_as_written(book, &named, source, shop),
        None => (readings, findings),
    }
}

fn bind_as_written<'a>(
    book: &'a Book,
    sheet: &'a Sheet,
    source: &'a Source,
    shop: Option<&'a Gauges>,
) -> (Readings, Vec<Finding>) {
    let mut binder = Binder::new(book, source, book.slot_count, shop);
    match sheet.root() {
        Some(Node::Map(map)) => {
            binder.header(map);
            if let Some(root) = book.root() {
                binder.members(root, 0, map);
            }
            binder.concessions(map);
            binder.calibrations_held();
            binder.correlations_hold();
            binder.expansions_missing();
        }
        Some(other) => binder.say(wording::not_a_record(source.place(other.span()))),
        None => {}
    }
    (binder.readings, binder.said.into_findings())
}

impl<'a> Binder<'a> {
    pub(super) fn new(book: &'a Book, source: &'a Source, slot_count: usize, shop: Option<&'a Gauges>) -> Binder<'a> {
        let readings = Readings {
            build: None,
            finished: None,
            finished_span: None,
            judged_on: None,
            generation: None,
            generation_span: None,
            is_part: false,
            gauges: Vec::new(),
            concessions: Vec::new(),
            slots: vec![Slot::Absent; slot_count],
            taken: Vec::with_capacity(slot_count.min(512)),
            several: Vec::new(),
            are_set_aside: false,
            confirmed: Vec::new(),
            unknown_because: Vec::new(),
            source: source.clone(),
            taken_over: Files::default(),
        };
        Binder {
            book,
            source,
            readings,
            said: Said::default(),
            positions: Vec::new(),
            last_unit: None,
            shop,
            shops_list: false,
            about_gauges: Vec::new(),
            unexpanded: Vec::new(),
            loose: None,
        }
    }

    pub(super) fn units(&self) -> &'a crate::quantity::UnitTable {
        &self.book.units
    }

    pub(super) fn say(&mut self, finding: Finding) {
        self.said.add(finding);
    }

    pub(super) fn place(&self, span: Span) -> Place {
        self.source.place(span)
    }

    pub(super) fn generation(&self) -> Option<&'a Generation> {
        let book = self.book;
        self.readings.generation.map(|id| book.generations.get(id))
    }

    /// The part the walk is in, in words: "rotor front"; nothing for the whole machine.
    pub(super) fn part_words(&self, part: Id<Part>) -> String {
        self.book.part_path(part, &self.positions, " ").replace('_', " ")
    }

    /// Everything written in one instance of a part.
    pub(super) fn members(&mut self, part: Id<Part>, instance: usize, map: MapNode<'a>) {
        let here = self.book.parts.get(part);
        for (key, value) in map.entries() {
            match here.member_by_name.get(key.text()) {
                Some(Member::Characteristic(id)) => {
                    let characteristic = self.book.characteristics.get(*id);
                    match &characteristic.origin {
                        Origin::Derived(_) => {
                            let finding = wording::worked_out(self, characteristic, self.place(key.span()));
                            self.say(finding);
                        }
                        Origin::Reading { stations, .. } if stations.is_empty() => {
                            self.reading(characteristic, characteristic.slot(instance, 0), None, value, key);
                        }
                        Origin::Reading { .. } => self.stations(characteristic, instance, value),
                    }
                }
                Some(Member::Part(id)) => self.part(*id, instance, value, key),
                None if here.parent.is_none() && HEADER.contains(&key.text()) => {}
                None if self.loose == Some(part)
                    && (PART_HEADER.contains(&key.text()) || key.text() == "concessions") => {}
                None => {
                    // Looked for only where the key is a name in other capitals: a map may have very many keys.
                    let is_alike = here.members.iter().any(|(name, _)| same_letters(name, key.text()));
                    let others = || map.entries().map(|(other, _)| other.text());
                    let twin = is_alike
                        .then(|| others().find(|other| *other != key.text() && same_letters(other, key.text())));
                    let twin = twin.flatten();
                    let finding = wording::key_unknown(self, part, (key.text(), twin), self.place(key.span()));
                    self.say(finding);
                }
            }
        }
    }

    /// A part in the part the walk is in.
    fn part(&mut self, id: Id<Part>, instance: usize, value: Node<'a>, key: ScalarNode<'a>) {
        let part = self.book.parts.get(id);
        // Nothing of it was measured yet.
        if value.is_unwritten() {
            return;
        }
        let Node::Map(map) = value else {
            let finding = wording::part_shape(self, id, key, self.place(value.span()));
            self.say(finding);
            return;
        };
        if part.positions.is_empty() {
            self.members(id, instance, map);
            return;
        }
        for (at, inner) in map.entries() {
            let Some(position) = part.position_by_name.get(at.text()).copied() else {
                let finding = wording::place_unknown(self, id, at.text(), self.place(at.span()));
                self.say(finding);
                continue;
            };
            if let Some(generation) = self.generation()
                && !generation.has(id, position)
            {
                let finding = wording::not_fitted(self, id, at.text(), generation, self.place(at.span()));
                self.say(finding);
                continue;
            }
            self.positions.push(position);
            let instance = instance * part.positions.len() + usize::from(position);
            match inner {
                Node::Map(map) => self.members(id, instance, map),
                unwritten if unwritten.is_unwritten() => {}
                other => {
                    let finding = wording::part_shape(self, id, at, self.place(other.span()));
                    self.say(finding);
                }
            }
            self.positions.pop();
        }
    }

    /// A reading taken at named places.
    fn stations(&mut self, characteristic: &'a Characteristic, instance: usize, value: Node<'a>) {
        let Node::Map(map) = value else {
            if value.is_unwritten() {
                return;
            }
            if let Node::Scalar(scalar) = value
                && scalar.text().trim_ascii().eq_ignore_ascii_case("unknown")
            {
                for station in 0..characteristic.slots_each() {
                    self.put(characteristic.slot(instance, station), Slot::Unknown(scalar.span()));
                }
                return;
            }
            let finding = wording::stations_shape(self, characteristic, self.place(value.span()));
            self.say(finding);
            for station in 0..characteristic.slots_each() {
                self.put(characteristic.slot(instance, station), Slot::Unusable(value.span()));
            }
            return;
        };
        for (at, inner) in map.entries() {
            match characteristic.stations().iter().position(|name| **name == *at.text()) {
                Some(station) => {
                    let slot = characteristic.slot(instance, station);
                    self.reading(characteristic, slot, Some(station), inner, at);
                }
                None => {
                    let finding = wording::station_unknown(self, characteristic, at.text(), self.place(at.span()));
                    self.say(finding);
                }
            }
        }
    }

    pub(super) fn put(&mut self, slot: usize, what: Slot) {
        if let Some(entry) = self.readings.slots.get_mut(slot) {
            *entry = what;
        }
    }

    /// Keeps a reading as a slot's only one.
    #[inline]
    pub(super) fn keep_one(&mut self, slot: usize, reading: Reading) {
        if let Ok(first) = u32::try_from(self.readings.taken.len()) {
            self.readings.taken.push(reading);
            self.put(slot, Slot::Taken { first, count: 1 });
        }
    }

    /// Keeps readings as a slot's.
    pub(super) fn keep(&mut self, slot: usize, readings: Vec<Reading>) {
        let first = self.readings.taken.len();
        if readings.iter().any(Reading::is_confirmed) && !self.readings.confirmed.contains(&slot) {
            self.readings.confirmed.push(slot);
        }
        self.readings.taken.extend(readings);
        let count = self.readings.taken.len() - first;
        if let (Ok(first), Ok(count)) = (u32::try_from(first), u32::try_from(count)) {
            if count > 1 {
                self.readings.several.push(slot);
            }
            self.put(slot, Slot::Taken { first, count });
        }
    }
}
