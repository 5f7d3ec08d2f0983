//! Readings of one thing of which one stands apart from the rest. It is told and never left out.

use crate::bind::Readings;
use crate::statistics::grubbs;

/// The level of the test: one honest set of readings in twenty is told of.
pub const APART: f64 = 0.05;

/// A reading that stands apart: its slot, which of the slot's readings, the statistic and what it exceeds.
pub(in crate::judge) struct Apart {
    pub(in crate::judge) slot: usize,
    pub(in crate::judge) number: usize,
    pub(in crate::judge) statistic: f64,
    pub(in crate::judge) critical: f64,
}

/// Every reading that stands apart from the others of its slot, by Grubbs' test.
pub(in crate::judge) fn apart(readings: &Readings) -> Vec<Apart> {
    let mut found = Vec::new();
    let enough = |slot: &usize| readings.taken(*slot).len() >= grubbs::FEWEST;
    for slot in readings.repeated().into_iter().filter(enough) {
        let Some(values) = readings.quantities(slot) else { continue };
        if let grubbs::Verdict::Apart { index, statistic, critical } = grubbs::apart(&values, APART) {
            found.push(Apart { slot, number: index, statistic, critical });
        }
    }
    found
}
