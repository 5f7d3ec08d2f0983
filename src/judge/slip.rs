//! Slips of the pen: a reading that would be right after a change of unit, a shifted point, or two digits the right way
//! round. A slip is named; the grade does not change.

use super::evaluate::{Bench, Outcome};
use super::inputs::{self, Input};
use super::{Found, Grade, Ruling, Side};
use super::{grade, ranges};
use crate::bind::{Reading, Readings};
use crate::book::Datum;
use crate::plan::{Check, Subject, slots_of};
use crate::quantity::slip::{self, SlipKind, factors, plain_number, right_swaps, scaled, swapped};
use crate::quantity::{Number, Value};
use crate::text::Span;

/// A reading, and what it reads like.
pub(super) struct Slip {
    /// Where the reading is.
    pub(super) span: Span,
    /// The reading as it would be right.
    pub(super) instead: String,
    /// Which slip.
    pub(super) kind: SlipKind,
}

/// How many readings of a derived value are tried, so that a value made of a hundred costs no more than a few.
const MOST_INPUTS: usize = 12;

/// The slip that would put a ruling right, if exactly one reading can: where two could, naming one would be a guess. Of
/// several changes of that reading, the first in the order of [`factors`], swapped digits last.
pub(super) fn find(bench: &Bench<'_>, check: &Check, ruling: &Ruling) -> Option<Slip> {
    if !matches!(ruling.found, Found::Outside { side: Side::Below | Side::Above, .. }) {
        return None;
    }
    let inputs: Vec<Input> = match &check.subject {
        Subject::Slot { slot, .. } => inputs::of_slot(bench, *slot),
        Subject::Each { slot, .. } => vec![(*slot, ruling.reading.unwrap_or(0))],
        Subject::Made(program) => inputs::of_program(bench, program),
        Subject::Group(_) => return None,
    };
    let direct = inputs.len() == 1;
    let steps = match &check.subject {
        Subject::Slot { slot, .. } => bench.steps_for(&[*slot]),
        Subject::Made(program) => bench.steps_for(&slots_of(program)),
        Subject::Each { .. } | Subject::Group(_) => Vec::new(),
    };
    let Some(Datum::Quantity(judged)) = &ruling.value else { return None };
    let (far, wide) = (far(bench, check, judged), wide_of(bench, check, judged));
    if !far && !wide {
        return None;
    }
    let mut found: Option<Slip> = None;
    for input in inputs.into_iter().take(MOST_INPUTS) {
        let right = |instead: &Value| puts_right(bench, &steps, check, ruling, input, instead);
        let Some(slip) = of_reading(bench, input, (far || !direct, wide), right) else { continue };
        if found.is_some() {
            return None;
        }
        found = Some(slip);
    }
    found
}

/// The first change of one reading that puts it `right`: a factor if `scale`, swapped digits if `swap`.
fn of_reading(
    bench: &Bench<'_>,
    input: Input,
    (scale, swap): (bool, bool),
    right: impl Fn(&Value) -> bool,
) -> Option<Slip> {
    let reading = bench.readings.taken(input.0).get(input.1)?;
    let Datum::Quantity(value) = &reading.datum else { return None };
    let written = bench.readings.slice(reading.span);
    for (kind, factor) in factors().into_iter().filter(|_| scale) {
        if right(&value.multiply(&Value::from(factor.clone())))
            && let Some(instead) = scaled(written, &factor)
        {
            return Some(Slip { span: reading.span, instead, kind });
        }
    }
    let (own, _) = plain_number(written)?;
    swapped(written).into_iter().filter(|_| swap).find_map(|instead| {
        // The unit stays, so the value changes as the number does.
        let (number, _) = Number::parse_prefix(&instead).ok()?;
        let ratio = number.checked_div(&own)?;
        right(&value.multiply(&Value::from(ratio))).then_some(Slip {
            span: reading.span,
            instead,
            kind: SlipKind::Swapped,
        })
    })
}

/// The slip of any kind that would make a reading right; `None` if none would, or several would.
pub(super) fn likely(readings: &Readings, reading: &Reading, right: impl Fn(&Value) -> bool) -> Option<Slip> {
    let Datum::Quantity(value) = &reading.datum else { return None };
    let written = readings.slice(reading.span);
    slip::likely(written, value, right).map(|(kind, instead)| Slip { span: reading.span, instead, kind })
}

/// A reading as it would be right with two neighbouring digits swapped, if just one pair of them will do.
pub(super) fn digits_swapped(readings: &Readings, reading: &Reading, right: impl Fn(&Value) -> bool) -> Option<String> {
    let Datum::Quantity(value) = &reading.datum else { return None };
    let written = readings.slice(reading.span);
    let (own, _) = plain_number(written)?;
    let mut found = right_swaps(written, value, &own, right);
    found.pop().filter(|_| found.is_empty())
}

/// Whether a ruling becomes good with one reading changed.
fn puts_right(
    bench: &Bench<'_>,
    steps: &[usize],
    check: &Check,
    ruling: &Ruling,
    input: Input,
    instead: &Value,
) -> bool {
    let changed = bench.with((input.0, input.1, Datum::Quantity(instead.clone())), steps);
    let outcome = match &check.subject {
        Subject::Slot { slot, .. } => changed.slot(*slot),
        Subject::Each { slot, .. } => match changed.readings.taken(*slot).get(ruling.reading.unwrap_or(0)) {
            Some(reading) => Outcome::Known(changed.seen(*slot, ruling.reading.unwrap_or(0), &reading.datum).clone()),
            None => return false,
        },
        Subject::Made(program) => changed.run(program),
        Subject::Group(_) => return false,
    };
    match outcome {
        Outcome::Known(datum) => {
            grade::grade(&changed, check, &datum, None).0 == Grade::Good
                && matches!(&datum, Datum::Quantity(value) if plausible(&changed, check, value))
        }
        _ => false,
    }
}

/// Whether a value is near its range's one end, where it has only one: dividing by a thousand brings anything under an
/// upper limit, and says nothing. Within a factor of four counts as near (common practice).
fn plausible(bench: &Bench<'_>, check: &Check, value: &Value) -> bool {
    let Some(range) = check.standard.as_ref().or(check.limit.as_ref()) else { return false };
    let Ok(band) = ranges::band(bench, range) else { return false };
    let four = Value::from(Number::from_integer(4));
    match (&band.low, &band.high) {
        (None, Some(high)) => value.multiply(&four).compare(&high.value).is_some_and(std::cmp::Ordering::is_ge),
        (Some(low), None) => value.compare(&low.value.multiply(&four)).is_some_and(std::cmp::Ordering::is_le),
        _ => true,
    }
}

/// Whether a value is so far outside its range that wear cannot explain it: at least four times, or at most a quarter
/// of, the end it is outside of. Common practice: no wear limit in the trade is four times its nominal.
fn far(bench: &Bench<'_>, check: &Check, value: &Value) -> bool {
    let Some(range) = check.standard.as_ref().or(check.limit.as_ref()) else { return false };
    let Ok(band) = ranges::band(bench, range) else { return false };
    let four = Value::from(Number::from_integer(4));
    let over = band.high.as_ref().is_some_and(|end| {
        value.absolute().compare(&end.value.absolute().multiply(&four)).is_some_and(std::cmp::Ordering::is_ge)
    });
    let under = band.low.as_ref().is_some_and(|end| {
        value.absolute().multiply(&four).compare(&end.value.absolute()).is_some_and(std::cmp::Ordering::is_le)
    });
    over || under
}

/// Whether a value is outside a range by more than the range is wide.
fn wide_of(bench: &Bench<'_>, check: &Check, value: &Value) -> bool {
    let Some(range) = check.standard.as_ref().or(check.limit.as_ref()) else { return false };
    let Ok(band) = ranges::band(bench, range) else { return false };
    match (band.distance(value), band.width()) {
        (Some(distance), Some(width)) => distance.compare(&width).is_some_and(std::cmp::Ordering::is_ge),
        _ => false,
    }
}
