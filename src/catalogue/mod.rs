//! Every name a book has, as plain data: generations, parts, readings, rows, units, books. Refuses to know how any of it is
//! printed, and which of it was asked for.

mod collect;

pub use collect::{Wanted, catalogue};

use crate::quantity::Date;

/// The names that were asked for; `None` for each kind that was not.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Catalogue {
    /// The generations, each basis too.
    pub generations: Option<Vec<Generation>>,
    /// The parts, the whole machine first.
    pub parts: Option<Vec<Part>>,
    /// The readings, and what is calculated from them.
    pub readings: Option<Vec<Reading>>,
    /// The rows of one generation, inherited ones included.
    pub rows: Option<Vec<Row>>,
    /// The units.
    pub units: Option<Vec<Unit>>,
    /// The books.
    pub books: Option<Vec<Title>>,
    /// The gauges of the shop's list.
    pub gauges: Option<Vec<ListedGauge>>,
}

/// A gauge of a shop, as its calibration in force left it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ListedGauge {
    /// Its name.
    pub name: String,
    /// Its uncertainty in words, with k where that is not 2.
    pub uncertainty: Option<String>,
    /// One step of its scale.
    pub resolution: Option<String>,
    /// How much it shows too much.
    pub error: Option<String>,
    /// Which gauges it is wrong together with, each with the correlation coefficient.
    pub correlated: Vec<String>,
    /// The day it was calibrated.
    pub calibrated: Option<Date>,
    /// The day it is due again.
    pub due: Option<Date>,
    /// What changed from one calibration to the next, in words.
    pub drifts: Vec<String>,
}

/// A generation.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Generation {
    /// Its name, as a record says it.
    pub name: String,
    /// What it is, in technical words.
    pub description: String,
    /// Whether it only serves others to follow: no record names it.
    pub basis: bool,
    /// The generation it takes over from.
    pub follows: Option<String>,
    /// How many rows it has, inherited ones included.
    pub rows: usize,
}

/// A part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Part {
    /// The way to it, positions left out.
    pub path: String,
    /// The names of its positions; none for a part there is one of.
    pub positions: Vec<String>,
    /// How its positions are told apart.
    pub measure: Option<String>,
}

/// A reading, or a value that is calculated.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reading {
    /// The way to it, positions left out.
    pub path: String,
    /// Its unit, its names, `number`, `yes/no` or `text`.
    pub kind: String,
    /// The stations it is taken at; none if anywhere.
    pub stations: Vec<String>,
    /// The least number of readings.
    pub least: u16,
    /// The greatest number of readings; `None` for any.
    pub most: Option<u16>,
    /// Whether it may be left out.
    pub optional: bool,
    /// How it is calculated; `None` if it is measured.
    pub formula: Option<String>,
    /// How it is measured.
    pub measure: Option<String>,
}

/// A row of a generation, its ranges as its book writes them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Row {
    /// What it judges, as its book writes it.
    pub path: String,
    /// As new.
    pub standard: Option<String>,
    /// How far wear may go.
    pub limit: Option<String>,
    /// When it applies.
    pub condition: Option<String>,
    /// Whether it is advice only.
    pub advisory: bool,
    /// Where it comes from.
    pub source: Option<String>,
}

/// A unit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unit {
    /// As it is printed.
    pub symbol: String,
    /// The other forms that may be typed.
    pub also: Vec<String>,
    /// One of it in base units.
    pub size: String,
}

/// A book.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Title {
    /// The file.
    pub file: String,
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: Option<Date>,
    /// All it says, where one book was asked for by its name.
    pub text: Option<String>,
}
