//! Readings that cannot be: outside what their book holds plausible, or too far from each other. They are set aside before
//! anything is calculated from them. Refuses to say what is good.

use super::wording_plausible as wording;
use super::{slip, swapped};
use crate::bind::{Reading, Readings};
use crate::book::decision::Rule;
use crate::book::{Book, Datum};
use crate::finding::{Finding, Said};
use crate::plan::{Agreeing, Bounds, Plan, PlausibleBand};
use crate::quantity::{Side, Value};
use crate::text::Span;
use std::cmp::Ordering;

/// Sets aside every reading that is not plausible and that nobody confirms, and says so. A list counts as one reading: one
/// value that cannot be sets all of its list aside, and values that disagree all those they should agree with.
///
/// Everything that follows, from derived values to trends, takes a reading set aside as not measured, also one that may be
/// left out.
#[must_use]
pub fn screen(book: &Book, plan: &Plan, readings: &mut Readings) -> Vec<Finding> {
    let mut said = Said::default();
    let mut aside: Vec<usize> = Vec::new();
    // Readings that count only because somebody confirms them.
    let mut confirmed: Vec<(usize, usize)> = Vec::new();
    for (slot, bounds) in &plan.plausible.slots {
        let slot = *slot as usize;
        let taken = readings.taken(slot);
        if taken.is_empty() {
            continue;
        }
        let Some(bounds) = plan.plausible.bounds.get(*bounds as usize) else { continue };
        if taken.iter().all(|reading| is_plainly_inside(bounds, reading)) {
            continue;
        }
        for (number, reading) in taken.iter().enumerate() {
            let Some(outside) = outside(bounds, reading, readings) else { continue };
            if reading.is_confirmed() {
                said.add(wording::confirmed(book, readings, (slot, number), wording::Doubt::Outside(outside)));
                confirmed.push((slot, number));
                continue;
            }
            let slip = slip::likely(readings, reading, |value| is_inside(bounds, value, readings));
            said.add(wording::implausible(book, readings, (slot, number), outside, slip));
            aside.push(slot);
        }
    }
    for agreeing in &plan.plausible.agreeing {
        let slots = agreeing.first..agreeing.first + agreeing.count;
        // What is wrong with one of them was said.
        if slots.clone().any(|slot| aside.contains(&slot)) {
            continue;
        }
        if !agree(book, agreeing, readings, (&mut confirmed, &mut said)) {
            aside.extend(slots);
        }
    }
    by_implausible_gauges(book, plan, readings, &mut said, &mut aside);
    said_idle(book, readings, &confirmed, &mut said);
    for slot in aside {
        readings.set_aside(slot);
    }
    said.into_findings()
}

/// As [`screen`], for a machine whose generation is not known: sets aside what could be on none of them. A value that some
/// generation can have counts, since it is what tells the generations apart.
#[must_use]
pub fn screen_for_any(book: &Book, plans: &[&Plan], readings: &mut Readings) -> Vec<Finding> {
    let mut said = Said::default();
    let mut aside: Vec<usize> = Vec::new();
    for slot in plans.iter().map(|plan| plan.slot_count).max().map_or(0..0, |count| 0..count) {
        for (number, reading) in readings.taken(slot).iter().enumerate() {
            if reading.is_confirmed() {
                continue;
            }
            let bounds = || plans.iter().filter_map(|plan| plan.plausible.of_slot(slot));
            let by_each: Option<Vec<&PlausibleBand>> =
                bounds().map(|bounds| outside(bounds, reading, readings)).collect();
            let Some(first) = by_each.and_then(|bands| bands.first().copied()) else { continue };
            let slip = slip::likely(readings, reading, |value| bounds().any(|it| is_inside(it, value, readings)));
            said.add(wording::implausible(book, readings, (slot, number), first, slip));
            aside.push(slot);
        }
    }
    for slot in aside {
        readings.set_aside(slot);
    }
    said.into_findings()
}

/// Whether a reading could be on the generation of a plan.
pub(super) fn can_be(plan: &Plan, slot: usize, reading: &Reading, readings: &Readings) -> bool {
    plan.plausible.of_slot(slot).is_some_and(|bounds| outside(bounds, reading, readings).is_none())
}

/// The first look: enough for nearly every reading.
#[inline]
fn is_plainly_inside(bounds: &Bounds, reading: &Reading) -> bool {
    match (&bounds.short, &reading.datum) {
        (Some(short), Datum::Quantity(value)) => short.holds(value),
        _ => false,
    }
}

/// The first band that a reading surely lies outside of, on the day it is judged by.
fn outside<'b>(bounds: &'b Bounds, reading: &Reading, readings: &Readings) -> Option<&'b PlausibleBand> {
    let Datum::Quantity(value) = &reading.datum else { return None };
    let surely =
        |band: &&PlausibleBand| !band.takes_zero(value) && matches!(band.band.locate(value), Side::Below | Side::Above);
    bounds.bands.iter().filter(|band| band.days().holds(readings.judged_on)).find(surely)
}

fn is_inside(bounds: &Bounds, value: &Value, readings: &Readings) -> bool {
    let mut bands = bounds.bands.iter().filter(|band| band.days().holds(readings.judged_on));
    bands.all(|band| band.takes_zero(value) || band.band.locate(value) == Side::Inside)
}

/// Names the values that seem to have two digits swapped and that somebody confirms, and each `confirmed` that nothing rests
/// on: neither a value that would not be counted, nor an uncertainty, its own or
/// that of its gauge, that would not, nor a value that seems to have two digits swapped.
fn said_idle(book: &Book, readings: &Readings, needed: &[(usize, usize)], said: &mut Said) {
    if readings.confirmed().is_empty() {
        return;
    }
    let doubted = swapped::all(book, readings);
    for swapped in &doubted {
        let input = (swapped.slot, swapped.number);
        if !needed.contains(&input) && readings.taken(input.0).get(input.1).is_some_and(Reading::is_confirmed) {
            said.add(wording::confirmed(book, readings, input, wording::Doubt::Swapped(&swapped.instead)));
        }
    }
    for slot in readings.confirmed() {
        let taken = readings.taken(*slot);
        let at = |number: usize| taken.get(number)?.detail.as_ref()?.confirmed.as_ref().map(|it| it.span);
        let by_bad_figures = |reading: &Reading| {
            let own = reading.detail.as_ref().is_some_and(|detail| detail.implausible);
            let gauge = reading.gauge.and_then(|gauge| readings.gauges.get(usize::from(gauge)));
            own || gauge.is_some_and(|gauge| gauge.implausible)
        };
        let rests = |number: usize| {
            needed.contains(&(*slot, number))
                || doubted.iter().any(|it| (it.slot, it.number) == (*slot, number))
                || taken.get(number).is_some_and(by_bad_figures)
        };
        let mut seen: Vec<Span> = Vec::new();
        for number in 0..taken.len() {
            let Some(span) = at(number).filter(|span| !seen.contains(span)) else { continue };
            seen.push(span);
            let sharing: Vec<usize> = (number..taken.len()).filter(|other| at(*other) == Some(span)).collect();
            if !sharing.iter().any(|other| rests(*other)) {
                said.add(wording::confirmation_idle(book, readings, *slot, &sharing));
            }
        }
    }
}

/// Whether the values that nobody confirms agree; what is to be said of them otherwise. `known` are those of which it is
/// said already that somebody confirms them, and gets those that agree only so.
fn agree(
    book: &Book,
    agreeing: &Agreeing,
    readings: &Readings,
    (known, said): (&mut Vec<(usize, usize)>, &mut Said),
) -> bool {
    let mut values: Vec<(&Value, (usize, usize))> = Vec::new();
    let mut confirmed: Vec<(&Value, (usize, usize))> = Vec::new();
    for slot in agreeing.first..agreeing.first + agreeing.count {
        for (number, reading) in readings.taken(slot).iter().enumerate() {
            let Datum::Quantity(value) = &reading.datum else { continue };
            let list = if reading.is_confirmed() { &mut confirmed } else { &mut values };
            list.push((value, (slot, number)));
        }
    }
    if values.len() + confirmed.len() < 2 {
        return true;
    }
    let order = |one: &Value, other: &Value| one.compare(other).unwrap_or(Ordering::Equal);
    values.sort_by(|(one, _), (other, _)| order(one, other));
    let apart = |low: &Value, high: &Value| high.subtract(low).compare(&agreeing.within) == Some(Ordering::Greater);
    let doubted: Vec<(usize, usize)> =
        confirmed.iter().map(|(_, input)| *input).filter(|input| !known.contains(input)).collect();
    let all = || values.iter().chain(&confirmed).map(|(value, _)| *value);
    let (least, most) = (all().min_by(|one, other| order(one, other)), all().max_by(|one, other| order(one, other)));
    if least.zip(most).is_some_and(|(least, most)| apart(least, most)) {
        known.extend(&doubted);
    }
    let (Some((low, _)), Some((high, _))) = (values.first(), values.last()) else { return true };
    for (value, input) in confirmed.iter().filter(|(_, input)| doubted.contains(input)) {
        if apart(low, value) || apart(value, high) {
            said.add(wording::confirmed(book, readings, *input, wording::Doubt::Apart));
        }
    }
    if !apart(low, high) {
        return true;
    }
    let Some((stands_apart, others)) = standing_apart(&values) else { return true };
    let slip_of = |(slot, number): (usize, usize), others: &[Placed<'_>]| {
        let all_within = |it: &Value| others.iter().all(|(other, _)| !apart(other, it) && !apart(it, other));
        slip::likely(readings, readings.taken(slot).get(number)?, all_within)
    };
    let slip = slip_of(stands_apart, &others);
    // Of two values either may be the wrong one.
    let (stands_apart, others, slip) = match (&values[..], others.first().copied(), slip) {
        ([_, _], Some(other), own) => {
            let it: Vec<Placed<'_>> = values.iter().filter(|(_, input)| *input == stands_apart).copied().collect();
            match (slip_of(other.1, &it), own) {
                (Some(slip), None) => (other.1, it, Some(slip)),
                (None, own) => (stands_apart, others, own),
                (Some(_), Some(_)) => (stands_apart, others, None),
            }
        }
        (_, _, slip) => (stands_apart, others, slip),
    };
    let nearest = others.get(others.len() / 2).map_or(stands_apart, |(_, input)| *input);
    let width = high.subtract(low);
    said.add(wording::disagree(book, readings, agreeing, (stands_apart, nearest), (&width, others.len() == 1), slip));
    false
}

type Placed<'a> = (&'a Value, (usize, usize));

/// Of values in order, the one at the end that lies further from the middle one, and the others. Of two values, the one
/// written later.
fn standing_apart<'a>(values: &[Placed<'a>]) -> Option<((usize, usize), Vec<Placed<'a>>)> {
    let (first, last) = (values.first()?, values.last()?);
    let middle = values.get(values.len() / 2)?.0;
    let below = middle.subtract(first.0);
    let above = last.0.subtract(middle);
    let low = match values {
        [one, other] => one.1 > other.1,
        _ => below.compare(&above) == Some(Ordering::Greater),
    };
    let chosen = if low { first.1 } else { last.1 };
    Some((chosen, values.iter().filter(|(_, input)| *input != chosen).copied().collect()))
}

/// The slots with a reading whose own uncertainty, or whose gauge's figures, cannot be, where those figures would decide:
/// under a guard band.
fn by_implausible_gauges(book: &Book, plan: &Plan, readings: &Readings, said: &mut Said, aside: &mut Vec<usize>) {
    if !matches!(book.decision.rule, Rule::GuardBand(_)) {
        return;
    }
    let by_itself =
        |reading: &&Reading| !reading.is_confirmed() && reading.detail.as_ref().is_some_and(|it| it.implausible);
    set_aside_all(plan, readings, by_itself, aside, |count, first| {
        said.add(wording::own_uncertainty_implausible(readings, count, first));
    });
    for (number, gauge) in readings.gauges.iter().enumerate().filter(|(_, gauge)| gauge.implausible) {
        let by_it = |reading: &&Reading| {
            let own = reading.detail.as_ref().is_some_and(|detail| detail.uncertainty.is_some() || detail.implausible);
            !own && !reading.is_confirmed() && reading.gauge.map(usize::from) == Some(number)
        };
        set_aside_all(plan, readings, by_it, aside, |count, first| {
            said.add(wording::gauge_implausible(readings, gauge, count, first));
        });
    }
}

/// Sets aside every slot with such a reading, and says how many of them there are and where the first is written.
fn set_aside_all(
    plan: &Plan,
    readings: &Readings,
    such: impl Fn(&&Reading) -> bool,
    aside: &mut Vec<usize>,
    say: impl FnOnce(usize, Span),
) {
    let slots = (0..plan.slot_count).filter(|slot| readings.taken(*slot).iter().any(|reading| such(&reading)));
    let slots: Vec<usize> = slots.collect();
    let taken = slots.iter().flat_map(|slot| readings.taken(*slot)).filter(&such);
    if let Some(first) = taken.clone().min_by_key(|reading| reading.span.start) {
        say(taken.count(), first.span);
    }
    aside.extend(slots);
}
