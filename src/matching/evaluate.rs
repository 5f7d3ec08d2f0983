//! What rows come to for some parts at some places: the rows gathered by the places they rest on, and judged exactly with the
//! readings of just these parts. Refuses to choose.

use super::classes::{Classes, Sayings};
use super::search::{Group, ROOM_STEPS, Score, Scores};
use crate::bind::{Readings, State};
use crate::book::{Book, Datum, Id, Part};
use crate::judge::{Found, Grade, Ranges, Ruling, rulings};
use crate::plan::{Check, CheckRange, Leaves, Plan, SlotSet};
use crate::quantity::{Number, Value};
use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::cmp::Ordering;

/// A part of the machine at one position: what a part of the shelf may fill.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Place {
    /// The part.
    pub part: Id<Part>,
    /// Its positions, outermost first.
    pub positions: Vec<u16>,
    /// Every slot of it, those of the parts within it too.
    pub slots: SlotSet,
}

/// A part of the shelf, with its readings at each place it may fill.
#[derive(Clone, Debug)]
pub struct Choice {
    /// Its tag.
    pub tag: String,
    /// Its readings in the slots of each place, by the number of the place; `None` if it cannot be there.
    pub at: Vec<Option<Readings>>,
    /// The slots at each place of what is with it: a reading missing there has to be taken, and one missing elsewhere waits.
    pub with: Vec<SlotSet>,
}

/// Rows ready to be judged.
#[derive(Debug)]
struct Rows {
    plan: Plan,
    /// For each check the readings that it and its condition come down to.
    leaves: Vec<SlotSet>,
    /// Whether a range of one of them has calculated ends.
    calculated: bool,
}

/// The rows that rest on the same places.
#[derive(Debug)]
struct RowGroup {
    group: Group,
    rows: Rows,
    /// The same rows, those together that rest on the same readings.
    blocks: Vec<Block>,
    /// For each place of the group the class of each part: parts of one class come to the same.
    classes: Vec<Classes>,
}

/// What rows ask of a place: the slots they rest on, and the class of each part by what it says there.
type Asked = (Vec<usize>, Classes);

/// Rows that rest on the same readings, with what they came to.
#[derive(Debug)]
struct Block {
    rows: Rows,
    /// For each place of the group.
    at: Vec<Asked>,
    known: RefCell<FxHashMap<Vec<u32>, Score>>,
}

/// Rows, places and parts, ready to be judged together.
#[derive(Debug)]
pub struct Evaluator<'a> {
    book: &'a Book,
    /// What is known of the machine without any part of the shelf.
    base: Readings,
    /// The places to fill.
    pub places: Vec<Place>,
    /// The parts to choose from, in the order of their tags.
    pub choices: Vec<Choice>,
    rows: Vec<RowGroup>,
}

/// A row with what it comes to in a set.
#[derive(Clone, Debug)]
pub struct RowAt {
    /// The verdict on it, as of the rows of its group.
    pub ruling: Ruling,
    /// Its room, in [`ROOM_STEPS`], if it has ends.
    pub room: Option<i64>,
    /// The readings of parts in the set that it lacks.
    pub lacks: Vec<usize>,
    /// Whether it lacks only readings of what is not in the set.
    pub waits: bool,
}

impl<'a> Evaluator<'a> {
    /// Makes the rows of a plan ready. `only_within`: rows that rest on anything but the places are left out.
    #[must_use]
    pub fn new(
        book: &'a Book,
        (plan, leaves): (&Plan, &Leaves),
        base: Readings,
        (places, choices): (Vec<Place>, Vec<Choice>),
        only_within: bool,
    ) -> Evaluator<'a> {
        let mut groups: Vec<(Group, Vec<usize>)> = Vec::new();
        for (number, check) in plan.checks.iter().enumerate() {
            let rests_on = leaves.of_slots(plan, &check.slots());
            let mut asks = rests_on.clone();
            if let Some(condition) = &check.condition {
                asks.add_all(&leaves.of_program(plan, &condition.program));
            }
            let touched: Vec<usize> =
                places.iter().enumerate().filter(|(_, place)| place.slots.meets(&asks)).map(|(at, _)| at).collect();
            if only_within {
                let inside = rests_on.slots().into_iter().all(|slot| places.iter().any(|place| place.slots.has(slot)));
                if !inside || touched.is_empty() {
                    continue;
                }
            }
            match groups.iter_mut().find(|(group, _)| group.places == touched) {
                Some((_, checks)) => checks.push(number),
                None => groups.push((Group { places: touched }, vec![number])),
            }
        }
        let mut sayings = Sayings::new(&places, &choices);
        let rows =
            groups.into_iter().map(|(group, checks)| RowGroup::new(plan, &checks, group, &mut sayings)).collect();
        Evaluator { book, base, places, choices, rows }
    }

    /// The groups of rows, in the order of their numbers.
    #[must_use]
    pub fn groups(&self) -> Vec<Group> {
        self.rows.iter().map(|rows| rows.group.clone()).collect()
    }

    /// The parts that may fill a place.
    #[must_use]
    pub fn domain(&self, place: usize) -> Vec<usize> {
        let fits = |choice: &Choice| choice.at.get(place).is_some_and(Option::is_some);
        self.choices.iter().enumerate().filter(|(_, choice)| fits(choice)).map(|(number, _)| number).collect()
    }

    /// The machine with some parts at some places.
    #[must_use]
    pub fn together(&self, parts: &[(usize, usize)]) -> Readings {
        let mut readings = self.base.clone();
        for (place, part) in parts {
            if let Some(Some(own)) =
                self.choices.get(*part).map(|choice| choice.at.get(*place).and_then(Option::as_ref))
            {
                readings.take_over(own);
            }
        }
        readings
    }

    /// What the rows of a group come to for the parts at its places, each with its plan.
    #[must_use]
    pub fn rows(&self, group: usize, parts: &[usize]) -> (Option<&Plan>, Vec<RowAt>, Readings) {
        let Some(RowGroup { group, rows, .. }) = self.rows.get(group) else {
            return (None, Vec::new(), self.base.clone());
        };
        let placed: Vec<(usize, usize)> = group.places.iter().copied().zip(parts.iter().copied()).collect();
        let readings = self.together(&placed);
        (Some(&rows.plan), self.judged(rows, &placed, &readings), readings)
    }

    /// What some rows come to for the parts at their places.
    fn judged(&self, rows: &Rows, placed: &[(usize, usize)], readings: &Readings) -> Vec<RowAt> {
        let ranges = rows.calculated.then(|| Ranges::new(&rows.plan, readings));
        let at = |ruling: Ruling| {
            let check = rows.plan.checks.get(ruling.check);
            let room = check.and_then(|check| room(check, &ruling, ranges.as_ref()));
            let (lacks, waits) = match ruling.grade {
                Grade::Unmeasured => self.lacking(rows, ruling.check, placed, readings),
                _ => (Vec::new(), false),
            };
            RowAt { ruling, room, lacks, waits }
        };
        rulings(self.book, &rows.plan, readings).into_iter().map(at).collect()
    }

    /// What the rows of a block come to, judged once for parts that say the same.
    fn block(&self, group: &Group, block: &Block, parts: &[usize]) -> Score {
        let class = |((_, classes), part): (&Asked, &usize)| classes.get(*part).copied();
        let key: Vec<u32> = block.at.iter().zip(parts).filter_map(class).collect();
        if let Some(known) = block.known.borrow().get(&key) {
            return *known;
        }
        let placed: Vec<(usize, usize)> = group.places.iter().copied().zip(parts.iter().copied()).collect();
        let mut readings = self.base.clone();
        for ((place, part), (slots, _)) in placed.iter().zip(&block.at) {
            let own = self.choices.get(*part).and_then(|choice| choice.at.get(*place)?.as_ref());
            if let Some(own) = own {
                readings.take_over_slots(own, slots.iter().copied());
            }
        }
        let rows = self.judged(&block.rows, &placed, &readings);
        let score = rows.iter().fold(Score::NOTHING, |sum, row| sum.with(row.score()));
        block.known.borrow_mut().insert(key, score);
        score
    }

    /// The rows of a group that refuse parts, by their numbers in the plan of the group; with `complete` those that lack a
    /// reading of them too.
    #[must_use]
    pub fn refusing(&self, group: usize, parts: &[usize], complete: bool) -> Vec<usize> {
        let (_, rows, _) = self.rows(group, parts);
        let refuses = |row: &&RowAt| {
            let score = row.score();
            score.out > 0 || complete && score.open > 0
        };
        let mut refusing: Vec<usize> = rows.iter().filter(refuses).map(|row| row.ruling.check).collect();
        refusing.dedup();
        refusing
    }

    /// The readings that a row lacks of what is with the parts, and whether it lacks only others.
    fn lacking(&self, rows: &Rows, check: usize, placed: &[(usize, usize)], readings: &Readings) -> (Vec<usize>, bool) {
        let Some(leaves) = rows.leaves.get(check) else { return (Vec::new(), true) };
        let empty = |slot: &usize| {
            !matches!(readings.state(*slot), State::Taken) && !rows.plan.optional.get(*slot).copied().unwrap_or(false)
                || matches!(readings.state(*slot), State::SetAside(_) | State::Unusable(_) | State::Unknown(_))
        };
        let is_with = |slot: &usize| {
            placed.iter().any(|(place, part)| {
                let with = self.choices.get(*part).and_then(|choice| choice.with.get(*place));
                with.is_some_and(|with| with.has(*slot))
            })
        };
        let missing: Vec<usize> = leaves.slots().into_iter().filter(empty).collect();
        let lacks: Vec<usize> = missing.into_iter().filter(is_with).collect();
        let waits = lacks.is_empty();
        (lacks, waits)
    }
}

/// The readings that a check and its condition come down to.
fn asked(plan: &Plan, leaves: &Leaves, check: &Check) -> SlotSet {
    let mut asked = leaves.of_slots(plan, &check.slots());
    if let Some(condition) = &check.condition {
        asked.add_all(&leaves.of_program(plan, &condition.program));
    }
    asked
}

impl Rows {
    /// Some rows of a plan.
    fn of(plan: &Plan, checks: &[usize]) -> Rows {
        let plan = plan.only(checks);
        let own = Leaves::new(&plan);
        let leaves = plan.checks.iter().map(|check| asked(&plan, &own, check)).collect();
        let is_calculated = |range: &Option<CheckRange>| matches!(range, Some(CheckRange::Worked { .. }));
        let ranges = plan.checks.iter().flat_map(|check| [&check.standard, &check.limit]);
        let calculated = ranges.into_iter().any(is_calculated);
        Rows { plan, leaves, calculated }
    }
}

impl RowGroup {
    /// Some rows of a plan that rest on the places of a group, told apart by the readings they rest on.
    fn new(plan: &Plan, checks: &[usize], group: Group, sayings: &mut Sayings<'_>) -> RowGroup {
        let rows = Rows::of(plan, checks);
        let mut by_leaves: Vec<(SlotSet, Vec<usize>)> = Vec::new();
        for (leaves, check) in rows.leaves.iter().zip(checks) {
            match by_leaves.iter_mut().find(|(known, _)| known == leaves) {
                Some((_, checks)) => checks.push(*check),
                None => by_leaves.push((leaves.clone(), vec![*check])),
            }
        }
        let mut at = |leaves: &SlotSet| -> Vec<Asked> {
            let place = |place: &usize| {
                let slots = sayings.slots(*place, leaves);
                let classes = sayings.classes(*place, &slots);
                (slots, classes)
            };
            group.places.iter().map(place).collect()
        };
        let every = rows.leaves.iter().fold(SlotSet::default(), |mut all, leaves| {
            all.add_all(leaves);
            all
        });
        let whole = at(&every);
        let sets =
            |at: &[Asked]| -> usize { at.iter().map(|(_, classes)| kinds(classes)).fold(1, usize::saturating_mul) };
        // Judging apart what is judged as often together gains nothing.
        let most = sets(&whole) / 2;
        let mut blocks: Vec<(Vec<Asked>, Vec<usize>)> = Vec::new();
        let mut rest: (SlotSet, Vec<usize>) = Default::default();
        for (leaves, checks) in by_leaves {
            let at = at(&leaves);
            if group.places.len() > 1 && sets(&at) <= most {
                blocks.push((at, checks));
            } else {
                rest.0.add_all(&leaves);
                rest.1.extend(checks);
            }
        }
        if !rest.1.is_empty() {
            rest.1.sort_unstable();
            blocks.push((at(&rest.0), rest.1));
        }
        let blocks = blocks.into_iter();
        let blocks: Vec<Block> =
            blocks.map(|(at, checks)| Block { rows: Rows::of(plan, &checks), at, known: RefCell::default() }).collect();
        let classes = whole.into_iter().map(|(_, classes)| classes).collect();
        RowGroup { group, rows, blocks, classes }
    }
}

/// How many classes there are.
fn kinds(classes: &Classes) -> usize {
    let mut seen = classes.clone();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}

impl Scores for Evaluator<'_> {
    fn score(&self, group: usize, parts: &[usize]) -> Score {
        let Some(RowGroup { group, blocks, .. }) = self.rows.get(group) else { return Score::NOTHING };
        blocks.iter().fold(Score::NOTHING, |sum, block| sum.with(self.block(group, block, parts)))
    }

    fn class(&self, group: usize, at: usize, part: usize) -> usize {
        let classes = self.rows.get(group).and_then(|rows| rows.classes.get(at));
        classes.and_then(|classes| classes.get(part)).map_or(part, |class| *class as usize)
    }
}

impl RowAt {
    /// What it adds to a set.
    #[must_use]
    pub fn score(&self) -> Score {
        let mut score = Score::NOTHING;
        match (self.ruling.grade, self.ruling.advisory) {
            (Grade::Unmeasured, _) => score.open = u32::from(!self.waits && !self.ruling.advisory),
            (Grade::Good, _) => {}
            (_, true) => score.advisory = 1,
            (Grade::Worn | Grade::Excused, false) => score.worn = 1,
            (Grade::Unsettled | Grade::Out, false) => score.out = 1,
        }
        if let Some(room) = self.room.filter(|_| !self.ruling.advisory) {
            score.least_room = room;
            score.room = room;
        }
        score
    }
}

/// How far a value is from the nearer end of its standard, else of its limit, over the width of that range; of one end,
/// over the end's own size. Ends that are calculated are those that the verdict compared with. `None` if there is no end to be
/// near, and nought outside the standard.
fn room(check: &Check, ruling: &Ruling, ranges: Option<&Ranges<'_>>) -> Option<i64> {
    let Some(Datum::Quantity(value)) = &ruling.value else { return None };
    if matches!(ruling.found, Found::Missing | Found::ConditionMissing | Found::Impossible) {
        return None;
    }
    let calculated;
    let band = match check.standard.as_ref().or(check.limit.as_ref())? {
        CheckRange::Known(band) => band,
        range @ CheckRange::Worked { .. } => {
            calculated = ranges?.band(range)?;
            &calculated
        }
        _ => return None,
    };
    let size = match (&band.low, &band.high) {
        (Some(_), Some(_)) => band.width()?,
        (Some(end), None) | (None, Some(end)) => end.value.absolute(),
        (None, None) => return None,
    };
    if size.compare(&Value::ZERO) != Some(Ordering::Greater) {
        return None;
    }
    let Some(margin) = band.margin(value) else { return Some(0) };
    steps(&margin.divide(&size)?)
}

/// A share as so many steps, to the nearest.
fn steps(share: &Value) -> Option<i64> {
    let number: Number = share.midpoint();
    let scaled = &number * &Number::from_integer(ROOM_STEPS);
    let text = scaled.to_text(0);
    text.parse::<i64>().ok().or(Some(i64::MAX / 1_048_576)).map(|steps| steps.clamp(0, i64::MAX / 1_048_576))
}
