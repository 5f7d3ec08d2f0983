//! As many pairs as there can be, of the least cost in all, proved: a matching of greatest weight in any graph, by blossoms and dual
//! labels (Edmonds, Journal of Research of the National Bureau of Standards 69B (1965), 125-130; in the time of the cube of the
//! number of things, as Gabow, Journal of the ACM 23 (1976), 221-234). Numbers are exact. Refuses to know what is paired.

use crate::quantity::Number;
use std::collections::VecDeque;

/// What a pair of things costs, by their numbers, the lower first.
pub type PairCost = (usize, usize, Number);

/// The most pairs of so many things, each in one pair at most, and of these those that cost the least together; each pair and all
/// pairs in order. A pair that is not listed cannot be. No cost is below nought.
#[must_use]
pub fn least_pairs(things: usize, costs: &[PairCost]) -> Vec<(usize, usize)> {
    let most = costs.iter().map(|(_, _, cost)| cost).max().cloned().unwrap_or(Number::ZERO);
    // One pair more outweighs all that any pairs cost.
    let count = i64::try_from(things).unwrap_or(i64::MAX);
    let worth = &(&most * &Number::from_integer(count)) + &Number::ONE;
    let mut blossoms = Blossoms::new(things);
    for (one, other, cost) in costs {
        let weight = &worth - cost;
        blossoms.weight.set(one + 1, other + 1, Some(weight.clone()));
        blossoms.weight.set(other + 1, one + 1, Some(weight));
        blossoms.ends.set(one + 1, other + 1, (one + 1, other + 1));
        blossoms.ends.set(other + 1, one + 1, (other + 1, one + 1));
    }
    blossoms.solve(worth);
    let mut pairs: Vec<(usize, usize)> = (1..=things)
        .filter_map(|one| {
            let other = blossoms.mate.get(one);
            (other > one).then(|| (one - 1, other - 1))
        })
        .collect();
    pairs.sort_unstable();
    pairs
}

/// A list that gives the default past its end.
struct List<T>(Vec<T>);

impl<T: Clone + Default> List<T> {
    fn of(count: usize) -> List<T> {
        List(vec![T::default(); count])
    }

    fn get(&self, at: usize) -> T {
        self.0.get(at).cloned().unwrap_or_default()
    }

    fn set(&mut self, at: usize, value: T) {
        if let Some(entry) = self.0.get_mut(at) {
            *entry = value;
        }
    }
}

/// A table of so many columns.
struct Grid<T> {
    columns: usize,
    cells: List<T>,
}

impl<T: Clone + Default> Grid<T> {
    fn of(rows: usize, columns: usize) -> Grid<T> {
        Grid { columns, cells: List::of(rows * columns) }
    }

    fn get(&self, row: usize, column: usize) -> T {
        self.cells.get(row * self.columns + column)
    }

    fn set(&mut self, row: usize, column: usize, value: T) {
        self.cells.set(row * self.columns + column, value);
    }
}

/// An edge by the things it joins; (0, 0) for none.
type Ends = (usize, usize);

/// On which side of its tree a thing, or a blossom, lies.
#[derive(Clone, Copy, PartialEq, Eq, Default)]
enum Side {
    #[default]
    Free,
    Outer,
    Inner,
}

/// The state of the search. Things count from 1, blossoms from one past the things; 0 is none.
struct Blossoms {
    things: usize,
    /// The last number given to a blossom.
    last: usize,
    weight: Grid<Option<Number>>,
    /// The best edge between each two things or blossoms.
    ends: Grid<Ends>,
    label: List<Option<Number>>,
    mate: List<usize>,
    slack: List<usize>,
    /// The outermost blossom each is in; itself if none.
    outermost: List<usize>,
    parent: List<usize>,
    /// For each blossom and thing, the part of the blossom that the thing is in.
    from: Grid<usize>,
    side: List<Side>,
    visited: List<usize>,
    visit: usize,
    /// The ring of each blossom, its base first.
    ring: List<Vec<usize>>,
    queue: VecDeque<usize>,
}

impl Blossoms {
    fn new(things: usize) -> Blossoms {
        let all = 2 * things + 2;
        Blossoms {
            things,
            last: things,
            weight: Grid::of(things + 1, things + 1),
            ends: Grid::of(all, all),
            label: List::of(all),
            mate: List::of(all),
            slack: List::of(all),
            outermost: List::of(all),
            parent: List::of(all),
            from: Grid::of(all, things + 1),
            side: List::of(all),
            visited: List::of(all),
            visit: 0,
            ring: List::of(all),
            queue: VecDeque::new(),
        }
    }

    fn solve(&mut self, most: Number) {
        for thing in 1..=self.things {
            self.outermost.set(thing, thing);
            self.from.set(thing, thing, thing);
            self.label.set(thing, Some(most.clone()));
        }
        while self.augments() {}
    }

    fn label_of(&self, at: usize) -> Number {
        self.label.get(at).unwrap_or(Number::ZERO)
    }

    fn add_to_label(&mut self, at: usize, more: &Number) {
        let label = &self.label_of(at) + more;
        self.label.set(at, Some(label));
    }

    /// How far an edge is from being tight.
    fn distance(&self, (one, other): Ends) -> Number {
        let weight = self.weight.get(one, other).unwrap_or(Number::ZERO);
        &(&self.label_of(one) + &self.label_of(other)) - &(&weight + &weight)
    }

    fn update_slack(&mut self, thing: usize, at: usize) {
        let known = self.slack.get(at);
        if known == 0 || self.distance(self.ends.get(thing, at)) < self.distance(self.ends.get(known, at)) {
            self.slack.set(at, thing);
        }
    }

    fn set_slack(&mut self, at: usize) {
        self.slack.set(at, 0);
        for thing in 1..=self.things {
            let of = self.outermost.get(thing);
            if self.ends.get(thing, at) != (0, 0) && of != at && self.side.get(of) == Side::Outer {
                self.update_slack(thing, at);
            }
        }
    }

    fn push(&mut self, at: usize) {
        if at <= self.things {
            self.queue.push_back(at);
            return;
        }
        for inner in self.ring.get(at) {
            self.push(inner);
        }
    }

    fn set_outermost(&mut self, at: usize, blossom: usize) {
        self.outermost.set(at, blossom);
        if at > self.things {
            for inner in self.ring.get(at) {
                self.set_outermost(inner, blossom);
            }
        }
    }

    /// How far round its ring a part of a blossom lies from the base, the even way.
    fn turn(&mut self, blossom: usize, inner: usize) -> usize {
        let mut ring = self.ring.get(blossom);
        let at = ring.iter().position(|one| *one == inner).unwrap_or(0);
        if at % 2 == 0 {
            return at;
        }
        if let Some(rest) = ring.get_mut(1..) {
            rest.reverse();
        }
        let at = ring.len() - at;
        self.ring.set(blossom, ring);
        at
    }

    fn set_mate(&mut self, one: usize, other: usize) {
        let edge = self.ends.get(one, other);
        self.mate.set(one, edge.1);
        if one <= self.things {
            return;
        }
        let inner = self.from.get(one, edge.0);
        let at = self.turn(one, inner);
        let ring = self.ring.get(one);
        for pair in 0..at {
            if let (Some(first), Some(second)) = (ring.get(pair), ring.get(pair ^ 1)) {
                self.set_mate(*first, *second);
            }
        }
        self.set_mate(inner, other);
        let mut ring = self.ring.get(one);
        let turn = at.min(ring.len());
        ring.rotate_left(turn);
        self.ring.set(one, ring);
    }

    fn augment(&mut self, mut one: usize, mut other: usize) {
        loop {
            let next = self.outermost.get(self.mate.get(one));
            self.set_mate(one, other);
            if next == 0 {
                return;
            }
            let above = self.outermost.get(self.parent.get(next));
            self.set_mate(next, above);
            (one, other) = (above, next);
        }
    }

    /// Where the ways up from two outer blossoms meet; 0 if they do not.
    fn meeting(&mut self, mut one: usize, mut other: usize) -> usize {
        self.visit += 1;
        while one != 0 || other != 0 {
            if one != 0 {
                if self.visited.get(one) == self.visit {
                    return one;
                }
                self.visited.set(one, self.visit);
                one = self.outermost.get(self.mate.get(one));
                if one != 0 {
                    one = self.outermost.get(self.parent.get(one));
                }
            }
            std::mem::swap(&mut one, &mut other);
        }
        0
    }

    fn add_blossom(&mut self, one: usize, base: usize, other: usize) {
        let mut blossom = self.things + 1;
        while blossom <= self.last && self.outermost.get(blossom) != 0 {
            blossom += 1;
        }
        self.last = self.last.max(blossom);
        self.label.set(blossom, None);
        self.side.set(blossom, Side::Outer);
        self.mate.set(blossom, self.mate.get(base));
        let mut ring = vec![base];
        for (number, from) in [one, other].into_iter().enumerate() {
            if number == 1
                && let Some(rest) = ring.get_mut(1..)
            {
                rest.reverse();
            }
            let mut at = from;
            while at != base {
                let above = self.outermost.get(self.mate.get(at));
                ring.extend([at, above]);
                self.push(above);
                at = self.outermost.get(self.parent.get(above));
            }
        }
        self.ring.set(blossom, ring.clone());
        self.set_outermost(blossom, blossom);
        for at in 1..=self.last {
            self.ends.set(blossom, at, (0, 0));
            self.ends.set(at, blossom, (0, 0));
        }
        for thing in 1..=self.things {
            self.from.set(blossom, thing, 0);
        }
        for inner in ring {
            for at in 1..=self.last {
                let (known, new) = (self.ends.get(blossom, at), self.ends.get(inner, at));
                if new != (0, 0) && (known == (0, 0) || self.distance(new) < self.distance(known)) {
                    self.ends.set(blossom, at, new);
                    self.ends.set(at, blossom, self.ends.get(at, inner));
                }
            }
            for thing in 1..=self.things {
                if self.from.get(inner, thing) != 0 {
                    self.from.set(blossom, thing, inner);
                }
            }
        }
        self.set_slack(blossom);
    }

    fn expand(&mut self, blossom: usize) {
        for inner in self.ring.get(blossom) {
            self.set_outermost(inner, inner);
        }
        let edge = self.ends.get(blossom, self.parent.get(blossom));
        let inner = self.from.get(blossom, edge.0);
        let at = self.turn(blossom, inner);
        let ring = self.ring.get(blossom);
        let part = |at: usize| ring.get(at).copied().unwrap_or_default();
        for number in (0..at).step_by(2) {
            let (first, second) = (part(number), part(number + 1));
            self.parent.set(first, self.ends.get(second, first).0);
            self.side.set(first, Side::Inner);
            self.side.set(second, Side::Outer);
            self.slack.set(first, 0);
            self.set_slack(second);
            self.push(second);
        }
        self.side.set(inner, Side::Inner);
        self.parent.set(inner, self.parent.get(blossom));
        for number in at + 1..ring.len() {
            self.side.set(part(number), Side::Free);
            self.set_slack(part(number));
        }
        self.outermost.set(blossom, 0);
    }

    /// Follows a tight edge; whether one more pair was made.
    fn follow(&mut self, edge: Ends) -> bool {
        let (one, other) = (self.outermost.get(edge.0), self.outermost.get(edge.1));
        match self.side.get(other) {
            Side::Free => {
                self.parent.set(other, edge.0);
                self.side.set(other, Side::Inner);
                let next = self.outermost.get(self.mate.get(other));
                self.slack.set(other, 0);
                self.slack.set(next, 0);
                self.side.set(next, Side::Outer);
                self.push(next);
                false
            }
            Side::Outer => {
                let base = self.meeting(one, other);
                if base == 0 {
                    self.augment(one, other);
                    self.augment(other, one);
                    return true;
                }
                self.add_blossom(one, base, other);
                false
            }
            Side::Inner => false,
        }
    }

    /// The things and blossoms that lie in no other.
    fn outer_ones(&self) -> Vec<usize> {
        (1..=self.last).filter(|at| self.outermost.get(*at) == *at).collect()
    }

    /// Makes one more pair, if there can be one.
    fn augments(&mut self) -> bool {
        for at in 0..=self.last {
            self.side.set(at, Side::Free);
            self.slack.set(at, 0);
        }
        self.queue.clear();
        for at in self.outer_ones() {
            if self.mate.get(at) == 0 {
                self.parent.set(at, 0);
                self.side.set(at, Side::Outer);
                self.push(at);
            }
        }
        if self.queue.is_empty() {
            return false;
        }
        loop {
            while let Some(one) = self.queue.pop_front() {
                if self.side.get(self.outermost.get(one)) == Side::Inner {
                    continue;
                }
                for other in 1..=self.things {
                    let edge = self.ends.get(one, other);
                    if edge == (0, 0) || self.outermost.get(one) == self.outermost.get(other) {
                        continue;
                    }
                    if !self.distance(edge).is_zero() {
                        self.update_slack(one, self.outermost.get(other));
                    } else if self.follow(edge) {
                        return true;
                    }
                }
            }
            let Some(step) = self.step() else { return false };
            for thing in 1..=self.things {
                match self.side.get(self.outermost.get(thing)) {
                    Side::Outer if self.label_of(thing) <= step => return false,
                    Side::Outer => self.add_to_label(thing, &-&step),
                    Side::Inner => self.add_to_label(thing, &step),
                    Side::Free => {}
                }
            }
            let twice = &step + &step;
            for blossom in self.things + 1..=self.last {
                if self.outermost.get(blossom) != blossom {
                    continue;
                }
                match self.side.get(blossom) {
                    Side::Outer => self.add_to_label(blossom, &twice),
                    Side::Inner => self.add_to_label(blossom, &-&twice),
                    Side::Free => {}
                }
            }
            self.queue.clear();
            for at in self.outer_ones() {
                let slack = self.slack.get(at);
                if slack == 0 || self.outermost.get(at) != at || self.outermost.get(slack) == at {
                    continue;
                }
                let edge = self.ends.get(slack, at);
                if self.distance(edge).is_zero() && self.follow(edge) {
                    return true;
                }
            }
            for blossom in self.things + 1..=self.last {
                if self.outermost.get(blossom) == blossom
                    && self.side.get(blossom) == Side::Inner
                    && self.label_of(blossom).is_zero()
                {
                    self.expand(blossom);
                }
            }
        }
    }

    /// How far the labels can be moved until something is tight; `None` if nothing ever is.
    fn step(&self) -> Option<Number> {
        let half = Number::ratio(1, 2)?;
        let mut steps: Vec<Number> = Vec::new();
        for blossom in self.things + 1..=self.last {
            if self.outermost.get(blossom) == blossom && self.side.get(blossom) == Side::Inner {
                steps.push(&self.label_of(blossom) * &half);
            }
        }
        for at in self.outer_ones() {
            let slack = self.slack.get(at);
            if slack == 0 {
                continue;
            }
            let distance = self.distance(self.ends.get(slack, at));
            match self.side.get(at) {
                Side::Free => steps.push(distance),
                Side::Outer => steps.push(&distance * &half),
                Side::Inner => {}
            }
        }
        // A thing that is alone ends the search when its label is used up.
        let outer = (1..=self.things).filter(|thing| self.side.get(self.outermost.get(*thing)) == Side::Outer);
        steps.extend(outer.map(|thing| self.label_of(thing)));
        steps.into_iter().min()
    }
}
