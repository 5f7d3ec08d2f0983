//! Whether what was measured rules out the generation a record says it is of. Refuses to say which one it is of: `identify`
//! knows.

use super::evaluate::{Bench, Seen};
use super::{plausible, wording};
use crate::bind::{Reading, Readings};
use crate::book::{Book, Datum, Origin, Telltale};
use crate::finding::Finding;
use crate::plan::Plan;
use crate::text::Place;
use std::sync::Arc;

/// Something measured that the generation has otherwise.
pub(super) struct Against<'a> {
    pub(super) telltale: &'a Arc<Telltale>,
    /// What it is: `rotor.front.width`.
    pub(super) path: String,
    /// Where it is written; `None` for a value calculated from others.
    pub(super) place: Option<Place>,
}

/// What is to be said where the telltales of the plan's generation do not hold of a record, as `identify` would say it; `None` if
/// nothing rules the generation out. A reading set aside because it cannot be on this generation counts where it can be on
/// another of the plans: a narrow rotor is no slip for a wide one.
#[must_use]
pub fn contradicted<'p, P: Iterator<Item = &'p Plan>>(
    book: &Book,
    plan: &Plan,
    plans: impl Fn() -> P,
    readings: &Readings,
) -> Option<Finding> {
    let mut against: Vec<Against<'_>> = Vec::new();
    let mut bench: Option<Bench<'_>> = None;
    for telling in &plan.tellings {
        let derived =
            matches!(book.characteristics.get(telling.telltale.subject.characteristic).origin, Origin::Derived(_));
        for slot in &telling.slots {
            let path = || {
                let owner = book.slot_owner(*slot);
                owner.map_or_else(String::new, |(id, positions, station)| book.path(id, &positions, station))
            };
            let otherwise = |datum| telling.range.holds(datum) == Some(false);
            if derived {
                let bench = bench.get_or_insert_with(|| Bench::new(plan, readings));
                if let Seen::Known(datum) = bench.look(*slot)
                    && otherwise(datum)
                {
                    against.push(Against { telltale: &telling.telltale, path: path(), place: None });
                }
                continue;
            }
            let elsewhere =
                |reading: &&Reading| plans().any(|other| plausible::can_be(other, *slot, reading, readings));
            let aside = readings.aside(*slot).iter().filter(elsewhere);
            // Of readings of one thing that say the same, the first speaks for all.
            let mut seen: Vec<&Datum> = Vec::new();
            for reading in readings.taken(*slot).iter().chain(aside).filter(|reading| otherwise(&reading.datum)) {
                if seen.contains(&&reading.datum) {
                    continue;
                }
                seen.push(&reading.datum);
                let place = Some(readings.place(reading.span));
                against.push(Against { telltale: &telling.telltale, path: path(), place });
            }
        }
    }
    (!against.is_empty()).then(|| wording::contradicted(book, plan, readings, &against))
}
