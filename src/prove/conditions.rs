//! Rows with `where`: each can apply, no two contradict each other, and no case is left without a row. Refuses to know how
//! that is decided.

use super::input::let_through;
use super::reach::meets;
use super::runs::runs;
use super::wording;
use crate::book::satisfy::{self, Answer, satisfiable, satisfiable_as};
use crate::book::{Book, Bound, Expression, Generation, Range, RangeKind, Row};
use crate::finding::Finding;
use crate::quantity::Days;
use std::sync::Arc;

/// More pairs of rows on one characteristic than this are not compared.
const MOST_PAIRS: usize = 100_000;

/// What is to be said of a generation's conditions, and how many questions about them were too large to decide.
pub(super) fn check(book: &Book, generation: &Generation) -> (Vec<Finding>, usize) {
    let mut findings = Vec::new();
    let (mut undecided, mut pairs) = (0, 0);
    for row in &generation.rows {
        // Decided without the generation's constants: a row of a basis may be meant for only some that follow it.
        if let Some(condition) = &row.condition
            && condition.is_written()
        {
            match satisfiable(book, &[condition]) {
                Answer::Yes(_) => {}
                Answer::No => findings.push(wording::where_impossible(row, condition)),
                Answer::NotDecided => undecided += 1,
            }
        }
    }
    for (number, one) in generation.rows.iter().enumerate() {
        for other in generation.rows.iter().skip(number + 1) {
            if one.word == other.word
                && one.outer == other.outer
                && meets(&one.subject, &other.subject)
                && one.days.meets(other.days)
                && disagree(book, generation, one, other)
            {
                pairs += 1;
                let answer =
                    if pairs > MOST_PAIRS { Answer::NotDecided } else { both_apply(book, generation, one, other) };
                match answer {
                    Answer::Yes(example) => findings.push(wording::rows_overlap(one, other, &example)),
                    Answer::No => {}
                    Answer::NotDecided => undecided += 1,
                }
            }
        }
    }
    let mut seen = Vec::new();
    // An outer limit judges only what lies far outside: where it stands alone nothing is judged in between.
    for row in generation.rows.iter().filter(|row| !row.outer) {
        if seen.contains(&&row.subject) {
            continue;
        }
        seen.push(&row.subject);
        match case_left(book, generation, row) {
            Ok(finding) => findings.extend(finding),
            Err(NotDecided) => undecided += 1,
        }
    }
    (findings, undecided)
}

/// There were too many cases to try.
struct NotDecided;

/// Whether a tier that both have is not the same range.
fn disagree(book: &Book, generation: &Generation, one: &Row, other: &Row) -> bool {
    let differs = |tier: &Option<Range>, other_tier: &Option<Range>| match (tier, other_tier) {
        (Some(range), Some(other_range)) if one.rounded.is_some() || other.rounded.is_some() => {
            // What is compared is a rounded value: two ranges are the same where the same values round into them.
            let (band, whole) = let_through(book, generation, one, range);
            let (other_band, other_whole) = let_through(book, generation, other, other_range);
            let alike = band.holds(&other_band) == Some(true) && other_band.holds(&band) == Some(true);
            !(whole && other_whole && alike || same_step(one, other) && same_range(range, other_range))
        }
        (Some(range), Some(other_range)) => !same_range(range, other_range),
        _ => false,
    };
    let across = |row: &Row| row.limit.as_ref().is_some_and(|range| matches!(range.kind, RangeKind::AllTheSame { .. }));
    across(one) == across(other) && (differs(&one.standard, &other.standard) || differs(&one.limit, &other.limit))
}

/// Whether two rows round alike.
fn same_step(one: &Row, other: &Row) -> bool {
    match (&one.rounded, &other.rounded) {
        (None, None) => true,
        (Some(one), Some(other)) => one.step == other.step && one.zero == other.zero,
        _ => false,
    }
}

fn same_range(one: &Range, other: &Range) -> bool {
    let same_bound = |one: &Option<Bound>, other: &Option<Bound>| match (one, other) {
        (None, None) => true,
        (Some(one), Some(other)) => one.closed == other.closed && satisfy::same(&one.value, &other.value),
        _ => false,
    };
    match (&one.kind, &other.kind) {
        (RangeKind::Band { low, high }, RangeKind::Band { low: other_low, high: other_high }) => {
            same_bound(low, other_low) && same_bound(high, other_high)
        }
        (RangeKind::Names(one), RangeKind::Names(other)) => one == other,
        (RangeKind::YesNo(one), RangeKind::YesNo(other)) => one == other,
        (RangeKind::AllTheSame { across: one }, RangeKind::AllTheSame { across: other }) => one == other,
        _ => false,
    }
}

/// Whether both rows can apply.
fn both_apply(book: &Book, generation: &Generation, one: &Row, other: &Row) -> Answer {
    let conditions: Vec<(&Expression, bool)> =
        [&one.condition, &other.condition].into_iter().flatten().map(|condition| (&**condition, true)).collect();
    satisfiable_as(book, Some(generation), &conditions)
}

/// What is said where on some day every row in force on a subject has a condition and none of them may hold.
fn case_left(book: &Book, generation: &Generation, first: &Arc<Row>) -> Result<Option<Finding>, NotDecided> {
    let rows: Vec<&Arc<Row>> =
        generation.rows.iter().filter(|row| !row.outer && meets(&row.subject, &first.subject)).collect();
    for run in runs(rows.iter().map(|row| &***row), Days::ALWAYS) {
        let rows: Vec<&Arc<Row>> = rows.iter().filter(|row| row.days.meets(run)).copied().collect();
        let conditions: Option<Vec<(&Expression, bool)>> =
            rows.iter().map(|row| row.condition.as_deref().map(|condition| (condition, false))).collect();
        let (Some(first), Some(conditions)) = (rows.first(), conditions) else { continue };
        match satisfiable_as(book, Some(generation), &conditions) {
            Answer::Yes(example) => return Ok(Some(wording::case_left(first, &rows, &example))),
            Answer::No => {}
            Answer::NotDecided => return Err(NotDecided),
        }
    }
    Ok(None)
}
