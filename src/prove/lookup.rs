//! What a table gives over a range of what it takes. Refuses to guess outside its ends.

use super::worth::Pull;
use crate::book::Table;
use crate::quantity::{Band, End, Value};
use std::cmp::Ordering;

/// The range of answers for a range of values, exactly: between its points a table is a straight line, so its smallest and
/// largest answers are at the ends of the range or at points inside it. Outside a table that is not held there is no
/// answer, so the range is cut at its ends. Also which way the answer goes with the value.
pub(super) fn over(table: &Table, band: &Band) -> (Band, fn(Pull) -> Pull) {
    let (Some((first, at_first)), Some((last, at_last))) = (table.points.first(), table.points.last()) else {
        return (Band::default(), |_| Pull::Mixed);
    };
    let cut = |end: &Option<End>, edge: &Value, at_edge: &Value, past: Ordering| {
        let beyond = end.as_ref().is_none_or(|end| end.value.compare(edge) == Some(past));
        match end {
            Some(end) if !beyond => {
                End { value: table.at(&end.value).unwrap_or_else(|| at_edge.clone()), closed: end.closed }
            }
            _ => End { value: at_edge.clone(), closed: true },
        }
    };
    let mut answers =
        vec![cut(&band.low, first, at_first, Ordering::Less), cut(&band.high, last, at_last, Ordering::Greater)];
    let inside = |x: &Value| {
        let above = band.low.as_ref().is_none_or(|low| x.compare(&low.value) == Some(Ordering::Greater));
        above && band.high.as_ref().is_none_or(|high| x.compare(&high.value) == Some(Ordering::Less))
    };
    // The answers in the order of the values they are for: whether they only rise, only fall, or turn.
    let between: Vec<End> =
        table.points.iter().filter(|(x, _)| inside(x)).map(|(_, y)| End { value: y.clone(), closed: true }).collect();
    answers.splice(1..1, between);
    let steps = || answers.iter().zip(answers.iter().skip(1));
    let rises = steps().all(|(one, next)| next.value.compare(&one.value).is_some_and(Ordering::is_ge));
    let falls = steps().all(|(one, next)| next.value.compare(&one.value).is_some_and(Ordering::is_le));
    let furthest = |outward: Ordering| {
        answers.iter().cloned().reduce(|one, next| match next.value.compare(&one.value) {
            Some(ordering) if ordering == outward => next,
            Some(Ordering::Equal) => End { closed: one.closed || next.closed, ..one },
            _ => one,
        })
    };
    let band = Band { low: furthest(Ordering::Less), high: furthest(Ordering::Greater) };
    let pull: fn(Pull) -> Pull = match (rises, falls) {
        (true, _) => |pull| pull,
        (false, true) => Pull::turned,
        (false, false) => |_| Pull::Mixed,
    };
    (band, pull)
}
