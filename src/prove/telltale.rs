//! Whether two generations can be told from each other by what identifies them. Refuses to judge a build.

use super::input::known;
use super::reach::meets;
use super::wording;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Range, RangeKind, Reach, Tells};
use crate::finding::Finding;

/// What identifies one generation: values that its machines have.
#[derive(Clone, Copy, Debug)]
pub struct Identity<'a> {
    /// The generation, for its constants.
    pub generation: &'a Generation,
    /// Each characteristic with the range it has in this generation.
    pub telltales: &'a [(Reach, Range)],
}

/// The pairs of generations that no telltale tells apart; nothing where the books declare no telltale at all.
pub(super) fn alike(book: &Book, only: Option<Id<Generation>>) -> Vec<Finding> {
    if book.generations.iter().all(|generation| generation.telltales.is_empty()) {
        return Vec::new();
    }
    let named: Vec<(Id<Generation>, &Generation)> =
        book.generations.entries().filter(|(_, generation)| !generation.basis).collect();
    let telltales: Vec<Vec<(Reach, Range)>> = named
        .iter()
        .map(|(_, generation)| {
            generation.telltales.iter().map(|one| (one.subject.clone(), one.range.clone())).collect()
        })
        .collect();
    let identities: Vec<(Id<Generation>, Identity<'_>)> = named
        .iter()
        .zip(&telltales)
        .map(|((id, generation), telltales)| (*id, Identity { generation, telltales }))
        .collect();
    let mut findings = Vec::new();
    for (at, (id, one)) in identities.iter().enumerate() {
        let others: Vec<&Generation> = identities
            .iter()
            .skip(at + 1)
            .filter(|(other_id, _)| only.is_none_or(|only| only == *id || only == *other_id))
            .filter(|(_, other)| !told_apart(book, *one, *other))
            .map(|(_, other)| other.generation)
            .collect();
        if !others.is_empty() {
            findings.push(wording::telltales_alike(one.generation, &others));
        }
    }
    findings
}

/// The values of readings of names that no telltale tells apart, though telltales tell some value of the reading: each pair once,
/// however many generations have it so.
pub(super) fn values_alike(book: &Book, only: Option<Id<Generation>>) -> Vec<Finding> {
    let mut pairs: Vec<(Id<Characteristic>, u16, u16, &Generation)> = Vec::new();
    let named =
        book.generations.entries().filter(|(id, generation)| !generation.basis && only.is_none_or(|only| only == *id));
    for (_, generation) in named {
        let told = generation.value_telltales.iter().filter_map(|one| one.tells);
        let mut readings: Vec<Id<Characteristic>> = told.map(|tells| tells.characteristic).collect();
        readings.sort_unstable_by_key(|reading| reading.index());
        readings.dedup();
        for reading in readings {
            let Kind::Names(set) = book.characteristics.get(reading).kind else { continue };
            let count = u16::try_from(book.sets.get(set).names.len()).unwrap_or(u16::MAX);
            let of = |value: u16| -> Vec<(Reach, Range)> {
                let tells = Some(Tells { characteristic: reading, value });
                let mine = generation.value_telltales.iter().filter(|one| one.tells == tells);
                mine.map(|one| (one.subject.clone(), one.range.clone())).collect()
            };
            let telltales: Vec<Vec<(Reach, Range)>> = (0..count).map(of).collect();
            for (one, mine) in (0..count).zip(&telltales) {
                for (other, theirs) in (0..count).zip(&telltales).skip(usize::from(one) + 1) {
                    let identity = |telltales| Identity { generation, telltales };
                    let known = pairs.iter().any(|(known, a, b, _)| (*known, *a, *b) == (reading, one, other));
                    if !known && !told_apart(book, identity(mine), identity(theirs)) {
                        pairs.push((reading, one, other, generation));
                    }
                }
            }
        }
    }
    pairs
        .iter()
        .map(|(reading, one, other, generation)| wording::values_alike(book, *reading, (*one, *other), generation))
        .collect()
}

/// Whether it is proved that no machine fits both: some characteristic has a telltale in each, and the two ranges have
/// nothing in common.
#[must_use]
pub fn told_apart(book: &Book, one: Identity<'_>, other: Identity<'_>) -> bool {
    one.telltales.iter().any(|(subject, range)| {
        other.telltales.iter().any(|(other_subject, other_range)| {
            meets(subject, other_subject)
                && match (&range.kind, &other_range.kind) {
                    (RangeKind::Names(names), RangeKind::Names(others)) => {
                        !names.iter().any(|name| others.contains(name))
                    }
                    (RangeKind::YesNo(yes), RangeKind::YesNo(other)) => yes != other,
                    (RangeKind::Band { .. }, RangeKind::Band { .. }) => {
                        let (band, _) = known(book, one.generation, range);
                        let (other_band, _) = known(book, other.generation, other_range);
                        band.overlaps(&other_band) == Some(false)
                    }
                    _ => false,
                }
        })
    })
}
