//! Compares what a row allowed with what a shop's change of it allows, end by end: what is gained and what is lost.

use super::evaluate::evaluate;
use super::wording_rows::{value_words, values_words};
use super::{Book, Bound, Generation, Range, RangeKind, Rounding, Row, satisfy};
use crate::quantity::{Band, End, Unit, Value};
use crate::syntax::tree::{Collector, RowWord};
use std::cmp::Ordering;

/// What one tier of a changed row allows, against what it allowed.
#[derive(Default, Debug)]
pub(super) struct Against {
    /// What is allowed that was not, in words.
    pub(super) gained: Vec<String>,
    /// What was allowed and is not, in words.
    pub(super) lost: Vec<String>,
    /// Whether it depends on the record.
    pub(super) unknown: bool,
}

/// What is good (the standard, or the limit where there is none) and what passes (the limit, or the standard where there is
/// none): these two are what a change must keep inside, whichever tiers it names.
fn good(row: &Row) -> Option<&Range> {
    row.standard.as_ref().or(row.limit.as_ref())
}

fn passing(row: &Row) -> Option<&Range> {
    row.limit.as_ref().or(row.standard.as_ref())
}

/// The two things a row decides, before and after a change: the tier's word, the ranges, and how they compare.
pub(super) fn compare<'a>(
    book: &Book,
    generation: &Generation,
    old: &'a Row,
    new: &'a Row,
) -> Vec<(&'static str, &'a Range, &'a Range, Against)> {
    let unit = book.characteristics.get(old.subject.characteristic).unit.clone();
    // A spread on a scale is a difference: its zero does not count.
    let unit = match old.word {
        Some(RowWord::Collect(Collector::Spread)) => unit.map(|unit| unit.difference()),
        _ => unit,
    };
    let rounded = old.rounded.as_ref();
    let good_word = if new.standard.is_some() { "standard" } else { "limit" };
    let passing_word = if new.limit.is_some() { "limit" } else { "standard" };
    let tiers = [(good_word, good(old), good(new)), (passing_word, passing(old), passing(new))];
    tiers
        .into_iter()
        .filter_map(|(word, old, new)| {
            let (old, new) = (old?, new?);
            Some((word, old, new, range(book, generation, (unit.as_ref(), rounded), old, new)))
        })
        .collect()
}

fn range(
    book: &Book,
    generation: &Generation,
    (unit, rounded): (Option<&Unit>, Option<&Rounding>),
    old: &Range,
    new: &Range,
) -> Against {
    let mut against = Against::default();
    if old.place == new.place {
        return against;
    }
    match (&old.kind, &new.kind) {
        (RangeKind::Names(before), RangeKind::Names(after)) => {
            let written = |range: &Range| range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
            if after.iter().any(|name| !before.contains(name)) {
                against.gained.push(written(new));
            }
            if before.iter().any(|name| !after.contains(name)) {
                against.lost.push(written(old));
            }
        }
        (RangeKind::YesNo(before), RangeKind::YesNo(after)) => {
            if before != after {
                let word = |yes: bool| if yes { "yes" } else { "no" };
                against.gained.push(word(*after).into());
                against.lost.push(word(*before).into());
            }
        }
        (RangeKind::AllTheSame { across: before }, RangeKind::AllTheSame { across: after }) if before == after => {}
        (RangeKind::Band { low: old_low, high: old_high }, RangeKind::Band { low, high }) => {
            let ends = Ends { book, generation, unit, rounded };
            ends.compare(old_low.as_ref(), low.as_ref(), Ordering::Less, &mut against);
            ends.compare(old_high.as_ref(), high.as_ref(), Ordering::Greater, &mut against);
        }
        _ => against.unknown = true,
    }
    against
}

struct Ends<'a> {
    book: &'a Book,
    generation: &'a Generation,
    unit: Option<&'a Unit>,
    /// What the row rounds to, before the change and after it.
    rounded: Option<&'a Rounding>,
}

impl Ends<'_> {
    fn value(&self, bound: &Bound) -> Option<Value> {
        evaluate(self.book, Some(self.generation), &bound.value).ok()
    }

    /// Whether rounding leaves no difference between two ends: the same values round past both.
    fn rounds_alike(&self, old: (&Value, bool), new: (&Value, bool), outward: Ordering) -> bool {
        let through = |(value, closed): (&Value, bool)| {
            let end = Some(End { value: value.clone(), closed });
            let lower = outward == Ordering::Less;
            let band = if lower { Band { low: end, high: None } } else { Band { low: None, high: end } };
            self.rounded?.accepts(&band)
        };
        let Some((old, new)) = through(old).zip(through(new)) else { return false };
        old.holds(&new) == Some(true) && new.holds(&old) == Some(true)
    }

    /// One end; `outward` is the way out of the range there.
    fn compare(&self, old: Option<&Bound>, new: Option<&Bound>, outward: Ordering, against: &mut Against) {
        let beyond = if outward == Ordering::Less { "below" } else { "above" };
        match (old, new) {
            (None, None) => {}
            (Some(old), None) | (None, Some(old)) => {
                let words = match self.value(old) {
                    Some(value) => format!("{beyond} {}", value_words(&value, self.unit)),
                    None => format!("{beyond} {}", old.value.place.text()),
                };
                if new.is_none() { against.gained.push(words) } else { against.lost.push(words) }
            }
            (Some(old), Some(new)) => {
                let (old_value, new_value) = (self.value(old), self.value(new));
                let ordering = match (&old_value, &new_value) {
                    (Some(old), Some(new)) => new.compare(old),
                    _ => satisfy::same(&old.value, &new.value).then_some(Ordering::Equal),
                };
                if let (Some(before), Some(after)) = (&old_value, &new_value)
                    && self.rounds_alike((before, old.closed), (after, new.closed), outward)
                {
                    return;
                }
                let Some(ordering) = ordering else {
                    against.unknown = true;
                    return;
                };
                let (one, other) = match (&old_value, &new_value) {
                    (Some(old), Some(new)) => values_words(old, new, self.unit),
                    _ => (old.value.place.text().to_string(), new.value.place.text().to_string()),
                };
                if ordering == Ordering::Equal {
                    match (old.closed, new.closed) {
                        (false, true) => against.gained.push(format!("exactly {other}")),
                        (true, false) => against.lost.push(format!("exactly {one}")),
                        _ => {}
                    }
                    return;
                }
                let (lower, upper) = if ordering == Ordering::Less { (other, one) } else { (one, other) };
                let words = between(&lower, &upper);
                if ordering == outward { against.gained.push(words) } else { against.lost.push(words) }
            }
        }
    }
}

/// "0.10 to 0.12 mm": the unit said once where it is the same.
fn between(lower: &str, upper: &str) -> String {
    match (lower.split_once(' '), upper.split_once(' ')) {
        (Some((number, one)), Some((_, other))) if one == other => format!("{number} to {upper}"),
        _ => format!("{lower} to {upper}"),
    }
}
