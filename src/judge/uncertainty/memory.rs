//! What was worked out of a record's uncertainties once, kept for whoever asks again.

use super::Form;
use crate::bind::{Correlations, Readings};
use crate::quantity::Value;
use rustc_hash::FxHashMap;
use std::cell::{OnceCell, RefCell};

/// The forms of steps by their number, and half widths of temperatures by the byte they are written at.
#[derive(Default)]
pub(in crate::judge) struct Memory {
    steps: RefCell<FxHashMap<usize, Form>>,
    correlations: OnceCell<Correlations>,
    temperatures: OnceCell<FxHashMap<u32, Value>>,
}

impl Memory {
    /// The form of a step, if it was followed before.
    pub(super) fn step(&self, number: usize) -> Option<Form> {
        self.steps.borrow().get(&number).cloned()
    }

    /// Whether a step was followed before.
    pub(super) fn holds(&self, number: usize) -> bool {
        self.steps.borrow().contains_key(&number)
    }

    /// Keeps the form of a step.
    pub(super) fn keep(&self, number: usize, form: Form) {
        self.steps.borrow_mut().insert(number, form);
    }

    /// Which gauges of the record are wrong together.
    pub(super) fn correlations(&self, readings: &Readings) -> &Correlations {
        self.correlations.get_or_init(|| readings.correlations())
    }

    /// The half width of the temperature written at a byte of the record.
    pub(super) fn temperature(&self, readings: &Readings, at: u32) -> Option<&Value> {
        let all = self.temperatures.get_or_init(|| {
            let warmths = readings.all().filter_map(|reading| reading.detail.as_ref()?.warmth.as_ref());
            let both = warmths.flat_map(|warmth| [&warmth.part_temperature, &warmth.gauge_temperature]);
            both.map(|temperature| (temperature.span.start, temperature.half_width.clone())).collect()
        });
        all.get(&at)
    }
}
