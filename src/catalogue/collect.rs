//! Takes the names out of a book, in the order the book declares them.

use super::{Catalogue, Generation, Part, Reading, Row, Title, Unit};
use crate::book::{self, Book, Characteristic, Count, Id, Kind, Origin};
use crate::judge::row_source_words;
use crate::quantity::shown;
use std::collections::{BTreeMap, BTreeSet};

/// What was asked for.
#[derive(Clone, Copy, Debug)]
pub enum Wanted<'a> {
    /// Generations, parts and books: where to go on from.
    Overview,
    /// Every generation.
    Generations,
    /// Every part.
    Parts,
    /// The readings of these parts and of what is inside them; of all parts where none is named.
    Readings(&'a [Id<book::Part>]),
    /// The rows of a generation.
    Rows(Id<book::Generation>),
    /// Every unit.
    Units,
    /// The gauges of a shop: no book has them, and whoever asks puts them there.
    Gauges,
    /// Every book; with a file's name, that book with its text.
    Books(Option<&'a str>),
}

/// The names that were asked for.
#[must_use]
pub fn catalogue(book: &Book, wanted: Wanted<'_>) -> Catalogue {
    let nothing = Catalogue::default();
    match wanted {
        Wanted::Overview => Catalogue {
            generations: Some(generations(book)),
            parts: Some(parts(book)),
            books: Some(books(book, None)),
            ..nothing
        },
        Wanted::Generations => Catalogue { generations: Some(generations(book)), ..nothing },
        Wanted::Parts => Catalogue { parts: Some(parts(book)), ..nothing },
        Wanted::Readings(only) => Catalogue { readings: Some(readings(book, only)), ..nothing },
        Wanted::Rows(generation) => Catalogue { rows: Some(rows(book, generation)), ..nothing },
        Wanted::Gauges => nothing,
        Wanted::Units => Catalogue { units: Some(units(book)), ..nothing },
        Wanted::Books(name) => Catalogue { books: Some(books(book, name)), ..nothing },
    }
}

fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn strings(names: &[Box<str>]) -> Vec<String> {
    names.iter().map(ToString::to_string).collect()
}

fn generations(book: &Book) -> Vec<Generation> {
    let one = |generation: &book::Generation| Generation {
        name: generation.name.to_string(),
        description: generation.description.to_string(),
        basis: generation.basis,
        follows: generation.follows.map(|id| book.generations.get(id).name.to_string()),
        rows: generation.rows.len(),
    };
    book.generations.iter().map(one).collect()
}

/// The way to a part; the whole machine goes by its own name.
fn part_path(book: &Book, id: Id<book::Part>) -> String {
    let path = book.part_path(id, &[], ".");
    if path.is_empty() { book.parts.get(id).name.to_string() } else { path }
}

fn parts(book: &Book) -> Vec<Part> {
    let one = |(id, part): (Id<book::Part>, &book::Part)| Part {
        path: part_path(book, id),
        positions: strings(&part.positions),
        measure: part.measure.as_ref().map(ToString::to_string),
    };
    book.parts.entries().map(one).collect()
}

/// The unit, the names or the word for a kind of value.
fn kind(book: &Book, characteristic: &Characteristic) -> String {
    match (characteristic.kind, &characteristic.unit) {
        (Kind::Quantity(_), Some(unit)) if !unit.symbol.is_empty() => unit.symbol.to_string(),
        (Kind::Quantity(_), _) => "number".into(),
        (Kind::Names(set), _) => {
            let set = book.sets.get(set);
            let between = if set.ordered { " < " } else { " or " };
            strings(&set.names).join(between)
        }
        (Kind::YesNo, _) => "yes/no".into(),
        (Kind::Text, _) => "text".into(),
    }
}

fn readings(book: &Book, only: &[Id<book::Part>]) -> Vec<Reading> {
    // A part always comes after the one it belongs to, so one pass from the front finds all that is inside.
    let mut inside: BTreeSet<Id<book::Part>> = only.iter().copied().collect();
    for (id, part) in book.parts.entries() {
        if part.parent.is_some_and(|parent| inside.contains(&parent)) {
            inside.insert(id);
        }
    }
    let mut readings = Vec::new();
    for (id, characteristic) in book.characteristics.entries() {
        if !only.is_empty() && !inside.contains(&characteristic.part) {
            continue;
        }
        let (count, formula) = match &characteristic.origin {
            Origin::Reading { count, .. } => (*count, None),
            Origin::Derived(body) => {
                (Count::ONE, Some(body.as_ref().map_or_else(String::new, |body| folded(body.place.text()))))
            }
        };
        readings.push(Reading {
            path: book.path(id, &[], None),
            kind: kind(book, characteristic),
            stations: strings(characteristic.stations()),
            least: count.least,
            most: count.most,
            optional: characteristic.is_optional(),
            formula,
            measure: characteristic.texts.measure.as_ref().map(ToString::to_string),
        });
    }
    readings
}

fn rows(book: &Book, generation: Id<book::Generation>) -> Vec<Row> {
    let range = |range: &Option<book::Range>| range.as_ref().map(|range| folded(range.place.text()));
    let one = |row: &std::sync::Arc<book::Row>| Row {
        path: row.path.to_string(),
        standard: range(&row.standard),
        limit: range(&row.limit),
        condition: row.condition.as_ref().map(|condition| condition.words()),
        advisory: row.advisory,
        source: row_source_words(book, row),
    };
    book.generations.get(generation).rows.iter().map(one).collect()
}

/// In order of declaration, the forms that may be typed beside the one that is printed.
fn units(book: &Book) -> Vec<Unit> {
    let one = |unit: &crate::quantity::Unit| {
        let size = format!("{} {}", shown(&unit.size, &crate::quantity::Unit::number(), 12), unit.dimension);
        Unit { symbol: unit.symbol.to_string(), also: Vec::new(), size: size.trim().to_string() }
    };
    let mut units: Vec<Unit> = book.units.units().map(one).collect();
    let places: BTreeMap<String, usize> = units.iter().zip(0..).map(|(unit, at)| (unit.symbol.clone(), at)).collect();
    for name in book.units.names() {
        let Some(unit) = book.units.find(name).filter(|unit| *unit.symbol != *name) else { continue };
        if let Some(listed) = places.get(&*unit.symbol).and_then(|at| units.get_mut(*at)) {
            listed.also.push(name.to_string());
        }
    }
    units
}

fn books(book: &Book, name: Option<&str>) -> Vec<Title> {
    // `parts` means parts.rulebook, in whatever folder, shipped or not.
    let is_meant = |file: &str, name: &str| {
        let last = file.rsplit(['/', '\\', ' ']).next().unwrap_or(file);
        file == name || last == name || last.strip_suffix(".rulebook") == Some(name)
    };
    let titles = book.titles.iter().filter(|title| name.is_none_or(|name| is_meant(&title.file, name)));
    let one = |title: &book::Title| Title {
        file: title.file.clone(),
        title: title.title.clone(),
        edition: title.edition,
        text: name.map(|_| title.source.text().to_string()),
    };
    titles.map(one).collect()
}
