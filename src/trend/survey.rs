//! Takes one characteristic off record after record, worked out where it is derived. Refuses to judge it, and to guess what
//! was not measured.

use super::Point;
use super::find::{self, Fault, Meant, split_word};
use super::risk;
use crate::bind::Readings;
use crate::book::{Book, Characteristic, Datum, Generation, Id, Kind, Origin, Part, Reach, Selector};
use crate::judge::{gauges_of, values_of};
use crate::plan::{Element, Operation, Plan, Program};
use crate::quantity::{Unit, Value};
use crate::statistics::sample;
use crate::syntax::tree::Collector;

/// What is looked for in the records of one shop, ready for each of its generations.
#[derive(Clone, Debug)]
pub struct Survey {
    /// The path of the characteristic, with its word and the positions that are named.
    pub path: String,
    /// What its values are printed in.
    pub unit: Unit,
    /// The path of what builds are grouped by.
    pub by: Option<String>,
    /// What is looked for.
    subject: Id<Characteristic>,
    word: Option<Collector>,
    group: Option<Grouping>,
    /// For each generation of the book, by its number, how to work out what is needed, and where to look.
    spots: Vec<(Plan, Vec<Spot>)>,
}

/// The word that groups values by what they were measured with, unless a book has something of that name.
const GAUGE: &str = "gauge";

/// What values are grouped by.
#[derive(Clone, Copy, Debug)]
enum Grouping {
    /// What the record says of this.
    Said(Id<Characteristic>),
    /// The gauges they were taken with.
    Gauge,
}

/// One place of the characteristic.
#[derive(Clone, Debug)]
struct Spot {
    path: String,
    position: String,
    order: usize,
    value: Program,
    /// The slot of readings it is the mean of, where it is nothing else.
    readings: Option<usize>,
    /// How to work out its group, and in which slot that stands.
    group: Option<(Program, usize)>,
}

/// A value with its group and the readings it is the mean of.
type Grouped = (Option<(u16, String)>, Vec<Value>, Value);

/// What was seen in one record.
#[derive(Clone, PartialEq, Debug)]
pub struct Sight {
    /// The values there are.
    pub points: Vec<Point>,
    /// The paths of those there are not.
    pub missing: Vec<String>,
}

impl Survey {
    /// Looks the characteristic up in a book without errors: a path such as `rotor.side_clearance`, `rotor.front.width` or
    /// `smallest of housing.width`; and what to group by.
    ///
    /// # Errors
    /// [`Fault`] of the one or, beside `true`, of the other.
    pub fn new(book: &Book, asked: &str, by: Option<&str>) -> Result<Survey, (Fault, bool)> {
        let (word, path) = split_word(asked.trim());
        let meant = find::subject(book, word, path).map_err(|fault| (fault, false))?;
        let characteristic = book.characteristics.get(meant.characteristic);
        let mut by_gauge = false;
        let group = match by.map(|by| find::group(book, characteristic.part, by.trim())).transpose() {
            Err(Fault::Unknown(_)) if by.is_some_and(|by| by.trim() == GAUGE) => {
                by_gauge = true;
                None
            }
            found => found.map_err(|fault| (fault, true))?,
        };
        let seen = |group| seen_from(book, characteristic.part, &group).map(|selectors| (group, selectors));
        let group = group.map(seen).transpose().map_err(|fault| (fault, true))?;
        let mut wanted = vec![meant.characteristic];
        wanted.extend(group.as_ref().map(|(group, _)| group.characteristic));
        let spots = book
            .generations
            .entries()
            .map(|(id, generation)| {
                let (plan, _) = Plan::for_values(book, id, &wanted);
                (plan, spots(book, generation, &meant, word, group.as_ref()))
            })
            .collect();
        let declared = characteristic.unit.clone().unwrap_or_else(Unit::number);
        let unit = match (word, characteristic.kind) {
            (Some(Collector::Count), _) | (_, Kind::Names(_) | Kind::YesNo | Kind::Text) => Unit::number(),
            (Some(Collector::Spread), _) => declared.difference(),
            _ => declared,
        };
        let name = named(book, &meant);
        Ok(Survey {
            path: word.map_or_else(|| name.clone(), |word| format!("{} of {name}", word.word())),
            unit,
            by: match &group {
                Some((group, _)) => Some(named(book, group)),
                None => by_gauge.then(|| GAUGE.to_owned()),
            },
            subject: meant.characteristic,
            word,
            group: match &group {
                Some((group, _)) => Some(Grouping::Said(group.characteristic)),
                None => by_gauge.then_some(Grouping::Gauge),
            },
            spots,
        })
    }

    /// Whether what is looked for belongs to a part, or to one inside it.
    #[must_use]
    pub fn is_of(&self, book: &Book, part: Id<Part>) -> bool {
        let owner = book.characteristics.get(self.subject).part;
        owner == part || book.is_inside(owner, part)
    }

    /// Says of each value seen in a record what judges it, by the plan of its generation.
    pub fn judge(&self, (book, plan, readings): (&Book, &Plan, &Readings), sight: &mut Sight) {
        let all = risk::judged((book, plan, readings), (self.subject, self.word));
        for point in &mut sight.points {
            let its = all.iter().find(|(path, value, _)| *path == point.path && *value == point.value);
            point.judged = its.map(|(_, _, judged)| judged.clone());
        }
    }

    /// As [`Survey::sight`], of a loose part, by a survey of a book in which its positions have no names: what stands at one
    /// position stands for all of them.
    #[must_use]
    pub fn sight_of_part(&self, book: &Book, readings: &Readings, file: &str, tag: &str) -> Sight {
        let mut sight = self.sight(book, readings, file, tag);
        let Sight { points, missing } = &mut sight;
        missing.retain(|path| !points.iter().any(|point| point.path == *path));
        missing.dedup();
        sight
    }

    /// The values in one record that says its generation and the day it was finished; none of one that does not.
    #[must_use]
    pub fn sight(&self, book: &Book, readings: &Readings, file: &str, build: &str) -> Sight {
        let mut sight = Sight { points: Vec::new(), missing: Vec::new() };
        let (Some(id), Some(finished)) = (readings.generation, readings.finished) else { return sight };
        let Some((plan, spots)) = self.spots.get(id.index()) else { return sight };
        let said = |spot: &'_ Spot| spot.group.is_some();
        let programs = spots
            .iter()
            .flat_map(|spot| [Some(&spot.value), spot.group.as_ref().map(|(program, _)| program)])
            .flatten();
        let mut values = values_of(plan, readings, programs).into_iter();
        for spot in spots {
            let value = values.next().flatten();
            let group = if said(spot) { values.next().flatten() } else { None };
            let Some(Datum::Quantity(value)) = value else {
                sight.missing.push(spot.path.clone());
                continue;
            };
            let values = match (self.group, &spot.group) {
                (Some(Grouping::Gauge), _) => by_gauge(plan, readings, spot, value),
                (Some(Grouping::Said(id)), Some((_, slot))) => {
                    let group = group.and_then(|group| group_name(book, readings, id, &group, *slot));
                    vec![(group, repeats(readings, spot, &value), value)]
                }
                _ => vec![(None, repeats(readings, spot, &value), value)],
            };
            sight.points.extend(values.into_iter().map(|(group, repeats, value)| Point {
                build: build.to_owned(),
                file: file.to_owned(),
                finished,
                generation: book.generations.get(id).name.to_string(),
                path: spot.path.clone(),
                position: spot.position.clone(),
                loose: readings.is_part,
                order: spot.order,
                value,
                repeats,
                group,
                judged: None,
            }));
        }
        sight
    }
}

/// What the record says of a group: a name, yes or no, or words as they are written.
fn group_name(
    book: &Book,
    readings: &Readings,
    id: Id<Characteristic>,
    group: &Datum,
    slot: usize,
) -> Option<(u16, String)> {
    match group {
        Datum::Name(number) => {
            let Kind::Names(set) = book.characteristics.get(id).kind else { return None };
            Some((*number, book.sets.get(set).name_of(*number).to_owned()))
        }
        Datum::YesNo(yes) => Some((u16::from(*yes), if *yes { "yes" } else { "no" }.to_owned())),
        Datum::Words => {
            let words = readings.slice(readings.taken(slot).first()?.span);
            // The same name is one group, quoted or not.
            Some((0, words.trim_matches(['"', '\'', ' ']).to_owned()))
        }
        Datum::Quantity(_) => None,
    }
}

/// A value with the gauges it was taken with. Readings of one thing by several gauges are a value for each of them; what is worked
/// out from readings by several gauges is of no one gauge, and its group says all of them.
fn by_gauge(plan: &Plan, readings: &Readings, spot: &Spot, value: Value) -> Vec<Grouped> {
    let mut each: Vec<(Option<&str>, Vec<Value>)> = Vec::new();
    for reading in spot.readings.map_or(&[][..], |slot| readings.taken(slot)) {
        let Datum::Quantity(value) = &reading.datum else { continue };
        let gauge = readings.gauge_of(reading).map(|gauge| gauge.name.as_str());
        match each.iter_mut().find(|(other, _)| *other == gauge) {
            Some((_, values)) => values.push(value.clone()),
            None => each.push((gauge, vec![value.clone()])),
        }
    }
    if each.len() > 1 {
        let mean = |(gauge, values): (Option<&str>, Vec<Value>)| {
            let mean = sample::mean(&values)?;
            Some((gauge.map(|gauge| (0, gauge.to_owned())), values, mean))
        };
        return each.into_iter().filter_map(mean).collect();
    }
    let group = gauges_of(plan, readings, &spot.value).map(|mut gauges| {
        gauges.sort_unstable();
        (0, gauges.join(" and "))
    });
    vec![(group, repeats(readings, spot, &value), value)]
}

/// The readings that a value is the mean of; itself where it is anything else.
fn repeats(readings: &Readings, spot: &Spot, value: &Value) -> Vec<Value> {
    let taken = spot.readings.and_then(|slot| readings.quantities(slot));
    taken.filter(|taken| !taken.is_empty()).unwrap_or_else(|| vec![value.clone()])
}

/// The path with the positions and the station that are named.
fn named(book: &Book, meant: &Meant) -> String {
    let characteristic = book.characteristics.get(meant.characteristic);
    let mut chain = Vec::new();
    let mut at = Some(characteristic.part);
    while let Some(id) = at {
        chain.push(book.parts.get(id));
        at = book.parts.get(id).parent;
    }
    let mut steps: Vec<&str> = Vec::new();
    let mut fixed = meant.fixed.iter();
    for part in chain.into_iter().rev() {
        if part.parent.is_some() {
            steps.push(&part.name);
        }
        if !part.positions.is_empty()
            && let Some(Some(position)) = fixed.next()
        {
            steps.extend(part.positions.get(usize::from(*position)).map(|name| &**name));
        }
    }
    steps.push(&characteristic.name);
    let station = meant.station.and_then(|station| characteristic.stations().get(usize::from(station)));
    steps.extend(station.map(|name| &**name));
    steps.join(".")
}

/// Which positions of its parts a group has, seen from a part: those that are named, those of the part itself, and those
/// of a part with the same positions (this rotor's housing).
fn seen_from(book: &Book, from: Id<Part>, group: &Meant) -> Result<Vec<Selector>, Fault> {
    let here = &book.parts.get(from).positioned;
    let characteristic = book.characteristics.get(group.characteristic);
    let chain = book.parts.get(characteristic.part).positioned.iter().zip(&group.fixed);
    chain
        .map(|(part, fixed)| {
            if let Some(position) = fixed {
                return Ok(Selector::At(*position));
            }
            let alike = |other: &Id<Part>| book.parts.get(*other).positions == book.parts.get(*part).positions;
            let depth = here.iter().position(|other| other == part).or_else(|| here.iter().position(alike));
            let depth = depth.and_then(|depth| depth.try_into().ok());
            depth.map(Selector::Same).ok_or_else(|| Fault::WhichOne(book.path(group.characteristic, &[], None)))
        })
        .collect()
}

/// Every place of the characteristic in a generation: each position and, unless a word makes one value of them, each station.
fn spots(
    book: &Book,
    generation: &Generation,
    meant: &Meant,
    word: Option<Collector>,
    group: Option<&(Meant, Vec<Selector>)>,
) -> Vec<Spot> {
    let characteristic = book.characteristics.get(meant.characteristic);
    let stations: Vec<Option<u16>> = match (meant.station, characteristic.stations().len()) {
        (Some(station), _) => vec![Some(station)],
        (None, 0) => vec![None],
        (None, count) => (0..count).map(|station| u16::try_from(station).ok()).collect(),
    };
    let mut spots = Vec::new();
    for positions in book.instances(characteristic.part, generation) {
        let other = |(fixed, position): (&Option<u16>, &u16)| fixed.is_some_and(|fixed| fixed != *position);
        if meant.fixed.iter().zip(&positions).any(other) {
            continue;
        }
        let instance = book.instance(characteristic.part, &positions);
        let slot = |station: &Option<u16>| characteristic.slot(instance, station.map_or(0, usize::from));
        let group = group.and_then(|(group, selectors)| group_of(book, generation, group, selectors, &positions));
        let is_reading = matches!(characteristic.origin, Origin::Reading { .. });
        let mut spot = |station: Option<u16>, collector: Collector, slots: Vec<usize>| {
            let readings = slots.first().copied().filter(|_| word.is_none() && is_reading);
            let elements = slots.into_iter().map(Element::Slot).collect();
            spots.push(Spot {
                path: book.path(meant.characteristic, &positions, station),
                position: position(book, characteristic, &positions, station),
                order: slot(&station.or(Some(0))),
                value: Program { operations: vec![Operation::Collect(collector, elements)] },
                readings,
                group: group.clone(),
            });
        };
        match word {
            Some(word) => spot(meant.station, word, stations.iter().map(slot).collect()),
            // Readings of one thing taken several times: their mean.
            None => stations.iter().for_each(|station| spot(*station, Collector::Mean, vec![slot(station)])),
        }
    }
    spots
}

fn group_of(
    book: &Book,
    generation: &Generation,
    group: &Meant,
    selectors: &[Selector],
    here: &[u16],
) -> Option<(Program, usize)> {
    let reach = Reach { characteristic: group.characteristic, selectors: selectors.to_vec(), station: group.station };
    let slot = *book.slots_reached(generation, &reach, here).ok()?.first()?;
    Some((Program { operations: vec![Operation::Slot(slot)] }, slot))
}

/// The positions and the station in words.
fn position(book: &Book, characteristic: &Characteristic, positions: &[u16], station: Option<u16>) -> String {
    let parts = book.parts.get(characteristic.part).positioned.iter().zip(positions);
    let names = parts.filter_map(|(part, position)| book.parts.get(*part).positions.get(usize::from(*position)));
    let station = station.and_then(|station| characteristic.stations().get(usize::from(station)));
    names.chain(station).map(|name| &**name).collect::<Vec<&str>>().join(" ")
}
