//! The gauges a record's readings were taken with, and the concessions it carries. Refuses to say whether they may be used.

use super::{Conceded, Used};
use crate::bind::Readings;
use crate::book::Book;
use crate::judge::Verdict;
use crate::plan::Plan;
use crate::quantity::{Rounded, Unit, Value, shown_significant};
use std::collections::BTreeMap;

/// The gauges that readings were taken with, in the order they are listed.
#[must_use]
pub fn gauges(book: &Book, readings: &Readings) -> Vec<Used> {
    // The unit a gauge's figures are shown in is that of the first reading taken with it.
    let mut uses: BTreeMap<u16, (usize, Unit)> = BTreeMap::new();
    for slot in 0..book.slot_count {
        for gauge in readings.taken(slot).iter().filter_map(|reading| reading.gauge) {
            let unit = || {
                let owner = book.slot_owner(slot).map(|(id, _, _)| book.characteristics.get(id));
                owner.and_then(|characteristic| characteristic.unit.clone()).unwrap_or_else(Unit::number)
            };
            uses.entry(gauge).or_insert_with(|| (0, unit())).0 += 1;
        }
    }
    let all = uses.into_iter().filter_map(|(number, (count, unit))| {
        let gauge = readings.gauges.get(usize::from(number))?;
        let figure = |value: &Option<Value>, way| {
            value.as_ref().map(|value| shown_significant(value, &unit.difference(), 2, way))
        };
        Some(Used {
            name: gauge.name.clone(),
            uncertainty: gauge.uncertainty.as_ref().map(|certified| certified.words(&unit)),
            resolution: figure(&gauge.resolution, Rounded::Nearest),
            calibrated: gauge.calibrated,
            due: gauge.due,
            readings: count,
            listed_in: gauge.place.source.name().to_string(),
        })
    });
    all.collect()
}

/// The concessions, in the order written.
pub(super) fn concessions(book: &Book, plan: &Plan, readings: &Readings, verdict: &Verdict) -> Vec<Conceded> {
    let excused = |number: usize| -> Vec<String> {
        let mut paths: Vec<String> = Vec::new();
        for ruling in verdict.rulings.iter().filter(|ruling| ruling.concession == Some(number)) {
            let Some(check) = plan.checks.get(ruling.check) else { continue };
            let path = book.path(check.row.subject.characteristic, &check.positions, None);
            if !paths.contains(&path) {
                paths.push(path);
            }
        }
        paths
    };
    let each = readings.concessions.iter().enumerate().map(|(number, concession)| Conceded {
        row: readings.slice(concession.row_span).trim().to_string(),
        because: concession.because.clone(),
        by: concession.by.clone(),
        until: concession.until,
        excuses: excused(number),
    });
    each.collect()
}
