//! The fewest operations that put a record right, then those that replace fewest parts, then those that take off least: a
//! search that branches over the operations on one row that is not good, and judges everything again after each. Refuses
//! to go on for ever.

mod proof;
mod refusal;

use super::Refused;
use super::operation::{Amount, Operation, OperationKind, Operations};
use super::state::{Standing, grade, standings, turns, weight};
use crate::bind::Readings;
use crate::book::Datum;
use crate::judge::{self, Grade};
use crate::plan::{CheckRange, Plan};
use crate::quantity::Value;
use proof::Proved;
use rustc_hash::{FxHashMap, FxHashSet};
use std::cmp::Ordering;

/// Checks judged in one search at most.
const MOST_WORK: usize = 2_000_000;

/// What judging a record costs besides its checks, in checks.
const EACH_TIME: usize = 50;

/// Ways to do one operation that are tried from one set of readings.
const MOST_WAYS: usize = 12;

/// Operations of one plan at most, for rows that hang together.
const MOST_OPERATIONS: usize = 40;

/// What a search comes to.
pub(super) struct Found {
    /// The operations, in the order they were chosen.
    pub(super) done: Vec<(usize, Amount)>,
    /// The readings as they would be.
    pub(super) readings: Readings,
    /// Slots of parts that are replaced, and of readings that must be measured again before they count.
    pub(super) removed: Vec<usize>,
    /// The same of parts and sizes that are replaced alone.
    pub(super) renewed: Vec<usize>,
    /// Whether no plan with fewer operations does as much.
    pub(super) is_fewest: bool,
    /// Whether of those with as many none replaces fewer parts, or takes off less.
    pub(super) is_least: bool,
    /// How many sets of readings were judged.
    pub(super) tried: usize,
    /// Operations that would put a check right and another out.
    pub(super) refused: Vec<(usize, Refused)>,
}

/// Looks for the operations that put some checks right.
pub(super) fn search(shop: &Operations<'_>, bad: &[usize], readings: &Readings) -> Found {
    let touches: Vec<Vec<usize>> = shop
        .operations
        .iter()
        .map(|operation| {
            (0..shop.plan.checks.len()).filter(|check| shop.rests_on(*check, &operation.touched)).collect()
        })
        .collect();
    let mut found = Found {
        done: Vec::new(),
        readings: readings.clone(),
        removed: Vec::new(),
        renewed: Vec::new(),
        is_fewest: true,
        is_least: true,
        tried: 0,
        refused: Vec::new(),
    };
    let mut seen = FxHashSet::default();
    for check in bad {
        if seen.contains(check) {
            continue;
        }
        let (checks, operations) = together(*check, &touches);
        seen.extend(checks.iter().copied());
        if operations.is_empty() {
            continue;
        }
        let mut group = Group::new(shop, checks, operations, &touches, &found.readings);
        group.refuse(&found.readings, &mut found.refused);
        let readings = found.readings.clone();
        if let Some((best, proved)) = group.solve(&readings) {
            for (operation, how) in &best.done {
                let Some(one) = shop.operations.get(*operation) else { continue };
                if let Some(next) = shop.done(one, *how, &found.readings) {
                    let gone = emptied(one, &found.readings, &next);
                    found.renewed.extend(gone.iter().filter(|_| is_renewal(*how)).copied());
                    found.removed.extend(gone);
                    found.readings = next;
                }
            }
            found.done.extend(best.done);
            found.is_fewest &= proved.fewest;
            found.is_least &= proved.least;
        }
        found.tried += group.tried;
    }
    found
}

/// The checks and operations that hang together with one check.
fn together(check: usize, touches: &[Vec<usize>]) -> (Vec<usize>, Vec<usize>) {
    let (mut checks, mut operations) = (vec![check], Vec::new());
    let mut next = 0;
    while let Some(check) = checks.get(next).copied() {
        next += 1;
        for (number, touched) in touches.iter().enumerate() {
            if !operations.contains(&number) && touched.binary_search(&check).is_ok() {
                operations.push(number);
                let new: Vec<usize> = touched.iter().copied().filter(|other| !checks.contains(other)).collect();
                checks.extend(new);
            }
        }
    }
    checks.sort_unstable();
    operations.sort_unstable();
    (checks, operations)
}

/// The slots of an operation that have no values after it.
fn emptied(operation: &Operation, before: &Readings, after: &Readings) -> Vec<usize> {
    let empty = |slot: &&usize| !before.taken(**slot).is_empty() && after.taken(**slot).is_empty();
    operation.touched.iter().filter(empty).copied().collect()
}

/// Whether what an operation leaves without values belongs to something new, which only has to be measured.
fn is_renewal(how: Amount) -> bool {
    !matches!(how, Amount::Steps(_))
}

/// What a plan is to reach.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Goal {
    /// Every row good.
    Good,
    /// No row that binds failing.
    Passing,
}

/// A plan found.
#[derive(Clone)]
struct Best {
    done: Vec<(usize, Amount)>,
    replaced: usize,
    metal: Value,
}

/// Where a search stands.
#[derive(Clone)]
struct At {
    readings: Readings,
    /// Slots that operations left without values, and of these the ones of something new.
    removed: Vec<usize>,
    renewed: Vec<usize>,
    done: Vec<(usize, Amount)>,
    replaced: usize,
    metal: Value,
}

impl At {
    fn new(readings: &Readings) -> At {
        let (removed, renewed, done) = (Vec::new(), Vec::new(), Vec::new());
        At { readings: readings.clone(), removed, renewed, done, replaced: 0, metal: Value::ZERO }
    }
}

struct Group<'a, 'b> {
    shop: &'b Operations<'a>,
    checks: Vec<usize>,
    part: Plan,
    operations: Vec<usize>,
    /// For each operation, which checks of the group it touches, by their place in it, and the plan of these.
    touched: FxHashMap<usize, (Vec<usize>, Plan)>,
    /// The readings before anything is done, and what each check of the group comes to by them.
    readings: Readings,
    first: Vec<Standing>,
    /// The sizes of each operation that has some.
    sizes: FxHashMap<usize, Vec<Amount>>,
    /// Checks, by their place, that need not become good.
    dropped: FxHashSet<usize>,
    /// Whether a row that is wrong may be left to be measured again, where an operation for another row changes it by an
    /// amount nobody knows.
    lenient: bool,
    goal: Goal,
    best: Option<Best>,
    first_only: bool,
    work: usize,
    most_work: usize,
    tried: usize,
}

impl<'a, 'b> Group<'a, 'b> {
    fn new(
        shop: &'b Operations<'a>,
        checks: Vec<usize>,
        operations: Vec<usize>,
        touches: &[Vec<usize>],
        readings: &Readings,
    ) -> Group<'a, 'b> {
        let part = shop.plan.only(&checks);
        let first = standings(shop.book, &part, readings);
        let mut touched = FxHashMap::default();
        for operation in &operations {
            let own = touches.get(*operation).map_or(&[][..], Vec::as_slice);
            let places = own.iter().filter_map(|check| checks.binary_search(check).ok()).collect();
            touched.insert(*operation, (places, shop.plan.only(own)));
        }
        Group {
            shop,
            checks,
            part,
            operations,
            touched,
            readings: readings.clone(),
            first,
            sizes: FxHashMap::default(),
            dropped: FxHashSet::default(),
            lenient: false,
            goal: Goal::Good,
            best: None,
            first_only: false,
            work: 0,
            most_work: MOST_WORK,
            tried: 0,
        }
    }

    fn look(&mut self, part: &Plan, readings: &Readings) -> Vec<Standing> {
        self.work += part.checks.len() + EACH_TIME;
        self.tried += 1;
        standings(self.shop.book, part, readings)
    }

    /// Whether a check stands as it must after what was done.
    fn is_right(&self, place: usize, standing: Standing, at: &At) -> bool {
        let before = self.first.get(place).copied().flatten();
        let reaches = |standing: Standing| match self.goal {
            Goal::Good => matches!(grade(standing), Grade::Good | Grade::Excused),
            Goal::Passing => weight(standing).passes(),
        };
        if grade(standing) == Grade::Unmeasured {
            let rests_on = |slots: &[usize]| {
                !slots.is_empty() && self.checks.get(place).is_some_and(|check| self.shop.rests_on(*check, slots))
            };
            // What is changed by an amount nobody knows is not put right by it.
            return grade(before) == Grade::Unmeasured
                || rests_on(&at.renewed)
                || rests_on(&at.removed) && (self.lenient || reaches(before));
        }
        if self.dropped.contains(&place) { grade(standing) <= grade(before) } else { reaches(standing) }
    }

    fn wrong(&mut self, at: &At) -> Vec<usize> {
        let part = self.part.clone();
        let standings = self.look(&part, &at.readings);
        let places = standings.iter().enumerate();
        places.filter(|(place, standing)| !self.is_right(*place, **standing, at)).map(|(place, _)| place).collect()
    }

    /// Where a search stands once one more operation is done.
    fn then(&self, at: &At, operation: usize, how: Amount, readings: Readings) -> At {
        let mut next = at.clone();
        if let Some(one) = self.shop.operations.get(operation) {
            let gone = emptied(one, &at.readings, &readings);
            next.renewed.extend(gone.iter().filter(|_| is_renewal(how)).copied());
            next.removed.extend(gone);
            next.metal = at.metal.add(&self.shop.metal(one, how));
        }
        next.done.push((operation, how));
        next.replaced += usize::from(how == Amount::New);
        next.readings = readings;
        next
    }

    /// The ways to do an operation with a set of sizes. Which mark goes with a size is the same whatever else is done.
    fn sizes(&mut self, operation: usize) -> Vec<Amount> {
        if let Some(known) = self.sizes.get(&operation) {
            return known.clone();
        }
        let one = self.shop.operations.get(operation);
        let sizes = one.map_or_else(Vec::new, |one| self.shop.sizes(one, &self.readings));
        self.sizes.insert(operation, sizes.clone());
        sizes
    }

    /// The operations on a check that are not done yet.
    fn on(&self, place: usize, done: &[(usize, Amount)]) -> Vec<usize> {
        let apart = |operation: usize, other: usize| match (
            self.shop.operations.get(operation),
            self.shop.operations.get(other),
        ) {
            (Some(operation), Some(other)) => operation.goes_with(other),
            _ => false,
        };
        let free = |operation: &&usize| {
            done.iter().all(|(other, _)| other != *operation && apart(**operation, *other))
                && self.touched.get(*operation).is_some_and(|(places, _)| places.binary_search(&place).is_ok())
        };
        self.operations.iter().filter(free).copied().collect()
    }

    /// So many operations at least: checks that are wrong of which no two share an operation.
    fn least(&self, wrong: &[usize], done: &[(usize, Amount)]) -> usize {
        let mut taken = FxHashSet::default();
        let mut count = 0;
        for place in wrong {
            let own = self.on(*place, done);
            if !own.iter().any(|operation| taken.contains(operation)) {
                taken.extend(own);
                count += 1;
            }
        }
        count
    }

    /// The best plan and what is proved about it: first one that makes every row good, then one that only lets the record
    /// pass; each for every row, then without those that no operation puts right by itself.
    fn solve(&mut self, readings: &Readings) -> Option<(Best, Proved)> {
        let at = At::new(readings);
        let alone = self.not_alone(&at);
        for goal in [Goal::Good, Goal::Passing] {
            for (dropped, lenient) in [(FxHashSet::default(), false), (alone.clone(), false), (alone.clone(), true)] {
                (self.goal, self.dropped, self.lenient) = (goal, dropped, lenient);
                let Some(best) = self.fewest(&at).filter(|best| !best.done.is_empty()) else { continue };
                if lenient {
                    let one = best.done.len() == 1;
                    return Some((best, Proved { fewest: one, least: false }));
                }
                return Some(self.prove(&at, best));
            }
        }
        None
    }

    /// The checks that are wrong and that no operation puts right by itself.
    fn not_alone(&mut self, at: &At) -> FxHashSet<usize> {
        (self.goal, self.dropped, self.lenient) = (Goal::Good, FxHashSet::default(), false);
        let wrong = self.wrong(at);
        wrong
            .into_iter()
            .filter(|place| {
                !self
                    .on(*place, &[])
                    .into_iter()
                    .any(|operation| self.ways(at, operation, *place).iter().any(|(_, puts_right, _)| *puts_right))
            })
            .collect()
    }

    fn fewest(&mut self, at: &At) -> Option<Best> {
        let wrong = self.wrong(at);
        if wrong.is_empty() {
            return None;
        }
        let least = self.least(&wrong, &[]);
        // Any plan first, so that there is one if the search must end.
        (self.best, self.first_only) = (None, true);
        self.most_work = self.work + MOST_WORK / 8;
        self.descend(at, MOST_OPERATIONS);
        let any = self.best.take();
        self.first_only = false;
        self.most_work = self.work + MOST_WORK / 4;
        let deepest = any.as_ref().map_or(MOST_OPERATIONS.min(self.operations.len()), |any| any.done.len());
        for depth in least.max(1)..=deepest {
            self.descend(at, depth);
            if self.work > self.most_work || self.best.is_some() {
                break;
            }
        }
        self.best.take().or(any)
    }

    fn is_better(&self, at: &At) -> bool {
        self.best.as_ref().is_none_or(|best| {
            let metal = at.metal.compare(&best.metal).unwrap_or(Ordering::Equal);
            (at.done.len(), at.replaced).cmp(&(best.done.len(), best.replaced)).then(metal).is_lt()
        })
    }

    /// Goes on from some readings with at most so many operations more. It goes no deeper than [`MOST_OPERATIONS`].
    fn descend(&mut self, at: &At, left: usize) {
        if self.work > self.most_work || (self.first_only && self.best.is_some()) || !self.is_better(at) {
            return;
        }
        let wrong = self.wrong(at);
        if wrong.is_empty() {
            self.best = Some(Best { done: at.done.clone(), replaced: at.replaced, metal: at.metal.clone() });
            return;
        }
        if self.least(&wrong, &at.done) > left || left == 0 {
            return;
        }
        // The row with the fewest operations on it leaves least to try.
        let Some(place) = wrong.iter().copied().min_by_key(|place| self.on(*place, &at.done).len()) else { return };
        for operation in self.on(place, &at.done) {
            for (how, puts_right, next) in self.ways(at, operation, place) {
                // Where a row may be left to be measured again, no operation is done for that alone.
                if puts_right || !self.lenient {
                    let next = self.then(at, operation, how, next);
                    self.descend(&next, left - 1);
                }
            }
        }
    }

    /// The ways to do an operation from some readings: those that put a check right first, the least before the most; each
    /// with what the readings would be.
    fn ways(&mut self, at: &At, operation: usize, place: usize) -> Vec<(Amount, bool, Readings)> {
        let shop = self.shop;
        let Some(one) = shop.operations.get(operation) else { return Vec::new() };
        let Some((places, part)) = self.touched.get(&operation).cloned() else { return Vec::new() };
        let Ok(own) = places.binary_search(&place) else { return Vec::new() };
        let amounts: Vec<Amount> = match &one.kind {
            OperationKind::Replaced { .. } => vec![Amount::New],
            OperationKind::Sizes { .. } => {
                let mut sizes: Vec<(Amount, Option<Value>)> = self
                    .sizes(operation)
                    .into_iter()
                    .map(|how| (how, shop.done(one, how, &at.readings).and_then(|next| self.margin(&part, &next))))
                    .collect();
                sizes.sort_by(|(_, one), (_, other)| match (one, other) {
                    (Some(one), Some(other)) => other.compare(one).unwrap_or(Ordering::Equal),
                    _ => other.is_some().cmp(&one.is_some()),
                });
                sizes.into_iter().map(|(how, _)| how).collect()
            }
            OperationKind::Change { most, bounded, .. } => {
                let mut steps = turns(*most, |steps| {
                    let next = shop.done(one, Amount::Steps(steps), &at.readings)?;
                    Some(self.look(&part, &next))
                });
                if *bounded && *most > 0 && steps.last() != Some(most) {
                    steps.push(*most);
                }
                steps.into_iter().map(Amount::Steps).collect()
            }
        };
        let mut ways: Vec<(Amount, bool, Readings)> = Vec::new();
        for how in amounts {
            let Some(next) = shop.done(one, how, &at.readings) else { continue };
            let standing = self.look(&part, &next).get(own).copied().flatten();
            let then = self.then(at, operation, how, next);
            let lenient = std::mem::take(&mut self.lenient);
            let puts_right = self.is_right(place, standing, &then);
            self.lenient = lenient;
            ways.push((how, puts_right, then.readings));
        }
        ways.sort_by_key(|(_, puts_right, _)| !*puts_right);
        ways.truncate(MOST_WAYS);
        ways
    }

    /// How deep inside its range the value lies that lies least deep, as part of the range's width.
    fn margin(&mut self, part: &Plan, readings: &Readings) -> Option<Value> {
        self.work += part.checks.len() + EACH_TIME;
        let mut least: Option<Value> = None;
        for ruling in judge::judge(self.shop.book, part, readings).rulings {
            let range =
                part.checks.get(ruling.check).and_then(|check| check.standard.as_ref().or(check.limit.as_ref()));
            let (Some(CheckRange::Known(band)), Some(Datum::Quantity(value))) = (range, &ruling.value) else {
                continue;
            };
            let share = match (band.margin(value), band.width()) {
                (Some(margin), Some(width)) => margin.divide(&width),
                (None, Some(_)) => Some(Value::ONE.negate()),
                _ => None,
            };
            if let Some(share) = share
                && least.as_ref().is_none_or(|least| share.compare(least) == Some(Ordering::Less))
            {
                least = Some(share);
            }
        }
        least
    }
}
