//! `trochoid match --least`: the pairs of a whole pile whose value comes to the least in all. Refuses to know what the value is.

use super::{wording, wording_match};
use crate::bind::{Readings, State};
use crate::book::{Book, Characteristic, Datum, Generation, Id, Kind};
use crate::identify::characteristic;
use crate::judge::values_of;
use crate::matching::{Found, Score, Scores, least_pairs};
use crate::plan::{Leaves, Operation, Plan, Program};
use crate::quantity::{Number, Value};
use crate::shop::{Least, MatchReport, Matched, Scored};

/// Values of a machine that were asked for.
pub(super) struct Values<'a> {
    book: &'a Book,
    plan: Plan,
    /// For each its characteristic, its path and its one slot.
    wanted: Vec<(Id<Characteristic>, String, usize)>,
    programs: Vec<Program>,
}

impl<'a> Values<'a> {
    /// The values that some words name, each of which a machine has once.
    ///
    /// # Errors
    /// What to say of a word that names none, or several.
    pub(super) fn new(
        book: &'a Book,
        generation: Id<Generation>,
        words: &[(&'static str, String)],
    ) -> Result<Values<'a>, String> {
        let mut wanted = Vec::new();
        for (flag, word) in words {
            let said = |said: String| format!("{flag}: {said}");
            let id = characteristic(book, word).map_err(|trouble| said(wording::no_feature(word, &trouble)))?;
            let characteristic = book.characteristics.get(id);
            let positions = book.instances(characteristic.part, book.generations.get(generation));
            let slots = characteristic.slot(0, 0)
                ..characteristic.slot(0, 0)
                    + book.parts.get(characteristic.part).instances * characteristic.slots_each();
            let of_generation: Vec<usize> =
                slots.filter(|slot| book.slot_owner(*slot).is_some_and(|(_, at, _)| positions.contains(&at))).collect();
            let [slot] = of_generation.as_slice() else {
                return Err(said(wording_match::several_values(word)));
            };
            if !matches!(characteristic.kind, Kind::Quantity(_)) {
                return Err(said(wording_match::no_quantity(word)));
            }
            let path = book.slot_owner(*slot).map(|(id, at, station)| book.path(id, &at, station)).unwrap_or_default();
            wanted.push((id, path, *slot));
        }
        let ids: Vec<Id<Characteristic>> = wanted.iter().map(|(id, _, _)| *id).collect();
        let (plan, _) = Plan::for_values(book, generation, &ids);
        let program = |slot: usize| Program { operations: vec![Operation::Slot(slot)] };
        let programs = wanted.iter().map(|(_, _, slot)| program(*slot)).collect();
        Ok(Values { book, plan, wanted, programs })
    }

    /// What they come to for some readings.
    fn of(&self, readings: &Readings) -> Vec<Option<Value>> {
        let quantity = |datum: Option<Datum>| match datum {
            Some(Datum::Quantity(value)) => Some(value),
            _ => None,
        };
        values_of(&self.plan, readings, &self.programs).into_iter().map(quantity).collect()
    }

    /// A value with its unit: to four places if it does not end before.
    fn text(&self, number: usize, value: &Value) -> String {
        let unit = self.wanted.get(number).and_then(|(id, _, _)| self.book.characteristics.get(*id).unit.as_ref());
        let number = unit.map_or_else(|| value.clone(), |unit| unit.from_base(value)).midpoint().to_text(4);
        match unit {
            Some(unit) if !unit.symbol.is_empty() => format!("{number} {}", unit.symbol),
            _ => number,
        }
    }

    /// The readings that a value rests on and that are not there, as paths.
    fn lacking(&self, number: usize, readings: &Readings) -> Vec<String> {
        let slot = self.wanted.get(number).map_or(usize::MAX, |(_, _, slot)| *slot);
        let leaves = Leaves::new(&self.plan).of_slots(&self.plan, &[slot]);
        let missing = |slot: &usize| !matches!(readings.state(*slot), State::Taken);
        let needed = |slot: &usize| !self.plan.optional.get(*slot).copied().unwrap_or(false);
        let mut slots: Vec<usize> = leaves.slots().into_iter().filter(missing).collect();
        // What may be left out is named only if nothing else is missing.
        if slots.iter().any(needed) {
            slots.retain(needed);
        }
        let path = |slot: usize| self.book.slot_owner(slot).map(|(id, at, station)| self.book.path(id, &at, station));
        slots.into_iter().filter_map(path).collect()
    }
}

/// A pair that can be: the parts in the order of the places, what it comes to, and its value.
struct Pair {
    parts: Vec<usize>,
    score: Score,
    value: Number,
}

impl MatchReport<'_> {
    /// As many machines as there can be, or so many, whose values come to the least in all.
    pub(super) fn least(
        &self,
        values: &Values<'_>,
        (wanted, complete): (Option<usize>, bool),
        scores: &Scored<'_>,
        go_on: &dyn Fn() -> bool,
        matched: &mut Matched,
    ) -> Result<(), String> {
        matched.machines = true;
        let places = self.one.domains.len();
        if places != 2 {
            return Err(wording_match::not_two_places(&self.prepared.places));
        }
        let evaluator = &self.prepared.evaluator;
        let parts = evaluator.choices.len();
        let mut pairs: Vec<Pair> = Vec::new();
        let mut has_value = vec![false; parts];
        let (mut first, mut second) = (self.domain(0), self.domain(1));
        let lacking = |part: usize| self.lacks(values, part);
        first.retain(|part| lacking(*part).is_empty());
        second.retain(|part| lacking(*part).is_empty());
        for one in &first {
            for other in second.iter().filter(|other| *other != one) {
                if !go_on() {
                    matched.proved = false;
                    return Ok(());
                }
                let set = [*one, *other];
                let score = self.score_of(&set, scores);
                let readings = evaluator.together(&[(0, *one), (1, *other)]);
                let Some(value) = values.of(&readings).into_iter().next().flatten() else { continue };
                for part in set {
                    if let Some(entry) = has_value.get_mut(part) {
                        *entry = true;
                    }
                }
                let value =
                    value.is_exact_rational().cloned().ok_or_else(|| wording_match::not_exact(values.path(0)))?;
                if value.signum() < 0 {
                    return Err(wording_match::below_nought(values.path(0)));
                }
                if score.out == 0 && !(complete && score.open > 0) {
                    pairs.push(Pair { parts: set.to_vec(), score, value });
                }
            }
        }
        let best = self.cheapest(&pairs);
        let mut costs: Vec<(usize, usize, Number)> =
            best.iter().map(|pair| (pair.low(), pair.high(), pair.value.clone())).collect();
        // So many machines and no more: each thing beside them takes the place of a partner for one part.
        let mut things = parts;
        let able: Vec<usize> = (0..parts).filter(|part| best.iter().any(|pair| pair.parts.contains(part))).collect();
        if let Some(wanted) = wanted {
            let beside = able.len().saturating_sub(2 * wanted);
            for number in 0..beside {
                costs.extend(able.iter().map(|part| (*part, parts + number, Number::ZERO)));
            }
            things += beside;
        }
        let chosen: Vec<&&Pair> = least_pairs(things, &costs)
            .into_iter()
            .filter_map(|(low, high)| best.iter().find(|pair| (pair.low(), pair.high()) == (low, high)))
            .collect();
        if wanted.is_some_and(|wanted| chosen.len() < wanted) {
            return Ok(());
        }
        let mut sum = Number::ZERO;
        for pair in &chosen {
            sum = &sum + &pair.value;
            let mut set = self.set(&pair.parts, pair.score);
            set.values = self.shown(values, &pair.parts);
            matched.sets.push(set);
        }
        let sum = values.text(0, &Value::from(sum));
        let taken = |part: usize| chosen.iter().any(|pair| pair.parts.contains(&part));
        for part in (0..parts).filter(|part| !taken(*part)) {
            let Some(choice) = evaluator.choices.get(part) else { continue };
            let lacks = lacking(part);
            let because = match (lacks.is_empty(), able.contains(&part)) {
                (false, _) => wording_match::lacks(values.path(0), &lacks),
                (true, true) => wording_match::NO_PARTNER_LEFT.to_owned(),
                (true, false) => wording_match::NO_PARTNER.to_owned(),
            };
            matched.left.push((choice.tag.clone(), because));
        }
        if !chosen.is_empty() {
            matched.least = Some(Least { path: values.path(0).to_owned(), sum, most: wanted.is_none() });
        } else if !has_value.contains(&true) {
            let nothing = evaluator.together(&[]);
            return Err(wording_match::never_known(values.path(0), &values.lacking(0, &nothing)));
        }
        Ok(())
    }

    fn domain(&self, place: usize) -> Vec<usize> {
        self.one.domains.get(place).cloned().unwrap_or_default()
    }

    fn score_of(&self, parts: &[usize], scores: &Scored<'_>) -> Score {
        self.one.groups.iter().enumerate().fold(Score::NOTHING, |sum, (number, group)| {
            let at: Vec<usize> = group.places.iter().filter_map(|place| parts.get(*place).copied()).collect();
            sum.with(scores.score(number, &at))
        })
    }

    /// Of the two ways to put a pair the one of the least value; of both alike the better, then the first.
    fn cheapest<'p>(&self, pairs: &'p [Pair]) -> Vec<&'p Pair> {
        let mut best: Vec<&Pair> = Vec::new();
        let mut sorted: Vec<&Pair> = pairs.iter().collect();
        let key = |pair: &Pair| (pair.low(), pair.high());
        sorted.sort_by(|one, other| {
            let order = |pair: &Pair| (pair.value.clone(), pair.score.cost(), pair.parts.clone());
            key(one).cmp(&key(other)).then_with(|| order(one).cmp(&order(other)))
        });
        for pair in sorted {
            if best.last().is_none_or(|last| key(last) != key(pair)) {
                best.push(pair);
            }
        }
        best
    }

    /// The readings of a part that the value needs and that are not there.
    fn lacks(&self, values: &Values<'_>, part: usize) -> Vec<String> {
        let evaluator = &self.prepared.evaluator;
        let Some(choice) = evaluator.choices.get(part) else { return Vec::new() };
        let slot = values.wanted.first().map_or(usize::MAX, |(_, _, slot)| *slot);
        let leaves = Leaves::new(&values.plan).of_slots(&values.plan, &[slot]);
        let mut names: Vec<String> = Vec::new();
        for (place, readings) in evaluator.places.iter().zip(&choice.at) {
            let Some(readings) = readings else { continue };
            for slot in leaves.slots().into_iter().filter(|slot| place.slots.has(*slot)) {
                let optional = values.plan.optional.get(slot).copied().unwrap_or(false);
                if optional || matches!(readings.state(slot), State::Taken) {
                    continue;
                }
                let name = values
                    .book
                    .slot_owner(slot)
                    .map(|(id, _, _)| values.book.characteristics.get(id).name.replace('_', " "));
                names.extend(name.filter(|name| !names.contains(name)));
            }
        }
        names
    }

    /// The values asked for, of a set.
    pub(super) fn shown(&self, values: &Values<'_>, parts: &[usize]) -> Vec<(String, String)> {
        let placed: Vec<(usize, usize)> = parts.iter().copied().enumerate().collect();
        let readings = self.prepared.evaluator.together(&placed);
        let of = values.of(&readings);
        let text = |(number, value): (usize, Option<Value>)| match value {
            Some(value) => (values.path(number).to_owned(), values.text(number, &value)),
            None => (values.path(number).to_owned(), wording_match::needs(&values.lacking(number, &readings))),
        };
        of.into_iter().enumerate().map(text).collect()
    }

    /// Adds the values asked for to the sets found.
    pub(super) fn show(&self, values: &Values<'_>, found: &[Found], matched: &mut Matched) {
        for (set, found) in matched.sets.iter_mut().zip(found) {
            set.values = self.shown(values, &found.parts);
        }
    }
}

impl Values<'_> {
    fn path(&self, number: usize) -> &str {
        self.wanted.get(number).map_or("", |(_, path, _)| path)
    }
}

impl Pair {
    fn low(&self) -> usize {
        self.parts.iter().copied().min().unwrap_or_default()
    }

    fn high(&self) -> usize {
        self.parts.iter().copied().max().unwrap_or_default()
    }
}
