//! The best sets of a problem of places, parts and scores: branch and bound, complete unless it is told to stop. Refuses to
//! know what a score is of.

use super::bound::Bounds;
use super::branch::Branch;
use super::measure::{Roomiest, Tightest, Useful, Whole, counts};
use super::tables::Tables;
use std::cmp::Reverse;

/// Room is counted in steps of a billionth of its range.
pub const ROOM_STEPS: i64 = 1_000_000_000;

/// What some rows come to for the parts they rest on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Score {
    /// Rows that fail: out, or not settled.
    pub out: u32,
    /// Rows that lack a reading of one of the parts.
    pub open: u32,
    /// Rows that are worn.
    pub worn: u32,
    /// Advisory rows that are not good.
    pub advisory: u32,
    /// The smallest room of any row, in [`ROOM_STEPS`]; the greatest number if none has any.
    pub least_room: i64,
    /// The room of all rows together.
    pub room: i64,
}

impl Score {
    /// Of no rows.
    pub const NOTHING: Score = Score { out: 0, open: 0, worn: 0, advisory: 0, least_room: i64::MAX, room: 0 };

    /// Of the rows of both.
    #[must_use]
    pub fn with(self, other: Score) -> Score {
        Score {
            out: self.out.saturating_add(other.out),
            open: self.open.saturating_add(other.open),
            worn: self.worn.saturating_add(other.worn),
            advisory: self.advisory.saturating_add(other.advisory),
            least_room: self.least_room.min(other.least_room),
            room: self.room.saturating_add(other.room),
        }
    }

    /// The better of both in every respect: nothing that is either of them is better.
    #[must_use]
    pub fn best_of(self, other: Score) -> Score {
        Score {
            out: self.out.min(other.out),
            open: self.open.min(other.open),
            worn: self.worn.min(other.worn),
            advisory: self.advisory.min(other.advisory),
            least_room: self.least_room.max(other.least_room),
            room: self.room.max(other.room),
        }
    }

    /// What sets are ordered by, the least first: rows out, rows open, rows worn, advisory rows not good, the smallest room,
    /// all room.
    #[must_use]
    pub fn cost(self) -> Cost {
        (self.out, self.open, self.worn, self.advisory, Reverse(self.least_room), Reverse(self.room))
    }
}

/// The order of sets: the least is the best.
pub type Cost = (u32, u32, u32, u32, Reverse<i64>, Reverse<i64>);

/// Rows that rest on the same places.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Group {
    /// The places, in order, each once.
    pub places: Vec<usize>,
}

/// What the rows of a group come to for parts, in the order of its places.
pub trait Scores {
    /// The score of a group for the parts at its places.
    fn score(&self, group: usize, parts: &[usize]) -> Score;

    /// A group whose scores are the same as those of this one, for the same parts at its places.
    fn like(&self, group: usize) -> usize {
        group
    }

    /// The class of a part at a place of a group, by the number of the place in the group: parts of one class have the same
    /// score, whatever the parts at the other places are.
    fn class(&self, group: usize, at: usize, part: usize) -> usize {
        let _ = (group, at);
        part
    }
}

/// Places to fill, the parts that may fill each, and the rows to judge by.
#[derive(Clone, Debug)]
pub struct Problem {
    /// For each place the parts that may be there, by number, in the order of their tags. A part is in one place at most.
    pub domains: Vec<Vec<usize>>,
    /// The rows.
    pub groups: Vec<Group>,
    /// Places that come to the same if they swap all they have with those of another machine: the first of each machine. The
    /// parts there must come in order, so that one choice is looked at once.
    pub in_order: Vec<usize>,
    /// A part that must be in the set, if there is one.
    pub with: Vec<usize>,
}

/// How far to look.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limits {
    /// How many sets, the best first.
    pub best: usize,
    /// Whether a set may have rows that are out: then the fewest.
    pub allow_out: bool,
    /// Whether a set may lack readings.
    pub allow_open: bool,
}

/// A set: the part in each place, and what it comes to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Found {
    /// The part in each place.
    pub parts: Vec<usize>,
    /// What all rows come to.
    pub score: Score,
}

/// Why a search ended before it had looked at everything: somebody said so.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NoMore {
    /// No set comes to less than this.
    pub bound: Score,
}

/// The best sets, in their order, those that come to the same by the order of their parts. `go_on` is asked now and then;
/// if it says no, what was found so far comes with [`NoMore`].
///
/// # Errors
/// Not an error of the caller's: whether the search was told to stop.
pub fn search(
    problem: &Problem,
    scores: &impl Scores,
    limits: Limits,
    go_on: impl Fn() -> bool,
) -> (Vec<Found>, Result<(), NoMore>) {
    let mut tables = Tables::new(problem, scores, limits, &go_on);
    if !tables.whole {
        let bound = Score { room: i64::MAX, ..Score::NOTHING };
        return (Vec::new(), Err(NoMore { bound }));
    }
    // Rows that rest on no place come to the same whatever is chosen.
    let alone = problem.groups.iter().enumerate().filter(|(_, group)| group.places.is_empty());
    let fixed = alone.fold(Score::NOTHING, |sum, (number, _)| sum.with(tables.score(number, &[])));
    let useful = Useful { allow_out: limits.allow_out, allow_open: limits.allow_open, least_room: i64::MIN };
    // A part that goes in no place at all is in no set.
    let lost = problem.with.iter().any(|part| !problem.domains.iter().any(|domain| domain.contains(part)));
    if !useful.has(fixed) || lost {
        return (Vec::new(), Ok(()));
    }
    if limits.best == 1 {
        return best(&mut tables, (fixed, useful), &go_on);
    }
    let places: Vec<usize> = (0..problem.domains.len()).collect();
    let groups = groups_of(problem, &places);
    let whole = Whole { useful };
    let bounds = Bounds::new(&tables, &whole, &places, &groups);
    let outcome = Branch::new(&tables, &bounds, limits.best, &go_on).all(fixed);
    let found = outcome.found.into_iter().map(|parts| Found { score: tables.of_set(&parts), parts });
    let mut found: Vec<Found> = found.collect();
    found.sort_by(|one, other| (one.score.cost(), &one.parts).cmp(&(other.score.cost(), &other.parts)));
    found.truncate(limits.best);
    let bound = outcome.bound.unwrap_or(fixed);
    (found, if outcome.whole { Ok(()) } else { Err(NoMore { bound }) })
}

/// The best set. Parts of the problem that have no row and no kind of part in common are solved one by one: counts add up, so
/// each has its own fewest; the smallest room is that of the tightest of them, and no other needs more than that at the cost of
/// its sum. So the smallest room is found first, and then the most room in all of sets that have no row below it.
fn best<S: Scores>(
    tables: &mut Tables<'_, S>,
    (fixed, useful): (Score, Useful),
    go_on: &impl Fn() -> bool,
) -> (Vec<Found>, Result<(), NoMore>) {
    let problem = tables.problem;
    let pieces = pieces(problem);
    let mut parts = vec![usize::MAX; problem.domains.len()];
    let mut bound = Score { room: i64::MAX, ..fixed };
    let mut whole = true;
    let mut filled = true;
    for piece in &pieces {
        let order = order(problem, &piece.places);
        let groups = groups_of(problem, &piece.places);
        let tightest = Tightest { useful };
        let bounds = Bounds::new(tables, &tightest, &order, &groups);
        let outcome = Branch::new(tables, &bounds, 1, go_on).best(None);
        let proved = match (outcome.whole, outcome.found.first()) {
            (true, None) => return (Vec::new(), if whole { Ok(()) } else { Err(NoMore { bound }) }),
            (true, Some(found)) => Some(tables.of_places(&groups, &order, found)),
            (false, _) => None,
        };
        let least = proved.map_or(outcome.bound, |score| Some((counts(score), Reverse(score.least_room))));
        if let Some(((out, open, worn, advisory), Reverse(least_room))) = least {
            bound = bound.with(Score { out, open, worn, advisory, least_room, room: 0 });
        }
        whole &= outcome.whole;
        filled &= put(&mut parts, &order, outcome.found.first());
    }
    if whole {
        let useful = Useful { least_room: bound.least_room, ..useful };
        for piece in &pieces {
            whole &= roomiest(tables, (&piece.places, useful), &mut parts, go_on);
        }
    }
    let found = if filled { vec![Found { score: tables.of_set(&parts), parts }] } else { Vec::new() };
    (found, if whole { Ok(()) } else { Err(NoMore { bound }) })
}

/// Fills some places with the most room in all; whether it is proved. The parts there before are a set that is of use.
fn roomiest<S: Scores>(
    tables: &mut Tables<'_, S>,
    (places, useful): (&[usize], Useful),
    parts: &mut [usize],
    go_on: &impl Fn() -> bool,
) -> bool {
    let order = order(tables.problem, places);
    let groups = groups_of(tables.problem, places);
    let mut open = places;
    loop {
        // First what is settled: it bounds all that comes after.
        let mut order = order.clone();
        order.sort_by_key(|place| tables.domain(*place).len() > 1);
        // The tags of as many places at once as one number holds.
        let mut weights = vec![0_u128; tables.problem.domains.len()];
        let mut weight = 1_u128;
        let mut count = 0;
        for place in open {
            let Some(next) = weight.checked_mul(tables.domain(*place).len().max(1) as u128) else { break };
            if next > u128::MAX / 2 {
                break;
            }
            weight = next;
            count += 1;
        }
        for place in open.iter().take(count) {
            weight /= tables.domain(*place).len().max(1) as u128;
            if let Some(entry) = weights.get_mut(*place) {
                *entry = weight;
            }
        }
        let measure = Roomiest { useful, weights };
        let bounds = Bounds::new(tables, &measure, &order, &groups);
        let known: Vec<usize> = order.iter().filter_map(|place| parts.get(*place).copied()).collect();
        let outcome = Branch::new(tables, &bounds, 1, go_on).best(Some(known));
        put(parts, &order, outcome.found.first());
        if !outcome.whole {
            return false;
        }
        let (done, rest) = open.split_at(count.min(open.len()));
        if rest.is_empty() || done.is_empty() {
            return true;
        }
        for place in done {
            if let (Some(domain), Some(part)) = (tables.domains.get_mut(*place), parts.get(*place)) {
                domain.retain(|one| one == part);
            }
        }
        open = rest;
    }
}

/// Puts the parts found at the places of an order; whether there were any.
fn put(parts: &mut [usize], order: &[usize], found: Option<&Vec<usize>>) -> bool {
    for (place, part) in order.iter().zip(found.into_iter().flatten()) {
        if let Some(entry) = parts.get_mut(*place) {
            *entry = *part;
        }
    }
    found.is_some()
}

/// How many parts there are for each place of a kind, in thousandths.
fn plenty(problem: &Problem, place: usize) -> usize {
    let Some(domain) = problem.domains.get(place) else { return 0 };
    let places = problem.domains.iter().filter(|other| *other == domain).count();
    domain.len() * 1000 / places.max(1)
}

/// The groups of rows that lie within some places.
pub(super) fn groups_of(problem: &Problem, places: &[usize]) -> Vec<usize> {
    let inside = |group: &Group| group.places.first().is_some_and(|place| places.contains(place));
    problem.groups.iter().enumerate().filter(|(_, group)| inside(group)).map(|(number, _)| number).collect()
}

/// The order in which places are filled: the one with the fewest rows in common with others last, and so on to the first; of
/// places alike in this, the one of which the shelf has the most parts a place; then the later one.
pub(super) fn order(problem: &Problem, places: &[usize]) -> Vec<usize> {
    let mut edges: Vec<(usize, usize)> = Vec::new();
    for group in problem.groups.iter().filter(|group| group.places.len() <= 3) {
        for one in &group.places {
            edges.extend(group.places.iter().filter(|other| *other != one).map(|other| (*one, *other)));
        }
    }
    let mut open = places.to_vec();
    let mut order = Vec::new();
    while !open.is_empty() {
        let others = |place: usize| -> Vec<usize> {
            let has = |other: &&usize| edges.contains(&(place, **other));
            open.iter().filter(has).copied().collect()
        };
        let key = |place: &usize| (others(*place).len(), Reverse(plenty(problem, *place)), Reverse(*place));
        let Some(last) = open.iter().copied().min_by_key(key) else {
            break;
        };
        let together = others(last);
        for one in &together {
            edges.extend(together.iter().filter(|other| *other != one).map(|other| (*one, *other)));
        }
        open.retain(|place| *place != last);
        order.push(last);
    }
    order.reverse();
    order
}

/// Places that have rows or kinds of parts in common.
pub(super) struct Piece {
    pub(super) places: Vec<usize>,
}

/// The problem taken apart.
pub(super) fn pieces(problem: &Problem) -> Vec<Piece> {
    let count = problem.domains.len();
    let mut piece_of: Vec<usize> = (0..count).collect();
    let mut join = |one: usize, other: usize| {
        let (Some(from), Some(to)) = (piece_of.get(one).copied(), piece_of.get(other).copied()) else { return };
        let (from, to) = (from.max(to), from.min(to));
        piece_of.iter_mut().filter(|piece| **piece == from).for_each(|piece| *piece = to);
    };
    for group in &problem.groups {
        for pair in group.places.windows(2) {
            if let [one, other] = pair {
                join(*one, *other);
            }
        }
    }
    for (one, domain) in problem.domains.iter().enumerate() {
        for (other, parts) in problem.domains.iter().enumerate().skip(one + 1) {
            if domain.iter().any(|part| parts.contains(part)) {
                join(one, other);
            }
        }
    }
    for pair in problem.in_order.windows(2) {
        if let [one, other] = pair {
            join(*one, *other);
        }
    }
    let mut names: Vec<usize> = piece_of.clone();
    names.sort_unstable();
    names.dedup();
    let places = |name: usize| (0..count).filter(|place| piece_of.get(*place) == Some(&name)).collect();
    names.into_iter().map(|name| Piece { places: places(name) }).collect()
}
