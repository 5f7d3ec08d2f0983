//! Every plan with so many operations, each by every amount its readings can be written in: what shows that no smaller plan
//! exists. Refuses to guess: a search that had to end proves nothing.

use super::super::operation::{Amount, OperationKind};
use super::{At, Best, Group, emptied};

/// Checks judged for one proof at most.
const MOST_PROOF: usize = 400_000;

/// What is proved about a plan.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Proved {
    /// No plan with fewer operations does as much.
    pub(super) fewest: bool,
    /// Of those with as many, none replaces fewer parts, and of those with as many of these none takes off less.
    pub(super) least: bool,
}

impl Group<'_, '_> {
    /// Tries everything smaller than a plan from the readings it begins with, and takes what it finds in its place.
    pub(super) fn prove(&mut self, at: &At, best: Best) -> (Best, Proved) {
        let count = best.done.len();
        self.best = Some(best.clone());
        self.most_work = self.work + MOST_PROOF;
        let fewest = self.every(at, count.saturating_sub(1));
        let found_fewer = self.best.as_ref().is_some_and(|best| best.done.len() < count);
        self.most_work = self.work + MOST_PROOF;
        // What was found among the smaller ones is the least of them all.
        let least = fewest && (found_fewer || self.every(at, count));
        (self.best.take().unwrap_or(best), Proved { fewest, least })
    }

    /// Tries every plan with at most so many operations more that is smaller than the best so far. Any plan does something
    /// about each row that is wrong, so that it is enough to go through the operations on one of them. Gives whether all
    /// were tried. It goes no deeper than a plan has operations.
    fn every(&mut self, at: &At, left: usize) -> bool {
        if self.work > self.most_work {
            return false;
        }
        if !self.is_better(at) {
            return true;
        }
        let wrong = self.wrong(at);
        if wrong.is_empty() {
            self.best = Some(Best { done: at.done.clone(), replaced: at.replaced, metal: at.metal.clone() });
            return true;
        }
        if left == 0 || self.least(&wrong, &at.done) > left {
            return true;
        }
        let Some(place) = wrong.iter().copied().min_by_key(|place| self.on(*place, &at.done).len()) else {
            return true;
        };
        let mut all = true;
        for operation in self.on(place, &at.done) {
            // The last operation puts everything right that is wrong.
            let touches = |place: &usize| {
                self.touched.get(&operation).is_some_and(|(places, _)| places.binary_search(place).is_ok())
            };
            if left > 1 || wrong.iter().all(touches) {
                all &= self.every_amount(at, operation, left);
            }
            if self.work > self.most_work {
                return false;
            }
        }
        all
    }

    /// One operation by every amount, and everything after it.
    fn every_amount(&mut self, at: &At, operation: usize, left: usize) -> bool {
        let shop = self.shop;
        let Some(one) = shop.operations.get(operation) else { return true };
        let amounts: Box<dyn Iterator<Item = Amount>> = match &one.kind {
            OperationKind::Replaced { .. } => Box::new(std::iter::once(Amount::New)),
            OperationKind::Sizes { .. } => Box::new(self.sizes(operation).into_iter()),
            OperationKind::Change { most, .. } => Box::new((1..=*most).map(Amount::Steps)),
        };
        // Another operation on the same readings might bring them to where this one can be done.
        let shares = |number: &usize| {
            *number != operation
                && shop
                    .operations
                    .get(*number)
                    .is_some_and(|other| other.touched.iter().any(|slot| one.touched.contains(slot)))
        };
        let mut all = true;
        for how in amounts {
            let Some(readings) = shop.done(one, how, &at.readings) else {
                all &= left == 1 || !self.operations.iter().any(shares);
                // More of what cannot be done cannot be done either.
                if matches!(how, Amount::Steps(_)) {
                    break;
                }
                continue;
            };
            if left > 1 && !emptied(one, &at.readings, &readings).is_empty() && how != Amount::New {
                // What an operation leaves unknown depends on the order in which they are done.
                all &= !self.operations.iter().any(shares);
            }
            let next = self.then(at, operation, how, readings);
            if !self.is_better(&next) {
                if matches!(how, Amount::Steps(_)) {
                    break;
                }
                continue;
            }
            all &= self.every(&next, left - 1);
            if self.work > self.most_work {
                return false;
            }
        }
        all
    }
}
