//! Features named in words, `rotor.pocket` and `machined`, read as a record of one line would be. Refuses to guess.

use super::{Seen, evidence};
use crate::bind::bind;
use crate::book::{Book, Characteristic, Id, Kind, Origin};
use crate::finding::{Code, Finding, nearest};
use crate::record;
use crate::text::Source;

/// Why a feature cannot be taken.
#[derive(Clone, Debug)]
pub enum Trouble {
    /// Nothing is called that; what may have been meant.
    Unknown(Option<String>),
    /// Several things are called that.
    Several(Vec<String>),
    /// It is worked out from readings, and nothing can be said of it directly.
    WorkedOut(String),
    /// It tells no generation from another.
    TellsNothing(String),
    /// The value cannot be read.
    Value(Vec<Finding>),
}

/// A characteristic at a place of the machine, as far as its name says.
struct Place {
    characteristic: Id<Characteristic>,
    /// The parts on the way with, for those that have positions, the position's name.
    steps: Vec<(String, Option<String>)>,
    station: Option<String>,
}

/// What a feature says: its path as a record's keys say it, parts before it and positions left out at will, and its value as
/// a record would have it. Of a position left out, the first is meant.
///
/// # Errors
/// What is wrong with its name or its value.
pub fn feature(book: &Book, path: &str, value: &str) -> Result<Vec<Seen>, Trouble> {
    let place = find(book, path)?;
    let characteristic = book.characteristics.get(place.characteristic);
    let full = plain_path(book, place.characteristic);
    if matches!(characteristic.origin, Origin::Derived(_)) {
        return Err(Trouble::WorkedOut(full));
    }
    let quoted = quote(value.trim());
    let mut text = match &place.station {
        Some(station) => format!("{}: {{ {station}: {quoted} }}", characteristic.name),
        None => format!("{}: {quoted}", characteristic.name),
    };
    for (part, position) in place.steps.iter().rev() {
        text = match position {
            Some(position) => format!("{part}: {{ {position}: {{ {text} }} }}"),
            None => format!("{part}: {{ {text} }}"),
        };
    }
    let source = Source::new(format!("{path}={value}"), format!("{{ {text} }}\n"));
    let (sheet, mut findings) = record::read(&source);
    let mut seen = Vec::new();
    if let Some(sheet) = sheet {
        let (readings, said) = bind(book, &sheet, &source);
        findings.extend(said);
        seen = evidence(book, &readings);
    }
    // One value is no whole record.
    findings
        .retain(|finding| finding.is_error() && !matches!(finding.code, Code::GenerationMissing | Code::ReadingsCount));
    if !findings.is_empty() {
        return Err(Trouble::Value(findings));
    }
    if seen.is_empty() {
        return Err(Trouble::TellsNothing(full));
    }
    for seen in &mut seen {
        seen.place = None;
        seen.path = path.to_owned();
    }
    Ok(seen)
}

/// What an answer to a question about a characteristic may be, in words.
#[must_use]
pub fn how_to_answer(book: &Book, id: Id<Characteristic>) -> String {
    let characteristic = book.characteristics.get(id);
    match characteristic.kind {
        Kind::Names(set) => book.sets.get(set).names.iter().map(|name| &**name).collect::<Vec<_>>().join(", "),
        Kind::YesNo => "yes, no".to_owned(),
        Kind::Quantity(_) => match &characteristic.unit {
            Some(unit) if !unit.symbol.is_empty() => format!("a number with its unit, such as {}", unit.symbol),
            _ => "a number".to_owned(),
        },
        Kind::Text => "words".to_owned(),
    }
}

/// The path of a characteristic without positions, the whole machine left out where it is part of another.
fn plain_path(book: &Book, id: Id<Characteristic>) -> String {
    book.path(id, &[], None)
}

/// The value between quotation marks, as YAML's double-quoted form takes it.
fn quote(value: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in value.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            letter if letter.is_control() => quoted.push(' '),
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}

/// The characteristic a path means, parts before it and positions left out at will.
///
/// # Errors
/// That nothing is called that, or several things are.
pub fn characteristic(book: &Book, path: &str) -> Result<Id<Characteristic>, Trouble> {
    find(book, path).map(|place| place.characteristic)
}

fn find(book: &Book, path: &str) -> Result<Place, Trouble> {
    let steps: Vec<&str> = path.trim().split('.').map(str::trim).collect();
    let mut found: Vec<Place> = book.characteristics.ids().filter_map(|id| leads(book, id, &steps)).collect();
    // Of several, the one that tells something is meant.
    let telling = super::telling_characteristics(book);
    if found.len() > 1 && found.iter().filter(|place| telling.contains(&place.characteristic)).count() == 1 {
        found.retain(|place| telling.contains(&place.characteristic));
    }
    if found.len() > 1 {
        return Err(Trouble::Several(found.iter().map(|place| plain_path(book, place.characteristic)).collect()));
    }
    found.pop().ok_or_else(|| {
        let paths: Vec<String> = telling.iter().map(|id| plain_path(book, *id)).collect();
        let names = telling.iter().map(|id| &*book.characteristics.get(*id).name);
        let all = book.characteristics.iter().map(|characteristic| &*characteristic.name);
        let near = nearest(path, paths.iter().map(String::as_str))
            .or_else(|| nearest(path, names))
            .or_else(|| nearest(path, all));
        Trouble::Unknown(near.map(str::to_owned))
    })
}

/// The place a path leads to if it leads to this characteristic: parts may be left out from the front, positions anywhere.
fn leads(book: &Book, id: Id<Characteristic>, asked: &[&str]) -> Option<Place> {
    let characteristic = book.characteristics.get(id);
    let mut chain = Vec::new();
    let mut at = Some(characteristic.part);
    while let Some(part) = at {
        chain.push(part);
        at = book.parts.get(part).parent;
    }
    chain.reverse();
    (0..=chain.len()).find_map(|first| {
        let mut asked = asked.iter().copied().peekable();
        let mut steps = Vec::new();
        for (number, part) in chain.iter().enumerate() {
            let part = book.parts.get(*part);
            let mut position = part.positions.first().map(|name| name.to_string());
            if number >= first {
                asked.next_if(|step| *step == &*part.name)?;
                if let Some(named) = asked.next_if(|step| part.position_by_name.contains_key(*step)) {
                    position = Some(named.to_owned());
                }
            }
            // The whole machine is no key of its records.
            if number > 0 {
                steps.push((part.name.to_string(), position));
            }
        }
        asked.next_if(|step| *step == &*characteristic.name)?;
        let stations = characteristic.stations();
        let named = asked.next_if(|step| stations.iter().any(|station| **station == **step));
        let station = named.map(str::to_owned).or_else(|| stations.first().map(|name| name.to_string()));
        asked.next().is_none().then_some(Place { characteristic: id, steps, station })
    })
}
