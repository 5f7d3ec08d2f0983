//! A part of the shelf in place of the one that is there: what it puts right that a plan does not, and which steps of the
//! plan it makes needless, judged exactly. Refuses to know the shelf, and to choose.

use super::operation::Operations;
use super::state::{Standing, grade, standings, weight};
use super::{Reworked, value_of};
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
    /// The slots of the place, of the parts within it that come with it too.
    pub slots: SlotSet,
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
    /// Rows that could not be judged before something of it is measured, as paths.
    pub open: Vec<String>,
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

/// What one spare does beside the plan that was found; `None` if it puts nothing right that the plan leaves, makes fewer
/// than two of its steps needless, or puts a row out.
#[must_use]
pub fn exchange(book: &Book, plan: &Plan, readings: &Readings, found: &Reworked, spare: &Spare) -> Option<Exchange> {
    let operations = Operations::new(book, plan, readings, None);
    let stand = Stand {
        operations: &operations,
        found,
        before: standings(book, plan, readings),
        planned: standings(book, plan, &found.prediction),
    };
    // What is exchanged is not worked on.
    let touches = |step: usize| {
        let operation = found.steps.get(step).and_then(|step| operations.operations.get(step.done.0));
        operation.is_none_or(|one| one.touched.iter().any(|slot| spare.slots.has(*slot)))
    };
    let mut kept: Vec<usize> = (0..found.steps.len()).filter(|step| !touches(*step)).collect();
    let mut now = stand.with(spare, &kept)?;
    let mut number = 0;
    while let Some(step) = kept.get(number).copied() {
        let fewer: Vec<usize> = kept.iter().copied().filter(|other| *other != step).collect();
        match stand.with(spare, &fewer) {
            Some(next) => (kept, now) = (fewer, next),
            None => number += 1,
        }
    }
    let (prediction, after) = now;
    let instead_of: Vec<usize> =
        (0..found.steps.len()).filter(|step| !kept.contains(step)).map(|step| step + 1).collect();
    let standing = |all: &[Standing], check: usize| all.get(check).copied().flatten();
    let mended = |check: usize, only_so: bool| {
        let own = plan.checks.get(check)?;
        Some(Mended {
            check,
            path: super::path_of(book, own),
            value: value_of(book, plan, check, &prediction),
            would_be: standing(&after, check).map(|(grade, ..)| grade),
            only_so,
        })
    };
    let mut mends = Vec::new();
    for fault in &found.faults {
        let settled = is_settled(standing(&after, fault.check));
        let passes = weight(standing(&after, fault.check)).passes();
        if fault.is_settled() {
            // What a step that is not needed was for.
            let replaced = instead_of.iter().any(|number| {
                let step = found.steps.get(number - 1).and_then(|step| operations.operations.get(step.done.0));
                step.is_some_and(|step| operations.rests_on(fault.check, &step.touched))
            });
            mends.extend(mended(fault.check, false).filter(|_| replaced && settled));
        } else if settled || (passes && !weight(standing(&stand.planned, fault.check)).passes()) {
            mends.extend(mended(fault.check, true));
        }
    }
    if instead_of.len() < 2 && !mends.iter().any(|mended| mended.only_so) {
        return None;
    }
    let mut exchange = Exchange {
        tag: spare.tag.clone(),
        part: spare.part,
        path: spare.path.clone(),
        mends,
        instead_of,
        worse: Vec::new(),
        open: Vec::new(),
        prediction,
    };
    for (check, own) in plan.checks.iter().enumerate() {
        let (planned, after) = (standing(&stand.planned, check), standing(&after, check));
        let path = super::path_of(book, own);
        if grade(after) == Grade::Unmeasured {
            if grade(planned) != Grade::Unmeasured && !exchange.open.contains(&path) {
                exchange.open.push(path);
            }
        } else if grade(after) > grade(planned) && grade(planned) != Grade::Unmeasured {
            exchange.worse.push((path, grade(after)));
        }
    }
    Some(exchange)
}

/// What an exchange is compared with.
struct Stand<'a> {
    operations: &'a Operations<'a>,
    found: &'a Reworked,
    before: Vec<Standing>,
    planned: Vec<Standing>,
}

impl Stand<'_> {
    /// The readings and what they come to with a spare in place and some steps of the plan done; `None` if a step cannot be
    /// done, if a row would fail that does not fail now, or if one is not right that the plan puts right.
    fn with(&self, spare: &Spare, steps: &[usize]) -> Option<(Readings, Vec<Standing>)> {
        let mut readings = spare.readings.clone();
        for step in steps {
            let (operation, how) = self.found.steps.get(*step)?.done;
            readings = self.operations.done(self.operations.operations.get(operation)?, how, &readings)?;
        }
        let after = standings(self.operations.book, self.operations.plan, &readings);
        let both = self.before.iter().zip(&self.planned).zip(&after);
        let holds = |((before, planned), after): ((&Standing, &Standing), &Standing)| {
            let (now, first) = (weight(*after), weight(*before));
            let fails = matches!(now, Grade::Unsettled | Grade::Out);
            let was_right = is_settled(*planned) && !is_settled(*before);
            // Nothing that the plan puts right may be left to be measured.
            (!fails || now <= first && first != Grade::Unmeasured) && (!was_right || is_settled(*after))
        };
        both.into_iter().all(holds).then_some((readings, after))
    }
}

fn is_settled(standing: Standing) -> bool {
    matches!(grade(standing), Grade::Good | Grade::Excused)
}
