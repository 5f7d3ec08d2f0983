//! What would put the records of a shop right: a build, or loose parts, each planned as the generation and at the position
//! that speak for it. Refuses to know how anything is printed.

use super::loose::{is_scrapped, words_of};
use super::{Given, ShelfPart, Shop, TakenPart};
use crate::bind::{self, LoosePart, Readings};
use crate::book::{Book, Datum};
use crate::finding::Finding;
use crate::judge::{self, Reporter};
use crate::loose::{conditional, slots_of, waiting};
use crate::matching::{Cost, Evaluator, Score};
use crate::plan::Plan;
use crate::record::Record;
use crate::rework::{Exchange, Exchanges, Fault, Reworked, Spare, rework, rework_part};
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// Parts of the shelf that are named for one row, or for one plan.
const MOST_NAMED: usize = 3;

/// What would put one build or one loose part right.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The books it was judged by; those of a loose part do not name its positions.
    pub book: Arc<Book>,
    /// The plan.
    pub found: Reworked,
    /// Parts of the shelf that put right what the plan leaves, or make steps of it needless, the best first.
    pub exchanges: Vec<Exchange>,
    /// Which loose part it is; `None` for a build.
    pub part: Option<PlannedPart>,
}

/// A loose part that something was planned for.
#[derive(Clone, Debug)]
pub struct PlannedPart {
    /// What is painted on it; the name of its file if nothing is.
    pub tag: String,
    /// The part, as a record names it.
    pub part: String,
    /// The generation or the positions it was planned as, in words; empty if it comes to the same as each it may be.
    pub planned_as: String,
    /// How many rows wait for other parts.
    pub waiting: usize,
    /// What they wait for: "side clearance for a housing".
    pub waits: Vec<String>,
    /// Rows that are not good if the machine is as they say, in words; nothing is planned for them.
    pub conditional: Vec<String>,
}

/// What came of the parts of one file.
#[derive(Debug, Default)]
pub struct PlannedParts {
    /// The parts that something was planned for, in the order written.
    pub planned: Vec<Planned>,
    /// The tags of those that are scrapped, each with how many planned ones come before it.
    pub scrapped: Vec<(usize, String)>,
    /// What is wrong with the file or with a part. A part with an error is not planned.
    pub findings: Vec<Finding>,
}

impl Planned {
    /// Whether there is anything to do, by a plan or with a part of the shelf.
    #[must_use]
    pub fn asks_for_work(&self) -> bool {
        !self.found.steps.is_empty() || !self.exchanges.is_empty()
    }
}

impl Shop {
    /// What would put a build right.
    ///
    /// # Errors
    /// What is wrong with a record that cannot be judged.
    pub fn rework_build(&self, record: &Record) -> Result<(Planned, Vec<Finding>), Vec<Finding>> {
        let mut said = record.findings.clone();
        let Some(sheet) = &record.sheet else { return Err(said) };
        let (readings, findings) = self.readings(sheet, &record.source, None);
        said.extend(findings);
        match readings.generation.and_then(|id| self.plan(id)) {
            Some(plan) if !said.iter().any(Finding::is_error) => {
                let found = rework(&self.book, plan, &readings);
                let taken = self.parts_of(sheet, &record.source);
                let exchanges = self.exchanges((plan, &readings), &found, &taken);
                Ok((Planned { book: self.book.clone(), found, exchanges, part: None }, said))
            }
            _ => Err(said),
        }
    }

    /// What would put the loose parts of a file right, by the rows that lie within each.
    #[must_use]
    pub fn rework_parts(&self, record: &Record, given: &Given) -> PlannedParts {
        let mut all = PlannedParts { findings: record.findings.clone(), ..PlannedParts::default() };
        let Some(sheet) = &record.sheet else { return all };
        let (parts, said) = bind::loose_parts(&self.book, sheet, &record.source);
        all.findings.extend(said);
        for part in &parts {
            if is_scrapped(part) {
                all.scrapped.push((all.planned.len(), Shop::part_name(record, part)));
                continue;
            }
            match self.rework_of_part(record, part, given) {
                Ok((planned, said)) => {
                    all.planned.push(planned);
                    all.findings.extend(said);
                }
                Err(said) => all.findings.extend(said),
            }
        }
        all
    }

    fn rework_of_part(
        &self,
        record: &Record,
        part: &LoosePart,
        given: &Given,
    ) -> Result<(Planned, Vec<Finding>), Vec<Finding>> {
        let tag = Shop::part_name(record, part);
        let (alternatives, best) = self.alternatives(record, part, None, given);
        let Some((alternative, at)) = best.and_then(|best| alternatives.get(best)) else {
            let place = record.source.place(part.span);
            let open = part.generations.is_empty() && !part.generation_unusable;
            return Err(open.then(|| super::wording::no_generation_left(&tag, place)).into_iter().collect());
        };
        let (book, findings) = (self.book_of_part(part.part), at.findings.clone());
        if findings.iter().any(Finding::is_error) {
            return Err(findings);
        }
        // Whether these apply depends on the machine.
        let depends = |check: &usize| at.judged.conditional.iter().any(|one| one.ruling.check == *check);
        let checks: Vec<usize> = (0..at.judged.plan.checks.len()).filter(|check| !depends(check)).collect();
        let found = rework_part(&book, &at.judged.plan.only(&checks), &at.readings, part.part);
        let reporter = Reporter::new(&book, &at.judged.plan, &at.readings);
        let said = at.judged.conditional.iter().filter_map(|one| conditional(&reporter, one));
        let waits = &at.view.scope.waiting;
        let words = self.plan(at.generation).map(|plan| waiting(&self.book, plan, part.part, waits));
        let part = PlannedPart {
            tag,
            part: self.book.part_path(part.part, &[], "."),
            planned_as: words_of(alternative, &alternatives),
            waiting: waits.len(),
            waits: words.unwrap_or_default(),
            conditional: said.map(|finding| finding.message).collect(),
        };
        Ok((Planned { book, found, exchanges: Vec::new(), part: Some(part) }, findings))
    }

    /// Every exchange of one part of a build for a free part of the shelf that would do, the best few for each row and for the
    /// plan, in the order that `match` has.
    fn exchanges(&self, (plan, readings): (&Plan, &Readings), found: &Reworked, taken: &[TakenPart]) -> Vec<Exchange> {
        let leaves = self.leaves(plan.generation);
        let (Some(shelf), Some(leaves)) = (self.shelf(), leaves) else { return Vec::new() };
        if found.steps.len() < 2 && found.faults.iter().all(Fault::is_settled) {
            return Vec::new();
        }
        let cost = |readings: &Readings, open: usize| -> Cost {
            let evaluator =
                Evaluator::new(&self.book, (plan, leaves), readings.clone(), (Vec::new(), Vec::new()), false);
            let mut score = Score::NOTHING;
            for group in 0..evaluator.groups().len() {
                score = evaluator.rows(group, &[]).1.iter().fold(score, |sum, row| sum.with(row.score()));
            }
            score.open = u32::try_from(open).unwrap_or(u32::MAX);
            score.cost()
        };
        let planned = cost(&found.prediction, 0);
        let exchanges = Exchanges::new(&self.book, plan, readings, found);
        let mut all: Vec<(Cost, Exchange)> = Vec::new();
        for part in &shelf.parts {
            if !part.is_free_for(readings.build.as_deref()) || taken.iter().any(|taken| taken.tag == part.tag) {
                continue;
            }
            for spare in self.spares(part, (plan, readings), &exchanges) {
                let exchange = exchanges.of(&spare);
                let rated = exchange.map(|one| (cost(&one.prediction, one.open.len()), one));
                // Fewer steps are worth as much as a better set.
                let rated = rated.filter(|(cost, one)| one.instead_of.len() > 1 || *cost < planned);
                all.extend(rated.filter(|_| self.may_be(part, plan)));
            }
        }
        all.sort_by(|(one, first), (other, second)| {
            one.cmp(other).then_with(|| (&first.tag, &first.path).cmp(&(&second.tag, &second.path)))
        });
        let (mut named, mut instead): (FxHashMap<usize, usize>, usize) = (FxHashMap::default(), 0);
        let best = all.into_iter().map(|(_, exchange)| exchange).filter(|exchange| {
            let mut wanted = false;
            for mended in exchange.mends.iter().filter(|mended| mended.only_so) {
                let count = named.entry(mended.check).or_default();
                wanted |= *count < MOST_NAMED;
                *count += 1;
            }
            if exchange.instead_of.len() > 1 {
                wanted |= instead < MOST_NAMED;
                instead += 1;
            }
            wanted
        });
        best.collect()
    }

    /// Whether nothing measured of a part rules a generation out.
    fn may_be(&self, part: &ShelfPart, plan: &Plan) -> bool {
        let Some(readings) = self.readings_of_part(&part.record, &part.part) else { return false };
        self.generations_of(&part.record, &part.part).contains(&plan.generation)
            && judge::contradicted(&self.book, plan, || self.plans.all(), &readings).is_none()
    }

    /// A part of the shelf in each place of a build that has such a part, if a row that is not good rests on it.
    fn spares(&self, part: &ShelfPart, (plan, readings): (&Plan, &Readings), exchanges: &Exchanges<'_>) -> Vec<Spare> {
        let kind = part.part.part;
        let Some(sheet) = &part.record.sheet else { return Vec::new() };
        if !part.part.generations.is_empty() && !part.part.generations.contains(&plan.generation) {
            return Vec::new();
        }
        let mut spares = Vec::new();
        for positions in self.book.instances(kind, self.book.generations.get(plan.generation)) {
            let slots = slots_of(&self.book, (kind, None), &positions);
            let with = slots_of(&self.book, (kind, Some(&part.part.with)), &positions);
            let is_there = slots.slots().into_iter().any(|slot| !readings.taken(slot).is_empty());
            if !is_there || !exchanges.may_help(&slots) {
                continue;
            }
            let at = (Some(plan.generation), positions.as_slice());
            let bound = bind::bind_part(&self.book, (sheet, &part.record.source), &part.part, at, self.own_gauges());
            let mut own = bound.0;
            if bound.1.iter().any(Finding::is_error) {
                continue;
            }
            let _ = judge::screen(&self.book, plan, &mut own);
            let gone: Vec<(usize, Vec<Datum>)> = slots.slots().into_iter().map(|slot| (slot, Vec::new())).collect();
            let mut with_it = readings.with_values(&gone);
            with_it.take_over(&own);
            let path = self.book.part_path(kind, &positions, ".");
            spares.push(Spare { tag: part.tag.clone(), part: kind, path, slots, with, readings: with_it });
        }
        spares
    }
}
