//! Rulebooks with their meaning checked: vocabulary, formulas, generations and rows. Refuses to know what a machine is
//! made of: parts, units and formulas are all declared in books.

mod check;
pub mod circles;
mod compile;
pub mod decision;
pub mod evaluate;
mod expansion;
pub mod expression;
pub mod fits;
mod force;
mod generations;
mod house;
pub(crate) mod interval;
mod list;
mod overlay;
mod plausible;
mod printed_pair;
mod range;
mod rework;
mod rounding;
mod row;
mod rows;
mod rows_on;
pub mod satisfy;
mod scope;
mod slots;
mod sources;
mod table;
mod target;
mod telltale;
mod trial;
mod typed;
mod vocabulary;
pub(crate) mod wave;
mod wording;
mod wording_figures;
mod wording_fits;
mod wording_house;
mod wording_plausible;
mod wording_rework;
mod wording_rows;
mod wording_units;

pub use compile::compile;

pub use decision::Decision;
pub use expansion::Expansion;
pub use expression::{Bound, Expression, ExpressionKind, Function, Kind, Range, RangeKind, Reach, Selector};
pub use fits::Fits;
pub use list::{Id, List};
pub use plausible::{Plausible, PlausibleGauges};
pub use rework::{Rework, ReworkFollower, ReworkTarget};
pub use rounding::Rounding;
pub use row::{Change, ChangeKind, Citation, Provenance, Row, Texts};
pub use scope::{Step, steps};
pub use table::Table;
pub use telltale::{Tells, Telltale};
pub use trial::{Expected, Given, Trial};
pub use wording_figures::outside_table;

use crate::quantity::{Date, Dimension, Unit, UnitTable, Value};
use crate::text::{Place, Source};
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// A set of rulebooks that belong together, checked. It holds no row, formula or derivation that did not check: what
/// did not has a finding instead, and whoever compiles must not judge while there are errors.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// The files it was made of, in the order they were read.
    pub titles: Vec<Title>,
    /// What to mind whenever something fails.
    pub cautions: Vec<Box<str>>,
    /// Every unit declared.
    pub units: UnitTable,
    /// Classes and choices.
    pub sets: List<NameSet>,
    /// Formulas.
    pub formulas: List<Formula>,
    /// Functions given by points.
    pub tables: List<Arc<Table>>,
    /// Parts, the whole machine first.
    pub parts: List<Part>,
    /// Readings and derived values.
    pub characteristics: List<Characteristic>,
    /// Constants that generations supply.
    pub constants: List<Constant>,
    /// Tolerance grades and fundamental deviations, if a book declares them.
    pub fits: Option<Fits>,
    /// Sources of numbers.
    pub citations: List<Citation>,
    /// Generations.
    pub generations: List<Generation>,
    /// The examples the books carry with them.
    pub trials: Vec<Trial>,
    /// The shop whose tolerances the books hold, if they hold any.
    pub house: Option<House>,
    /// What the figures of gauges can be at all, one for each dimension.
    pub plausible_gauges: Vec<PlausibleGauges>,
    /// How it decides near a limit.
    pub decision: Decision,
    /// How many slots a record's values take: one for every characteristic at every position and station.
    pub slot_count: usize,
}

/// The header of one file.
#[derive(Clone, Debug)]
pub struct Title {
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: Option<Date>,
    /// The file's name.
    pub file: String,
    /// The file.
    pub source: Source,
}

/// A class (ordered) or choice (not ordered).
#[derive(Clone, Debug)]
pub struct NameSet {
    /// Its name; none where it is said on the spot, as in `duty : choice street, race`.
    pub name: Option<Box<str>>,
    /// Whether the order means something.
    pub ordered: bool,
    /// The names in order.
    pub names: Vec<Box<str>>,
    /// Where it is declared.
    pub place: Place,
}

impl NameSet {
    /// The number of a name.
    #[must_use]
    pub fn number(&self, name: &str) -> Option<u16> {
        self.names.iter().position(|other| **other == *name).and_then(|at| u16::try_from(at).ok())
    }

    /// The name of a number.
    #[must_use]
    pub fn name_of(&self, number: u16) -> &str {
        self.names.get(usize::from(number)).map_or("", |name| name)
    }
}

/// A shop that changes what the generations say.
#[derive(Clone, Debug)]
pub struct House {
    /// Its name.
    pub name: Box<str>,
    /// Where it is first named.
    pub place: Place,
}

/// A formula: a total function on quantities.
#[derive(Clone, Debug)]
pub struct Formula {
    /// Its name.
    pub name: Box<str>,
    /// What it takes.
    pub parameters: Vec<(Box<str>, Kind)>,
    /// What it gives.
    pub result: Kind,
    /// How.
    pub body: Expression,
    /// Where it is declared.
    pub place: Place,
}

/// A part of the machine.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name.
    pub name: Box<str>,
    /// The part it belongs to; none for the whole machine.
    pub parent: Option<Id<Part>>,
    /// Its positions; empty for a part there is one of.
    pub positions: Vec<Box<str>>,
    /// What is inside, in order.
    pub members: Vec<(Box<str>, Member)>,
    /// The same by name.
    pub member_by_name: FxHashMap<Box<str>, Member>,
    /// The number of each position by name.
    pub position_by_name: FxHashMap<Box<str>, u16>,
    /// Every part with positions from the whole machine down to this one, itself included.
    pub positioned: Vec<Id<Part>>,
    /// How much its material grows as it warms, if a book says so: its own lengths are brought to 20 °C by it.
    pub expansion: Option<Expansion>,
    /// How its positions are told apart, if a book says so.
    pub measure: Option<Box<str>>,
    /// How many of it there are in the whole machine: the product of the numbers of positions down to it.
    pub instances: usize,
    /// Where it is declared.
    pub place: Place,
}

/// What may be inside a part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Member {
    /// A reading or a derived value.
    Characteristic(Id<Characteristic>),
    /// A part of the part.
    Part(Id<Part>),
}

/// A reading or a derived value.
#[derive(Clone, Debug)]
pub struct Characteristic {
    /// Its name.
    pub name: Box<str>,
    /// The part it is a characteristic of.
    pub part: Id<Part>,
    /// What kind of value.
    pub kind: Kind,
    /// The unit the book declares it in, for quantities.
    pub unit: Option<Unit>,
    /// Taken or worked out.
    pub origin: Origin,
    /// Sentences for every row on it.
    pub texts: Texts,
    /// Where it is declared.
    pub place: Place,
    /// The slot of its first position and station; the others follow, positions outermost first, stations innermost.
    pub first_slot: usize,
}

/// Where a characteristic's value comes from.
#[derive(Clone, Debug)]
pub enum Origin {
    /// It is measured.
    Reading {
        /// Named places it is taken at; empty if anywhere.
        stations: Vec<Box<str>>,
        /// Whether it may be left out.
        optional: bool,
        /// How often it is taken.
        count: Count,
        /// Whether it may be below zero; temperatures on a scale always may.
        may_be_negative: bool,
        /// How near to each other its values must lie, if a book says so.
        agree: Option<Agreement>,
    },
    /// It is worked out. `None` where the derivation did not check.
    Derived(Option<Arc<Expression>>),
}

/// How near to each other the values of one reading must lie, over its stations and its list.
#[derive(Clone, Debug)]
pub struct Agreement {
    /// From the smallest to the largest, at most, in base units.
    pub within: Value,
    /// Where it is declared.
    pub place: Place,
}

/// How many readings are asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Count {
    /// At least so many.
    pub least: u16,
    /// At most so many; `None` for as many as one likes.
    pub most: Option<u16>,
}

impl Count {
    /// One reading.
    pub const ONE: Count = Count { least: 1, most: Some(1) };
}

impl Characteristic {
    /// Whether the eye is enough to take it: a name, or yes or no. A quantity needs a gauge, and what is calculated needs its
    /// readings.
    #[must_use]
    pub fn by_eye(&self) -> bool {
        matches!(self.kind, Kind::Names(_) | Kind::YesNo) && matches!(self.origin, Origin::Reading { .. })
    }

    /// The stations of a reading; none for a derived value.
    #[must_use]
    pub fn stations(&self) -> &[Box<str>] {
        match &self.origin {
            Origin::Reading { stations, .. } => stations,
            Origin::Derived(_) => &[],
        }
    }

    /// How many slots one instance takes.
    #[must_use]
    pub fn slots_each(&self) -> usize {
        self.stations().len().max(1)
    }

    /// Whether it is a reading that may be left out.
    #[must_use]
    pub fn is_optional(&self) -> bool {
        matches!(self.origin, Origin::Reading { optional: true, .. })
    }

    /// Whether one instance can have several values: taken several times, or at stations.
    #[must_use]
    pub fn is_many(&self) -> bool {
        match &self.origin {
            Origin::Reading { stations, count, .. } => !stations.is_empty() || *count != Count::ONE,
            Origin::Derived(_) => false,
        }
    }

    /// The slot of an instance and station.
    #[must_use]
    pub fn slot(&self, instance: usize, station: usize) -> usize {
        self.first_slot + instance * self.slots_each() + station
    }
}

/// A constant that each generation supplies.
#[derive(Clone, Debug)]
pub struct Constant {
    /// Its name.
    pub name: Box<str>,
    /// Its dimension.
    pub dimension: Dimension,
    /// The unit it is declared in.
    pub unit: Option<Unit>,
    /// Where it is declared, or first given.
    pub place: Place,
}

/// A generation of the machine.
#[derive(Clone, Debug)]
pub struct Generation {
    /// Its name, as records say it.
    pub name: Box<str>,
    /// What it is, in technical words.
    pub description: Box<str>,
    /// Whether it only serves others to follow: no record is judged by it.
    pub basis: bool,
    /// The generation it takes over from.
    pub follows: Option<Id<Generation>>,
    /// For each part, by its number, which positions are there; `None` means all.
    pub fitted: Vec<Option<Vec<u16>>>,
    /// For each constant, by its number, its value in base units.
    pub constants: Vec<Option<GivenConstant>>,
    /// Its rows, inherited ones included, in the order they were first declared.
    pub rows: Vec<Arc<Row>>,
    /// What tells it from other generations, inherited ones included. Nothing is judged by them.
    pub telltales: Vec<Arc<Telltale>>,
    /// What tells one value of a reading of names from the others, inherited ones included. Nothing is judged by them.
    pub value_telltales: Vec<Arc<Telltale>>,
    /// What its readings can be at all, inherited ranges included, then those that a shop narrowed.
    pub plausible: Vec<Arc<Plausible>>,
    /// What a shop can do to its readings and parts, inherited operations included.
    pub reworks: Vec<Arc<Rework>>,
    /// Where it is declared.
    pub place: Place,
}

impl Generation {
    /// The positions of a part this generation has, by number.
    #[must_use]
    pub fn positions(&self, part: Id<Part>, declared: usize) -> Vec<u16> {
        match self.fitted.get(part.index()) {
            Some(Some(fitted)) => fitted.clone(),
            _ => (0..u16::try_from(declared).unwrap_or(u16::MAX)).collect(),
        }
    }

    /// Whether a position is there.
    #[must_use]
    pub fn has(&self, part: Id<Part>, position: u16) -> bool {
        match self.fitted.get(part.index()) {
            Some(Some(fitted)) => fitted.contains(&position),
            _ => true,
        }
    }
}

/// The value a generation gives a constant.
#[derive(Clone, Debug)]
pub struct GivenConstant {
    /// In base units.
    pub value: Value,
    /// Where it is given.
    pub place: Place,
    /// Where it comes from.
    pub texts: Texts,
}

impl Book {
    /// The whole machine, if the books declare one.
    #[must_use]
    pub fn root(&self) -> Option<Id<Part>> {
        self.parts.ids().next()
    }

    /// A generation by its name.
    #[must_use]
    pub fn generation(&self, name: &str) -> Option<Id<Generation>> {
        self.generations.entries().find(|(_, generation)| *generation.name == *name).map(|(id, _)| id)
    }

    /// The number of an instance from the positions of its parts, outermost first.
    #[must_use]
    pub fn instance(&self, part: Id<Part>, positions: &[u16]) -> usize {
        let part = self.parts.get(part);
        part.positioned
            .iter()
            .zip(positions)
            .fold(0, |instance, (id, position)| instance * self.parts.get(*id).positions.len() + usize::from(*position))
    }

    /// Every instance of a part that a generation has: the positions of its parts, outermost first.
    #[must_use]
    pub fn instances(&self, part: Id<Part>, generation: &Generation) -> Vec<Vec<u16>> {
        let mut all = vec![Vec::new()];
        for id in &self.parts.get(part).positioned {
            let here = generation.positions(*id, self.parts.get(*id).positions.len());
            all = all
                .iter()
                .flat_map(|before: &Vec<u16>| {
                    here.iter().map(move |position| {
                        let mut positions = before.clone();
                        positions.push(*position);
                        positions
                    })
                })
                .collect();
        }
        all
    }

    /// The way to a characteristic at given positions, as a record's keys say it: `rotor.front.apex_seal.1.height`.
    #[must_use]
    pub fn path(&self, characteristic: Id<Characteristic>, positions: &[u16], station: Option<u16>) -> String {
        let characteristic = self.characteristics.get(characteristic);
        let mut path = self.part_path(characteristic.part, positions, ".");
        if !path.is_empty() {
            path.push('.');
        }
        path.push_str(&characteristic.name);
        if let Some(name) = station.and_then(|station| characteristic.stations().get(usize::from(station))) {
            path.push('.');
            path.push_str(name);
        }
        path
    }

    /// The way to a part at given positions, its steps joined by `between`; empty for the whole machine.
    #[must_use]
    pub fn part_path(&self, part: Id<Part>, positions: &[u16], between: &str) -> String {
        let mut chain = Vec::new();
        let mut at = Some(part);
        while let Some(id) = at {
            chain.push(id);
            at = self.parts.get(id).parent;
        }
        let mut steps: Vec<&str> = Vec::new();
        let mut positions = positions.iter();
        for id in chain.iter().rev().skip(1) {
            let part = self.parts.get(*id);
            steps.push(&part.name);
            if !part.positions.is_empty()
                && let Some(name) = positions.next().and_then(|position| part.positions.get(usize::from(*position)))
                && !name.is_empty()
            {
                steps.push(name);
            }
        }
        steps.join(between)
    }
}

/// One value of a characteristic.
#[derive(Clone, PartialEq, Debug)]
pub enum Datum {
    /// A quantity in base units.
    Quantity(Value),
    /// A name of a class or choice, by its number there.
    Name(u16),
    /// Yes or no.
    YesNo(bool),
    /// Free words, not kept: nothing judges them.
    Words,
}
