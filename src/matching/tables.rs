//! Scores calculated before a search: of each group for every class of parts at its places. Refuses to search.

use super::search::{Limits, Problem, Score, Scores};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// The most scores that are calculated for a group before the search: those of larger groups are calculated when they are needed.
const MOST_SCORES: usize = 2_000_000;
/// The same for groups of three places and more, which are judged for more sets than the search will ever look at.
const MOST_SCORES_OF_MANY: usize = 300_000;

/// The scores of one group.
struct Table {
    /// For each place of the group, the class of each part by its number.
    classes: Vec<Vec<usize>>,
    /// For each place how many classes there are.
    counts: Vec<usize>,
    /// For each class at the first place, then at the second and so on.
    scores: Vec<Score>,
}

/// A group with the parts at its places; those that are like each other have one table.
type Alike = (usize, Vec<Vec<usize>>);

/// The scores of all groups, and the parts that may be at each place.
pub(super) struct Tables<'a, S> {
    pub(super) problem: &'a Problem,
    scores: &'a S,
    /// For each place the parts that may still be there: those that fail by themselves are not, where no row may be out.
    pub(super) domains: Vec<Vec<usize>>,
    tables: Vec<Option<Rc<Table>>>,
    /// Whether they are all there; `false` if the time was up.
    pub(super) whole: bool,
}

impl<'a, S: Scores> Tables<'a, S> {
    pub(super) fn new(problem: &'a Problem, scores: &'a S, limits: Limits, go_on: &impl Fn() -> bool) -> Tables<'a, S> {
        let mut domains = problem.domains.clone();
        for (number, group) in problem.groups.iter().enumerate() {
            if let ([place], false) = (group.places.as_slice(), limits.allow_out)
                && let Some(domain) = domains.get_mut(*place)
            {
                domain.retain(|part| scores.score(number, &[*part]).out == 0);
            }
        }
        let mut tables = Tables { problem, scores, domains, tables: Vec::new(), whole: true };
        // Groups that are like each other have the same parts at their places.
        let mut known: FxHashMap<Alike, Option<Rc<Table>>> = FxHashMap::default();
        for (number, group) in problem.groups.iter().enumerate() {
            let domains = group.places.iter().map(|place| tables.domain(*place).to_vec()).collect();
            let key = (scores.like(number), domains);
            let table = match known.get(&key) {
                Some(table) => table.clone(),
                None => {
                    let table = tables.table(number, &key.1, go_on).map(Rc::new);
                    known.insert(key, table.clone());
                    table
                }
            };
            tables.tables.push(table);
        }
        tables
    }

    /// The parts that may be at a place.
    pub(super) fn domain(&self, place: usize) -> &[usize] {
        self.domains.get(place).map_or(&[], Vec::as_slice)
    }

    /// Whether the scores of a group are known before the search.
    pub(super) fn is_known(&self, group: usize) -> bool {
        matches!(self.tables.get(group), Some(Some(_)))
    }

    fn table(&mut self, number: usize, domains: &[Vec<usize>], go_on: &impl Fn() -> bool) -> Option<Table> {
        let mut classes = Vec::new();
        // For each place one part of each class.
        let mut examples: Vec<Vec<usize>> = Vec::new();
        for (at, domain) in domains.iter().enumerate() {
            let mut numbers: FxHashMap<usize, usize> = FxHashMap::default();
            let mut of_part = vec![usize::MAX; domain.iter().max().map_or(0, |most| most + 1)];
            let mut first = Vec::new();
            for part in domain {
                let class = *numbers.entry(self.scores.class(number, at, *part)).or_insert_with(|| {
                    first.push(*part);
                    first.len() - 1
                });
                if let Some(entry) = of_part.get_mut(*part) {
                    *entry = class;
                }
            }
            classes.push(of_part);
            examples.push(first);
        }
        let counts: Vec<usize> = examples.iter().map(Vec::len).collect();
        let count = counts.iter().copied().fold(1, usize::saturating_mul);
        if count > if counts.len() > 2 { MOST_SCORES_OF_MANY } else { MOST_SCORES } {
            return None;
        }
        let mut table = Table { classes, counts, scores: Vec::with_capacity(count) };
        let mut parts = vec![0; examples.len()];
        for at in 0..count {
            if at % 256 == 255 && !go_on() {
                self.whole = false;
                return None;
            }
            let mut rest = at;
            for ((part, examples), count) in parts.iter_mut().zip(&examples).zip(&table.counts).rev() {
                *part = examples.get(rest % count).copied().unwrap_or_default();
                rest /= count;
            }
            table.scores.push(self.scores.score(number, &parts));
        }
        Some(table)
    }

    /// The score of a group for the parts at its places.
    pub(super) fn score(&self, group: usize, parts: &[usize]) -> Score {
        self.known(group, parts).unwrap_or_else(|| self.scores.score(group, parts))
    }

    fn known(&self, group: usize, parts: &[usize]) -> Option<Score> {
        let table = self.tables.get(group)?.as_ref()?;
        let mut at = 0;
        for ((part, classes), count) in parts.iter().zip(&table.classes).zip(&table.counts) {
            at = at * count + classes.get(*part).filter(|class| **class < *count)?;
        }
        table.scores.get(at).copied()
    }

    /// The score of all groups for a part at every place.
    pub(super) fn of_set(&self, parts: &[usize]) -> Score {
        self.problem.groups.iter().enumerate().fold(Score::NOTHING, |sum, (number, group)| {
            let at: Vec<usize> = group.places.iter().filter_map(|place| parts.get(*place).copied()).collect();
            sum.with(self.score(number, &at))
        })
    }

    /// The score of some groups for parts at the places of an order.
    pub(super) fn of_places(&self, groups: &[usize], order: &[usize], parts: &[usize]) -> Score {
        groups.iter().fold(Score::NOTHING, |sum, number| {
            let places = self.problem.groups.get(*number).map_or(&[][..], |group| group.places.as_slice());
            let part = |place: &usize| order.iter().position(|one| one == place).and_then(|at| parts.get(at).copied());
            let at: Vec<usize> = places.iter().filter_map(part).collect();
            sum.with(self.score(*number, &at))
        })
    }
}
