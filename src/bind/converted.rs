//! Readings as they would be if a mechanic had converted them on paper first. Refuses to know what that changes.

use super::{Reading, Readings};
use crate::book::{Book, Datum};
use crate::quantity::{Number, Unit, Value};

impl Readings {
    /// The same readings, each of the unit's dimension whose own unit `is_foreign` converted to that unit and rounded to so many
    /// decimals, half to even; `None` if no reading changes. A length brought to 20 °C stays as it is.
    #[must_use]
    pub fn converted(
        &self,
        book: &Book,
        (unit, decimals): (&Unit, u8),
        is_foreign: impl Fn(&Unit) -> bool,
    ) -> Option<Readings> {
        let mut taken = self.taken.clone();
        let mut changed = false;
        for reading in &mut taken {
            let Datum::Quantity(value) = &reading.datum else { continue };
            let Some(written) = self.written_in(book, reading) else { continue };
            if reading.warmth().is_some() || written.dimension != unit.dimension || !is_foreign(&written) {
                continue;
            }
            if let Some(rounded) = rounded(value, unit, decimals) {
                changed |= rounded != *value;
                reading.datum = Datum::Quantity(rounded);
            }
        }
        changed.then(|| Readings {
            build: self.build.clone(),
            finished: self.finished,
            finished_span: self.finished_span,
            judged_on: self.judged_on,
            generation: self.generation,
            generation_span: self.generation_span,
            is_part: self.is_part,
            gauges: self.gauges.clone(),
            concessions: self.concessions.clone(),
            slots: self.slots.clone(),
            taken,
            several: self.several.clone(),
            are_set_aside: self.are_set_aside,
            confirmed: self.confirmed.clone(),
            unknown_because: self.unknown_because.clone(),
            source: self.source.clone(),
            taken_over: self.taken_over.clone(),
        })
    }

    /// The unit a reading is written in, where it is one number and one unit.
    #[must_use]
    pub fn written_in(&self, book: &Book, reading: &Reading) -> Option<Unit> {
        let written = self.slice(reading.span);
        let bare = || book.units.quantity(written.trim_matches(['"', '\'', ' ']));
        book.units.quantity(written).or_else(bare).map(|(_, unit)| unit.into_owned())
    }
}

/// A value as it stands in a unit with so many decimals, half to even; `None` if it has no exact number there.
#[must_use]
pub fn rounded(value: &Value, unit: &Unit, decimals: u8) -> Option<Value> {
    let step = Number::ratio(1, 10_i64.checked_pow(u32::from(decimals))?)?;
    Some(unit.to_base(&unit.from_base(value).is_exact_rational()?.round_to(&step)?))
}
