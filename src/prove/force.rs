//! What force rows have: every outer limit holds what the row beside it lets pass, which advisory rows a shop's own change
//! makes binding, and which rows are no longer never excused. Refuses to know where the ranges come from.

use super::input::let_through;
use super::reach::meets;
use super::wording;
use crate::book::satisfy::satisfiable_as;
use crate::book::{Book, ChangeKind, Expression, Generation, Range, RangeKind, Row};
use crate::finding::Finding;
use crate::quantity::Band;
use rustc_hash::FxHashMap;

/// What is to be said of the force of a generation's rows.
pub(super) fn check(book: &Book, generation: &Generation) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut beside: FxHashMap<usize, Vec<&Row>> = FxHashMap::default();
    for row in generation.rows.iter().filter(|row| !row.outer) {
        beside.entry(row.subject.characteristic.index()).or_default().push(row);
    }
    for outer in generation.rows.iter().filter(|row| row.outer) {
        let others = beside.get(&outer.subject.characteristic.index()).map_or(&[][..], Vec::as_slice);
        findings.extend(others.iter().filter_map(|other| cut(book, generation, outer, other)));
    }
    for row in &generation.rows {
        let by_range = |kind: ChangeKind| matches!(kind, ChangeKind::Tightened | ChangeKind::Loosened);
        if let Some(change) = row.history.iter().find(|change| change.binds && by_range(change.kind)) {
            findings.push(wording::house_binds(row, change));
        }
        let dropped = row.history.iter().zip(row.history.iter().skip(1)).rfind(|(_, change)| change.excuses);
        if let Some((before, change)) = dropped.filter(|_| !row.never_excused) {
            findings.push(wording::never_excused_dropped(row, before, change));
        }
    }
    findings
}

/// What an outer limit leaves out of the range that a row beside it lets pass.
fn cut(book: &Book, generation: &Generation, outer: &Row, other: &Row) -> Option<Finding> {
    if outer.word != other.word || !meets(&outer.subject, &other.subject) || !outer.days.meets(other.days) {
        return None;
    }
    let conditions: Vec<(&Expression, bool)> =
        [&outer.condition, &other.condition].into_iter().flatten().map(|condition| (&**condition, true)).collect();
    if satisfiable_as(book, Some(generation), &conditions).is_no() {
        return None;
    }
    let limit = outer.limit.as_ref()?;
    let passing = other.limit.as_ref().or(other.standard.as_ref())?;
    (!holds(book, generation, (outer, limit), (other, passing)))
        .then(|| wording::outer_limit_inside((outer, limit), (other, passing)))
}

/// Whether all that one range lets through lies in another; yes where that depends on the record.
fn holds(
    book: &Book,
    generation: &Generation,
    (outer, limit): (&Row, &Range),
    (other, passing): (&Row, &Range),
) -> bool {
    match (&limit.kind, &passing.kind) {
        (RangeKind::Names(outer), RangeKind::Names(inner)) => inner.iter().all(|name| outer.contains(name)),
        (RangeKind::YesNo(outer), RangeKind::YesNo(inner)) => outer == inner,
        (RangeKind::Band { .. }, RangeKind::Band { .. }) => {
            let (outer, known) = let_through(book, generation, outer, limit);
            let (inner, whole) = let_through(book, generation, other, passing);
            // Where the row beside it has no end, it says nothing of values that way.
            let low = outer.low.filter(|_| inner.low.is_some());
            let outer = Band { low, high: outer.high.filter(|_| inner.high.is_some()) };
            !known || !whole || outer.holds(&inner) != Some(false)
        }
        _ => true,
    }
}
