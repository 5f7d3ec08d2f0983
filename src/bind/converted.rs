//! Readings as they would be if a mechanic had converted them on paper first. Refuses to know what that changes.

use super::{Reading, Readings, Slot};
use crate::book::{Book, Datum};
use crate::quantity::{Number, Unit, Value};

impl Readings {
    /// The same readings, each that is written in another unit than its book declares brought to that unit and rounded to so many
    /// decimals, half to even; none where no reading would change. A length brought to 20 °C stays as it is.
    #[must_use]
    pub fn converted(&self, book: &Book, decimals: u8) -> Option<Readings> {
        let step = Number::ratio(1, 10_i64.checked_pow(u32::from(decimals))?)?;
        let mut taken = self.taken.clone();
        let mut changed = false;
        for (number, slot) in self.slots.iter().enumerate() {
            let Slot::Taken { first, count } = slot else { continue };
            let Some((id, ..)) = book.slot_owner(number) else { continue };
            let Some(unit) = &book.characteristics.get(id).unit else { continue };
            for reading in taken.iter_mut().skip(*first as usize).take(*count as usize) {
                if let Some(value) = self.on_paper(book, reading, unit, &step) {
                    changed = true;
                    reading.datum = Datum::Quantity(value);
                }
            }
        }
        changed.then(|| Readings {
            build: self.build.clone(),
            finished: self.finished,
            judged_on: self.judged_on,
            generation: self.generation,
            gauges: self.gauges.clone(),
            concessions: self.concessions.clone(),
            slots: self.slots.clone(),
            taken,
            several: self.several.clone(),
            are_set_aside: self.are_set_aside,
            source: self.source.clone(),
        })
    }

    /// A reading's value as rounded in the book's unit; none where it is written in that unit, or rounding changes nothing.
    fn on_paper(&self, book: &Book, reading: &Reading, unit: &Unit, step: &Number) -> Option<Value> {
        let Datum::Quantity(value) = &reading.datum else { return None };
        if reading.warmth().is_some() {
            return None;
        }
        let written = self.source.slice(reading.span);
        let bare = || book.units.quantity(written.trim_matches(['"', '\'', ' ']));
        let (_, written) = book.units.quantity(written).or_else(bare)?;
        if written.size == unit.size && written.zero == unit.zero {
            return None;
        }
        let rounded = unit.from_base(value).is_exact_rational()?.round_to(step)?;
        let rounded = unit.to_base(&rounded);
        (rounded != *value).then_some(rounded)
    }
}
