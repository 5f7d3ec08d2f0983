//! Whether what was measured rules out a value that a record gives a reading of names: a late casting with the tip of an early
//! one. Refuses to say which value is right: `identify` knows.

use super::evaluate::{Bench, Seen};
use super::wording;
use crate::bind::Readings;
use crate::book::{Book, Datum, Origin};
use crate::finding::Finding;
use crate::plan::Plan;
use crate::text::Place;

/// A stated value, and something measured that it has otherwise.
pub(super) struct Otherwise<'a> {
    /// The reading that has the value: `rotor.front.casting`, and the value as it is written.
    pub(super) path: String,
    pub(super) value: &'a str,
    /// Where that is written.
    pub(super) place: Place,
    /// What was measured, where; `None` for a value calculated from others.
    pub(super) against: (String, Option<Place>),
    /// The telltale.
    pub(super) context: &'a crate::plan::Telling,
}

/// A warning for each stated value that something measured at its position rules out, by the first telltale that does.
#[must_use]
pub fn values_contradicted(book: &Book, plan: &Plan, readings: &Readings) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut told: Vec<usize> = Vec::new();
    let mut bench: Option<Bench<'_>> = None;
    for context in &plan.value_tellings {
        let Some(tells) = context.telltale.tells else { continue };
        let stated_in = book.characteristics.get(tells.characteristic);
        let depth = book.parts.get(stated_in.part).positioned.len();
        let derived =
            matches!(book.characteristics.get(context.telltale.subject.characteristic).origin, Origin::Derived(_));
        for slot in &context.slots {
            let Some((characteristic, positions, station)) = book.slot_owner(*slot) else { continue };
            let Some(above) = positions.get(..depth) else { continue };
            let stated_slot = stated_in.slot(book.instance(stated_in.part, above), 0);
            let Some(stated) = readings.taken(stated_slot).first() else { continue };
            if !matches!(stated.datum, Datum::Name(name) if name == tells.value) || told.contains(&stated_slot) {
                continue;
            }
            let otherwise = |datum| context.range.holds(datum) == Some(false);
            let place = if derived {
                let bench = bench.get_or_insert_with(|| Bench::new(plan, readings));
                match bench.look(*slot) {
                    Seen::Known(datum) if otherwise(datum) => None,
                    _ => continue,
                }
            } else {
                match readings.taken(*slot).iter().find(|reading| otherwise(&reading.datum)) {
                    Some(reading) => Some(readings.place(reading.span)),
                    None => continue,
                }
            };
            told.push(stated_slot);
            findings.push(wording::value_contradicted(
                book,
                &Otherwise {
                    path: book.path(tells.characteristic, above, None),
                    value: readings.slice(stated.span),
                    place: readings.place(stated.span),
                    against: (book.path(characteristic, &positions, station), place),
                    context,
                },
                readings.source().name(),
            ));
        }
    }
    findings
}
