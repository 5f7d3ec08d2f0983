//! The ranges of rows as they are for one record: those whose ends are calculated from readings too. Refuses to judge by them.

use super::evaluate::{Bench, Outcome};
use crate::bind::Readings;
use crate::book::Datum;
use crate::plan::{CheckRange, Plan, Program};
use crate::quantity::{Band, End};

/// The ranges of a plan's rows over the readings of one record.
pub struct Ranges<'a> {
    bench: Bench<'a>,
}

impl<'a> Ranges<'a> {
    /// The ranges over some readings.
    #[must_use]
    pub fn new(plan: &'a Plan, readings: &'a Readings) -> Ranges<'a> {
        Ranges { bench: Bench::new(plan, readings) }
    }

    /// The range that a verdict compares with, in SI base units; `None` if it has no ends, lacks a reading or has no answer.
    #[must_use]
    pub fn band(&self, range: &CheckRange) -> Option<Band> {
        band(&self.bench, range).ok()
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
