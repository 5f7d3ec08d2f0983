//! The best sets of a problem of places, parts and scores: branch and bound, complete unless it is told to stop. Refuses to
//! know what a score is of.

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
        self.cost_in(Order::WHOLE)
    }

    fn cost_in(self, order: Order) -> Cost {
        let least_room = Reverse(self.least_room.min(order.enough_room));
        let room = Reverse(if order.all_room { self.room } else { 0 });
        (self.out, self.open, self.worn, self.advisory, least_room, room)
    }
}

/// How much of the order of sets counts.
#[derive(Clone, Copy, Debug)]
struct Order {
    /// A smallest room of more than this is as good as this.
    enough_room: i64,
    /// Whether all room together counts.
    all_room: bool,
}

impl Order {
    const WHOLE: Order = Order { enough_room: i64::MAX, all_room: true };
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
    let tables = Tables::new(problem, scores, limits);
    let nothing_taken = vec![None; problem.domains.len()];
    let bound =
        (0..problem.groups.len()).fold(Score::NOTHING, |sum, group| sum.with(tables.bound(group, &nothing_taken)));
    let stopped = Err(NoMore { bound });
    let pieces = if limits.best == 1 { pieces(problem) } else { Vec::new() };
    if pieces.len() < 2 {
        let all: Vec<usize> = (0..problem.domains.len()).collect();
        let (found, whole) = alone(problem, &tables, (&all, Order::WHOLE), limits, &go_on);
        return (found, if whole { Ok(()) } else { stopped });
    }
    // Parts of the problem that have no row and no kind of part in common are solved one by one. Counts add up, so each has its
    // own fewest; the smallest room is that of the tightest of them, and no other needs more than that at the cost of its sum.
    let mut whole = true;
    // Rows that rest on no place have their room whatever is chosen.
    let fixed = problem.groups.iter().enumerate().filter(|(_, group)| group.places.is_empty());
    let mut enough_room = fixed.map(|(number, _)| tables.bound(number, &[]).least_room).min().unwrap_or(i64::MAX);
    for piece in &pieces {
        let order = Order { enough_room: i64::MAX, all_room: false };
        let (found, complete) = alone(problem, &tables, (&piece.places, order), limits, &go_on);
        whole &= complete;
        match found.first() {
            Some(found) => enough_room = enough_room.min(found.score.least_room),
            None => return (Vec::new(), if whole { Ok(()) } else { stopped }),
        }
    }
    let mut parts = vec![0; problem.domains.len()];
    for piece in &pieces {
        let order = Order { enough_room, all_room: true };
        let (found, complete) = alone(problem, &tables, (&piece.places, order), limits, &go_on);
        whole &= complete;
        let Some(found) = found.first() else { return (Vec::new(), if whole { Ok(()) } else { stopped }) };
        for (place, part) in piece.places.iter().zip(&found.parts) {
            if let Some(at) = parts.get_mut(*place) {
                *at = *part;
            }
        }
    }
    let taken: Vec<Option<usize>> = parts.iter().copied().map(Some).collect();
    let score = (0..problem.groups.len()).fold(Score::NOTHING, |sum, group| sum.with(tables.bound(group, &taken)));
    // Rows that rest on no place may be all that is wrong.
    let refused = score.out > 0 && !limits.allow_out || score.open > 0 && !limits.allow_open;
    let found = if refused { Vec::new() } else { vec![Found { parts, score }] };
    (found, if whole { Ok(()) } else { stopped })
}

/// Places that have rows or kinds of parts in common.
struct Piece {
    places: Vec<usize>,
}

/// The problem taken apart.
fn pieces(problem: &Problem) -> Vec<Piece> {
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

/// The best sets of some places alone, by the rows that rest on these; whether everything was looked at.
fn alone<S: Scores>(
    problem: &Problem,
    tables: &Tables<'_, S>,
    (places, order): (&[usize], Order),
    limits: Limits,
    go_on: &impl Fn() -> bool,
) -> (Vec<Found>, bool) {
    let every = places.len() == problem.domains.len();
    let groups = problem
        .groups
        .iter()
        .enumerate()
        .filter(|(_, group)| group.places.first().map_or(every, |place| places.contains(place)));
    let reachable = |part: &&usize| {
        places.iter().any(|place| problem.domains.get(*place).is_some_and(|domain| domain.contains(part)))
    };
    let (mine, others): (Vec<&usize>, Vec<&usize>) = problem.with.iter().partition(|part| reachable(part));
    // A part that goes in no place at all is in no set.
    let lost = others.iter().any(|part| !problem.domains.iter().any(|domain| domain.contains(part)));
    if lost {
        return (Vec::new(), true);
    }
    let mut search = Search {
        problem,
        tables,
        places,
        groups: groups.map(|(number, _)| number).collect(),
        with: mine.into_iter().copied().collect(),
        order,
        limits,
        go_on,
        taken: vec![None; problem.domains.len()],
        worst: None,
        costs: Vec::new(),
        equal_wanted: None,
        found: Vec::new(),
        steps: 0,
        stopped: false,
    };
    // First the costs, the likeliest parts first; then the sets of these costs in the order of their parts.
    search.place(0);
    if !search.stopped && order.all_room {
        search.found.clear();
        let equal = search.costs.iter().filter(|cost| Some(**cost) == search.worst).count();
        search.equal_wanted = Some(if search.worst.is_some() { equal } else { usize::MAX });
        search.place(0);
    }
    let mut found = search.found;
    let key = |found: &Found| found.score.cost_in(order);
    found.sort_by(|one, other| (key(one), &one.parts).cmp(&(key(other), &other.parts)));
    found.dedup();
    found.truncate(limits.best);
    (found, !search.stopped)
}

struct Search<'a, S, G> {
    problem: &'a Problem,
    tables: &'a Tables<'a, S>,
    /// The places to fill, and the rows that rest on them.
    places: &'a [usize],
    groups: Vec<usize>,
    /// Parts that must be in these places.
    with: Vec<usize>,
    order: Order,
    limits: Limits,
    go_on: &'a G,
    taken: Vec<Option<usize>>,
    /// The cost that the last of the sets wanted has: what costs more is of no use.
    worst: Option<Cost>,
    /// The costs of the best sets so far, in their order.
    costs: Vec<Cost>,
    /// Once the costs are known: how many sets of the worst are still wanted.
    equal_wanted: Option<usize>,
    found: Vec<Found>,
    steps: u64,
    stopped: bool,
}

impl<S: Scores, G: Fn() -> bool> Search<'_, S, G> {
    /// Fewer steps than this between two looks at the clock.
    const STEPS: u64 = 256;

    /// The best that can come of what is decided so far.
    fn bound(&self) -> Score {
        self.groups.iter().fold(Score::NOTHING, |sum, group| sum.with(self.tables.bound(*group, &self.taken)))
    }

    /// Whether a set of such a cost may still be wanted.
    fn may_be_wanted(&self, score: Score) -> bool {
        if score.out > 0 && !self.limits.allow_out || score.open > 0 && !self.limits.allow_open {
            return false;
        }
        match self.worst {
            None => true,
            // Of those that cost the same, the first in the order of their parts are enough.
            Some(worst) if self.equal_wanted.is_some_and(|wanted| wanted > 0) => score.cost_in(self.order) <= worst,
            Some(worst) => score.cost_in(self.order) < worst,
        }
    }

    /// Fills a place, by its number among those to fill, and all after it.
    fn place(&mut self, number: usize) {
        self.steps += 1;
        if self.steps % Self::STEPS == 1 && !(self.go_on)() {
            self.stopped = true;
        }
        if self.stopped {
            return;
        }
        let Some(place) = self.places.get(number).copied() else {
            self.complete();
            return;
        };
        let Some(domain) = self.tables.domains.get(place) else { return };
        let mut open: Vec<(Score, usize)> = Vec::with_capacity(domain.len());
        for part in domain {
            if self.taken.contains(&Some(*part))
                || !self.is_in_order(place, *part)
                || !self.leaves_wanted(number, *part)
            {
                continue;
            }
            self.put(place, Some(*part));
            let bound = self.bound();
            self.put(place, None);
            if self.may_be_wanted(bound) {
                open.push((bound, *part));
            }
        }
        if self.equal_wanted.is_none() {
            let order = self.order;
            open.sort_by_key(|(bound, part)| (bound.cost_in(order), *part));
        }
        for (bound, part) in open {
            // What was found meanwhile may be better.
            if !self.may_be_wanted(bound) {
                continue;
            }
            self.put(place, Some(part));
            self.place(number + 1);
            self.put(place, None);
        }
    }

    fn put(&mut self, place: usize, part: Option<usize>) {
        if let Some(taken) = self.taken.get_mut(place) {
            *taken = part;
        }
    }

    /// Whether a part at the first place of a machine comes after that of the machine before.
    fn is_in_order(&self, place: usize, part: usize) -> bool {
        let Some(machine) = self.problem.in_order.iter().position(|first| *first == place) else { return true };
        let before = machine.checked_sub(1).and_then(|before| self.problem.in_order.get(before));
        before.and_then(|before| self.taken.get(*before).copied().flatten()).is_none_or(|before| before < part)
    }

    /// Whether the parts that must be in the set can still all be.
    fn leaves_wanted(&self, number: usize, part: usize) -> bool {
        let missing = self.with.iter().filter(|with| **with != part && !self.taken.contains(&Some(**with)));
        let rest = self.places.get(number + 1..).unwrap_or(&[]);
        let mut count = 0;
        for with in missing {
            count += 1;
            let holds = |place: &usize| self.problem.domains.get(*place).is_some_and(|domain| domain.contains(with));
            if !rest.iter().any(holds) {
                return false;
            }
        }
        count <= rest.len()
    }

    fn complete(&mut self) {
        let score = self.bound();
        if !self.may_be_wanted(score) {
            return;
        }
        let at = |place: &usize| self.taken.get(*place).copied().flatten();
        let Some(parts) = self.places.iter().map(at).collect::<Option<Vec<usize>>>() else { return };
        self.found.push(Found { parts, score });
        if let Some(wanted) = &mut self.equal_wanted {
            *wanted -= usize::from(Some(score.cost_in(self.order)) == self.worst);
            return;
        }
        let at = self.costs.partition_point(|cost| *cost <= score.cost_in(self.order));
        self.costs.insert(at, score.cost_in(self.order));
        self.costs.truncate(self.limits.best);
        if self.costs.len() == self.limits.best {
            self.worst = self.costs.last().copied();
        }
    }
}
