//! Which characteristic a path means, as a record's keys say it. Refuses to know any record.

use crate::book::{Book, Characteristic, Id, Kind, Part};
use crate::finding::nearest;
use crate::syntax::tree::Collector;

/// Why a path is of no use.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fault {
    /// There is nothing of the name; what is close to it.
    Unknown(Option<String>),
    /// Several are meant; which.
    Several(Vec<String>),
    /// It has no number to put on a chart; what it is instead, and its path.
    NoNumber(&'static str, String),
    /// It is no choice, class, yes-or-no or words to group by; its path.
    NoChoice(String),
    /// It stands at positions of which this one has none of its own, or has several values; its path.
    WhichOne(String),
}

/// A characteristic, perhaps at some positions only.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Meant {
    pub(super) characteristic: Id<Characteristic>,
    /// For each part with positions from the whole machine down, the one that is named.
    pub(super) fixed: Vec<Option<u16>>,
    /// The station, if one is named.
    pub(super) station: Option<u16>,
}

/// The collection word before a path, as in `smallest of housing.width`.
pub(super) fn split_word(asked: &str) -> (Option<Collector>, &str) {
    for collector in Collector::ALL {
        let rest = asked.strip_prefix(collector.word()).and_then(|rest| rest.trim_start().strip_prefix("of "));
        if let Some(path) = rest {
            return (Some(collector), path.trim());
        }
    }
    (None, asked)
}

/// What has a number, or becomes one by its word.
pub(super) fn subject(book: &Book, word: Option<Collector>, path: &str) -> Result<Meant, Fault> {
    let meant = one(book, matching(book, path), path, false)?;
    let instead = match book.characteristics.get(meant.characteristic).kind {
        Kind::Quantity(_) => return Ok(meant),
        Kind::Names(_) if matches!(word, Some(Collector::Count | Collector::Spread)) => return Ok(meant),
        Kind::YesNo | Kind::Text if word == Some(Collector::Count) => return Ok(meant),
        Kind::Names(set) if book.sets.get(set).ordered => "a class",
        Kind::Names(_) => "a choice",
        Kind::YesNo => "yes or no",
        Kind::Text => "free words",
    };
    Err(Fault::NoNumber(instead, book.path(meant.characteristic, &[], None)))
}

/// What builds are grouped by, as seen from a part: its own, or one of a part around it, or of anything the path leads to.
pub(super) fn group(book: &Book, from: Id<Part>, path: &str) -> Result<Meant, Fault> {
    let mut around = Some(from);
    let mut found = Vec::new();
    while let Some(part) = around {
        let prefix = book.part_path(part, &[], ".");
        let whole = if prefix.is_empty() { path.to_owned() } else { format!("{prefix}.{path}") };
        found = strictly(book, &whole, false);
        if !found.is_empty() {
            break;
        }
        around = book.parts.get(part).parent;
    }
    if found.is_empty() {
        found = matching(book, path);
    }
    let meant = one(book, found, path, true)?;
    let characteristic = book.characteristics.get(meant.characteristic);
    let name = || book.path(meant.characteristic, &[], None);
    if matches!(characteristic.kind, Kind::Quantity(_)) {
        return Err(Fault::NoChoice(name()));
    }
    if characteristic.is_many() && (meant.station.is_none() || characteristic.stations().is_empty()) {
        return Err(Fault::WhichOne(name()));
    }
    Ok(meant)
}

/// The one that was found; `choices` says what to look among for a name that was meant.
fn one(book: &Book, mut found: Vec<Meant>, path: &str, choices: bool) -> Result<Meant, Fault> {
    match (found.pop(), found.is_empty()) {
        (Some(meant), true) => Ok(meant),
        (Some(last), false) => {
            found.push(last);
            Err(Fault::Several(found.iter().map(|meant| book.path(meant.characteristic, &[], None)).collect()))
        }
        (None, _) => {
            let fits = |kind: &Kind| match kind {
                Kind::Quantity(_) => !choices,
                Kind::Names(_) | Kind::YesNo | Kind::Text => choices,
            };
            let known = book.characteristics.entries().filter(|(_, characteristic)| fits(&characteristic.kind));
            let names: Vec<String> = known.map(|(id, _)| book.path(id, &[], None)).collect();
            let short = names.iter().map(|name| name.rsplit('.').next().unwrap_or(name));
            let near = nearest(path, names.iter().map(String::as_str)).or_else(|| nearest(path, short));
            Err(Fault::Unknown(near.map(str::to_owned)))
        }
    }
}

/// Those whose way it is; where there are none, those whose way it is when parts are left out, as in a rulebook.
fn matching(book: &Book, path: &str) -> Vec<Meant> {
    let strict = strictly(book, path, false);
    if strict.is_empty() { strictly(book, path, true) } else { strict }
}

fn strictly(book: &Book, path: &str, loosely: bool) -> Vec<Meant> {
    let asked: Vec<&str> = path.split('.').map(str::trim).collect();
    book.characteristics.ids().filter_map(|id| lead(book, id, &asked, loosely)).collect()
}

/// The positions and the station named on the way to a characteristic, if the way is the one asked for.
fn lead(book: &Book, id: Id<Characteristic>, asked: &[&str], loosely: bool) -> Option<Meant> {
    let characteristic = book.characteristics.get(id);
    let mut chain = Vec::new();
    let mut at = Some(characteristic.part);
    while let Some(part) = at {
        chain.push(part);
        at = book.parts.get(part).parent;
    }
    let mut asked = asked.iter().peekable();
    let mut fixed = Vec::new();
    for part in chain.into_iter().rev().map(|part| book.parts.get(part)) {
        let named = asked.next_if(|name| ***name == *part.name).is_some();
        // The whole machine need not be named; another part may be left out only where that is allowed.
        if !(named || loosely || part.parent.is_none()) {
            return None;
        }
        if !part.positions.is_empty() {
            let position = asked.peek().and_then(|name| part.position_by_name.get(**name).copied());
            if position.is_some() {
                asked.next();
            }
            fixed.push(position);
        }
    }
    asked.next_if(|name| ***name == *characteristic.name)?;
    let station = asked.next_if(|name| characteristic.stations().iter().any(|station| **station == ***name));
    let station = station.and_then(|name| characteristic.stations().iter().position(|station| **station == **name));
    asked.next().is_none().then(|| Meant {
        characteristic: id,
        fixed,
        station: station.and_then(|station| u16::try_from(station).ok()),
    })
}
