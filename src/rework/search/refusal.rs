//! The operations that by themselves would put a row right and another out: why a plan is longer than one of them.

use super::super::Refused;
use super::super::state::{grade, standings, weight};
use super::{At, Goal, Group};
use crate::bind::Readings;
use crate::judge::Grade;
use rustc_hash::FxHashSet;

impl Group<'_, '_> {
    /// Notes the operations that by themselves put a check right, and another out whichever way they are done.
    pub(super) fn refuse(&mut self, readings: &Readings, refused: &mut Vec<(usize, Refused)>) {
        let at = At::new(readings);
        (self.goal, self.dropped, self.lenient) = (Goal::Passing, FxHashSet::default(), false);
        for place in self.wrong(&at) {
            for operation in self.on(place, &[]) {
                let ways: Vec<Readings> = self
                    .ways(&at, operation, place)
                    .into_iter()
                    .filter(|(_, puts_right, _)| *puts_right)
                    .map(|(.., next)| next)
                    .collect();
                let put_out: Vec<Option<usize>> = ways.iter().map(|next| self.put_out(operation, next)).collect();
                let (Some(Some(out)), Some(next)) = (put_out.first(), ways.first()) else { continue };
                if put_out.iter().all(Option::is_some) {
                    refused.extend(self.refused(operation, (place, *out), next));
                }
            }
        }
    }

    /// What is said of an operation that puts a check right and another out, by their places.
    fn refused(&self, operation: usize, (place, out): (usize, usize), next: &Readings) -> Option<(usize, Refused)> {
        let (check, out) = (self.checks.get(place)?, *self.checks.get(out)?);
        let (one, row, book) = (self.shop.operations.get(operation)?, self.shop.plan.checks.get(out)?, self.shop.book);
        let after = standings(book, &self.shop.plan.only(&[out]), next);
        let refused = Refused {
            operation: one.rework.name.clone(),
            path: one.path.clone(),
            row: super::super::path_of(book, row),
            value: super::super::value_of(book, self.shop.plan, out, next),
            would_be: grade(after.first().copied().flatten()),
        };
        Some((*check, refused))
    }

    /// A check that passes and would not after an operation.
    fn put_out(&mut self, operation: usize, next: &Readings) -> Option<usize> {
        let (places, part) = self.touched.get(&operation).cloned()?;
        let after = self.look(&part, next);
        places.iter().zip(after).find_map(|(place, after)| {
            let before = self.first.get(*place).copied().flatten();
            let fails = weight(after) == Grade::Out || weight(after) == Grade::Unsettled;
            (weight(before).passes() && fails).then_some(*place)
        })
    }
}
