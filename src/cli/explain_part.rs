//! `trochoid explain FILE ROW` for a loose part: finds the part in its file and the rows in what it may be taken as. Refuses to
//! know rules.

use super::wording_part as wording;
use crate::bind::{self, LoosePart};
use crate::book::Book;
use crate::explain::{Explanation, Verdict, checks, explain_row_drawn};
use crate::finding::Finding;
use crate::loose::waiting;
use crate::quantity::Date;
use crate::record::Record;
use crate::shop::{Alternative, PartAt, Shop, no_generation_left, words_of};

/// Which part, and as what.
pub(super) struct Parts<'a> {
    /// Its tag; not needed where the file has one part.
    pub(super) tag: Option<&'a str>,
    /// What is said about the machine it goes into.
    pub(super) given: &'a [(String, String)],
    /// The day whose rows are meant, if not the one it was measured on.
    pub(super) as_of: Option<Date>,
}

/// The arithmetic of a row on one part of a file; `None` with the reason among the findings.
pub(super) fn explain(
    shop: &Shop,
    record: &Record,
    row: &str,
    asked: &Parts<'_>,
) -> (Option<Explanation>, Vec<Finding>) {
    let mut findings = record.findings.clone();
    let Some(sheet) = &record.sheet else { return (None, findings) };
    let (parts, said) = bind::loose_parts(&shop.book, sheet, &record.source);
    findings.extend(said);
    findings.extend(shop.given(asked.given).1);
    let part = match one(record, &parts, asked.tag) {
        Ok(part) => part,
        Err(finding) => {
            findings.push(*finding);
            return (None, findings);
        }
    };
    let book = shop.book_of_part(part.part);
    let (all, best) = shop.alternatives(record, part, asked.as_of, asked.given);
    let (row, positions) = without_positions(&shop.book, part, row);
    let fits = |one: &Alternative| {
        positions.is_empty() || one.positions.iter().any(|at| at.split('.').any(|step| positions.contains(&step)))
    };
    let Some((spoken_for, at)) = best.and_then(|best| all.get(best)) else {
        findings.push(no_generation_left(&Shop::part_name(record, part), record.source.place(part.span)));
        return (None, findings);
    };
    findings.extend(at.findings.iter().cloned());
    // What rows judge on the whole machine is not a value that none judges.
    if checks(&book, &at.judged.plan, &row).is_empty()
        && let Some(finding) = waits(shop, part, at, &row)
    {
        findings.push(finding);
        return (None, findings);
    }
    let generation = book.generations.get(at.generation);
    let mut explanation = Explanation {
        record: record.source.name().to_string(),
        build: Some(Shop::part_name(record, part)),
        part: Some(shop.book.part_path(part.part, &[], ".")),
        generation: (generation.name.to_string(), generation.description.to_string()),
        verdicts: Vec::new(),
    };
    let mut refused = None;
    let mut known: Vec<(Vec<Verdict>, Vec<&Alternative>)> = Vec::new();
    let meant = || all.iter().filter(|(one, _)| fits(one));
    for (one, at) in meant() {
        match explain_row_drawn(&book, &at.judged.plan, &at.readings, &row) {
            Ok(found) => match known.iter_mut().find(|(verdicts, _)| is_same(verdicts, &found.verdicts)) {
                Some((_, by)) => by.push(one),
                None => known.push((found.verdicts, vec![one])),
            },
            Err(finding) => refused = refused.or(Some((finding, at))),
        }
    }
    if known.is_empty() {
        let (finding, at) = match refused {
            Some((finding, at)) => (*finding, at),
            None => (wording::no_position(&positions, spoken_for), at),
        };
        findings.push(waits(shop, part, at, &row).unwrap_or(finding));
        return (None, findings);
    }
    let differ = known.len() > 1 || known.iter().any(|(_, by)| by.len() < meant().count());
    for (verdicts, by) in known {
        let words: Vec<String> = by.iter().map(|one| words_of(one, &all)).filter(|words| !words.is_empty()).collect();
        let taken_as = (differ && !words.is_empty()).then(|| words.join(", "));
        explanation.verdicts.extend(verdicts.into_iter().map(|one| Verdict { taken_as: taken_as.clone(), ..one }));
    }
    (Some(explanation), findings)
}

/// The part that is meant.
fn one<'a>(record: &Record, parts: &'a [LoosePart], tag: Option<&str>) -> Result<&'a LoosePart, Box<Finding>> {
    let names: Vec<String> = parts.iter().map(|part| Shop::part_name(record, part)).collect();
    let found = match (tag, parts) {
        (None, [part]) => return Ok(part),
        (None, _) => None,
        (Some(tag), _) => names.iter().position(|name| name == tag).and_then(|number| parts.get(number)),
    };
    found.ok_or_else(|| Box::new(wording::which_part(record.source.name(), tag, &names)))
}

/// Whether two alternatives say the same of a row.
fn is_same(one: &[Verdict], other: &[Verdict]) -> bool {
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| {
            (&one.path, one.reading, one.grade, &one.blocks) == (&other.path, other.reading, other.grade, &other.blocks)
        })
}

/// A row without the names of the part's positions, which nobody knows yet; and those names.
fn without_positions<'a>(book: &Book, part: &LoosePart, row: &'a str) -> (String, Vec<&'a str>) {
    let positioned = &book.parts.get(part.part).positioned;
    let is_position = |step: &&str| {
        positioned.iter().any(|id| book.parts.get(*id).positions.iter().any(|position| **position == **step))
    };
    let (positions, steps): (Vec<&str>, Vec<&str>) = row.split('.').partition(is_position);
    (steps.join("."), positions)
}

/// Why a row cannot be judged on the part alone, if it is one of those that wait.
fn waits(shop: &Shop, part: &LoosePart, at: &PartAt, row: &str) -> Option<Finding> {
    let plan = shop.plan(at.generation)?;
    let asked = checks(&shop.book, plan, row);
    let mut waits = at.view.scope.waiting.clone();
    waits.retain(|one| asked.contains(&one.check));
    let words = waiting(&shop.book, plan, part.part, &waits);
    (!words.is_empty()).then(|| wording::row_waits(row, &words))
}
