//! What became of one part, or of one engine, from build to build: every value that was measured more than once, by how much it
//! changed, and what is left to its limit. Refuses to find the records, and to know how anything is printed.

use super::Shop;
use crate::bind::{LoosePart, Readings};
use crate::book::{Book, Datum, Id, Origin, Part};
use crate::judge::{Grade, Reporter, Ruling};
use crate::loose::{Scope, slots_of};
use crate::plan::Plan;
use crate::quantity::{Date, Number, Unit, Value, shown_apart};
use crate::record::{Node, Record};
use crate::statistics::sample;
use crate::text::Source;
use std::cmp::Ordering;

/// More places than this are not printed of a change.
const MOST_PLACES: u32 = 4;

/// One part, or one engine, over time.
#[derive(Clone, PartialEq, Debug)]
pub struct History {
    /// The part's tag, or the serial number.
    pub of: String,
    /// The kind of part; `None` for a whole machine.
    pub part: Option<String>,
    /// Where it was looked at, in the order of the days; without a day last.
    pub occasions: Vec<Occasion>,
    /// The values that changed, in the order of the books.
    pub changes: Vec<Change>,
    /// How many values were measured more than once and are as they were.
    pub same: usize,
}

/// One record in which it was looked at.
#[derive(Clone, PartialEq, Debug)]
pub struct Occasion {
    /// The day the build was finished, or the loose part measured.
    pub day: Option<Date>,
    /// The build; `None` of a loose part.
    pub build: Option<String>,
    /// The place in it, as `rotor.front`; `None` of a loose part and of a whole machine.
    pub place: Option<String>,
    /// The file.
    pub file: String,
    /// What it came to there.
    pub grade: Option<Grade>,
}

/// A value that changed.
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// What was measured, or calculated: `rotor.width`.
    pub path: String,
    /// Each value with the number of its occasion.
    pub values: Vec<(usize, String)>,
    /// From the first to the last: "0.02 mm less".
    pub by: String,
    /// The standard range that the last is outside of, and how far: "0.02 mm over".
    pub worn: Option<(String, String)>,
    /// The limit that the last is held to; the standard range where there is no limit.
    pub limit: Option<String>,
    /// How far inside it the last is: "0.05 mm".
    pub room: Option<String>,
    /// How far outside: "0.01 mm under".
    pub beyond: Option<String>,
}

/// What was seen on one occasion.
#[derive(Clone, Debug)]
pub struct Sighting {
    occasion: Occasion,
    items: Vec<Item>,
}

#[derive(Clone, Debug)]
struct Item {
    path: String,
    value: Value,
    text: String,
    unit: Unit,
    worn: Option<(String, String)>,
    limit: Option<String>,
    room: Option<String>,
    beyond: Option<String>,
}

/// What a record says it took and whose it is, without reading more of it.
#[must_use]
pub fn named_in(record: &Record) -> (Vec<(String, String)>, Option<String>) {
    let Some(Node::Map(top)) = record.sheet.as_ref().and_then(|sheet| sheet.root()) else {
        return (Vec::new(), None);
    };
    let said = |node: Node<'_>| match node {
        Node::Scalar(scalar) => Some(scalar.text().trim().to_owned()).filter(|text| !text.is_empty()),
        _ => None,
    };
    let mut parts = Vec::new();
    if let Some(Node::Map(map)) = top.get("parts") {
        parts.extend(map.entries().filter_map(|(place, tag)| Some((said(tag)?, place.text().trim().to_owned()))));
    }
    (parts, top.get("serial").and_then(said))
}

impl Shop {
    /// What a record of a whole machine says on its occasion; `None` where it cannot be judged.
    #[must_use]
    pub fn seen_whole(&self, record: &Record) -> Option<Sighting> {
        let root = self.book.root()?;
        self.look(record, None, |plan, readings, verdict| {
            let rulings: Vec<&Ruling> = verdict.rulings.iter().collect();
            let items = items(&self.book, (plan, readings, &rulings), &record.source, (root, &[]));
            let occasion = occasion(readings, record, None, Some(verdict.grade));
            Sighting { occasion, items }
        })
    }

    /// What the record of a build says of a part at a place, by the readings that were taken for this build.
    #[must_use]
    pub fn seen_at(&self, record: &Record, place: &str) -> Option<Sighting> {
        let (part, positions) = super::place_of(&self.book, place)?;
        let book = self.book_of_part(part);
        let inside: Vec<Id<Part>> = self.book.parts.ids().filter(|id| self.book.is_inside(*id, part)).collect();
        self.look(record, None, |plan, readings, verdict| {
            let leaves = self.leaves(plan.generation)?;
            let within = Scope::new(&self.book, (plan, leaves), (part, &inside), &positions).within;
            let rulings: Vec<&Ruling> = verdict.rulings.iter().filter(|one| within.contains(&one.check)).collect();
            let items = items(&book, (plan, readings, &rulings), &record.source, (part, &positions));
            Some(Sighting { occasion: occasion(readings, record, Some(place), Some(verdict.grade)), items })
        })?
    }

    /// What the record of a loose part says.
    #[must_use]
    pub fn seen_loose(&self, record: &Record, part: &LoosePart) -> Option<Sighting> {
        let book = self.book_of_part(part.part);
        let (all, best) = self.alternatives(record, part, None, &[]);
        let (alternative, at) = all.get(best?)?;
        let rulings: Vec<&Ruling> = at.judged.verdict.rulings.iter().collect();
        let judged = (&at.judged.plan, &at.readings, rulings.as_slice());
        let items = items(&book, judged, &record.source, (part.part, &at.positions));
        let occasion = Occasion {
            day: part.measured,
            build: None,
            place: None,
            file: record.source.name().to_owned(),
            grade: Some(alternative.grade),
        };
        Some(Sighting { occasion, items })
    }
}

fn occasion(readings: &Readings, record: &Record, place: Option<&str>, grade: Option<Grade>) -> Occasion {
    let file = record.source.name().to_owned();
    let name = || super::Checked::nothing(file.clone()).build;
    Occasion {
        day: readings.finished,
        build: Some(readings.build.clone().unwrap_or_else(name)),
        place: place.map(str::to_owned),
        file,
        grade,
    }
}

/// The quantities that were taken in one file, and those calculated from them that are judged, each once.
fn items(
    book: &Book,
    (plan, readings, rulings): (&Plan, &Readings, &[&Ruling]),
    source: &Source,
    (part, positions): (Id<Part>, &[u16]),
) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for slot in slots_of(book, (part, None), positions).slots() {
        let taken = readings.taken(slot);
        // What a build took over with its parts was not measured for it.
        if taken.is_empty() || taken.iter().any(|one| readings.place(one.span).source != *source) {
            continue;
        }
        let values: Option<Vec<Value>> = taken
            .iter()
            .map(|one| match &one.datum {
                Datum::Quantity(value) => Some(value.clone()),
                _ => None,
            })
            .collect();
        let Some(value) = values.and_then(|values| sample::mean(&values)) else { continue };
        let Some((characteristic, positions, station)) = book.slot_owner(slot) else { continue };
        let path = book.path(characteristic, &positions, station);
        let unit = book.characteristics.get(characteristic).unit.clone().unwrap_or_else(Unit::number);
        let text = taken.iter().map(|one| readings.slice(one.span).trim()).collect::<Vec<_>>().join(" and ");
        items.push(Item { path, value, text, unit, worn: None, limit: None, room: None, beyond: None });
    }
    let reporter = Reporter::new(book, plan, readings);
    for ruling in rulings {
        let Some(Datum::Quantity(value)) = &ruling.value else { continue };
        let Some(told) = reporter.tell(ruling) else { continue };
        if told.advisory || told.place.as_ref().is_none_or(|place| place.source != *source) {
            continue;
        }
        let is_worn = told.grade == Grade::Worn;
        let worn = told.standard.clone().zip(told.beyond.clone()).filter(|_| is_worn);
        let beyond = told.beyond.filter(|_| !is_worn);
        let known = items.iter_mut().find(|one| one.path == told.path);
        match known {
            Some(known) if known.limit.is_none() => {
                known.worn = worn;
                (known.limit, known.room, known.beyond) = (told.limit.or(told.standard), told.room, beyond);
            }
            Some(_) => {}
            None => {
                let Some(check) = plan.checks.get(ruling.check) else { continue };
                let characteristic = book.characteristics.get(check.row.subject.characteristic);
                // A reading at a station or of a list stands above; what is left is calculated.
                if matches!(characteristic.origin, Origin::Reading { .. }) && check.row.word.is_none() {
                    continue;
                }
                items.push(Item {
                    path: told.path,
                    value: value.clone(),
                    text: told.value.unwrap_or_default(),
                    unit: characteristic.unit.clone().unwrap_or_else(Unit::number),
                    limit: told.limit.or(told.standard),
                    worn,
                    room: told.room,
                    beyond,
                });
            }
        }
    }
    items
}

impl History {
    /// Brings the occasions of one part or engine together; `None` if there is only one.
    #[must_use]
    pub fn of(name: String, part: Option<String>, mut sightings: Vec<Sighting>) -> Option<History> {
        if sightings.len() < 2 {
            return None;
        }
        let key = |one: &Sighting| (one.occasion.day.is_none(), one.occasion.day, one.occasion.file.clone());
        sightings.sort_by_key(key);
        let mut changes = Vec::new();
        let mut same = 0;
        let mut known: Vec<&str> = Vec::new();
        for item in sightings.iter().flat_map(|one| &one.items) {
            if known.contains(&item.path.as_str()) {
                continue;
            }
            known.push(&item.path);
            let each: Vec<(usize, &Item)> = sightings
                .iter()
                .enumerate()
                .filter_map(|(number, one)| Some((number, one.items.iter().find(|other| other.path == item.path)?)))
                .collect();
            let ([(_, first), .., (_, last)], true) = (each.as_slice(), each.len() > 1) else { continue };
            match change(first, last) {
                Some(by) => changes.push(Change {
                    path: item.path.clone(),
                    values: each.iter().map(|(number, one)| (*number, one.text.clone())).collect(),
                    by,
                    worn: last.worn.clone(),
                    limit: last.limit.clone(),
                    room: last.room.clone(),
                    beyond: last.beyond.clone(),
                }),
                None => same += 1,
            }
        }
        let occasions = sightings.into_iter().map(|one| one.occasion).collect();
        Some(History { of: name, part, occasions, changes, same })
    }
}

/// "0.02 mm less"; `None` if it is the same.
fn change(first: &Item, last: &Item) -> Option<String> {
    let (difference, word) = match last.value.compare(&first.value)? {
        Ordering::Equal => return None,
        Ordering::Less => (first.value.subtract(&last.value), "less"),
        Ordering::Greater => (last.value.subtract(&first.value), "more"),
    };
    let unit = last.unit.difference();
    let exact = unit.from_base(&difference).is_exact_rational().and_then(Number::decimal_places);
    let places = exact.unwrap_or(MOST_PLACES).min(MOST_PLACES);
    Some(format!("{} {word}", shown_apart(&difference, &Value::default(), &unit, places).0))
}
