//! What a search looks for: how the scores of groups add up, and which of two sums is the better. Refuses to search.

use super::search::{Cost, Score};
use std::cmp::Reverse;

/// A way to compare sets. Values add up over groups, and the better of two values stays so whatever is added to both.
pub(super) trait Measure {
    /// What a group, or several, come to.
    type Value: Copy;
    /// What sets are compared by, the least first.
    type Cost: Copy + Ord;
    /// Whether the better of two values is one of them, so that the best parts of a kind are the first in order.
    const IN_ORDER: bool;
    /// Of no group.
    const NOTHING: Self::Value;
    /// At least as good as anything that a group can come to.
    const UNKNOWN: Self::Value;

    /// The value of a score; `None` if a set that has it is of no use.
    fn value(&self, score: Score) -> Option<Self::Value>;
    /// What a part at a place adds by its tag alone.
    fn tag(&self, place: usize, rank: usize) -> Option<Self::Value>;
    /// Of both together.
    fn join(one: Self::Value, other: Self::Value) -> Self::Value;
    /// At least as good as either.
    fn better(one: Self::Value, other: Self::Value) -> Self::Value;
    /// What a value is compared by.
    fn cost(value: Self::Value) -> Self::Cost;
}

/// Rows out, open, worn and advisory rows not good.
pub(super) type CountsOf = (u32, u32, u32, u32);

pub(super) fn counts(score: Score) -> CountsOf {
    (score.out, score.open, score.worn, score.advisory)
}

fn add(one: CountsOf, other: CountsOf) -> CountsOf {
    (
        one.0.saturating_add(other.0),
        one.1.saturating_add(other.1),
        one.2.saturating_add(other.2),
        one.3.saturating_add(other.3),
    )
}

/// Which sets are of use at all.
#[derive(Clone, Copy, Debug)]
pub(super) struct Useful {
    pub(super) allow_out: bool,
    pub(super) allow_open: bool,
    /// The smallest room that a row may have.
    pub(super) least_room: i64,
}

impl Useful {
    pub(super) fn has(&self, score: Score) -> bool {
        (self.allow_out || score.out == 0)
            && (self.allow_open || score.open == 0)
            && score.least_room >= self.least_room
    }
}

/// Counts first, then the smallest room.
pub(super) struct Tightest {
    pub(super) useful: Useful,
}

impl Measure for Tightest {
    type Value = (CountsOf, Reverse<i64>);
    type Cost = (CountsOf, Reverse<i64>);
    const IN_ORDER: bool = true;
    const NOTHING: Self::Value = ((0, 0, 0, 0), Reverse(i64::MAX));
    const UNKNOWN: Self::Value = Self::NOTHING;

    fn value(&self, score: Score) -> Option<Self::Value> {
        self.useful.has(score).then_some((counts(score), Reverse(score.least_room)))
    }

    fn tag(&self, _: usize, _: usize) -> Option<Self::Value> {
        None
    }

    fn join(one: Self::Value, other: Self::Value) -> Self::Value {
        (add(one.0, other.0), one.1.max(other.1))
    }

    fn better(one: Self::Value, other: Self::Value) -> Self::Value {
        one.min(other)
    }

    fn cost(value: Self::Value) -> Self::Cost {
        value
    }
}

/// Counts, then all room together, then the tags in the order of the places. A row that has less than the smallest room is of no
/// use here.
pub(super) struct Roomiest {
    pub(super) useful: Useful,
    /// What a step in the order of tags weighs at each place: more than all steps at the places after it.
    pub(super) weights: Vec<u128>,
}

/// The most room a search reckons with; a sum of several does not overflow.
const MOST_ROOM: i64 = i64::MAX / 1024;

impl Measure for Roomiest {
    type Value = (CountsOf, Reverse<i64>, u128);
    type Cost = (CountsOf, Reverse<i64>, u128);
    const IN_ORDER: bool = true;
    const NOTHING: Self::Value = ((0, 0, 0, 0), Reverse(0), 0);
    const UNKNOWN: Self::Value = ((0, 0, 0, 0), Reverse(MOST_ROOM), 0);

    fn value(&self, score: Score) -> Option<Self::Value> {
        self.useful.has(score).then_some((counts(score), Reverse(score.room), 0))
    }

    fn tag(&self, place: usize, rank: usize) -> Option<Self::Value> {
        let weight = self.weights.get(place).copied().filter(|weight| *weight > 0)?;
        Some(((0, 0, 0, 0), Reverse(0), weight * rank as u128))
    }

    fn join(one: Self::Value, other: Self::Value) -> Self::Value {
        (add(one.0, other.0), Reverse(one.1.0.saturating_add(other.1.0)), one.2 + other.2)
    }

    fn better(one: Self::Value, other: Self::Value) -> Self::Value {
        one.min(other)
    }

    fn cost(value: Self::Value) -> Self::Cost {
        value
    }
}

/// Everything at once, each for itself: for several sets, the best first.
pub(super) struct Whole {
    pub(super) useful: Useful,
}

impl Measure for Whole {
    type Value = Score;
    type Cost = Cost;
    const IN_ORDER: bool = false;
    const NOTHING: Self::Value = Score::NOTHING;
    const UNKNOWN: Self::Value = Score { out: 0, open: 0, worn: 0, advisory: 0, least_room: i64::MAX, room: MOST_ROOM };

    fn value(&self, score: Score) -> Option<Self::Value> {
        self.useful.has(score).then_some(score)
    }

    fn tag(&self, _: usize, _: usize) -> Option<Self::Value> {
        None
    }

    fn join(one: Self::Value, other: Self::Value) -> Self::Value {
        one.with(other)
    }

    fn better(one: Self::Value, other: Self::Value) -> Self::Value {
        one.best_of(other)
    }

    fn cost(value: Self::Value) -> Self::Cost {
        value.cost()
    }
}
