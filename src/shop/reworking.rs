//! What would put the records of a shop right: a build, or loose parts, each planned as the generation and at the position
//! that speak for it. Refuses to know how anything is printed.

use super::loose::{is_scrapped, words_of};
use super::{Given, Shop};
use crate::bind::{self, LoosePart};
use crate::book::Book;
use crate::finding::Finding;
use crate::judge::Teller;
use crate::loose::{conditional, waiting};
use crate::record::Record;
use crate::rework::{Reworked, rework, rework_part};
use std::sync::Arc;

/// What would put one build or one loose part right.
#[derive(Debug)]
pub struct Planned {
    /// The books it was judged by; those of a loose part do not name its positions.
    pub book: Arc<Book>,
    /// The plan.
    pub found: Reworked,
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
    /// Whether the plan has anything to do.
    #[must_use]
    pub fn asks_for_work(&self) -> bool {
        !self.found.steps.is_empty()
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
                Ok((Planned { book: self.book.clone(), found, part: None }, said))
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
        let everywhere = self.part_everywhere(record, part, None, given);
        let (alternatives, best) = self.alternatives(part, &everywhere);
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
        let teller = Teller::new(&book, &at.judged.plan, &at.readings);
        let said = at.judged.conditional.iter().filter_map(|one| conditional(&teller, one));
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
        Ok((Planned { book, found, part: Some(part) }, findings))
    }
}
