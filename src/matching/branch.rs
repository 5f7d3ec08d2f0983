//! Branch and bound over places that are filled in an order: complete unless it is told to stop. Refuses to know what is looked for.

use super::bound::Bounds;
use super::measure::Measure;
use super::search::{Problem, Scores};
use super::tables::Tables;

/// What a search came to.
pub(super) struct Outcome<V> {
    /// The parts of each set, in the order of the places.
    pub(super) found: Vec<Vec<usize>>,
    /// Whether everything was looked at.
    pub(super) whole: bool,
    /// No set comes to more than this.
    pub(super) bound: Option<V>,
}

/// A search under way.
pub(super) struct Branch<'a, S, M: Measure, G> {
    problem: &'a Problem,
    tables: &'a Tables<'a, S>,
    bounds: &'a Bounds<'a, S, M>,
    /// Parts that must be in these places.
    with: Vec<usize>,
    wanted: usize,
    go_on: &'a G,
    /// The part at each place, and whether each part is at one.
    taken: Vec<Option<usize>>,
    used: Vec<bool>,
    /// The cost of the last of the sets wanted: what costs as much is of no use.
    worst: Option<M::Cost>,
    /// The costs of the best sets so far, in their order.
    costs: Vec<M::Cost>,
    /// Once the costs are known: how many sets of the worst are still wanted.
    equal_wanted: Option<usize>,
    found: Vec<Vec<usize>>,
    steps: u64,
    stopped: bool,
}

impl<'a, S: Scores, M: Measure, G: Fn() -> bool> Branch<'a, S, M, G> {
    /// Fewer steps than this between two looks at the clock.
    const STEPS: u64 = 256;

    /// A search for so many sets.
    pub(super) fn new(
        tables: &'a Tables<'a, S>,
        bounds: &'a Bounds<'a, S, M>,
        wanted: usize,
        go_on: &'a G,
    ) -> Branch<'a, S, M, G> {
        let problem = tables.problem;
        let reachable = |part: &&usize| {
            bounds.order.iter().any(|place| problem.domains.get(*place).is_some_and(|domain| domain.contains(part)))
        };
        let most = problem.domains.iter().flatten().max().map_or(0, |most| most + 1);
        Branch {
            problem,
            tables,
            bounds,
            with: problem.with.iter().filter(reachable).copied().collect(),
            wanted,
            go_on,
            taken: vec![None; problem.domains.len()],
            used: vec![false; most],
            worst: None,
            costs: Vec::new(),
            equal_wanted: None,
            found: Vec::new(),
            steps: 0,
            stopped: false,
        }
    }

    /// The best set; `known` is one that is of use, in the order of the places.
    pub(super) fn best(mut self, known: Option<Vec<usize>>) -> Outcome<M::Value> {
        if let Some(known) = known
            && let Some(sum) = self.bounds.of_set(&known)
        {
            self.worst = Some(M::cost(sum));
            self.found.push(known);
        }
        self.search(M::NOTHING)
    }

    /// The best sets: first their costs, the likeliest parts first; then the sets of these costs in the order of their parts.
    /// `fixed` is what rows come to that rest on no place.
    pub(super) fn all(mut self, fixed: M::Value) -> Outcome<M::Value> {
        self.fill(0, fixed);
        if !self.stopped {
            self.found.clear();
            let equal = self.costs.iter().filter(|cost| Some(**cost) == self.worst).count();
            self.equal_wanted = Some(if self.worst.is_some() { equal } else { usize::MAX });
        }
        self.search(fixed)
    }

    fn search(mut self, fixed: M::Value) -> Outcome<M::Value> {
        if !self.stopped {
            self.fill(0, fixed);
        }
        let bound = self.bounds.rest(0, &self.taken, &self.used).map(|rest| M::join(fixed, rest));
        Outcome { found: self.found, whole: !self.stopped, bound }
    }

    /// Whether a set of such a cost may still be wanted.
    fn may_be_wanted(&self, cost: M::Cost) -> bool {
        match self.worst {
            None => true,
            // Of those that cost the same, the first in the order of their parts are enough.
            Some(worst) if self.equal_wanted.is_some_and(|wanted| wanted > 0) => cost <= worst,
            Some(worst) => cost < worst,
        }
    }

    /// Fills a place, by its number in the order, and all after it; `so_far` is what those before come to.
    fn fill(&mut self, number: usize, so_far: M::Value) {
        self.steps += 1;
        if self.steps % Self::STEPS == 1 && !(self.go_on)() {
            self.stopped = true;
        }
        if self.stopped {
            return;
        }
        let Some(place) = self.bounds.order.get(number).copied() else {
            self.complete(M::cost(so_far));
            return;
        };
        let tables = self.tables;
        let mut open: Vec<(M::Cost, M::Value, usize)> = Vec::new();
        for part in tables.domain(place) {
            if self.used.get(*part).copied().unwrap_or(false)
                || !self.is_in_order(place, *part)
                || !self.leaves_wanted(number, *part)
            {
                continue;
            }
            self.put(number, Some(*part));
            if let Some(step) = self.bounds.step(number, *part, &self.taken)
                && let Some(rest) = self.bounds.rest(number + 1, &self.taken, &self.used)
            {
                let now = M::join(so_far, step);
                let cost = M::cost(M::join(now, rest));
                if self.may_be_wanted(cost) {
                    open.push((cost, now, *part));
                }
            }
            self.put(number, None);
        }
        if self.equal_wanted.is_none() {
            open.sort_by_key(|(cost, _, part)| (*cost, *part));
        }
        for (cost, now, part) in open {
            // What was found meanwhile may be better.
            if !self.may_be_wanted(cost) {
                continue;
            }
            self.put(number, Some(part));
            self.fill(number + 1, now);
            self.put(number, None);
            if self.stopped {
                return;
            }
        }
    }

    fn put(&mut self, number: usize, part: Option<usize>) {
        let place = self.bounds.order.get(number).copied().unwrap_or(usize::MAX);
        let Some(taken) = self.taken.get_mut(place) else { return };
        let before = std::mem::replace(taken, part);
        for (part, is_used) in [(before, false), (part, true)] {
            if let Some(used) = part.and_then(|part| self.used.get_mut(part)) {
                *used = is_used;
            }
        }
    }

    /// Whether a part at the first place of a machine comes after those of the machines before, and before those of the
    /// machines after.
    fn is_in_order(&self, place: usize, part: usize) -> bool {
        let firsts = &self.problem.in_order;
        let Some(machine) = firsts.iter().position(|first| *first == place) else { return true };
        firsts.iter().enumerate().all(|(other, first)| match self.taken.get(*first).copied().flatten() {
            Some(taken) if other < machine => taken < part,
            Some(taken) if other > machine => part < taken,
            _ => true,
        })
    }

    /// Whether the parts that must be in the set can still all be.
    fn leaves_wanted(&self, number: usize, part: usize) -> bool {
        if self.with.is_empty() {
            return true;
        }
        let missing = self.with.iter().filter(|with| **with != part && !self.taken.contains(&Some(**with)));
        let rest = self.bounds.order.get(number + 1..).unwrap_or(&[]);
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

    fn complete(&mut self, cost: M::Cost) {
        if !self.may_be_wanted(cost) {
            return;
        }
        let at = |place: &usize| self.taken.get(*place).copied().flatten();
        let Some(parts) = self.bounds.order.iter().map(at).collect::<Option<Vec<usize>>>() else { return };
        if let Some(wanted) = &mut self.equal_wanted {
            *wanted -= usize::from(Some(cost) == self.worst);
            self.found.push(parts);
            return;
        }
        if self.wanted == 1 {
            self.found.clear();
        }
        self.found.push(parts);
        let at = self.costs.partition_point(|known| *known <= cost);
        self.costs.insert(at, cost);
        self.costs.truncate(self.wanted);
        if self.costs.len() == self.wanted {
            self.worst = self.costs.last().copied();
        }
    }
}
