//! Whether two ways through the machine may lead to one value. Refuses to know what stands there.

use crate::book::{Reach, Selector};

/// Whether some instance, at some station, is meant by both.
pub(super) fn meets(one: &Reach, other: &Reach) -> bool {
    let apart = |(one, other): (&Selector, &Selector)| match (one, other) {
        (Selector::At(one), Selector::At(other)) => one != other,
        _ => false,
    };
    one.characteristic == other.characteristic
        && (one.station.is_none() || other.station.is_none() || one.station == other.station)
        && !one.selectors.iter().zip(&other.selectors).any(apart)
}
