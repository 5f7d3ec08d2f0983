//! The ranges of rows as they are for one record: those whose ends are calculated from readings too. Refuses to judge by them.

use super::evaluate::Bench;
use super::grade;
use crate::bind::Readings;
use crate::plan::{CheckRange, Plan};
use crate::quantity::Band;

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
        grade::band(&self.bench, range).ok()
    }
}
