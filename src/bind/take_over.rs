//! Takes the readings of a loose part over into those of a build. What the build says itself counts; the other is kept to
//! compare it with.

use super::files::moved;
use super::{Reading, Readings, Slot};
use rustc_hash::FxHashMap;

/// A slot that a build and the part it took over both have readings in.
#[derive(Clone, Debug)]
pub struct MeasuredAgain {
    /// The slot.
    pub slot: usize,
    /// The part's readings; their places are in the part's file.
    pub before: Vec<Reading>,
}

impl Readings {
    /// Takes over everything measured of a part, from readings in the same slots of the same book. Gives what the build
    /// measured again, in the order of the slots.
    pub fn take_over(&mut self, part: &Readings) -> Vec<MeasuredAgain> {
        self.take_over_slots(part, 0..part.slots.len())
    }

    /// The same of some slots alone.
    pub fn take_over_slots(&mut self, part: &Readings, slots: impl IntoIterator<Item = usize>) -> Vec<MeasuredAgain> {
        let mut again = Vec::new();
        let Some(base) = self.taken_over.add(&self.source, part.source.clone()) else { return again };
        let mut gauges: FxHashMap<u16, Option<u16>> = FxHashMap::default();
        for slot in slots {
            let Some(theirs) = part.slots.get(slot) else { continue };
            let ours = self.slots.get(slot).copied().unwrap_or(Slot::Absent);
            let (first, count, aside) = match *theirs {
                Slot::Absent => continue,
                Slot::Taken { first, count } => (first, count, false),
                Slot::SetAside { first, count } => (first, count, true),
                Slot::Unknown(span) | Slot::Unusable(span) => {
                    if matches!(ours, Slot::Absent) {
                        let span = moved(span, base);
                        let unknown = matches!(theirs, Slot::Unknown(_));
                        self.set(slot, if unknown { Slot::Unknown(span) } else { Slot::Unusable(span) });
                        if let Some((_, note)) = part.unknown_because.iter().find(|(other, _)| *other == slot) {
                            self.unknown_because.push((slot, note.clone()));
                        }
                    }
                    continue;
                }
            };
            let taken = part.taken.get(first as usize..(first + count) as usize).unwrap_or(&[]);
            let readings: Vec<Reading> = taken
                .iter()
                .map(|reading| {
                    let gauge = reading
                        .gauge
                        .and_then(|number| *gauges.entry(number).or_insert_with(|| self.gauge_of_part(part, number)));
                    at(reading, base, gauge)
                })
                .collect();
            if !matches!(ours, Slot::Absent) {
                if matches!(ours, Slot::Taken { .. } | Slot::SetAside { .. }) {
                    again.push(MeasuredAgain { slot, before: readings });
                }
                continue;
            }
            let begin = self.taken.len();
            if readings.iter().any(Reading::is_confirmed) {
                self.confirmed.push(slot);
            }
            if readings.len() > 1 {
                self.several.push(slot);
            }
            self.taken.extend(readings);
            if let Ok(first) = u32::try_from(begin) {
                self.set(slot, if aside { Slot::SetAside { first, count } } else { Slot::Taken { first, count } });
                self.are_set_aside |= aside;
            }
        }
        again
    }

    /// Whether another part says the same in a slot, so that every row comes to the same with it. `false` if that is not known: of
    /// readings that say more than a value and a gauge.
    #[must_use]
    pub fn says_the_same(&self, other: &Readings, slot: usize) -> bool {
        let kind = |readings: &Readings| readings.slots.get(slot).map(std::mem::discriminant);
        if kind(self) != kind(other) {
            return false;
        }
        let gauge = |readings: &Readings, reading: &Reading| {
            readings.gauge_of(reading).map(|gauge| (gauge.name.clone(), gauge.place.clone()))
        };
        let same = |(one, two): (&Reading, &Reading)| {
            one.detail.is_none()
                && two.detail.is_none()
                && one.datum == two.datum
                && (one.gauge.is_none() && two.gauge.is_none() || gauge(self, one) == gauge(other, two))
        };
        let alike = |one: &[Reading], two: &[Reading]| one.len() == two.len() && one.iter().zip(two).all(same);
        alike(self.taken(slot), other.taken(slot)) && alike(self.aside(slot), other.aside(slot))
    }

    fn set(&mut self, slot: usize, what: Slot) {
        if let Some(entry) = self.slots.get_mut(slot) {
            *entry = what;
        }
    }

    /// The number here of a gauge of a part: the same entry of the same list is one gauge, and its error is shared.
    fn gauge_of_part(&mut self, part: &Readings, number: u16) -> Option<u16> {
        let gauge = part.gauges.get(usize::from(number))?;
        let known = self.gauges.iter().position(|known| known.name == gauge.name && known.place == gauge.place);
        let at = known.unwrap_or_else(|| {
            self.gauges.push(gauge.clone());
            self.gauges.len() - 1
        });
        u16::try_from(at).ok()
    }
}

/// A reading whose places are in a file whose first byte has this number.
fn at(reading: &Reading, base: u32, gauge: Option<u16>) -> Reading {
    let mut reading = reading.clone();
    reading.span = moved(reading.span, base);
    reading.gauge = gauge;
    if let Some(detail) = &mut reading.detail {
        let temperatures =
            detail.warmth.as_mut().map(|warmth| [&mut warmth.part_temperature, &mut warmth.gauge_temperature]);
        for temperature in detail.temperature.iter_mut().chain(temperatures.into_iter().flatten()) {
            temperature.span = moved(temperature.span, base);
        }
        if let Some(confirmed) = &mut detail.confirmed {
            confirmed.span = moved(confirmed.span, base);
        }
    }
    reading
}
