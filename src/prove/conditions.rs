//! Rows with `where`: each can apply, no two contradict each other, and no case is left without a row. Refuses to know how
//! that is decided.

use super::wording;
use crate::book::satisfy::{self, Answer, Example, satisfiable, satisfiable_as};
use crate::book::{Book, Bound, Expression, Generation, Range, RangeKind, Reach, Row, Selector};
use crate::finding::Finding;
use std::sync::Arc;

pub(super) fn check(book: &Book, generation: &Generation) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in &generation.rows {
        // Decided without the generation's constants: a row of a basis may be meant for only some that follow it.
        if let Some(condition) = &row.condition
            && satisfiable(book, &[condition]).is_no()
        {
            findings.push(wording::where_impossible(row, condition));
        }
    }
    for (number, one) in generation.rows.iter().enumerate() {
        for other in generation.rows.iter().skip(number + 1) {
            if one.word == other.word
                && meets(&one.subject, &other.subject)
                && one.days.meets(other.days)
                && disagree(one, other)
                && let Some(example) = both_apply(book, generation, one, other)
            {
                findings.push(wording::rows_overlap(one, other, &example));
            }
        }
    }
    let mut seen = Vec::new();
    for row in &generation.rows {
        if seen.contains(&&row.subject) {
            continue;
        }
        seen.push(&row.subject);
        findings.extend(case_left(book, generation, row));
    }
    findings
}

/// Whether some instance is judged by rows on both.
fn meets(one: &Reach, other: &Reach) -> bool {
    let apart = |(one, other): (&Selector, &Selector)| match (one, other) {
        (Selector::At(one), Selector::At(other)) => one != other,
        _ => false,
    };
    one.characteristic == other.characteristic
        && (one.station.is_none() || other.station.is_none() || one.station == other.station)
        && !one.selectors.iter().zip(&other.selectors).any(apart)
}

/// Whether a tier that both have is not the same range.
fn disagree(one: &Row, other: &Row) -> bool {
    let differs = |one: &Option<Range>, other: &Option<Range>| match (one, other) {
        (Some(one), Some(other)) => !same_range(one, other),
        _ => false,
    };
    let across = |row: &Row| row.limit.as_ref().is_some_and(|range| matches!(range.kind, RangeKind::AllTheSame { .. }));
    across(one) == across(other) && (differs(&one.standard, &other.standard) || differs(&one.limit, &other.limit))
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

/// A case in which both rows apply. What is not decided is not said.
fn both_apply(book: &Book, generation: &Generation, one: &Row, other: &Row) -> Option<Example> {
    let conditions: Vec<(&Expression, bool)> =
        [&one.condition, &other.condition].into_iter().flatten().map(|condition| (&**condition, true)).collect();
    match satisfiable_as(book, Some(generation), &conditions) {
        Answer::Yes(example) => Some(example),
        Answer::No | Answer::NotDecided => None,
    }
}

/// What is said where every row on a subject has a condition and none of them may hold.
fn case_left(book: &Book, generation: &Generation, first: &Arc<Row>) -> Option<Finding> {
    let rows: Vec<&Arc<Row>> =
        generation.rows.iter().filter(|row| row.word == first.word && meets(&row.subject, &first.subject)).collect();
    let conditions: Vec<(&Expression, bool)> =
        rows.iter().map(|row| row.condition.as_deref().map(|condition| (condition, false))).collect::<Option<_>>()?;
    match satisfiable_as(book, Some(generation), &conditions) {
        Answer::Yes(example) => Some(wording::case_left(first, &rows, &example)),
        Answer::No | Answer::NotDecided => None,
    }
}
