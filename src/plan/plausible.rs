//! What the values of each slot can be at all, written out position by position. Refuses to say what is good.

use super::lower::Writer;
use crate::book::{Bound, Characteristic, Id, Kind, Origin, Plausible, RangeKind};
use crate::quantity::{Band, Days, End, ShortBand, Value};
use rustc_hash::FxHashMap;
use std::cmp::Ordering;
use std::sync::Arc;

/// What the values of one generation's readings can be at all.
#[derive(Clone, Debug, Default)]
pub struct PlausibleValues {
    /// Slots of quantities that have bounds, each with the number of its bounds.
    pub slots: Vec<(u32, u32)>,
    /// The different bounds; many slots share one.
    pub bounds: Vec<Bounds>,
    /// Readings whose values must lie near to each other.
    pub agreeing: Vec<Agreeing>,
}

/// What a value can be at all.
#[derive(Clone, Debug)]
pub struct Bounds {
    /// A first look: a value inside lies inside every band. `None` where an end is not a short decimal.
    pub short: Option<ShortBand>,
    /// Every band it must lie in.
    pub bands: Vec<PlausibleBand>,
}

/// One band that a value must lie in to be plausible.
#[derive(Clone, Debug)]
pub struct PlausibleBand {
    /// The band, in base units.
    pub band: Band,
    /// Where it is declared; `None` for the one at zero that every reading has unless it may be negative.
    pub declared: Option<Arc<Plausible>>,
}

impl PlausibleBand {
    /// Whether a value is the zero that is plausible besides.
    #[must_use]
    pub fn takes_zero(&self, value: &Value) -> bool {
        self.declared.as_ref().is_some_and(|declared| declared.or_zero)
            && value.compare(&Value::ZERO) == Some(Ordering::Equal)
    }

    /// On which days it counts.
    #[must_use]
    pub fn days(&self) -> Days {
        self.declared.as_ref().map_or(Days::ALWAYS, |declared| declared.days)
    }
}

/// The slots of one reading at one position, whose values must lie near to each other.
#[derive(Clone, Debug)]
pub struct Agreeing {
    /// The reading.
    pub characteristic: Id<Characteristic>,
    /// Its first slot; those of its other stations follow.
    pub first: usize,
    /// How many slots.
    pub count: usize,
    /// From the smallest value to the largest, at most, in base units.
    pub within: Value,
}

impl PlausibleValues {
    /// What the values of a slot can be; `None` if anything.
    #[must_use]
    pub fn of_slot(&self, slot: usize) -> Option<&Bounds> {
        // Slots are written out in their order.
        let at = self.slots.binary_search_by_key(&slot, |(slot, _)| *slot as usize).ok()?;
        self.bounds.get(self.slots.get(at)?.1 as usize)
    }
}

/// Writes out what is plausible for a generation.
pub(super) fn values(writer: &mut Writer<'_>) -> PlausibleValues {
    let (book, generation) = (writer.book, writer.generation);
    let mut bands: Vec<Option<PlausibleBand>> = Vec::new();
    let mut of_characteristic: FxHashMap<Id<Characteristic>, Vec<usize>> = FxHashMap::default();
    for (number, declared) in generation.plausible.iter().enumerate() {
        bands.push(band(writer, declared).map(|band| PlausibleBand { band, declared: Some(declared.clone()) }));
        of_characteristic.entry(declared.subject.characteristic).or_default().push(number);
    }
    let mut values = PlausibleValues::default();
    let mut numbers: FxHashMap<(bool, Vec<usize>), u32> = FxHashMap::default();
    for (id, characteristic) in book.characteristics.entries() {
        let (Kind::Quantity(dimension), Origin::Reading { may_be_negative, agree, .. }) =
            (characteristic.kind, &characteristic.origin)
        else {
            continue;
        };
        let above_zero = !may_be_negative && !dimension.is_point();
        let declared = of_characteristic.get(&id).map_or(&[][..], Vec::as_slice);
        if !above_zero && declared.is_empty() && agree.is_none() {
            continue;
        }
        for positions in book.instances(characteristic.part, generation) {
            let instance = book.instance(characteristic.part, &positions);
            if let Some(agree) = agree {
                let (first, count) = (characteristic.slot(instance, 0), characteristic.slots_each());
                values.agreeing.push(Agreeing { characteristic: id, first, count, within: agree.within.clone() });
            }
            for station in 0..characteristic.slots_each() {
                let named = (!characteristic.stations().is_empty()).then(|| u16::try_from(station).unwrap_or(u16::MAX));
                let about = |number: &&usize| {
                    let band = bands.get(**number).and_then(Option::as_ref);
                    band.and_then(|band| band.declared.as_ref()).is_some_and(|it| it.is_about(&positions, named))
                };
                let mine: Vec<usize> = declared.iter().filter(about).copied().collect();
                if !above_zero && mine.is_empty() {
                    continue;
                }
                let number = *numbers.entry((above_zero, mine)).or_insert_with_key(|(above_zero, mine)| {
                    let declared = mine.iter().filter_map(|number| bands.get(*number).cloned().flatten());
                    let zero = above_zero.then(|| PlausibleBand { band: Band::at_least(Value::ZERO), declared: None });
                    let bands: Vec<PlausibleBand> = declared.chain(zero).collect();
                    let short = ShortBand::within_all(bands.iter().map(|band| &band.band));
                    values.bounds.push(Bounds { short, bands });
                    u32::try_from(values.bounds.len() - 1).unwrap_or(u32::MAX)
                });
                if let Ok(slot) = u32::try_from(characteristic.slot(instance, station)) {
                    values.slots.push((slot, number));
                }
            }
        }
    }
    values
}

/// The band of a plausible range; `None` has its finding where the book is compiled.
fn band<'a>(writer: &mut Writer<'a>, declared: &'a Plausible) -> Option<Band> {
    let RangeKind::Band { low, high } = &declared.range.kind else { return None };
    let mut end = |bound: &'a Option<Bound>| match bound {
        None => Some(None),
        Some(bound) => writer.known(&bound.value).ok().map(|value| Some(End { value, closed: bound.closed })),
    };
    Some(Band { low: end(low)?, high: end(high)? })
}
