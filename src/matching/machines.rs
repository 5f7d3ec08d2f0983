//! Several machines at once: the same places again for each, filled from one shelf. Refuses to know how a set is found.

use super::search::{Group, Problem, Score, Scores, order};
use rustc_hash::FxHashMap;
use std::cell::RefCell;

/// The places of one machine, once for each of several machines.
#[must_use]
pub fn repeated(one: &Problem, machines: usize) -> Problem {
    let places = one.domains.len();
    // Machines are told apart where the search begins, so that it looks at each choice once.
    let all: Vec<usize> = (0..places).collect();
    let first = order(one, &all).first().copied();
    let group = |machine: usize| {
        move |group: &Group| Group { places: group.places.iter().map(|place| place + machine * places).collect() }
    };
    Problem {
        domains: (0..machines).flat_map(|_| one.domains.iter().cloned()).collect(),
        groups: (0..machines).flat_map(|machine| one.groups.iter().map(group(machine))).collect(),
        in_order: first
            .map(|first| (0..machines).map(|machine| machine * places + first).collect())
            .unwrap_or_default(),
        with: one.with.clone(),
    }
}

/// The most machines that the parts could make, by their number alone.
#[must_use]
pub fn most_machines(one: &Problem) -> usize {
    let kinds = one.domains.iter().map(|domain| {
        let positions = one.domains.iter().filter(|other| *other == domain).count();
        domain.len() / positions.max(1)
    });
    kinds.min().unwrap_or(0)
}

/// Scores that are worked out once, the same for every machine.
pub struct Remembered<'a, S> {
    scores: &'a S,
    groups: usize,
    known: RefCell<FxHashMap<(usize, Vec<usize>), Score>>,
}

impl<'a, S: Scores> Remembered<'a, S> {
    /// Scores of a problem of so many groups for one machine.
    pub fn new(scores: &'a S, groups: usize) -> Remembered<'a, S> {
        Remembered { scores, groups: groups.max(1), known: RefCell::default() }
    }
}

impl<S: Scores> Scores for Remembered<'_, S> {
    fn score(&self, group: usize, parts: &[usize]) -> Score {
        let key = (group % self.groups, parts.to_vec());
        if let Some(known) = self.known.borrow().get(&key) {
            return *known;
        }
        let score = self.scores.score(key.0, parts);
        self.known.borrow_mut().insert(key, score);
        score
    }

    fn like(&self, group: usize) -> usize {
        group % self.groups
    }

    fn class(&self, group: usize, at: usize, part: usize) -> usize {
        self.scores.class(group % self.groups, at, part)
    }
}
