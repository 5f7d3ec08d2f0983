//! What a record of a generation, or of a loose part, may hold, in the order of an empty one. Refuses to know any table.

use crate::blank::{self, Entry};
use crate::book::{Book, Characteristic, Generation, Id, Kind, Member, Part};
use crate::shop::Shop;
use std::collections::BTreeMap;

/// Everything a record may hold.
pub(super) struct Leaves<'a> {
    pub(super) leaves: Vec<Leaf<'a>>,
    by_path: BTreeMap<String, usize>,
}

/// One value of a record.
pub(super) struct Leaf<'a> {
    /// The keys that lead to it.
    pub(super) keys: Vec<String>,
    pub(super) characteristic: &'a Characteristic,
    pub(super) optional: bool,
}

impl Leaf<'_> {
    pub(super) fn path(&self) -> String {
        self.keys.join(".")
    }

    /// Whether it is a number, with a unit or without.
    pub(super) fn is_quantity(&self) -> bool {
        matches!(self.characteristic.kind, Kind::Quantity(_))
    }

    /// The unit its book declares, where it needs one.
    pub(super) fn unit(&self) -> Option<&str> {
        let unit = self.characteristic.unit.as_ref().map(|unit| &*unit.symbol);
        unit.filter(|symbol| self.is_quantity() && !symbol.is_empty())
    }
}

impl<'a> Leaves<'a> {
    /// Of a machine of a generation, or of a loose part of one generation or of any; `None` for what no record can be of.
    pub(super) fn of(shop: &'a Shop, part: Option<Id<Part>>, generation: Option<Id<Generation>>) -> Option<Leaves<'a>> {
        let book = &*shop.book;
        let (top, blank) = match part {
            Some(part) => (part, blank::blank_part(book, part, None, &shop.places_of(part, generation))),
            None => (book.root()?, blank::blank(book, shop.plan(generation?)?, None, &[])),
        };
        let mut leaves = Vec::new();
        walk(book, book.parts.get(top), &blank.entries, &mut Vec::new(), &mut leaves);
        let by_path = leaves.iter().enumerate().map(|(number, leaf)| (leaf.path(), number)).collect();
        Some(Leaves { leaves, by_path })
    }

    /// The number of the leaf a path leads to.
    pub(super) fn find(&self, path: &str) -> Option<usize> {
        self.by_path.get(path).copied()
    }

    pub(super) fn paths(&self) -> impl Iterator<Item = &str> {
        self.by_path.keys().map(String::as_str)
    }
}

/// Takes down what an empty record of a part has, with what the book knows of it. Parts nest no deeper than the grammar lets them.
fn walk<'a>(book: &'a Book, part: &'a Part, entries: &[Entry], keys: &mut Vec<String>, leaves: &mut Vec<Leaf<'a>>) {
    for entry in entries {
        match entry {
            Entry::Reading(reading) => {
                let Some(Member::Characteristic(id)) = part.member_by_name.get(reading.name.as_str()) else { continue };
                let characteristic = book.characteristics.get(*id);
                let stations: Vec<Option<&str>> = match reading.stations.as_slice() {
                    [] => vec![None],
                    stations => stations.iter().map(|(name, _)| Some(name.as_str())).collect(),
                };
                for station in stations {
                    let own = std::iter::once(reading.name.as_str()).chain(station);
                    let keys = keys.iter().cloned().chain(own.map(str::to_string)).collect();
                    leaves.push(Leaf { keys, characteristic, optional: reading.optional });
                }
            }
            Entry::Derived(_) => {}
            Entry::Part(inner) => {
                let Some(Member::Part(id)) = part.member_by_name.get(inner.name.as_str()) else { continue };
                keys.push(inner.name.clone());
                for (position, entries) in &inner.instances {
                    keys.extend(position.clone());
                    walk(book, book.parts.get(*id), entries, keys, leaves);
                    if position.is_some() {
                        keys.pop();
                    }
                }
                keys.pop();
            }
        }
    }
}
