//! Whether what was measured rules out the generation a record says it is of. Refuses to say which one it is of: `identify`
//! knows.

use super::evaluate::{Bench, Seen};
use super::wording;
use crate::bind::Readings;
use crate::book::{Book, Origin, Telltale};
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
/// nothing rules the generation out.
#[must_use]
pub fn contradicted(book: &Book, plan: &Plan, readings: &Readings) -> Option<Finding> {
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
            for reading in readings.taken(*slot).iter().filter(|reading| otherwise(&reading.datum)) {
                let place = Some(readings.source().place(reading.span));
                against.push(Against { telltale: &telling.telltale, path: path(), place });
            }
        }
    }
    (!against.is_empty()).then(|| wording::contradicted(book, plan, readings, &against))
}
