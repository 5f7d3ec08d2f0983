//! Whether the parts seen belong to one machine: what each fits by itself, and what must be the same and is not. Refuses to
//! weigh a generation as a whole.

use super::{Candidate, Seen};
use crate::book::{Book, Generation, Id, Part, RangeKind, Row};
use std::sync::Arc;

/// A part at one position, and what it fits by itself.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its path, such as `rotor.front`.
    pub path: String,
    /// How many things were seen of it.
    pub seen: usize,
    /// The generations nothing seen of it speaks against.
    pub fits: Vec<Id<Generation>>,
}

/// Something that is not the same at all positions of a part, and should be.
#[derive(Clone, Debug)]
pub struct Different {
    /// Its path without positions.
    pub path: String,
    /// The row that asks for it; none where telltales say so: what one position has rules out other generations than what
    /// another has.
    pub row: Option<Arc<Row>>,
    /// What was seen, each thing by its number in [`super::Identification::seen`].
    pub seen: Vec<usize>,
}

/// The part with positions that a thing was seen of, the outermost, and at which position.
fn group_of(book: &Book, seen: &Seen) -> Option<(Id<Part>, u16)> {
    let part = book.characteristics.get(seen.characteristic).part;
    Some((*book.parts.get(part).positioned.first()?, *seen.positions.first()?))
}

/// Every part with positions that something telling was seen of, in the order of the book.
pub(super) fn groups(book: &Book, seen: &[Seen], candidates: &[Candidate]) -> Vec<Group> {
    let telling = super::telling_characteristics(book);
    let mut keys: Vec<(Id<Part>, u16)> = seen
        .iter()
        .filter(|seen| telling.contains(&seen.characteristic))
        .filter_map(|seen| group_of(book, seen))
        .collect();
    keys.sort_unstable_by_key(|(part, position)| (part.index(), *position));
    keys.dedup();
    keys.into_iter()
        .map(|key| {
            let mine = |seen: &Seen| group_of(book, seen) == Some(key);
            let fits = candidates
                .iter()
                .filter(|candidate| !candidate.against.iter().any(|against| seen.get(against.seen).is_some_and(mine)))
                .map(|candidate| candidate.generation)
                .collect();
            Group {
                path: book.part_path(key.0, &[key.1], "."),
                seen: seen.iter().filter(|seen| mine(seen) && telling.contains(&seen.characteristic)).count(),
                fits,
            }
        })
        .collect()
}

/// The pairs of groups that each fit something, and nothing together.
pub(super) fn apart(groups: &[Group]) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for (number, one) in groups.iter().enumerate() {
        for (other_number, other) in groups.iter().enumerate().skip(number + 1) {
            let both = one.fits.iter().any(|generation| other.fits.contains(generation));
            if !both && !one.fits.is_empty() && !other.fits.is_empty() {
                pairs.push((number, other_number));
            }
        }
    }
    pairs
}

/// What a row of the generations that are left, or of all where none is, asks to be the same and is not.
pub(super) fn different(book: &Book, seen: &[Seen], candidates: &[Candidate]) -> Vec<Different> {
    let none_fits = !candidates.iter().any(Candidate::fits);
    let mut found: Vec<Different> = Vec::new();
    for candidate in candidates.iter().filter(|candidate| none_fits || candidate.fits()) {
        for row in &book.generations.get(candidate.generation).rows {
            let Some(RangeKind::AllTheSame { across }) = row.limit.as_ref().map(|limit| &limit.kind) else { continue };
            // Whether a row with a condition applies is for judging to say.
            let asked =
                |different: &Different| different.row.as_ref().is_some_and(|other| other.subject == row.subject);
            if row.condition.is_none() && !found.iter().any(asked) {
                found.extend(unlike(book, seen, row, *across));
            }
        }
    }
    found
}

/// Things seen that are compared with each other, each with its number.
type Set<'a> = Vec<(usize, &'a Seen)>;

/// Where a row's values differ: its readings at each position of the parts outside the one they are compared across.
fn unlike(book: &Book, seen: &[Seen], row: &Arc<Row>, across: Id<Part>) -> Vec<Different> {
    let part = book.characteristics.get(row.subject.characteristic).part;
    let outside = book.parts.get(part).positioned.iter().position(|id| *id == across).unwrap_or(0);
    let mut sets: Vec<(Vec<u16>, Set<'_>)> = Vec::new();
    for (number, one) in seen.iter().enumerate() {
        if one.read().is_none() || !one.is_meant(&row.subject) {
            continue;
        }
        let key: Vec<u16> = one.positions.iter().take(outside).copied().collect();
        match sets.iter_mut().find(|(other, _)| *other == key) {
            Some((_, set)) => set.push((number, one)),
            None => sets.push((key, vec![(number, one)])),
        }
    }
    let differs = |set: &Set<'_>| {
        let first = set.first().and_then(|(_, one)| one.read());
        set.iter().any(|(_, one)| one.read() != first)
    };
    let unlike = sets.into_iter().filter(|(_, set)| differs(set));
    unlike
        .map(|(_, set)| Different {
            path: row.path.to_string(),
            row: Some(row.clone()),
            seen: set.into_iter().map(|(number, _)| number).collect(),
        })
        .collect()
}

/// Where what is seen at one position of a part rules out other generations than what is seen at another.
pub(super) fn of_different_kinds(book: &Book, seen: &[Seen], candidates: &[Candidate]) -> Vec<Different> {
    let mut found = Vec::new();
    for characteristic in super::telling_characteristics(book) {
        let here = seen.iter().enumerate().filter(|(_, one)| one.characteristic == characteristic);
        // For each outermost position, the generations ruled out there, and by what.
        let mut positions: Vec<(u16, Vec<Id<Generation>>, usize)> = Vec::new();
        for (number, one) in here {
            let Some(position) = one.positions.first() else { continue };
            let by_it = |candidate: &&Candidate| candidate.against.iter().any(|against| against.seen == number);
            let ruled_out = candidates.iter().filter(by_it).map(|candidate| candidate.generation);
            match positions.iter_mut().find(|(other, ..)| other == position) {
                Some((_, generations, _)) => generations.extend(ruled_out),
                None => positions.push((*position, ruled_out.collect(), number)),
            }
        }
        for (_, generations, _) in &mut positions {
            generations.sort_unstable();
            generations.dedup();
        }
        let first = positions.first().map(|(_, generations, _)| generations);
        if positions.iter().any(|(_, generations, _)| Some(generations) != first) {
            let seen = positions.iter().map(|(.., number)| *number).collect();
            found.push(Different { path: book.path(characteristic, &[], None), row: None, seen });
        }
    }
    found
}
