//! The parts a build takes from the shelf: their readings, and what is wrong with taking them.

use super::shelf::ShelfPart;
use super::{Shop, wording_shelf as wording};
use crate::bind::{self, MeasuredAgain, Reading, Readings};
use crate::book::{Book, Datum, Id, Member, Part};
use crate::finding::Finding;
use crate::quantity::Value;
use crate::record::{Node, Record, Sheet};
use crate::text::{Place, Source};
use std::cmp::Ordering;

/// A part that a build takes, where it goes, and where the record says so.
#[derive(Clone, Debug)]
pub struct TakenPart {
    /// Its tag.
    pub tag: String,
    /// Where the build names it.
    pub place: Place,
}

impl Shop {
    /// Takes over the readings of the parts that a build names under `parts`. What the build measured again counts.
    pub(super) fn take_parts(&self, (sheet, source): (&Sheet, &Source), readings: &mut Readings) -> Vec<Finding> {
        let mut said = Vec::new();
        // A list of loose parts has the same key.
        if bind::loose_span(&self.book, sheet).is_some() {
            return said;
        }
        let Some(Node::Map(top)) = sheet.root() else { return said };
        let Some(value) = top.get("parts").filter(|value| !value.is_unwritten()) else { return said };
        let Node::Map(map) = value else {
            said.push(wording::parts_shape(source.place(value.span())));
            return said;
        };
        let mut first: Vec<(String, Place)> = Vec::new();
        for (key, value) in map.entries() {
            if value.is_unwritten() {
                continue;
            }
            let at = source.place(value.span());
            let Node::Scalar(scalar) = value else {
                said.push(wording::parts_shape(at));
                continue;
            };
            let Some((part, positions)) = place_of(&self.book, key.text()) else {
                said.push(wording::place_unknown(key.text(), &self.places(readings), source.place(key.span())));
                continue;
            };
            let tag = scalar.text().trim();
            if let Some((_, first)) = first.iter().find(|(known, _)| known == tag) {
                said.push(wording::taken_twice(tag, at, first.clone()));
                continue;
            }
            first.push((tag.to_owned(), at.clone()));
            let shelf = self.shelf();
            let Some(found) = shelf.and_then(|shelf| shelf.of_tag(tag)) else {
                let tags = shelf.map(|shelf| shelf.parts.iter().map(|part| part.tag.as_str()));
                said.push(wording::tag_unknown(tag, tags, at));
                continue;
            };
            match self.may_take(found, part, readings, &at) {
                Some(wrong) => said.push(wrong),
                None => said.extend(self.take(found, &positions, readings)),
            }
        }
        said
    }

    /// The parts that a build takes, with where it says so.
    #[must_use]
    pub fn parts_of(&self, sheet: &Sheet, source: &Source) -> Vec<TakenPart> {
        let Some(Node::Map(top)) = sheet.root() else { return Vec::new() };
        let Some(Node::Map(map)) = top.get("parts") else { return Vec::new() };
        let taken = map.entries().filter_map(|(_, value)| match value {
            Node::Scalar(scalar) if !value.is_unwritten() => {
                Some(TakenPart { tag: scalar.text().trim().to_owned(), place: source.place(scalar.span()) })
            }
            _ => None,
        });
        taken.collect()
    }

    /// The parts that a build takes which is not finished yet, each with the build. What a finished one had may lie on the shelf
    /// again.
    #[must_use]
    pub fn taken_by_open_build(&self, record: &Record) -> Vec<(String, String)> {
        let Some(sheet) = &record.sheet else { return Vec::new() };
        let text = |key: &str| {
            let value = sheet.root()?.as_map()?.get(key)?;
            Some(value.as_scalar()?.text().trim().to_owned())
        };
        if text("finished").is_some_and(|day| !day.is_empty()) {
            return Vec::new();
        }
        let build = text("build").unwrap_or_else(|| super::Checked::nothing(record.source.name().to_string()).build);
        self.parts_of(sheet, &record.source).into_iter().map(|taken| (taken.tag, build.clone())).collect()
    }

    /// The files of the shelf that the parts of a build are in, each once.
    #[must_use]
    pub fn sources_of_parts(&self, record: &Record) -> Vec<&Source> {
        let (Some(sheet), Some(shelf)) = (&record.sheet, self.shelf()) else { return Vec::new() };
        let mut sources: Vec<&Source> = Vec::new();
        for taken in self.parts_of(sheet, &record.source) {
            let Some(part) = shelf.of_tag(&taken.tag) else { continue };
            if !sources.iter().any(|known| known.is_same(&part.record.source)) {
                sources.push(&part.record.source);
            }
        }
        sources
    }

    /// What forbids a build to have a part at a place for parts of a kind.
    fn may_take(&self, found: &ShelfPart, wanted: Id<Part>, readings: &Readings, at: &Place) -> Option<Finding> {
        let name = |part: Id<Part>| self.book.part_path(part, &[], " ").replace('_', " ");
        if found.part.part != wanted {
            return Some(wording::other_kind(found, (&name(found.part.part), &name(wanted)), at.clone()));
        }
        if !found.is_free_for(readings.build.as_deref()) {
            return Some(wording::not_free(found, at.clone()));
        }
        let generation = readings.generation?;
        let named = &found.part.generations;
        if named.is_empty() || named.contains(&generation) {
            return None;
        }
        let words = |id| &*self.book.generations.get(id).name;
        let is = crate::finding::list(named.iter().map(|id| words(*id)), "or");
        Some(wording::other_generation(found, (&is, words(generation)), at.clone()))
    }

    fn take(&self, found: &ShelfPart, positions: &[u16], readings: &mut Readings) -> Vec<Finding> {
        let Some(sheet) = &found.record.sheet else { return Vec::new() };
        let (part, mut said) = bind::bind_part(
            &self.book,
            (sheet, &found.record.source),
            &found.part,
            (readings.generation, positions),
            self.own_gauges(),
        );
        for again in readings.take_over(&part) {
            said.extend(self.measured_again(found, &again, readings));
        }
        said
    }

    /// What is to be said of a slot that was measured again; nothing if its gauges explain the difference.
    fn measured_again(&self, found: &ShelfPart, again: &MeasuredAgain, readings: &Readings) -> Option<Finding> {
        let ours = readings.taken(again.slot);
        if !differ(ours, &again.before, readings) {
            return None;
        }
        let (characteristic, positions, station) = self.book.slot_owner(again.slot)?;
        let path = self.book.path(characteristic, &positions, station).replace(['.', '_'], " ");
        let written = |taken: &[Reading]| {
            let all: Vec<&str> = taken.iter().map(|reading| readings.slice(reading.span).trim()).collect();
            crate::finding::list(all, "and")
        };
        let place = |taken: &[Reading]| taken.first().map(|reading| readings.place(reading.span));
        let (now, before) = (written(ours), written(&again.before));
        let (now_at, before_at) = (place(ours)?, place(&again.before)?);
        Some(wording::measured_again(&found.tag, &path, (&now, now_at), (&before, before_at)))
    }

    /// Every place for a part that the generation of a record has, as `parts` names it.
    #[must_use]
    pub fn places(&self, readings: &Readings) -> Vec<String> {
        let book = &self.book;
        let root = book.root();
        let mut all = Vec::new();
        for part in book.parts.ids().filter(|id| book.parts.get(*id).parent == root && root.is_some()) {
            match readings.generation {
                Some(generation) => all.extend(
                    book.instances(part, book.generations.get(generation))
                        .iter()
                        .map(|positions| book.part_path(part, positions, ".")),
                ),
                None => all.push(book.part_path(part, &[], ".")),
            }
        }
        all
    }
}

/// The part and the positions that a path means: `rotor.front`, `rotor.front.apex_seal.1`.
#[must_use]
pub fn place_of(book: &Book, path: &str) -> Option<(Id<Part>, Vec<u16>)> {
    let root = book.root()?;
    let mut steps = path.split('.').map(str::trim).peekable();
    if steps.peek() == Some(&&*book.parts.get(root).name) {
        steps.next();
    }
    let (mut part, mut positions) = (root, Vec::new());
    while let Some(step) = steps.next() {
        let Member::Part(inner) = book.parts.get(part).member_typed(step)? else { return None };
        part = inner;
        let here = book.parts.get(part);
        if !here.positions.is_empty() {
            positions.push(here.position_typed(steps.next()?)?);
        }
    }
    (part != root).then_some((part, positions))
}

/// Whether readings differ by more than their gauges explain (expanded uncertainties, k = 2, added as squares: JCGM 100:2008,
/// 5.1.2). Where nobody knows how well they were taken, any difference counts; lists that overlap do not differ.
fn differ(ours: &[Reading], theirs: &[Reading], readings: &Readings) -> bool {
    let (Some((our_least, our_most)), Some((least, most))) = (ends(ours), ends(theirs)) else {
        let same = |one: &Reading| theirs.iter().any(|other| other.datum == one.datum);
        return !ours.iter().any(same);
    };
    let less = |one: &Value, other: &Value| one.compare(other) == Some(Ordering::Less);
    let apart = if less(&our_most, &least) {
        least.subtract(&our_most)
    } else if less(&most, &our_least) {
        our_least.subtract(&most)
    } else {
        return false;
    };
    let explained = uncertainty(ours, readings).zip(uncertainty(theirs, readings));
    explained.is_none_or(|(one, other)| less(&one.squared().add(&other.squared()), &apart.squared()))
}

/// The least and the greatest of some quantities; `None` if they are not quantities, or cannot be compared.
fn ends(taken: &[Reading]) -> Option<(Value, Value)> {
    let mut ends: Option<(Value, Value)> = None;
    for reading in taken {
        let Datum::Quantity(value) = &reading.datum else { return None };
        ends = Some(match ends {
            None => (value.clone(), value.clone()),
            Some((least, most)) => {
                let least = if value.compare(&least)? == Ordering::Less { value.clone() } else { least };
                let most = if value.compare(&most)? == Ordering::Greater { value.clone() } else { most };
                (least, most)
            }
        });
    }
    ends
}

/// The largest expanded uncertainty of some readings; `None` if it is not known of one.
fn uncertainty(taken: &[Reading], readings: &Readings) -> Option<Value> {
    let of = |reading: &Reading| {
        let own = reading.detail.as_ref().and_then(|detail| detail.uncertainty.as_ref());
        let certified = own.or_else(|| readings.gauge_of(reading)?.uncertainty.as_ref())?;
        match &reading.datum {
            Datum::Quantity(value) => Some(certified.doubled_at(value)),
            _ => None,
        }
    };
    let mut largest: Option<Value> = None;
    for reading in taken {
        let one = of(reading)?;
        largest = match largest {
            Some(known) if one.compare(&known) != Some(Ordering::Greater) => Some(known),
            _ => Some(one),
        };
    }
    largest
}
