//! Two shops' rules side by side, ready to judge records by both. Refuses to say which record is worth it.

use super::compare::{ByThing, Side, by_thing, joined, kind};
use super::{Audited, Move};
use crate::bind::Readings;
use crate::finding::Finding;
use crate::judge::{self, Teller, Told, Verdict, keys};
use crate::plan::Plan;
use crate::quantity::Date;
use crate::record;
use crate::shop::Shop;
use crate::text::Source;
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// The rules before and after, with what each check of both is about.
#[derive(Debug)]
pub struct Desk {
    before: Rules,
    after: Rules,
    /// What is judged, in words, by number.
    keys: Vec<String>,
}

/// One side of a desk.
#[derive(Debug)]
struct Rules {
    shop: Arc<Shop>,
    /// For each generation, the number of the key of each check of its plan.
    keys: Vec<Vec<u32>>,
}

/// A record judged by one side.
struct Judged<'a> {
    rules: &'a Rules,
    plan: &'a Plan,
    readings: Readings,
    verdict: Verdict,
    things: ByThing,
}

impl Desk {
    /// Lays two sound shops side by side.
    #[must_use]
    pub fn new(before: Arc<Shop>, after: Arc<Shop>) -> Desk {
        let mut numbers: FxHashMap<String, u32> = FxHashMap::default();
        let mut all: Vec<String> = Vec::new();
        let mut rules = |shop: Arc<Shop>| {
            let mut by_generation = Vec::new();
            for generation in shop.book.generations.ids() {
                let words = shop.plan(generation).map_or_else(Vec::new, |plan| keys(&shop.book, plan));
                let numbered = words.into_iter().map(|key| match numbers.get(&key) {
                    Some(number) => *number,
                    None => {
                        let number = u32::try_from(all.len()).unwrap_or(u32::MAX);
                        all.push(key.clone());
                        numbers.insert(key, number);
                        number
                    }
                });
                by_generation.push(numbered.collect());
            }
            Rules { shop, keys: by_generation }
        };
        // Numbered by the rules after first: their order is the one the user sees.
        let after = rules(after);
        Desk { before: rules(before), after, keys: all }
    }

    /// Judges a record by both. `days` are the days whose rows are meant, before and after, where that is not the day the
    /// build was finished. `sheets` asks for every ruling in words.
    #[must_use]
    pub fn audit(&self, source: &Source, days: (Option<Date>, Option<Date>), sheets: bool) -> Audited {
        let (sheet, findings) = record::read(source);
        let mut audited = Audited::nothing(source.name().to_string(), findings);
        let Some(sheet) = sheet else { return audited };
        let before = self.before.judge(&sheet, source, days.0, &mut Vec::new());
        let after = self.after.judge(&sheet, source, days.1, &mut audited.findings);
        for (judged, grade) in [(&before, &mut audited.before), (&after, &mut audited.after)] {
            let Ok(judged) = judged else { continue };
            *grade = Some(judged.verdict.grade);
            audited.generation = Some(judged.generation());
        }
        let (Ok(readings) | Err(readings)) = after.as_ref().map(|judged| &judged.readings);
        audited.finished = readings.finished;
        if let Some(build) = &readings.build {
            audited.build.clone_from(build);
        }
        // What is wrong with the record is for `check` to say, but for what keeps it from being judged.
        audited.findings.retain(Finding::is_error);
        if let (Ok(before), Ok(after)) = (&before, &after) {
            self.compare(before, after, &mut audited);
            if sheets {
                audited.sheets = Some((before.sheet(), after.sheet()));
            }
        }
        audited
    }

    fn compare(&self, before: &Judged<'_>, after: &Judged<'_>, audited: &mut Audited) {
        let mut tellers: Option<(Teller<'_>, Teller<'_>)> = None;
        for ((key, _), old, new) in joined(&before.things, &after.things) {
            let moved_range = || before.ranges(old) != after.ranges(new);
            let Some(kind) = kind(old.map(|side| side.weight), new.map(|side| side.weight), moved_range) else {
                audited.same += usize::from(old.is_some() && new.is_some());
                continue;
            };
            // Most records move nothing, and then nothing is put into words.
            let (old_teller, new_teller) = tellers.get_or_insert_with(|| (before.teller(), after.teller()));
            audited.moves.push(Move {
                key: usize::try_from(key).ok().and_then(|key| self.keys.get(key)).cloned().unwrap_or_default(),
                kind,
                before: old.and_then(|side| old_teller.tell(before.verdict.rulings.get(side.ruling)?)),
                after: new.and_then(|side| new_teller.tell(after.verdict.rulings.get(side.ruling)?)),
            });
        }
        audited.moves.sort_by_key(|one| one.kind);
    }
}

impl Rules {
    /// The record judged by these rules; where they do not know its generation, only what it says.
    fn judge(
        &self,
        sheet: &record::Sheet,
        source: &Source,
        day: Option<Date>,
        findings: &mut Vec<Finding>,
    ) -> Result<Judged<'_>, Readings> {
        let (mut readings, said) = self.shop.bind(sheet, source);
        findings.extend(said);
        readings.judged_on = day.or(readings.judged_on);
        let Some((generation, plan)) = readings.generation.and_then(|id| Some((id, self.shop.plan(id)?))) else {
            return Err(readings);
        };
        let verdict = judge::judge(&self.shop.book, plan, &readings);
        let things = by_thing(&verdict, self.keys.get(generation.index()).map_or(&[], Vec::as_slice));
        Ok(Judged { rules: self, plan, readings, verdict, things })
    }
}

impl Judged<'_> {
    fn generation(&self) -> String {
        self.rules.shop.book.generations.get(self.plan.generation).name.to_string()
    }

    fn teller(&self) -> Teller<'_> {
        Teller::new(&self.rules.shop.book, self.plan, &self.readings)
    }

    fn sheet(&self) -> Vec<Told> {
        let teller = self.teller();
        self.verdict.rulings.iter().filter_map(|ruling| teller.tell(ruling)).collect()
    }

    /// The ranges of a ruling's row, as the book writes them.
    fn ranges(&self, side: Option<Side>) -> Option<(Option<&str>, Option<&str>)> {
        let row = &self.plan.checks.get(self.verdict.rulings.get(side?.ruling)?.check)?.row;
        Some((
            row.standard.as_ref().map(|range| range.place.text()),
            row.limit.as_ref().map(|range| range.place.text()),
        ))
    }
}
