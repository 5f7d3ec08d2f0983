//! How far a record is: how many of the readings it must have are in it. Refuses to judge any of them.

use crate::bind::{Readings, State};
use crate::book::{Book, Origin};
use crate::plan::Plan;

/// How far a record is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Taken {
    /// Required readings that are in the record.
    pub taken: usize,
    /// Required readings of the generation, one for each position and station.
    pub required: usize,
}

/// How many of the readings that a generation requires are in a record.
#[must_use]
pub fn taken(book: &Book, plan: &Plan, readings: &Readings) -> Taken {
    let generation = book.generations.get(plan.generation);
    let mut count = Taken::default();
    for characteristic in book.characteristics.iter() {
        if !matches!(characteristic.origin, Origin::Reading { optional: false, .. }) {
            continue;
        }
        for positions in book.instances(characteristic.part, generation) {
            let instance = book.instance(characteristic.part, &positions);
            for station in 0..characteristic.slots_each() {
                count.required += 1;
                count.taken +=
                    usize::from(matches!(readings.state(characteristic.slot(instance, station)), State::Taken));
            }
        }
    }
    count
}
