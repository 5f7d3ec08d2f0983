//! Several machines at once from one shelf. Refuses to report what is in a set.

use super::{MatchReport, Matched, Scored, wording};
use crate::matching::{Found, Limits, NoMore, Score, Scores, most_machines, repeated, search};
use std::time::{Duration, Instant};

/// How many machines are to be built at once.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Machines {
    /// As many as the shelf allows.
    AsMany,
    /// So many.
    Number(usize),
}

impl MatchReport<'_> {
    /// As many machines at once as were asked for, or as there can be: the best if the time for it is left. Gives the parts of each.
    pub fn machines(
        &self,
        asked: Machines,
        scores: &Scored<'_>,
        (go_on, left): (&dyn Fn() -> bool, &dyn Fn(Instant) -> Duration),
        matched: &mut Matched,
    ) -> Vec<Found> {
        matched.machines = true;
        let most = most_machines(self.one);
        let wanted: Vec<usize> = match asked {
            Machines::AsMany => (1..=most).rev().collect(),
            Machines::Number(number) => vec![number],
        };
        let limits = Limits { best: 1, allow_out: false, allow_open: true };
        // One after the other, each the best of what is left: what there is to say if the search is broken off.
        let first = self.one_by_one(wanted.iter().copied().max().unwrap_or(0).min(most), scores, limits, go_on);
        let cost = |machines: &[Found]| machines.iter().fold(Score::NOTHING, |sum, one| sum.with(one.score)).cost();
        for count in wanted {
            if count > most {
                continue;
            }
            // Each number of machines gets half of the time that is left.
            let until = Instant::now() + left(Instant::now()) / 2;
            let (found, whole) =
                search(&repeated(self.one, count), scores, limits, || go_on() && Instant::now() < until);
            matched.proved &= whole.is_ok();
            let known = first.get(..count).filter(|_| whole.is_err() && count > 0);
            let found = found.into_iter().next();
            if found.is_none() && whole.is_err() && matched.bound.is_none() && known.is_none() {
                matched.bound = Some(wording::as_many(count));
            }
            let better = known.filter(|known| found.as_ref().is_none_or(|found| cost(known) < found.score.cost()));
            if let (Some(machines), Err(NoMore { bound })) = (better, &whole) {
                let all = machines.iter().fold(Score::NOTHING, |sum, one| sum.with(one.score));
                matched.bound.get_or_insert_with(|| wording::bound(count, *bound, all));
                matched.sets = machines.iter().map(|found| self.set(&found.parts, found.score)).collect();
                return machines.to_vec();
            }
            let Some(found) = found else { continue };
            if let Err(NoMore { bound }) = whole {
                matched.bound = Some(wording::bound(count, bound, found.score));
            }
            let places = self.one.domains.len().max(1);
            let one = |parts: &[usize]| {
                let score = self.one.groups.iter().enumerate().fold(Score::NOTHING, |sum, (number, group)| {
                    let at: Vec<usize> = group.places.iter().filter_map(|place| parts.get(*place).copied()).collect();
                    sum.with(scores.score(number, &at))
                });
                Found { parts: parts.to_vec(), score }
            };
            let machines: Vec<Found> = found.parts.chunks(places).map(one).collect();
            matched.sets = machines.iter().map(|found| self.set(&found.parts, found.score)).collect();
            return machines;
        }
        Vec::new()
    }

    /// Machines one after the other, each the best that the parts left over give.
    fn one_by_one(&self, most: usize, scores: &Scored<'_>, limits: Limits, go_on: &dyn Fn() -> bool) -> Vec<Found> {
        let mut rest = self.one.clone();
        let mut machines: Vec<Found> = Vec::new();
        // What must be in the set is for the search to place.
        while machines.len() < most && rest.with.is_empty() {
            let (found, _) = search(&rest, scores, limits, go_on);
            let Some(found) = found.into_iter().next() else { break };
            rest.domains.iter_mut().for_each(|domain| domain.retain(|part| !found.parts.contains(part)));
            machines.push(found);
        }
        machines
    }
}
