//! Parts that say the same where a row looks come to the same, and are judged once. Refuses to judge them.

use super::evaluate::{Choice, Place};
use crate::bind::Readings;
use crate::plan::SlotSet;
use rustc_hash::FxHashMap;

/// The class of each part at a place, for some rows: parts of one class have the same readings in every slot the rows rest on.
pub(super) type Classes = Vec<u32>;

/// What the parts say in the slots of the places, told apart once for all rows.
pub(super) struct Sayings<'a> {
    places: &'a [Place],
    choices: &'a [Choice],
    of_slot: FxHashMap<(usize, usize), Classes>,
}

impl<'a> Sayings<'a> {
    pub(super) fn new(places: &'a [Place], choices: &'a [Choice]) -> Sayings<'a> {
        Sayings { places, choices, of_slot: FxHashMap::default() }
    }

    /// The slots of a place among some, in order.
    pub(super) fn slots(&self, place: usize, leaves: &SlotSet) -> Vec<usize> {
        let own = self.places.get(place).map(|place| &place.slots);
        leaves.slots().into_iter().filter(|slot| own.is_some_and(|own| own.has(*slot))).collect()
    }

    /// The classes of the parts at a place for rows that rest on some slots of it.
    pub(super) fn classes(&mut self, place: usize, slots: &[usize]) -> Classes {
        for slot in slots {
            if !self.of_slot.contains_key(&(place, *slot)) {
                let classes = self.told_apart(place, *slot);
                self.of_slot.insert((place, *slot), classes);
            }
        }
        let each: Vec<&Classes> = slots.iter().filter_map(|slot| self.of_slot.get(&(place, *slot))).collect();
        numbered(
            (0..self.choices.len())
                .map(|part| -> Vec<u32> { each.iter().filter_map(|classes| classes.get(part).copied()).collect() }),
        )
    }

    /// The parts told apart by one slot: what lies in it, and whether a reading missing there has to be taken.
    fn told_apart(&self, place: usize, slot: usize) -> Classes {
        let mut known: Vec<(&Readings, bool)> = Vec::new();
        let class = |choice: &'a Choice| {
            let Some(Some(readings)) = choice.at.get(place) else { return u32::MAX };
            let with = choice.with.get(place).is_some_and(|with| with.has(slot));
            let same = |(other, has): &(&Readings, bool)| *has == with && readings.says_the_same(other, slot);
            let at = known.iter().position(same).unwrap_or_else(|| {
                known.push((readings, with));
                known.len() - 1
            });
            u32::try_from(at).unwrap_or(u32::MAX)
        };
        self.choices.iter().map(class).collect()
    }
}

/// Lists told apart by what they hold, each with the number of those like it.
fn numbered(lists: impl Iterator<Item = Vec<u32>>) -> Classes {
    let mut known: FxHashMap<Vec<u32>, u32> = FxHashMap::default();
    lists
        .map(|list| {
            let next = u32::try_from(known.len()).unwrap_or(u32::MAX);
            *known.entry(list).or_insert(next)
        })
        .collect()
}
