//! Where a name leads: resolution by nearness, from a part outward.

use super::{Book, Characteristic, Id, Member, Origin, Part, Reach, Selector};
use crate::syntax::tree::{Name, Path};

/// Where a path leads.
pub(super) enum Lead {
    /// To a characteristic; `many` where it can be several values.
    Reach(Reach, bool),
    /// To a part, without naming a characteristic.
    Part(Id<Part>),
    /// Nowhere: the step at which it fails, and why.
    Lost(usize, Loss),
    /// Its first name is no part and no characteristic.
    Unknown,
}

/// Why a path leads nowhere.
pub(super) enum Loss {
    /// Several things of that name are equally near; their paths.
    Ambiguous(Vec<String>),
    /// The part has nothing and no position of that name; what it has.
    NotIn(Id<Part>),
    /// The reading has no such station; what it has.
    NotAStation(Id<Characteristic>),
    /// A step after something that has no steps inside.
    PastTheEnd,
}

/// What one name may mean, seen from a part.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Found {
    Part(Id<Part>),
    Characteristic(Id<Characteristic>),
}

/// Looks a path up from a part, nearest first.
pub(super) fn look_up(book: &Book, from: Id<Part>, path: &Path) -> Lead {
    let Some(first) = path.segments.first() else { return Lead::Unknown };
    let mut outward = Some(from);
    while let Some(part) = outward {
        match nearest_in(book, part, &first.text) {
            Ok(Some(found)) => return follow(book, from, found, &path.segments),
            Ok(None) => outward = book.parts.get(part).parent,
            Err(candidates) => return Lead::Lost(0, Loss::Ambiguous(candidates)),
        }
    }
    Lead::Unknown
}

/// The nearest thing of a name in a part: the part itself, then what is in it, then deeper, level by level. Several on
/// one level are an error, given as their paths.
fn nearest_in(book: &Book, part: Id<Part>, name: &str) -> Result<Option<Found>, Vec<String>> {
    if *book.parts.get(part).name == *name {
        return Ok(Some(Found::Part(part)));
    }
    let mut level = vec![part];
    while !level.is_empty() {
        let mut found = Vec::new();
        for id in &level {
            match book.parts.get(*id).member_by_name.get(name) {
                Some(Member::Part(inner)) => found.push(Found::Part(*inner)),
                Some(Member::Characteristic(inner)) => found.push(Found::Characteristic(*inner)),
                None => {}
            }
        }
        match found.as_slice() {
            [] => level = level.iter().flat_map(|id| parts_in(book, *id)).collect(),
            [one] => return Ok(Some(*one)),
            several => return Err(several.iter().map(|one| plain_path(book, *one)).collect()),
        }
    }
    Ok(None)
}

/// The parts directly in a part.
fn parts_in(book: &Book, part: Id<Part>) -> impl Iterator<Item = Id<Part>> {
    book.parts.get(part).members.iter().filter_map(|(_, member)| match member {
        Member::Part(inner) => Some(*inner),
        Member::Characteristic(_) => None,
    })
}

/// The names from just below the whole machine to something, without positions: what a book would write.
fn plain_path(book: &Book, found: Found) -> String {
    let (mut steps, mut at) = match found {
        Found::Part(part) => (Vec::new(), Some(part)),
        Found::Characteristic(id) => {
            let characteristic = book.characteristics.get(id);
            (vec![characteristic.name.to_string()], Some(characteristic.part))
        }
    };
    while let Some(id) = at {
        let part = book.parts.get(id);
        if part.parent.is_some() || steps.len() < 2 {
            steps.push(part.name.to_string());
        }
        at = part.parent;
    }
    steps.reverse();
    if steps.len() > 2 {
        steps.remove(0);
    }
    steps.join(".")
}

/// Follows the steps after the first name.
fn follow(book: &Book, from: Id<Part>, first: Found, steps: &[Name]) -> Lead {
    let mut pins: Vec<(Id<Part>, u16)> = Vec::new();
    let mut at = first;
    let mut station = None;
    for (number, step) in steps.iter().enumerate().skip(1) {
        match at {
            Found::Part(id) => {
                let part = book.parts.get(id);
                let pinned = pins.iter().any(|(pinned, _)| *pinned == id);
                if let Some(position) = part.position_by_name.get(&step.text).filter(|_| !pinned) {
                    pins.push((id, *position));
                } else {
                    match nearest_below(book, id, &step.text) {
                        Ok(Some(found)) => at = found,
                        Ok(None) => return Lead::Lost(number, Loss::NotIn(id)),
                        Err(candidates) => return Lead::Lost(number, Loss::Ambiguous(candidates)),
                    }
                }
            }
            Found::Characteristic(id) => {
                let stations = book.characteristics.get(id).stations();
                if station.is_some() || stations.is_empty() {
                    return Lead::Lost(number, Loss::PastTheEnd);
                }
                match stations.iter().position(|name| *name == step.text) {
                    Some(place) => station = u16::try_from(place).ok(),
                    None => return Lead::Lost(number, Loss::NotAStation(id)),
                }
            }
        }
    }
    match at {
        Found::Part(part) => Lead::Part(part),
        Found::Characteristic(id) => {
            let (reach, many) = reach(book, from, id, &pins, station);
            Lead::Reach(reach, many)
        }
    }
}

/// What one step of a path means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Step {
    /// A part.
    Part(Id<Part>),
    /// A reading or a derived value.
    Characteristic(Id<Characteristic>),
    /// A position of a part.
    Position(Id<Part>, u16),
    /// A station of a reading.
    Station(Id<Characteristic>, u16),
}

/// What each step of a path means, seen from a part, as far as it leads anywhere.
#[must_use]
pub fn steps(book: &Book, from: Id<Part>, path: &Path) -> Vec<Step> {
    let mut steps = Vec::new();
    for end in 1..=path.segments.len() {
        let Some(segments) = path.segments.get(..end) else { break };
        let part = Path { segments: segments.to_vec(), span: path.span };
        let step = match look_up(book, from, &part) {
            Lead::Part(id) => match steps.iter().rev().find(|step| matches!(step, Step::Part(_))) {
                Some(Step::Part(before)) if *before == id => {
                    let name = segments.last().map_or("", |segment| &*segment.text);
                    book.parts.get(id).position_by_name.get(name).map(|position| Step::Position(id, *position))
                }
                _ => Some(Step::Part(id)),
            },
            Lead::Reach(Reach { characteristic, station: Some(station), .. }, _) => {
                Some(Step::Station(characteristic, station))
            }
            Lead::Reach(reach, _) => Some(Step::Characteristic(reach.characteristic)),
            Lead::Lost(..) | Lead::Unknown => None,
        };
        match step {
            Some(step) => steps.push(step),
            None => break,
        }
    }
    steps
}

/// As [`nearest_in`], but the part's own name does not count.
fn nearest_below(book: &Book, part: Id<Part>, name: &str) -> Result<Option<Found>, Vec<String>> {
    match book.parts.get(part).member_by_name.get(name) {
        Some(Member::Part(inner)) => Ok(Some(Found::Part(*inner))),
        Some(Member::Characteristic(inner)) => Ok(Some(Found::Characteristic(*inner))),
        None if *book.parts.get(part).name == *name => Ok(None),
        None => nearest_in(book, part, name),
    }
}

/// The reach from a part to a characteristic, and whether it can be several values.
fn reach(
    book: &Book,
    from: Id<Part>,
    to: Id<Characteristic>,
    pins: &[(Id<Part>, u16)],
    station: Option<u16>,
) -> (Reach, bool) {
    let characteristic = book.characteristics.get(to);
    let mine = &book.parts.get(from).positioned;
    let selectors: Vec<Selector> = book
        .parts
        .get(characteristic.part)
        .positioned
        .iter()
        .map(|id| {
            if let Some((_, position)) = pins.iter().find(|(pinned, _)| pinned == id) {
                return Selector::At(*position);
            }
            let part = book.parts.get(*id);
            mine.iter()
                .position(|own| {
                    let own_part = book.parts.get(*own);
                    own == id || (own_part.parent == part.parent && own_part.positions == part.positions)
                })
                .and_then(|depth| u16::try_from(depth).ok())
                .map_or(Selector::All, Selector::Same)
        })
        .collect();
    let taken_often = match &characteristic.origin {
        Origin::Reading { stations, count, .. } => {
            (!stations.is_empty() && station.is_none()) || *count != super::Count::ONE
        }
        Origin::Derived(_) => false,
    };
    let many = taken_often || selectors.contains(&Selector::All);
    (Reach { characteristic: to, selectors, station }, many)
}

/// Every name that could begin a path from a part, nearest first: what did-you-mean chooses from.
pub(super) fn names_from(book: &Book, from: Id<Part>) -> Vec<&str> {
    let mut names = Vec::new();
    let mut outward = Some(from);
    while let Some(id) = outward {
        names.push(&*book.parts.get(id).name);
        let mut inside = vec![id];
        while let Some(id) = inside.pop() {
            for (name, member) in &book.parts.get(id).members {
                names.push(name);
                if let Member::Part(inner) = member {
                    inside.push(*inner);
                }
            }
        }
        outward = book.parts.get(id).parent;
    }
    names
}
