//! The telltales of a generation written out, position by position. Refuses to judge by them.

use super::CheckRange;
use crate::book::{Book, Bound, Datum, Generation, Range, RangeKind, Selector, Telltale, evaluate};
use crate::quantity::{Band, End, Side};
use std::sync::Arc;

/// One telltale, and every slot it is about.
#[derive(Clone, Debug)]
pub struct Telling {
    /// The telltale.
    pub telltale: Arc<Telltale>,
    /// The slots of the positions and stations that are meant.
    pub slots: Box<[usize]>,
    /// Its range, the generation's constants put in.
    pub range: CheckRange,
}

/// Some telltales of a generation: those whose ranges need no record.
pub(super) fn tellings(book: &Book, generation: &Generation, telltales: &[Arc<Telltale>]) -> Vec<Telling> {
    let telling = |telltale: &Arc<Telltale>| {
        let range = known_range(book, generation, &telltale.range)?;
        let subject = &telltale.subject;
        let characteristic = book.characteristics.get(subject.characteristic);
        let stations = 0..characteristic.slots_each();
        let mut slots = Vec::new();
        for positions in book.instances(characteristic.part, generation) {
            let here = subject.selectors.iter().zip(&positions).all(|(selector, position)| match selector {
                Selector::At(at) => at == position,
                Selector::All | Selector::Same(_) => true,
            });
            if here {
                let instance = book.instance(characteristic.part, &positions);
                let meant = |station: &usize| subject.station.is_none_or(|only| usize::from(only) == *station);
                slots.extend(stations.clone().filter(meant).map(|station| characteristic.slot(instance, station)));
            }
        }
        Some(Telling { telltale: telltale.clone(), slots: slots.into(), range })
    };
    telltales.iter().filter_map(telling).collect()
}

/// A range with its ends calculated; `None` if one depends on a record.
#[must_use]
pub fn known_range(book: &Book, generation: &Generation, range: &Range) -> Option<CheckRange> {
    let end = |bound: &Option<Bound>| match bound {
        None => Some(None),
        Some(bound) => {
            let value = evaluate::evaluate(book, Some(generation), &bound.value).ok()?;
            Some(Some(End { value, closed: bound.closed }))
        }
    };
    Some(match &range.kind {
        RangeKind::Names(names) => CheckRange::Names(names.clone().into()),
        RangeKind::YesNo(yes) => CheckRange::YesNo(*yes),
        RangeKind::Band { low, high } => CheckRange::Known(Band { low: end(low)?, high: end(high)? }),
        RangeKind::AllTheSame { .. } => return None,
    })
}

impl CheckRange {
    /// Whether a value is inside; `None` if it is so near an end that no digits tell the sides apart, or if the range depends on
    /// a record.
    #[must_use]
    pub fn holds(&self, datum: &Datum) -> Option<bool> {
        match (self, datum) {
            (CheckRange::Names(names), Datum::Name(name)) => Some(names.contains(name)),
            (CheckRange::YesNo(wanted), Datum::YesNo(found)) => Some(wanted == found),
            (CheckRange::Known(band), Datum::Quantity(value)) => match band.locate(value) {
                Side::Inside => Some(true),
                Side::Below | Side::Above => Some(false),
                Side::Undecided => None,
            },
            _ => None,
        }
    }
}
