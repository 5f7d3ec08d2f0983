//! What a shelf has for a machine: the places to fill, the parts that may fill them, and the parts that may not, each with
//! the reason. Refuses to choose.

use super::{Given, ShelfPart, Shop};
use crate::bind::{self, Readings};
use crate::book::{Generation, Id, Part};
use crate::finding::nearest;
use crate::judge;
use crate::loose::slots_of;
use crate::matching::{Choice, Evaluator, Place};
use crate::quantity::Date;
use crate::record::Record;
use crate::text::Source;

/// What a set of parts is for.
#[derive(Clone, Copy, Debug)]
pub struct Choosing<'a> {
    /// The generation of the machine.
    pub generation: Id<Generation>,
    /// What is said about the machine.
    pub given: &'a Given,
    /// The record of a build that has some parts already.
    pub build: Option<&'a Record>,
    /// The kinds of parts to choose; if none is named, all on the shelf but those that lie within another of them.
    pub only: &'a [Id<Part>],
    /// Tags of parts that are not to be taken.
    pub without: &'a [String],
    /// Parts that open builds take, each with the build.
    pub taken: &'a [(String, String)],
    /// The day whose rows judge.
    pub on: Option<Date>,
}

/// A part of the shelf that was not looked at, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LeftOut {
    /// Its tag.
    pub tag: String,
    /// Why, in words: "scrapped", "reserved for K-0207", "of another generation".
    pub because: String,
}

/// The places, the parts and the rows of a match.
#[derive(Debug)]
pub struct Prepared<'a> {
    /// The rows, to be judged for any set.
    pub evaluator: Evaluator<'a>,
    /// The places in words, as a build's `parts` names them.
    pub places: Vec<String>,
    /// The parts not looked at.
    pub left_out: Vec<LeftOut>,
}

/// A part that cannot be taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NotTaken {
    /// Why, if it was looked at.
    pub because: Option<String>,
    /// The tag that comes nearest, if nobody has this one.
    pub nearest: Option<String>,
}

impl Prepared<'_> {
    /// The number of the part that has a tag.
    ///
    /// # Errors
    /// Why it cannot be taken.
    pub fn part(&self, tag: &str) -> Result<usize, NotTaken> {
        let tags = || self.evaluator.choices.iter().map(|choice| choice.tag.as_str());
        tags().position(|one| one == tag).ok_or_else(|| {
            let refused = self.left_out.iter().find(|one| one.tag == tag);
            NotTaken {
                because: refused.map(|one| one.because.clone()),
                nearest: nearest(tag, tags()).map(str::to_owned),
            }
        })
    }
}

impl Shop {
    /// Everything needed to choose parts of the shelf for a machine; `None` without a shelf, and for a generation that
    /// nothing can be judged by.
    #[must_use]
    pub fn prepare(&self, choosing: &Choosing<'_>) -> Option<Prepared<'_>> {
        let shelf = self.shelf()?;
        let plan = self.plan(choosing.generation)?;
        let leaves = self.leaves(choosing.generation)?;
        let generation = self.book.generations.get(choosing.generation);
        let base = self.base(choosing);
        let kinds = self.kinds(choosing.only);
        let mut places: Vec<Place> = Vec::new();
        for kind in &kinds {
            for positions in self.book.instances(*kind, generation) {
                let slots = slots_of(&self.book, (*kind, None), &positions);
                // What the build has already stays.
                let has = |slot: usize| !matches!(base.state(slot), bind::State::Absent);
                if choosing.build.is_none() || !slots.slots().into_iter().any(has) {
                    places.push(Place { part: *kind, positions, slots });
                }
            }
        }
        let mut choices: Vec<Choice> = Vec::new();
        let mut left_out = Vec::new();
        let name = base.build.as_deref();
        let build = choosing.build.and_then(|record| Some((record.sheet.as_ref()?, &record.source)));
        let has = build.map(|(sheet, source)| self.parts_of(sheet, source)).unwrap_or_default();
        let has: Vec<String> = has.into_iter().map(|taken| taken.tag).collect();
        let mut parts: Vec<_> = shelf.parts.iter().filter(|part| kinds.contains(&part.part.part)).collect();
        parts.sort_by(|one, other| one.tag.cmp(&other.tag));
        for part in parts {
            let refused = if has.contains(&part.tag) {
                Some("in this build already".to_owned())
            } else if choosing.without.contains(&part.tag) {
                Some("not to be taken".to_owned())
            } else if let Some((_, build)) =
                choosing.taken.iter().find(|(tag, by)| *tag == part.tag && Some(by.as_str()) != name)
            {
                Some(format!("taken by {build}"))
            } else if !part.is_free_for(name) {
                Some(state_words(&part.part.state))
            } else if !self.generations_of(&part.record, &part.part).contains(&choosing.generation) {
                Some("of another generation".to_owned())
            } else {
                self.rules_out(part, choosing).map(|()| "what was measured rules this generation out".to_owned())
            };
            if let Some(because) = refused {
                left_out.push(LeftOut { tag: part.tag.clone(), because });
                continue;
            }
            let Some(sheet) = &part.record.sheet else { continue };
            let mut choice = Choice { tag: part.tag.clone(), at: Vec::new(), with: Vec::new() };
            for place in &places {
                if place.part != part.part.part {
                    choice.at.push(None);
                    choice.with.push(crate::plan::SlotSet::default());
                    continue;
                }
                let at = (Some(choosing.generation), place.positions.as_slice());
                let source = &part.record.source;
                let (mut readings, _) = bind::bind_part(&self.book, (sheet, source), &part.part, at, self.own_gauges());
                readings.judged_on = choosing.on.or(readings.judged_on);
                let _ = judge::screen(&self.book, plan, &mut readings);
                choice.at.push(Some(readings));
                choice.with.push(slots_of(&self.book, (part.part.part, Some(&part.part.with)), &place.positions));
            }
            choices.push(choice);
        }
        let words = places.iter().map(|place| self.book.part_path(place.part, &place.positions, ".")).collect();
        let only_within = !choosing.only.is_empty();
        let evaluator = Evaluator::new(&self.book, (plan, leaves), base, (places, choices), only_within);
        Some(Prepared { evaluator, places: words, left_out })
    }

    /// Whether what was measured of a part rules the generation out that its record states.
    fn rules_out(&self, part: &ShelfPart, choosing: &Choosing<'_>) -> Option<()> {
        let (sheet, plan) = (part.record.sheet.as_ref()?, self.plan(choosing.generation)?);
        let generation = self.book.generations.get(choosing.generation);
        let positions = self.book.instances(part.part.part, generation).into_iter().next()?;
        let at = (Some(choosing.generation), positions.as_slice());
        let source = &part.record.source;
        let (readings, _) = bind::bind_part(&self.book, (sheet, source), &part.part, at, self.own_gauges());
        judge::contradicted(&self.book, plan, || self.plans.all(), &readings).map(|_| ())
    }

    /// What is known of the machine without the parts to be chosen.
    fn base(&self, choosing: &Choosing<'_>) -> Readings {
        let record = choosing.build.and_then(|record| Some((record.sheet.as_ref()?, &record.source)));
        let mut base = match record {
            Some((sheet, source)) => self.readings(sheet, source, choosing.on).0,
            None => bind::nothing(&self.book, &Source::new("", "")),
        };
        if record.is_none() {
            base.judged_on = choosing.on;
        }
        base.generation = Some(choosing.generation);
        if let (Some(given), _) = self.given(choosing.given) {
            base.take_over(&given);
        }
        base
    }

    /// The kinds of parts to choose: those named, or those on the shelf that do not lie within another of them.
    fn kinds(&self, only: &[Id<Part>]) -> Vec<Id<Part>> {
        if !only.is_empty() {
            let mut kinds = only.to_vec();
            kinds.sort_unstable_by_key(|kind| kind.index());
            kinds.dedup();
            return kinds;
        }
        let on_shelf =
            |kind: &Id<Part>| self.shelf().is_some_and(|shelf| shelf.parts.iter().any(|it| it.part.part == *kind));
        let mut kinds: Vec<Id<Part>> = self.book.parts.ids().filter(on_shelf).collect();
        let all = kinds.clone();
        kinds.retain(|kind| {
            let mut outer = self.book.parts.get(*kind).parent;
            while let Some(part) = outer {
                if all.contains(&part) {
                    return false;
                }
                outer = self.book.parts.get(part).parent;
            }
            true
        });
        kinds
    }
}

fn state_words(state: &bind::PartState) -> String {
    match state {
        bind::PartState::InStock => "in stock".into(),
        bind::PartState::Reserved(build) => format!("reserved for {build}"),
        bind::PartState::Fitted(build) => format!("fitted in {build}"),
        bind::PartState::Scrapped { .. } => "scrapped".into(),
    }
}
