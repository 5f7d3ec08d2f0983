//! Scores worked out before a search, and from them the best that can come of what is decided so far.

use super::search::{Limits, Problem, Score, Scores};
use rustc_hash::FxHashMap;

/// Scores worked out before the search: for groups of one or two places all of them.
pub(super) struct Tables<'a, S> {
    problem: &'a Problem,
    scores: &'a S,
    /// For each place the parts that may still be there: those that fail by themselves are not, where no row may be out.
    pub(super) domains: Vec<Vec<usize>>,
    /// For each group, the best it can come to with nothing decided.
    best: Vec<Score>,
    /// For each group of two places, the best with one of them decided: by place in the group, then part.
    best_with: Vec<[FxHashMap<usize, Score>; 2]>,
}

impl<'a, S: Scores> Tables<'a, S> {
    pub(super) fn new(problem: &'a Problem, scores: &'a S, limits: Limits) -> Tables<'a, S> {
        let mut domains = problem.domains.clone();
        for (number, group) in problem.groups.iter().enumerate() {
            if let ([place], false) = (group.places.as_slice(), limits.allow_out)
                && let Some(domain) = domains.get_mut(*place)
            {
                domain.retain(|part| scores.score(number, &[*part]).out == 0);
            }
        }
        let mut tables = Tables { problem, scores, domains, best: Vec::new(), best_with: Vec::new() };
        for (number, group) in problem.groups.iter().enumerate() {
            let mut best: Option<Score> = None;
            let mut best_with: [FxHashMap<usize, Score>; 2] = Default::default();
            let domain = |at: usize| {
                let place = group.places.get(at).copied().unwrap_or(usize::MAX);
                tables.domains.get(place).map_or(&[][..], Vec::as_slice)
            };
            match group.places.len() {
                0 => best = Some(tables.score(number, &[])),
                1 => {
                    for part in domain(0) {
                        let score = tables.score(number, &[*part]);
                        best = Some(best.map_or(score, |best| best.best_of(score)));
                    }
                }
                2 => {
                    for one in domain(0) {
                        for other in domain(1).iter().filter(|other| *other != one) {
                            let score = tables.score(number, &[*one, *other]);
                            best = Some(best.map_or(score, |best| best.best_of(score)));
                            for (at, part) in [one, other].into_iter().enumerate() {
                                if let Some(with) = best_with.get_mut(at) {
                                    with.entry(*part)
                                        .and_modify(|known| *known = known.best_of(score))
                                        .or_insert(score);
                                }
                            }
                        }
                    }
                }
                _ => {}
            }
            tables.best.push(best.unwrap_or(OPTIMISTIC));
            tables.best_with.push(best_with);
        }
        tables
    }

    fn score(&self, group: usize, parts: &[usize]) -> Score {
        self.scores.score(group, parts)
    }

    /// The best a group can come to with some places decided.
    pub(super) fn bound(&self, number: usize, taken: &[Option<usize>]) -> Score {
        let Some(group) = self.problem.groups.get(number) else { return Score::NOTHING };
        let at = |place: &usize| taken.get(*place).copied().flatten();
        let decided: Option<Vec<usize>> = group.places.iter().map(at).collect();
        if let Some(parts) = decided {
            return self.score(number, &parts);
        }
        if let ([one, other], Some(with)) = (group.places.as_slice(), self.best_with.get(number)) {
            let side = match (at(one), at(other)) {
                (Some(part), None) => Some((&with[0], part)),
                (None, Some(part)) => Some((&with[1], part)),
                _ => None,
            };
            if let Some((with, part)) = side {
                // With no partner at all there is no set; nothing is better than the worst.
                return with.get(&part).copied().unwrap_or(HOPELESS);
            }
        }
        self.best.get(number).copied().unwrap_or(OPTIMISTIC)
    }
}

/// Of rows nobody has looked at.
const OPTIMISTIC: Score = Score { out: 0, open: 0, worn: 0, advisory: 0, least_room: i64::MAX, room: i64::MAX / 1024 };

/// Of rows that no part goes with.
const HOPELESS: Score = Score {
    out: u32::MAX,
    open: u32::MAX,
    worn: u32::MAX,
    advisory: u32::MAX,
    least_room: i64::MIN,
    room: i64::MIN / 1024,
};
