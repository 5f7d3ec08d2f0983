//! A part of the shelf in place of the one that is there: what it puts right that a plan does not, and which steps of the
//! plan it makes needless, judged exactly. Refuses to know the shelf, and to choose.

use super::operation::Operations;
use super::state::{Standing, grade, standings, weight};
use super::{Fault, Reworked, value_of};
use crate::bind::Readings;
use crate::book::{Book, Id, Part};
use crate::judge::Grade;
use crate::plan::{Plan, SlotSet};

/// A part that could be put in place of the one that is there.
#[derive(Clone, Debug)]
pub struct Spare {
    /// What is painted on it.
    pub tag: String,
    /// Which part it is.
    pub part: Id<Part>,
    /// The place, as a path: `rotor.front`.
    pub path: String,
    /// Every slot of the place.
    pub slots: SlotSet,
    /// Those of the part and of the parts within it that come with it: readings of the others wait until it is fitted.
    pub with: SlotSet,
    /// The readings of the whole record with it in place.
    pub readings: Readings,
}

/// A part of the shelf that would do.
#[derive(Clone, Debug)]
pub struct Exchange {
    /// What is painted on it.
    pub tag: String,
    /// Which part it is.
    pub part: Id<Part>,
    /// Where it would go, as a path.
    pub path: String,
    /// The rows it puts right, with the steps of the plan that stay.
    pub mends: Vec<Mended>,
    /// The steps of the plan that are not needed with it, by their numbers, the first being 1.
    pub instead_of: Vec<usize>,
    /// Rows that would be less good than after the plan and still pass, as paths with their grades.
    pub worse: Vec<(String, Grade)>,
    /// Rows that lack a reading of it, as paths.
    pub open: Vec<String>,
    /// How many rows wait for what has to be fitted to it.
    pub waiting: usize,
    /// The readings as they would be, with the steps of the plan that stay.
    pub prediction: Readings,
}

/// A row that an exchange puts right.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mended {
    /// The check of the plan.
    pub check: usize,
    /// What is judged, as a path.
    pub path: String,
    /// What the value would be, with its unit, if there is one.
    pub value: Option<String>,
    /// What it would be judged as; `None` if it would no longer apply.
    pub would_be: Option<Grade>,
    /// Whether the plan alone leaves it as it is.
    pub only_so: bool,
}

impl Exchange {
    /// Whether it puts a check right that the plan alone leaves as it is.
    #[must_use]
    pub fn mends_only_so(&self, check: usize) -> bool {
        self.mends.iter().any(|mended| mended.check == check && mended.only_so)
    }
}

/// A record with its plan, to try parts of the shelf in it.
#[derive(Debug)]
pub struct Exchanges<'a> {
    operations: Operations<'a>,
    readings: &'a Readings,
    found: &'a Reworked,
    before: Vec<Standing>,
    planned: Vec<Standing>,
}

impl<'a> Exchanges<'a> {
    /// Makes a record ready.
    #[must_use]
    pub fn new(book: &'a Book, plan: &'a Plan, readings: &'a Readings, found: &'a Reworked) -> Exchanges<'a> {
        Exchanges {
            readings,
            operations: Operations::new(book, plan, readings, None),
            found,
            before: standings(book, plan, readings),
            planned: standings(book, plan, &found.prediction),
        }
    }

    /// Whether a part in a place might do: a row that binds and that the plan leaves rests on the place, or rows that two of
    /// its steps are for do.
    #[must_use]
    pub fn may_help(&self, slots: &SlotSet) -> bool {
        let slots = slots.slots();
        let left = |fault: &Fault| !fault.advisory && !fault.is_settled();
        let rests = |fault: &&Fault| self.operations.rests_on(fault.check, &slots);
        self.found.faults.iter().filter(|fault| left(fault)).any(|fault| rests(&fault))
            || (0..self.found.steps.len()).filter(|step| self.might_drop(*step, &slots)).count() > 1
    }

    /// Whether a row that a step is for rests on some slots too.
    fn might_drop(&self, step: usize, slots: &[usize]) -> bool {
        self.touched(step).is_some_and(|touched| {
            let both = |check| self.operations.rests_on(check, touched) && self.operations.rests_on(check, slots);
            self.found.faults.iter().any(|fault| both(fault.check))
        })
    }

    fn touched(&self, step: usize) -> Option<&[usize]> {
        let (operation, _) = self.found.steps.get(step)?.done;
        self.operations.operations.get(operation).map(|operation| &*operation.touched)
    }

    /// What one spare does beside the plan; `None` if it puts nothing right that binds and that the plan leaves, and makes
    /// fewer than two of its steps needless, or if it puts a row out.
    #[must_use]
    pub fn of(&self, spare: &Spare) -> Option<Exchange> {
        let slots = spare.slots.slots();
        let gone = self.gone(spare);
        // What is exchanged is not worked on.
        let is_elsewhere = |step: &usize| {
            self.touched(*step).is_some_and(|touched| !touched.iter().any(|slot| spare.slots.has(*slot)))
        };
        let mut kept: Vec<usize> = (0..self.found.steps.len()).filter(is_elsewhere).collect();
        let mut now = match self.with(spare, &gone, &kept) {
            Some(now) => now,
            // A step for the same rows may now be one too many.
            None => {
                kept.retain(|step| !self.might_drop(*step, &slots));
                self.with(spare, &gone, &kept)?
            }
        };
        let mut number = 0;
        while let Some(step) = kept.get(number).copied() {
            let fewer: Vec<usize> = kept.iter().copied().filter(|other| *other != step).collect();
            let as_good = |next: &(Readings, Vec<Standing>)| {
                let is_right = |all: &[Standing], fault: &Fault| is_settled(all.get(fault.check).copied().flatten());
                self.found.faults.iter().all(|fault| !is_right(&now.1, fault) || is_right(&next.1, fault))
            };
            let next = self.might_drop(step, &slots).then(|| self.with(spare, &gone, &fewer)).flatten();
            match next.filter(as_good) {
                Some(next) => (kept, now) = (fewer, next),
                None => number += 1,
            }
        }
        let (prediction, after) = now;
        let at = |all: &[Standing], check: usize| all.get(check).copied().flatten();
        // A row that is left out because a reading is gone is not put right.
        let is_right = |check: usize| {
            is_settled(at(&after, check))
                && (at(&after, check).is_some()
                    || !self.operations.rests_on(check, &gone.of_it) && !self.operations.rests_on(check, &gone.fitted))
        };
        // A step is made needless by what is judged, not by what waits.
        let is_needless = |step: &usize| {
            let rests = |fault: &&Fault| {
                self.touched(*step).is_some_and(|touched| self.operations.rests_on(fault.check, touched))
            };
            !kept.contains(step) && self.found.faults.iter().filter(rests).all(|fault| is_right(fault.check))
        };
        let instead_of: Vec<usize> = (0..self.found.steps.len()).filter(is_needless).collect();
        let mut mends = Vec::new();
        for fault in &self.found.faults {
            let (planned, standing) = (at(&self.planned, fault.check), at(&after, fault.check));
            let was_for = |step: &usize| {
                self.touched(*step).is_some_and(|touched| self.operations.rests_on(fault.check, touched))
            };
            let is_wanted = if fault.is_settled() {
                is_right(fault.check) && instead_of.iter().any(was_for)
            } else {
                is_right(fault.check)
                    || standing.is_some()
                        && grade(standing) != Grade::Unmeasured
                        && weight(standing).passes()
                        && !weight(planned).passes()
            };
            if is_wanted {
                mends.push(Mended {
                    check: fault.check,
                    path: fault.path.clone(),
                    value: value_of(self.operations.book, self.operations.plan, fault.check, &prediction),
                    would_be: standing.map(|(grade, ..)| grade),
                    only_so: !fault.is_settled(),
                });
            }
        }
        let binds = |mended: &Mended| {
            let own = self.found.faults.iter().find(|fault| fault.check == mended.check);
            mended.only_so && own.is_some_and(|fault| !fault.advisory)
        };
        if instead_of.len() < 2 && !mends.iter().any(binds) {
            return None;
        }
        let mut exchange = Exchange {
            tag: spare.tag.clone(),
            part: spare.part,
            path: spare.path.clone(),
            mends,
            instead_of: instead_of.iter().map(|step| step + 1).collect(),
            worse: Vec::new(),
            open: Vec::new(),
            waiting: 0,
            prediction,
        };
        self.beside(&gone, &after, &mut exchange);
        Some(exchange)
    }

    /// What else comes of an exchange.
    fn beside(&self, gone: &Gone, after: &[Standing], exchange: &mut Exchange) {
        for (check, own) in self.operations.plan.checks.iter().enumerate() {
            let at = |all: &[Standing]| all.get(check).copied().flatten();
            let (planned, after) = (at(&self.planned), at(after));
            if planned.is_none() || grade(planned) == Grade::Unmeasured {
                continue;
            }
            if after.is_none() || grade(after) == Grade::Unmeasured {
                let path = super::path_of(self.operations.book, own);
                if self.operations.rests_on(check, &gone.fitted) {
                    exchange.waiting += 1;
                } else if self.operations.rests_on(check, &gone.of_it) && !exchange.open.contains(&path) {
                    exchange.open.push(path);
                }
            } else if grade(after) > grade(planned) {
                exchange.worse.push((super::path_of(self.operations.book, own), grade(after)));
            }
        }
    }

    /// The readings of a place that are not there with a spare in it.
    fn gone(&self, spare: &Spare) -> Gone {
        let is_gone = |slot: &usize| !self.readings.taken(*slot).is_empty() && spare.readings.taken(*slot).is_empty();
        let (of_it, fitted) = spare.slots.slots().into_iter().filter(is_gone).partition(|slot| spare.with.has(*slot));
        Gone { of_it, fitted }
    }

    /// The readings and what they come to with a spare in place and some steps of the plan done; `None` if a step cannot be
    /// done, if a row would fail that does not fail now, or if one is not right that the plan puts right.
    fn with(&self, spare: &Spare, gone: &Gone, steps: &[usize]) -> Option<(Readings, Vec<Standing>)> {
        let mut readings = spare.readings.clone();
        for step in steps {
            let (operation, how) = self.found.steps.get(*step)?.done;
            readings = self.operations.done(self.operations.operations.get(operation)?, how, &readings)?;
        }
        let after = standings(self.operations.book, self.operations.plan, &readings);
        let holds = |check: usize| {
            let at = |all: &[Standing]| all.get(check).copied().flatten();
            let (first, planned, now) = (at(&self.before), at(&self.planned), at(&after));
            if (now.is_none() || grade(now) == Grade::Unmeasured) && self.operations.rests_on(check, &gone.fitted) {
                return true;
            }
            let fails = matches!(weight(now), Grade::Unsettled | Grade::Out);
            let failed = matches!(weight(first), Grade::Unsettled | Grade::Out);
            let was_put_right = is_settled(planned) && !is_settled(first);
            // What was only worn may stay worn; what was out stays in.
            let is_kept = is_settled(now) || !failed && grade(now) != Grade::Unmeasured && !fails;
            (!fails || failed) && (!was_put_right || is_kept)
        };
        (0..after.len()).all(holds).then_some((readings, after))
    }
}

/// Readings that an exchange takes away, as slots: those a spare lacks of what comes with it, and those of what is fitted to
/// it afterwards.
struct Gone {
    of_it: Vec<usize>,
    fitted: Vec<usize>,
}

fn is_settled(standing: Standing) -> bool {
    matches!(grade(standing), Grade::Good | Grade::Excused)
}
