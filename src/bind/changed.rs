//! A record's readings with some of them other than written: what they would be. Refuses to change the record.

use super::{Reading, Readings, Slot};
use crate::book::Datum;
use crate::text::Span;

impl Readings {
    /// The same readings, those of some slots changed: each with its new values in the order written, or with none to
    /// count as not measured. A slot that was empty takes the values as readings that stand nowhere.
    #[must_use]
    pub fn with_values(&self, changes: &[(usize, Vec<Datum>)]) -> Readings {
        let mut changed = self.clone();
        for (slot, data) in changes {
            changed.put(*slot, data);
        }
        changed
    }

    fn put(&mut self, slot: usize, data: &[Datum]) {
        let before = self.slots.get(slot).copied();
        let instead = match before {
            None => return,
            _ if data.is_empty() => Slot::Absent,
            Some(Slot::Taken { first, count }) if count as usize == data.len() => {
                let readings = self.taken.get_mut(first as usize..(first + count) as usize);
                for (reading, datum) in readings.into_iter().flatten().zip(data) {
                    reading.datum = datum.clone();
                }
                return;
            }
            Some(_) => {
                let (Ok(first), Ok(count)) = (u32::try_from(self.taken.len()), u32::try_from(data.len())) else {
                    return;
                };
                let nowhere =
                    |datum: &Datum| Reading { datum: datum.clone(), span: Span::default(), gauge: None, detail: None };
                self.taken.extend(data.iter().map(nowhere));
                Slot::Taken { first, count }
            }
        };
        if let Some(entry) = self.slots.get_mut(slot) {
            *entry = instead;
        }
        if matches!(instead, Slot::Absent) {
            self.several.retain(|other| *other != slot);
            self.confirmed.retain(|other| *other != slot);
        }
    }
}
