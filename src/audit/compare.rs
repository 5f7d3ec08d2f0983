//! Which rulings of two verdicts are about one thing, and how it moved. Refuses to know how a ruling is come by.

use super::MoveKind;
use crate::judge::{Grade, Verdict};

/// What a verdict says of one thing: the worst of its rulings on it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Side {
    /// The ruling's number in the verdict.
    pub(super) ruling: usize,
    /// What it gives its build: an advisory ruling is worn at most.
    pub(super) weight: Grade,
}

/// The rulings of a verdict by what they are about.
pub(super) type ByThing = Vec<(Thing, Side)>;

/// What is judged: the number of the key, and which of several readings.
pub(super) type Thing = (u32, usize);

/// A thing, and what each of two verdicts says of it.
pub(super) type Joined = (Thing, Option<Side>, Option<Side>);

/// The worst ruling on each thing, in the order of the things. `keys` has the number of the key of each check.
pub(super) fn by_thing(verdict: &Verdict, keys: &[u32]) -> ByThing {
    let mut all: ByThing = verdict
        .rulings
        .iter()
        .enumerate()
        .filter_map(|(number, ruling)| {
            let key = *keys.get(ruling.check)?;
            // Zero for a ruling on all readings, so that it is not taken for one on the first.
            let reading = ruling.reading.map_or(0, |reading| reading + 1);
            Some(((key, reading), Side { ruling: number, weight: ruling.weight() }))
        })
        .collect();
    all.sort_by_key(|(thing, side)| (*thing, std::cmp::Reverse(side.weight), side.ruling));
    all.dedup_by_key(|(thing, _)| *thing);
    all
}

/// Everything judged by one of two verdicts or by both, in the order of the things.
pub(super) fn joined(before: &ByThing, after: &ByThing) -> Vec<Joined> {
    let mut joined = Vec::with_capacity(before.len().max(after.len()));
    let (mut before, mut after) = (before.iter().peekable(), after.iter().peekable());
    loop {
        let next = match (before.peek(), after.peek()) {
            (None, None) => return joined,
            (Some((thing, _)), None) | (None, Some((thing, _))) => *thing,
            (Some((one, _)), Some((other, _))) => *one.min(other),
        };
        let side = |(_, side): &(Thing, Side)| *side;
        let old = before.next_if(|(thing, _)| *thing == next).map(side);
        let new = after.next_if(|(thing, _)| *thing == next).map(side);
        joined.push((next, old, new));
    }
}

/// How something moved, by its grades; none where it did not. `moved_range` is whether its ranges are others.
pub(super) fn kind(
    before: Option<Grade>,
    after: Option<Grade>,
    moved_range: impl FnOnce() -> bool,
) -> Option<MoveKind> {
    match (before, after) {
        (None, None) => None,
        (None, Some(after)) => (!after.passes()).then_some(MoveKind::NewlyAsked),
        (Some(before), None) => (!before.passes()).then_some(MoveKind::NoLongerAsked),
        (Some(before), Some(after)) => match (before.passes(), after.passes()) {
            (true, false) => Some(MoveKind::NewlyFails),
            (false, true) => Some(MoveKind::NewlyPasses),
            (false, false) => (before != after || moved_range()).then_some(MoveKind::StillFails),
            (true, true) if after > before => Some(MoveKind::Worse),
            (true, true) if after < before => Some(MoveKind::Better),
            (true, true) => None,
        },
    }
}
