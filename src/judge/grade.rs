//! From values to grades: the tiers of each row, then concessions, then the build.

use super::evaluate::{Bench, Outcome};
use super::{Counts, Found, Grade, Ruling, Side, Verdict, wording};
use crate::bind::{Concession, Readings, State};
use crate::book::{Book, Datum};
use crate::plan::{Check, CheckRange, Plan, Program, Subject};
use crate::quantity::{Band, End, Side as BandSide};

pub(super) fn judge(book: &Book, plan: &Plan, readings: &Readings) -> Verdict {
    let bench = Bench::new(plan, readings);
    let mut rulings = Vec::with_capacity(plan.checks.len());
    let mut skipped = 0;
    for (number, check) in plan.checks.iter().enumerate() {
        if !check.row.days.holds(readings.judged_on) {
            continue;
        }
        skipped += rule(&bench, number, check, &mut rulings);
    }
    let mut findings = concede(book, plan, readings, &mut rulings);
    if plan.dated && readings.judged_on.is_none() {
        findings.push(wording::finished_missing(readings));
    }
    let mut counts = Counts::default();
    let mut grade = Grade::Good;
    for ruling in &rulings {
        if ruling.advisory && ruling.grade > Grade::Good {
            counts.advisory += 1;
        } else {
            counts.count(ruling.grade);
        }
        grade = grade.max(ruling.weight());
    }
    Verdict { grade, rulings, counts, skipped, findings }
}

/// Judges one check and gives how many rows it skipped.
fn rule(bench: &Bench<'_>, number: usize, check: &Check, rulings: &mut Vec<Ruling>) -> usize {
    let mut push = |reading: Option<usize>, (grade, found): (Grade, Found), value: Option<Datum>| {
        let advisory = check.row.advisory;
        rulings.push(Ruling { check: number, reading, grade, found, value, concession: None, advisory });
    };
    if let Some(condition) = &check.condition {
        match bench.run(condition) {
            Outcome::Known(Datum::YesNo(true)) => {}
            // A row that does not apply is no ruling at all.
            Outcome::Known(_) => return 0,
            Outcome::Skipped => return 1,
            Outcome::Missing => {
                push(None, (Grade::Unmeasured, Found::ConditionMissing), None);
                return 0;
            }
            Outcome::Undecided | Outcome::Impossible => {
                push(None, (Grade::Unsettled, Found::ConditionUndecided), None);
                return 0;
            }
        }
    }
    match &check.subject {
        Subject::Group(slots) => {
            let mut first: Option<Datum> = None;
            let mut same = true;
            let mut missing = false;
            for (slot, _) in slots {
                for datum in values(bench, *slot, &mut missing) {
                    same &= first.get_or_insert_with(|| datum.clone()) == &datum;
                }
            }
            match (same, missing, first) {
                (false, _, _) => {
                    push(None, (Grade::Out, Found::Outside { limit: true, side: Side::Beside }), None);
                }
                (true, true, _) => push(None, (Grade::Unmeasured, Found::Missing), None),
                (true, false, Some(_)) => push(None, (Grade::Good, Found::Inside), None),
                (true, false, None) => return 1,
            }
            0
        }
        Subject::Each { slot, .. } => {
            let taken = bench.readings.taken(*slot);
            if taken.is_empty() {
                return match bench.empty(*slot) {
                    Outcome::Skipped => 1,
                    _ => {
                        push(None, (Grade::Unmeasured, Found::Missing), None);
                        0
                    }
                };
            }
            for (at, reading) in taken.iter().enumerate() {
                let datum = bench.seen(*slot, at, &reading.datum);
                push((taken.len() > 1).then_some(at), grade(bench, check, datum), Some(datum.clone()));
            }
            0
        }
        Subject::Slot { slot, .. } => one(bench, check, bench.slot(*slot), push),
        Subject::Made(program) => one(bench, check, bench.run(program), push),
    }
}

/// Judges one outcome and gives how many rows it skipped.
fn one(
    bench: &Bench<'_>,
    check: &Check,
    outcome: Outcome,
    mut push: impl FnMut(Option<usize>, (Grade, Found), Option<Datum>),
) -> usize {
    match outcome {
        Outcome::Known(datum) => push(None, grade(bench, check, &datum), Some(datum)),
        Outcome::Skipped => return 1,
        Outcome::Missing => push(None, (Grade::Unmeasured, Found::Missing), None),
        Outcome::Impossible => push(None, (Grade::Unsettled, Found::Impossible), None),
        Outcome::Undecided => push(None, (Grade::Unsettled, Found::Undecided { limit: true }), None),
    }
    0
}

/// The values of a slot; `missing` is set where a required one is not there.
fn values(bench: &Bench<'_>, slot: usize, missing: &mut bool) -> Vec<Datum> {
    let taken = bench.readings.taken(slot);
    if taken.is_empty() {
        return match bench.slot(slot) {
            Outcome::Known(datum) => vec![datum],
            Outcome::Skipped => Vec::new(),
            _ => {
                *missing = true;
                Vec::new()
            }
        };
    }
    taken.iter().enumerate().map(|(at, reading)| bench.seen(slot, at, &reading.datum).clone()).collect()
}

/// Where a value lies in a range.
enum Lies {
    Inside,
    Outside(Side),
    Undecided,
    Missing,
}

/// The grade of a value by the tiers of a row: the limit first, then the standard.
pub(super) fn grade(bench: &Bench<'_>, check: &Check, datum: &Datum) -> (Grade, Found) {
    let datum = &*super::rounding::rounded(check, datum);
    let limit = check.limit.as_ref().map(|range| lies(bench, range, datum));
    match limit {
        Some(Lies::Outside(side)) => return (Grade::Out, Found::Outside { limit: true, side }),
        Some(Lies::Undecided) => return (Grade::Unsettled, Found::Undecided { limit: true }),
        Some(Lies::Missing) => return (Grade::Unmeasured, Found::Missing),
        Some(Lies::Inside) | None => {}
    }
    let beyond = if limit.is_some() { Grade::Worn } else { Grade::Out };
    match check.standard.as_ref().map(|range| lies(bench, range, datum)) {
        Some(Lies::Outside(side)) => (beyond, Found::Outside { limit: false, side }),
        Some(Lies::Undecided) => (Grade::Unsettled, Found::Undecided { limit: false }),
        Some(Lies::Missing) => (Grade::Unmeasured, Found::Missing),
        Some(Lies::Inside) | None => (Grade::Good, Found::Inside),
    }
}

fn lies(bench: &Bench<'_>, range: &CheckRange, datum: &Datum) -> Lies {
    let beside = |inside: bool| if inside { Lies::Inside } else { Lies::Outside(Side::Beside) };
    match (range, datum) {
        (CheckRange::Known(band), Datum::Quantity(value)) => on_side(band.locate(value)),
        (CheckRange::Worked { .. }, Datum::Quantity(value)) => match band(bench, range) {
            Ok(band) => on_side(band.locate(value)),
            Err(Outcome::Missing | Outcome::Skipped) => Lies::Missing,
            Err(_) => Lies::Undecided,
        },
        (CheckRange::Names(names), Datum::Name(name)) => beside(names.binary_search(name).is_ok()),
        (CheckRange::YesNo(wanted), Datum::YesNo(yes)) => beside(wanted == yes),
        // The checker lets no other pair through.
        _ => Lies::Undecided,
    }
}

fn on_side(side: BandSide) -> Lies {
    match side {
        BandSide::Inside => Lies::Inside,
        BandSide::Below => Lies::Outside(Side::Below),
        BandSide::Above => Lies::Outside(Side::Above),
        BandSide::Undecided => Lies::Undecided,
    }
}

/// The band of a range of bounds, those that depend on the record worked out.
pub(super) fn band(bench: &Bench<'_>, range: &CheckRange) -> Result<Band, Outcome> {
    let end = |bound: &Option<(Program, bool)>| match bound {
        None => Ok(None),
        Some((program, closed)) => match bench.run(program) {
            Outcome::Known(Datum::Quantity(value)) => Ok(Some(End { value, closed: *closed })),
            other => Err(other),
        },
    };
    match range {
        CheckRange::Known(band) => Ok(band.clone()),
        CheckRange::Worked { low, high } => Ok(Band { low: end(low)?, high: end(high)? }),
        CheckRange::Names(_) | CheckRange::YesNo(_) | CheckRange::Same => Err(Outcome::Impossible),
    }
}

/// Lets through what a signed concession covers, and says what is wrong with those that cover nothing.
fn concede(book: &Book, plan: &Plan, readings: &Readings, rulings: &mut [Ruling]) -> Vec<crate::finding::Finding> {
    let mut findings = Vec::new();
    for (number, concession) in readings.concessions.iter().enumerate() {
        if let Some(until) = concession.until
            && readings.finished.is_none_or(|finished| finished > until)
        {
            findings.push(wording::concession_ended(readings, concession, until));
            continue;
        }
        let mut judged = false;
        let mut needed = false;
        for ruling in rulings.iter_mut() {
            let Some(check) = plan.checks.get(ruling.check) else { continue };
            if !covers(book, concession, check) {
                continue;
            }
            judged = true;
            if ruling.grade != Grade::Good && ruling.grade != Grade::Excused {
                ruling.grade = Grade::Excused;
                ruling.concession = Some(number);
                needed = true;
            }
        }
        if !needed {
            findings.push(wording::concession_idle(readings, concession, judged));
        }
    }
    findings
}

/// Whether a concession is for what a check judges.
fn covers(book: &Book, concession: &Concession, check: &Check) -> bool {
    let subject = &check.row.subject;
    if concession.row.characteristic != subject.characteristic {
        return false;
    }
    let characteristic = book.characteristics.get(subject.characteristic);
    match &check.subject {
        Subject::Group(slots) => slots.iter().any(|(slot, _)| {
            concession.row.instance.is_none_or(|instance| {
                let first = characteristic.slot(instance, 0);
                (first..first + characteristic.slots_each()).contains(slot)
            })
        }),
        Subject::Slot { station, .. } | Subject::Each { station, .. } => {
            concession.row.instance == Some(check.instance)
                && (concession.row.station.is_none() || concession.row.station == *station)
        }
        Subject::Made(_) => concession.row.station.is_none() && concession.row.instance == Some(check.instance),
    }
}

/// Whether a slot was looked at and could not be read, or has something wrong with it.
pub(super) fn trouble(readings: &Readings, slot: usize) -> Option<(bool, crate::text::Span)> {
    match readings.state(slot) {
        State::Unknown(span) => Some((true, span)),
        State::Unusable(span) => Some((false, span)),
        State::Absent | State::Taken => None,
    }
}
