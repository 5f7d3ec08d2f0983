//! What the best set would be with a part that was left. Refuses to say it in words.

use super::bound::Bounds;
use super::branch::Branch;
use super::conflict::Stopped;
use super::measure::{Measure, Roomiest, Tightest, Useful, counts};
use super::search::{Found, Limits, Problem, Score, Scores, groups_of, order, pieces};
use super::tables::Tables;

/// Sets that have one part more than the best of all asked for.
pub struct Left<'a, S> {
    tables: Tables<'a, S>,
    useful: Useful,
    best: Found,
    pieces: Vec<Vec<usize>>,
}

impl<'a, S: Scores> Left<'a, S> {
    /// What there is beside the best set of a problem.
    ///
    /// # Errors
    /// [`Stopped`] if `go_on` said no.
    pub fn new(
        problem: &'a Problem,
        scores: &'a S,
        limits: Limits,
        (best, go_on): (&Found, &impl Fn() -> bool),
    ) -> Result<Left<'a, S>, Stopped> {
        let tables = Tables::new(problem, scores, limits, go_on);
        if !tables.whole {
            return Err(Stopped);
        }
        let useful = Useful { allow_out: limits.allow_out, allow_open: limits.allow_open, least_room: i64::MIN };
        let pieces = pieces(problem).into_iter().map(|piece| piece.places).collect();
        Ok(Left { tables, useful, best: best.clone(), pieces })
    }

    /// The best set that has a part; `None` if there is none. Its counts are the fewest there are; if they are those of the best of
    /// all, its smallest room is the largest there is; if that is the same too, its room is the most.
    ///
    /// # Errors
    /// [`Stopped`] if `go_on` said no.
    pub fn with(&mut self, part: usize, go_on: &impl Fn() -> bool) -> Result<Option<Found>, Stopped> {
        let problem = self.tables.problem;
        let at = |place: &usize| problem.domains.get(*place).is_some_and(|domain| domain.contains(&part));
        let Some(piece) = self.pieces.iter().find(|piece| piece.iter().any(at)).cloned() else { return Ok(None) };
        let order = order(problem, &piece);
        let groups = groups_of(problem, &piece);
        let own = self.of_groups(&groups, &self.best.parts);
        let tightest = Tightest { useful: self.useful };
        let Some(parts) = self.best_at((part, &piece), (&order, &groups), &tightest, go_on)? else { return Ok(None) };
        let parts = self.in_set(&order, &parts);
        let score = self.of_groups(&groups, &parts);
        // What has no row and no kind of part in common with it stays as it is.
        let rest = |all: u32, own: u32| all.saturating_sub(own);
        let best = self.best.score;
        let mut found = Score {
            out: rest(best.out, own.out) + score.out,
            open: rest(best.open, own.open) + score.open,
            worn: rest(best.worn, own.worn) + score.worn,
            advisory: rest(best.advisory, own.advisory) + score.advisory,
            least_room: best.least_room.min(score.least_room),
            room: (best.room - own.room).saturating_add(score.room),
        };
        if counts(found) == counts(best) && found.least_room == best.least_room {
            let useful = Useful { least_room: best.least_room, ..self.useful };
            let roomiest = Roomiest { useful, weights: Vec::new() };
            if let Some(parts) = self.best_at((part, &piece), (&order, &groups), &roomiest, go_on)? {
                let parts = self.in_set(&order, &parts);
                found.room = (best.room - own.room).saturating_add(self.of_groups(&groups, &parts).room);
                return Ok(Some(Found { parts, score: found }));
            }
        }
        Ok(Some(Found { parts, score: found }))
    }

    /// The best parts for some places, in their order, with one part at any of them.
    fn best_at<M: Measure>(
        &mut self,
        (part, piece): (usize, &[usize]),
        (order, groups): (&[usize], &[usize]),
        measure: &M,
        go_on: &impl Fn() -> bool,
    ) -> Result<Option<Vec<usize>>, Stopped> {
        let mut best: Option<(M::Cost, Vec<usize>)> = None;
        for place in piece {
            if !self.tables.domain(*place).contains(&part) {
                continue;
            }
            let Some(domain) = self.tables.domains.get_mut(*place) else { continue };
            let whole = std::mem::replace(domain, vec![part]);
            // First what is settled: what must be in the set bounds all that comes after.
            let mut first = vec![*place];
            first.extend(order.iter().filter(|other| *other != place));
            let bounds = Bounds::new(&self.tables, measure, &first, groups);
            let outcome = Branch::new(&self.tables, &bounds, 1, go_on).best(None);
            let cost = outcome.found.first().and_then(|parts| bounds.of_set(parts)).map(M::cost);
            if let Some(domain) = self.tables.domains.get_mut(*place) {
                *domain = whole;
            }
            if !outcome.whole {
                return Err(Stopped);
            }
            if let (Some(cost), Some(parts)) = (cost, outcome.found.into_iter().next())
                && best.as_ref().is_none_or(|(known, _)| cost < *known)
            {
                let at =
                    |place: &usize| first.iter().position(|one| one == place).and_then(|at| parts.get(at).copied());
                best = Some((cost, order.iter().filter_map(at).collect()));
            }
        }
        Ok(best.map(|(_, parts)| parts))
    }

    /// The best set with some places filled otherwise.
    fn in_set(&self, order: &[usize], parts: &[usize]) -> Vec<usize> {
        let mut set = self.best.parts.clone();
        for (place, part) in order.iter().zip(parts) {
            if let Some(entry) = set.get_mut(*place) {
                *entry = *part;
            }
        }
        set
    }

    fn of_groups(&self, groups: &[usize], parts: &[usize]) -> Score {
        let all: Vec<usize> = (0..parts.len()).collect();
        self.tables.of_places(groups, &all, parts)
    }
}
