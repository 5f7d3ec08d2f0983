//! Two shops' rules side by side, ready to judge records by both. Refuses to say which record is worth it.

use super::compare::{ByThing, Side, by_thing, joined, kind};
use super::{Audited, Digested, Move, Signed, SignedRuling};
use crate::bind::Readings;
use crate::finding::Finding;
use crate::judge::{self, Reporter, Verdict, keys};
use crate::plan::Plan;
use crate::quantity::Date;
use crate::record::{Record, Sheet};
use crate::shop::Shop;
use crate::text::Source;
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// The rules before and after, with what each check of both is about.
#[derive(Debug)]
pub struct Comparison {
    before: Rules,
    after: Rules,
    /// What is judged, in words, by number.
    keys: Vec<String>,
}

/// One side of a comparison.
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

impl Comparison {
    /// Lays two sound shops side by side.
    #[must_use]
    pub fn new(before: Arc<Shop>, after: Arc<Shop>) -> Comparison {
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
        Comparison { before: rules(before), after, keys: all }
    }

    /// The shops whose rules they are, before and after.
    #[must_use]
    pub fn shops(&self) -> (&Arc<Shop>, &Arc<Shop>) {
        (&self.before.shop, &self.after.shop)
    }

    /// Judges a record by both. `days` are the days whose rows are meant, before and after, where that is not the day the
    /// build was finished. `sheets` asks for every ruling in words.
    #[must_use]
    pub fn audit(&self, record: &Record, days: (Option<Date>, Option<Date>), sheets: bool) -> Audited {
        let source = &record.source;
        let mut audited = Audited::nothing(source.name().to_string(), record.findings.clone());
        let Some(sheet) = &record.sheet else { return audited };
        let before = self.before.judge(sheet, source, days.0, &mut Vec::new());
        let after = self.after.judge(sheet, source, days.1, &mut audited.findings);
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
                audited.sheets = Some((self.sheet(before), self.sheet(after)));
            }
        }
        audited
    }

    fn compare(&self, before: &Judged<'_>, after: &Judged<'_>, audited: &mut Audited) {
        let mut reporters: Option<(Reporter<'_>, Reporter<'_>)> = None;
        for ((key, _), old, new) in joined(&before.things, &after.things) {
            let moved_range = || before.ranges(old) != after.ranges(new);
            let Some(kind) = kind(old.map(|side| side.weight), new.map(|side| side.weight), moved_range) else {
                audited.same += usize::from(old.is_some() && new.is_some());
                continue;
            };
            // Most records move nothing, and then nothing is put into words.
            let (old_reporter, new_reporter) = reporters.get_or_insert_with(|| (before.reporter(), after.reporter()));
            audited.moves.push(Move {
                key: self.key(key).to_owned(),
                kind,
                before: old.and_then(|side| self.stand(before, old_reporter, side.ruling)),
                after: new.and_then(|side| self.stand(after, new_reporter, side.ruling)),
            });
        }
        audited.moves.sort_by_key(|one| one.kind);
    }

    /// The verdict by the rules after, with digests of all it rests on; none where the record cannot be judged. `day` is the
    /// day whose rows are meant, where that is not the day the build was finished; `written` the day it is signed off.
    #[must_use]
    pub fn sign(&self, record: &Record, day: Option<Date>, written: Date) -> Option<Signed> {
        let (source, mut findings) = (&record.source, record.findings.clone());
        let judged = self.after.judge(record.sheet.as_ref()?, source, day, &mut findings).ok()?;
        let shop = &self.after.shop;
        let build = judged.readings.build.clone();
        Some(Signed {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            written: written.to_string(),
            record: Digested::new(source),
            books: shop.book.titles.iter().map(|title| Digested::new(&title.source)).collect(),
            gauges: shop.gauges_source().map(Digested::new),
            parts: shop.sources_of_parts(record).into_iter().map(Digested::new).collect(),
            build: build.unwrap_or_else(|| super::name_of(source.name()).to_owned()),
            finished: judged.readings.finished.map(|day| day.to_string()),
            as_of: day.map(|day| day.to_string()),
            generation: judged.generation(),
            grade: judged.verdict.grade,
            errors: findings.into_iter().filter(Finding::is_error).map(|finding| finding.message).collect(),
            rulings: self.sheet(&judged),
        })
    }

    fn key(&self, number: u32) -> &str {
        usize::try_from(number).ok().and_then(|number| self.keys.get(number)).map_or("", String::as_str)
    }

    /// One ruling, by its number in the verdict.
    fn stand(&self, judged: &Judged<'_>, reporter: &Reporter<'_>, number: usize) -> Option<SignedRuling> {
        let ruling = judged.verdict.rulings.get(number)?;
        let keys = judged.rules.keys.get(judged.plan.generation.index())?;
        let key = self.key(*keys.get(ruling.check)?).to_owned();
        Some(SignedRuling::new(key, ruling.reading, reporter.tell(ruling)?))
    }

    fn sheet(&self, judged: &Judged<'_>) -> Vec<SignedRuling> {
        let reporter = judged.reporter();
        (0..judged.verdict.rulings.len()).filter_map(|number| self.stand(judged, &reporter, number)).collect()
    }
}

impl Rules {
    /// The record judged by these rules; where they do not know its generation, only what it says.
    fn judge(
        &self,
        sheet: &Sheet,
        source: &Source,
        day: Option<Date>,
        findings: &mut Vec<Finding>,
    ) -> Result<Judged<'_>, Readings> {
        let (readings, said) = self.shop.readings(sheet, source, day);
        findings.extend(said);
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

    fn reporter(&self) -> Reporter<'_> {
        Reporter::new(&self.rules.shop.book, self.plan, &self.readings)
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
