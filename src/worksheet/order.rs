//! Where a new key of a record goes: in the order the books declare parts, positions, readings and stations. Refuses to move a
//! key that is there.

use super::written::SAYS;
use crate::book::{Book, Characteristic, Id, Member, Part};
use crate::record::edit::{Step, by_list};

/// Keys at the top of a record, in their usual order.
const HEADS: [&str; 14] = [
    "parts",
    "build",
    "part",
    "tag",
    "measured",
    "finished",
    "generation",
    "serial",
    "state",
    "gauges",
    "notes",
    "value",
    "row",
    "because",
];

/// What a way through a record has come to.
#[derive(Clone, Copy)]
enum At {
    Part(Id<Part>),
    Positions(Id<Part>),
    Reading(Id<Characteristic>),
    Elsewhere,
}

/// Before which of its keys a map gets a new one.
pub(super) fn order(book: &Book, root: Option<Id<Part>>, map: &[Step], keys: &[&str], new: &str) -> usize {
    let mut at = root.map_or(At::Elsewhere, At::Part);
    for step in map {
        let Step::Key(key) = step else { continue };
        at = match at {
            At::Part(id) => match book.parts.get(id).member_by_name.get(key.as_str()) {
                Some(Member::Characteristic(id)) => At::Reading(*id),
                Some(Member::Part(id)) if book.parts.get(*id).positions.is_empty() => At::Part(*id),
                Some(Member::Part(id)) => At::Positions(*id),
                // Into the list of loose parts of a file: each is the part itself.
                None if key == "parts" => continue,
                None => At::Elsewhere,
            },
            At::Positions(id) => At::Part(id),
            At::Reading(_) | At::Elsewhere => At::Elsewhere,
        };
    }
    let names: Vec<&str> = match at {
        At::Part(id) => HEADS.into_iter().chain(book.parts.get(id).members.iter().map(|(name, _)| &**name)).collect(),
        At::Positions(id) => book.parts.get(id).positions.iter().map(|name| &**name).collect(),
        At::Reading(id) if !book.characteristics.get(id).stations().is_empty() => {
            book.characteristics.get(id).stations().iter().map(|name| &**name).collect()
        }
        At::Reading(_) | At::Elsewhere => ["value"].into_iter().chain(SAYS).collect(),
    };
    by_list(&names, keys, new)
}
