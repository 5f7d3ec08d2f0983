//! Values inside every range of a generation, drawn by seed: for a reading that a row judges from the middle of its range,
//! for what a worked-out value comes from by correcting one reading after the other until every row is good.

use super::filled;
use std::collections::{BTreeMap, BTreeSet};
use trochoid::book::{Characteristic, Count, Datum, Generation, Id, Kind, Origin};
use trochoid::judge::{Found, Grade, Ruling, Side, judge};
use trochoid::plan::{Check, CheckRange, Operation, Plan, Subject, slots_of};
use trochoid::quantity::{Band, Unit};
use trochoid::record;
use trochoid::shop::Shop;
use trochoid::text::Source;

/// A generator of numbers that gives the same ones every time: splitmix64 (public domain, S. Vigna).
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    pub(super) fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((mixed ^ (mixed >> 31)) % most as u64).unwrap()
    }

    /// Between nothing and one.
    pub(super) fn share(&mut self) -> f64 {
        self.below(1 << 30) as f64 / f64::from(1 << 30)
    }
}

/// What is written at one path.
#[derive(Clone)]
enum Written {
    /// A number in the unit of the book, so many times.
    Quantity {
        number: f64,
        unit: String,
        times: u16,
    },
    Words(String),
}

/// A value for each path.
pub(super) struct Inside(BTreeMap<String, Written>);

/// Corrections of one reading before it is given up: far more than any generation takes.
const MOST_CORRECTIONS: usize = 4_000;

impl Inside {
    /// Values for the paths that are wanted, with which every row of the generation is good.
    pub(super) fn new(
        shop: &Shop,
        id: Id<Generation>,
        wanted: &BTreeSet<String>,
        blank: &str,
        dice: &mut Dice,
    ) -> Inside {
        let plan = shop.plan(id).unwrap();
        let mut draw = Draw {
            shop,
            plan,
            generation: shop.book.generations.get(id),
            dice,
            rests: BTreeMap::new(),
            limits: BTreeMap::new(),
        };
        let behind: Vec<String> = plan.checks.iter().flat_map(|check| draw.behind(check)).collect();
        for path in behind {
            *draw.rests.entry(path).or_default() += 1;
        }
        let mut inside = Inside(draw.first(wanted));
        let mut bad = draw.bad(&inside, blank);
        for _ in 0..MOST_CORRECTIONS {
            if bad.is_empty() {
                return inside;
            }
            let ruling = bad[draw.dice.below(bad.len())].clone();
            let before = inside.0.clone();
            draw.correct(&mut inside, blank, &ruling);
            let after = draw.bad(&inside, blank);
            // Now and then a step back leads on.
            if after.len() <= bad.len() || draw.dice.below(20) == 0 {
                bad = after;
            } else {
                inside.0 = before;
            }
        }
        let left: Vec<&str> = bad.iter().map(|ruling| &*plan.checks[ruling.check].row.path).collect();
        panic!("{}: no values found for {left:?}", draw.generation.name)
    }

    /// What is written at a path.
    pub(super) fn written(&self, path: &str) -> Option<String> {
        self.0.get(path).map(|written| match written {
            Written::Words(words) => words.clone(),
            Written::Quantity { number, unit, times } => {
                let number = format!("{number:.6}");
                let number = number.trim_end_matches('0').trim_end_matches('.');
                let one = format!("{number} {unit}").trim_end().to_string();
                let all = vec![one; usize::from(*times)].join(", ");
                if *times > 1 { format!("[{all}]") } else { all }
            }
        })
    }

    /// Whether it is a number that is written there.
    pub(super) fn is_quantity(&self, path: &str) -> bool {
        matches!(self.0.get(path), Some(Written::Quantity { .. }))
    }
}

struct Draw<'a> {
    shop: &'a Shop,
    plan: &'a Plan,
    generation: &'a Generation,
    dice: &'a mut Dice,
    /// How many rows rest on each reading.
    rests: BTreeMap<String, usize>,
    /// What each reading can be at all, in the unit of the book.
    limits: BTreeMap<String, (Option<f64>, Option<f64>)>,
}

impl Draw<'_> {
    /// A first value for each path: near one middle for all positions of a characteristic, for many rows ask that they
    /// differ little.
    fn first(&mut self, wanted: &BTreeSet<String>) -> BTreeMap<String, Written> {
        let book = &self.shop.book;
        let mut all = BTreeMap::new();
        for (id, characteristic) in book.characteristics.entries() {
            let Origin::Reading { count, .. } = &characteristic.origin else { continue };
            let checks: Vec<&Check> =
                self.plan.checks.iter().filter(|check| check.row.subject.characteristic == id).collect();
            // Rows on some builds only may ask for several words: those are changed where they are not good.
            let always: Vec<&Check> = checks.iter().copied().filter(|check| check.condition.is_none()).collect();
            let share = 0.2 + 0.6 * self.dice.share();
            let common = self.word(characteristic, &always);
            let compared = checks.iter().any(|check| matches!(check.subject, Subject::Group(_)));
            for positions in book.instances(characteristic.part, self.generation) {
                // Where rows for single positions leave no word to all of them, each has its own.
                let here: Vec<&Check> = always.iter().copied().filter(|check| *check.positions == *positions).collect();
                let name = common.clone().or_else(|| self.word(characteristic, &here));
                for station in 0..characteristic.slots_each() {
                    let station = u16::try_from(station).ok().filter(|_| !characteristic.stations().is_empty());
                    let path = book.path(id, &positions, station);
                    if !wanted.contains(&path) {
                        continue;
                    }
                    let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
                    self.limits.insert(path.clone(), self.possible(characteristic, &unit));
                    let jitter = if compared { 0.0 } else { 0.02 * self.dice.share() };
                    let written = match &name {
                        Some(word) => Written::Words(word.clone()),
                        None => self.quantity(characteristic, *count, &checks, share + jitter),
                    };
                    all.insert(path, written);
                }
            }
        }
        all
    }

    /// A word that every one of some rows on a characteristic allows; none for a quantity, and where there is no such word.
    fn word(&mut self, characteristic: &Characteristic, checks: &[&Check]) -> Option<String> {
        let slots = characteristic.first_slot..characteristic.first_slot + self.slots_of(characteristic);
        let tellings =
            self.plan.tellings.iter().filter(|telling| telling.slots.iter().any(|slot| slots.contains(slot)));
        let ranges = checks.iter().flat_map(|check| [&check.standard, &check.limit]).flatten();
        let ranges: Vec<&CheckRange> = ranges.chain(tellings.map(|telling| &telling.range)).collect();
        match characteristic.kind {
            Kind::Quantity(_) => None,
            Kind::Text => Some(format!("lot {}", self.dice.below(900))),
            Kind::YesNo => {
                let yes = ranges.iter().any(|range| matches!(range, CheckRange::YesNo(true)));
                Some(if yes { "yes" } else { "no" }.to_string())
            }
            Kind::Names(set) => {
                let names = &self.shop.book.sets.get(set).names;
                let allowed = |number: &usize| {
                    ranges.iter().all(|range| match range {
                        CheckRange::Names(names) => names.iter().any(|name| usize::from(*name) == *number),
                        _ => true,
                    })
                };
                let allowed: Vec<usize> = (0..names.len()).filter(allowed).collect();
                // What racing and seals of ceramic want stands as advice beside other bands: hardly a value lies in both.
                let apart = |number: &usize| matches!(&*names[*number], "race" | "ceramic");
                let calm: Vec<usize> = allowed.iter().copied().filter(|number| !apart(number)).collect();
                let allowed = if calm.is_empty() { allowed } else { calm };
                (!allowed.is_empty()).then(|| names[allowed[self.dice.below(allowed.len())]].to_string())
            }
        }
    }

    /// A number at a share of the way through the ranges of a characteristic; where no row judges it, a plausible one.
    fn quantity(&self, characteristic: &Characteristic, count: Count, checks: &[&Check], share: f64) -> Written {
        let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
        let ends = |band: &Band| {
            let end = |end: &Option<trochoid::quantity::End>| end.as_ref().map(|end| number(&end.value, &unit));
            (end(&band.low), end(&band.high))
        };
        let (mut low, mut high): (Option<f64>, Option<f64>) = (None, None);
        for range in checks.iter().flat_map(|check| [&check.standard, &check.limit]).flatten() {
            if let CheckRange::Known(band) = range {
                let (least, most) = ends(band);
                low = low.into_iter().chain(least).reduce(f64::max);
                high = high.into_iter().chain(most).reduce(f64::min);
            }
        }
        let possible = self.possible(characteristic, &unit);
        let number = match (low, high) {
            (Some(low), Some(high)) => low + share * (high - low),
            (Some(low), None) => low.abs().max(0.01).mul_add(0.2 * share, low),
            (None, Some(high)) => high - high.abs() * 0.5 * share,
            // What no row judges by itself lies somewhere about the middle of what it can be; a row on what is made of it corrects it.
            (None, None) => match possible {
                // What may be next to nothing mostly is.
                (Some(low), Some(high)) if low < 0.1 * high => {
                    low + if low > 0.0 { 0.004 } else { 0.03 } * (1.0 + share) * (high - low)
                }
                (Some(low), Some(high)) => low.midpoint(high) + 0.001 * share * (high - low),
                // From memory: a mass in kg.
                _ if &*unit.symbol == "mm" => self.width() + 0.01 * share,
                _ => 4.3 + 0.01 * share,
            },
        };
        let number = possible.0.map_or(number, |low| number.max(low));
        let number = possible.1.map_or(number, |high| number.min(high));
        Written::Quantity { number, unit: unit.symbol.to_string(), times: count.least.max(1) }
    }

    /// The ends, in a unit, of what a reading can be at all and of what tells its generation from others: the largest lower one and the
    /// smallest upper one.
    fn possible(&self, characteristic: &Characteristic, unit: &Unit) -> (Option<f64>, Option<f64>) {
        let slots = characteristic.first_slot..characteristic.first_slot + self.slots_of(characteristic);
        let plausible = &self.plan.plausible;
        let bounds = plausible.slots.iter().filter(|(slot, _)| slots.contains(&(*slot as usize)));
        let bounds =
            bounds.flat_map(|(_, number)| plausible.bounds[*number as usize].bands.iter().map(|one| &one.band));
        let tellings =
            self.plan.tellings.iter().filter(|telling| telling.slots.iter().any(|slot| slots.contains(slot)));
        let tellings = tellings.filter_map(|telling| match &telling.range {
            CheckRange::Known(band) => Some(band),
            _ => None,
        });
        let (mut low, mut high): (Option<f64>, Option<f64>) = (None, None);
        for band in bounds.chain(tellings) {
            let end = |end: &Option<trochoid::quantity::End>| end.as_ref().map(|end| number(&end.value, unit));
            low = low.into_iter().chain(end(&band.low)).reduce(f64::max);
            high = high.into_iter().chain(end(&band.high)).reduce(f64::min);
        }
        (low, high)
    }

    fn slots_of(&self, characteristic: &Characteristic) -> usize {
        self.shop.book.parts.get(characteristic.part).instances * characteristic.slots_each()
    }

    /// The width of a chamber in mm, as the generation has it: most lengths nobody judges by themselves lie beside it.
    fn width(&self) -> f64 {
        let constants = self.shop.book.constants.iter().zip(&self.generation.constants);
        let given =
            constants.filter(|(constant, _)| &*constant.name == "chamber_width").find_map(|(_, given)| given.as_ref());
        given.map_or(80.0, |given| given.value.midpoint().to_f64() * 1000.0)
    }

    /// The rulings of a record with these values that are not good.
    fn bad(&self, inside: &Inside, blank: &str) -> Vec<Ruling> {
        self.rulings(inside, blank).into_iter().filter(|ruling| ruling.grade != Grade::Good).collect()
    }

    fn rulings(&self, inside: &Inside, blank: &str) -> Vec<Ruling> {
        let source = Source::new("drawn.yaml", filled(blank, |path| inside.written(path)));
        let (sheet, said) = record::read(&source);
        assert!(said.is_empty(), "{}", said[0].message);
        let (readings, said) = self.shop.bind(&sheet.unwrap(), &source);
        assert!(said.is_empty(), "{}", said[0].message);
        judge(&self.shop.book, self.plan, &readings).rulings
    }

    /// Changes one reading behind a ruling: a word for another, a number by as much as brings the value into its range.
    fn correct(&mut self, inside: &mut Inside, blank: &str, ruling: &Ruling) {
        let check = &self.plan.checks[ruling.check];
        let mut candidates: Vec<String> =
            self.behind(check).into_iter().filter(|path| inside.0.contains_key(path)).collect();
        assert!(!candidates.is_empty(), "{}: nothing to correct", check.row.path);
        // Mostly the reading that the fewest rows rest on, which spoils the least.
        if self.dice.below(5) > 0 {
            let least = candidates.iter().map(|path| self.rests[path]).min();
            candidates.retain(|path| Some(self.rests[path]) == least);
        }
        let path = candidates[self.dice.below(candidates.len())].clone();
        let new = match inside.0[&path].clone() {
            Written::Words(_) => self.another_word(&path).map(Written::Words),
            Written::Quantity { number, unit, times } => {
                let at = |number: f64| Written::Quantity { number, unit: unit.clone(), times };
                self.moved(inside, blank, ruling, (&path, number, &at))
                    .or_else(|| self.named(check, &unit))
                    .or_else(|| self.walked(&path, number, ruling))
                    .map(at)
            }
        };
        let Some(new) = new else { return };
        if let (Some(Written::Quantity { number: old, .. }), Written::Quantity { number, .. }) =
            (inside.0.get(&path), &new)
        {
            let by = number - old;
            // The stations of one thing go together: one of them by itself would lie where no part reaches.
            for other in self.other_stations(&path) {
                if let Some(Written::Quantity { number, .. }) = inside.0.get_mut(&other) {
                    let (low, high) = self.limits[&other];
                    *number = (*number + by).max(low.unwrap_or(0.0)).min(high.unwrap_or(f64::MAX));
                }
            }
        }
        inside.0.insert(path, new);
    }

    /// The paths of the other stations of a reading whose stations must agree.
    fn other_stations(&self, path: &str) -> Vec<String> {
        let book = &self.shop.book;
        let Some(slot) = (0..book.slot_count).find(|slot| self.path_of(*slot) == path) else { return Vec::new() };
        let Some((id, positions, Some(own))) = book.slot_owner(slot) else { return Vec::new() };
        if !matches!(book.characteristics.get(id).origin, Origin::Reading { agree: Some(_), .. }) {
            return Vec::new();
        }
        let stations = 0..book.characteristics.get(id).stations().len();
        let others = stations.filter_map(|station| u16::try_from(station).ok()).filter(|station| *station != own);
        others.map(|station| book.path(id, &positions, Some(station))).collect()
    }

    /// A step towards a range whose ends move with other readings.
    fn walked(&self, path: &str, old: f64, ruling: &Ruling) -> Option<f64> {
        let Found::Outside { side, .. } = ruling.found else { return None };
        let step = 0.2 * old.abs().max(1.0);
        let new = if side == Side::Below { old + step } else { old - step };
        let (low, high) = self.limits[path];
        let new = low.map_or(new, |low| new.max(low));
        Some(high.map_or(new, |high| new.min(high)))
    }

    /// A number that what leads to a ruling names, such as one that a count must be exactly; in a unit of the book.
    fn named(&mut self, check: &Check, unit: &str) -> Option<f64> {
        let unit = if unit.is_empty() { Unit::number() } else { self.shop.book.units.find(unit)?.clone() };
        let Subject::Slot { slot, .. } = &check.subject else { return None };
        let step = self.plan.step_of[*slot]?;
        let numbers: Vec<f64> = self.plan.steps[step as usize]
            .program
            .operations
            .iter()
            .filter_map(|operation| match operation {
                Operation::Known(Datum::Quantity(value)) => Some(number(value, &unit)),
                _ => None,
            })
            .collect();
        (!numbers.is_empty()).then(|| numbers[self.dice.below(numbers.len())])
    }

    /// Another word for a reading, whatever its rows say.
    fn another_word(&mut self, path: &str) -> Option<String> {
        let slot = (0..self.shop.book.slot_count).find(|slot| self.path_of(*slot) == path)?;
        let (id, _, _) = self.shop.book.slot_owner(slot)?;
        self.word(self.shop.book.characteristics.get(id), &[])
    }

    /// A number moved by as much as brings the value of a ruling into its range, by the slope found by trying.
    fn moved(
        &self,
        inside: &mut Inside,
        blank: &str,
        ruling: &Ruling,
        (path, old, at): (&str, f64, &dyn Fn(f64) -> Written),
    ) -> Option<f64> {
        let check = &self.plan.checks[ruling.check];
        let step = (old.abs() * 1e-5).max(1e-4);
        inside.0.insert(path.to_string(), at(old + step));
        let moved = self.rulings(inside, blank);
        inside.0.insert(path.to_string(), at(old));
        let moved = moved.iter().find(|other| other.check == ruling.check && other.reading == ruling.reading)?;
        let goal = check.standard.as_ref().or(check.limit.as_ref()).and_then(goal)?;
        let value = |ruling: &Ruling| match &ruling.value {
            Some(Datum::Quantity(value)) => Some(value.midpoint().to_f64()),
            _ => None,
        };
        let (value, moved) = (value(ruling)?, value(moved)?);
        let new = old + (goal - value) * step / (moved - value);
        // A reading is never below nothing, and no slope is trusted over a leap.
        let most = 0.2 * old.abs().max(1.0);
        let (low, high) = self.limits[path];
        let new = new.clamp(old - most, old + most).max(low.unwrap_or(0.0));
        let new = high.map_or(new, |high| new.min(high));
        new.is_finite().then_some(new)
    }

    fn path_of(&self, slot: usize) -> String {
        let book = &self.shop.book;
        book.slot_owner(slot).map_or(String::new(), |(id, positions, station)| book.path(id, &positions, station))
    }

    /// The paths of the readings a check rests on.
    fn behind(&self, check: &Check) -> Vec<String> {
        let mut open = match &check.subject {
            Subject::Slot { slot, .. } | Subject::Each { slot, .. } => vec![*slot],
            Subject::Made(program) => slots_of(program),
            Subject::Group(group) => group.iter().map(|(slot, _)| *slot).collect(),
        };
        let mut seen = BTreeSet::new();
        while let Some(slot) = open.pop() {
            if seen.insert(slot)
                && let Some(step) = self.plan.step_of[slot]
            {
                open.extend(slots_of(&self.plan.steps[step as usize].program));
            }
        }
        seen.into_iter().filter(|slot| self.plan.step_of[*slot].is_none()).map(|slot| self.path_of(slot)).collect()
    }
}

/// A value inside a range that the book knows, in base units.
fn goal(range: &CheckRange) -> Option<f64> {
    let CheckRange::Known(band) = range else { return None };
    let end = |end: &Option<trochoid::quantity::End>| end.as_ref().map(|end| end.value.midpoint().to_f64());
    match (end(&band.low), end(&band.high)) {
        (Some(low), Some(high)) => Some(low.midpoint(high)),
        (Some(low), None) => Some(low + low.abs() * 0.1),
        (None, Some(high)) => Some(high - high.abs() * 0.3),
        (None, None) => None,
    }
}

fn number(value: &trochoid::quantity::Value, unit: &Unit) -> f64 {
    unit.from_base(value).midpoint().to_f64()
}
