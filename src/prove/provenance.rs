//! Counts where a generation's numbers come from. Refuses to know what they are.

use super::wording;
use crate::book::{Book, Generation, Provenance, Texts};
use crate::finding::Finding;

/// How many rows come from where.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Provenances {
    /// For each source, its short name and how many rows name it, the most used first.
    pub sources: Vec<(String, usize)>,
    /// Habits of the trade with no single source.
    pub common_practice: usize,
    /// From memory, not verified.
    pub memory: usize,
    /// Rows that do not say.
    pub none: usize,
    /// Rows with a limit from elsewhere and a standard from memory, which is not verified.
    pub standards_from_memory: Vec<String>,
}

impl Provenances {
    /// How many rows name a source.
    #[must_use]
    pub fn from_sources(&self) -> usize {
        self.sources.iter().map(|(_, count)| count).sum()
    }
}

pub(super) fn provenances(book: &Book, generation: &Generation) -> (Provenances, Vec<Finding>) {
    let mut counts = vec![0_usize; book.citations.len()];
    let mut found = Provenances::default();
    let mut house = 0_usize;
    let mut findings = Vec::new();
    for row in &generation.rows {
        // A row is counted by what it fails a build by.
        let (limit, standard) = (row.provenance(true), row.provenance(false));
        let is_memory = |provenance: Option<&Provenance>| matches!(provenance, Some(Provenance::Memory(_)));
        if row.standard.is_some() && row.limit.is_some() && is_memory(standard) && !is_memory(limit) {
            found.standards_from_memory.push(row.path.to_string());
        }
        let nowhere = (row.standard.is_some() && standard.is_none()) || (row.limit.is_some() && limit.is_none());
        match if row.limit.is_some() { limit } else { standard } {
            _ if nowhere => {
                found.none += 1;
                findings.push(wording::row_without_provenance(row));
            }
            Some(Provenance::Source(id, _)) => {
                if let Some(count) = counts.get_mut(id.index()) {
                    *count += 1;
                }
            }
            Some(Provenance::CommonPractice(_)) => found.common_practice += 1,
            Some(Provenance::Memory(_)) => found.memory += 1,
            Some(Provenance::House(_)) => house += 1,
            None => {}
        }
    }
    for (given, constant) in generation.constants.iter().zip(book.constants.iter()) {
        if let Some(given) = given.as_ref().filter(|given| given.texts.provenance.is_none()) {
            findings.push(wording::constant_without_provenance(&constant.name, given.place.clone()));
        }
    }
    let from_nowhere = |texts: &Texts| texts.provenance.is_none();
    for range in generation.plausible.iter().filter(|range| range.shop.is_none() && from_nowhere(&range.texts)) {
        findings.push(wording::plausible_without_provenance(&range.path, range.place.clone()));
    }
    for rework in generation.reworks.iter().filter(|rework| from_nowhere(&rework.texts)) {
        findings.push(wording::rework_without_provenance(&rework.name, rework.place.clone()));
    }
    for gauges in book.plausible_gauges.iter().filter(|gauges| from_nowhere(&gauges.texts)) {
        findings.push(wording::plausible_without_provenance("gauges", gauges.place.clone()));
    }
    for part in book.parts.iter() {
        if let Some(expansion) = part.expansion.as_ref().filter(|expansion| expansion.texts.provenance.is_none()) {
            findings.push(wording::expansion_without_provenance(&part.name, expansion.place.clone()));
        }
    }
    let named = book.citations.iter().zip(&counts).filter(|(_, count)| **count > 0);
    found.sources = named.map(|(citation, count)| (citation.name.to_string(), *count)).collect();
    if let (Some(shop), true) = (&book.house, house > 0) {
        found.sources.push((shop.name.to_string(), house));
    }
    found.sources.sort_by(|(_, one), (_, other)| other.cmp(one));
    (found, findings)
}

/// Sources that nothing names, of the books that no other book uses: of those, books that are not here may name more.
pub(super) fn never_named(book: &Book) -> Vec<Finding> {
    let idle = book.citations.iter().filter(|citation| !citation.named && !citation.in_used_book);
    idle.map(wording::source_unused).collect()
}
