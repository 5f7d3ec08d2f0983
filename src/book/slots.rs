//! Which slot holds what: from a slot back to its characteristic and positions, and from a reach to its slots.

use super::{Book, Characteristic, Generation, Id, Part, Reach, Selector};

impl Book {
    /// Whether a part lies within another, however deep.
    #[must_use]
    pub fn is_inside(&self, part: Id<Part>, other: Id<Part>) -> bool {
        let mut outer = self.parts.get(part).parent;
        while let Some(id) = outer {
            if id == other {
                return true;
            }
            outer = self.parts.get(id).parent;
        }
        false
    }

    /// What a slot holds: the characteristic, the positions of its parts outermost first, the station.
    #[must_use]
    pub fn slot_owner(&self, slot: usize) -> Option<(Id<Characteristic>, Vec<u16>, Option<u16>)> {
        let (id, characteristic) =
            self.characteristics.entries().rev().find(|(_, characteristic)| characteristic.first_slot <= slot)?;
        let offset = slot - characteristic.first_slot;
        let each = characteristic.slots_each();
        let mut instance = offset / each;
        let mut positions: Vec<u16> = Vec::new();
        for part in self.parts.get(characteristic.part).positioned.iter().rev() {
            let count = self.parts.get(*part).positions.len().max(1);
            positions.push(u16::try_from(instance % count).unwrap_or(0));
            instance /= count;
        }
        positions.reverse();
        let station = (!characteristic.stations().is_empty()).then(|| u16::try_from(offset % each).unwrap_or(0));
        Some((id, positions, station))
    }

    /// The slots a reach leads to from given positions of a generation, stations innermost.
    ///
    /// # Errors
    /// The part and the position of it that the generation does not have.
    pub fn slots_reached(
        &self,
        generation: &Generation,
        reach: &Reach,
        here: &[u16],
    ) -> Result<Vec<usize>, (Id<Part>, u16)> {
        let characteristic = self.characteristics.get(reach.characteristic);
        let mut instances = vec![0_usize];
        for (id, selector) in self.parts.get(characteristic.part).positioned.iter().zip(&reach.selectors) {
            let declared = self.parts.get(*id).positions.len();
            let chosen = match selector {
                Selector::All => generation.positions(*id, declared),
                Selector::At(position) => vec![*position],
                Selector::Same(depth) => here.get(usize::from(*depth)).copied().into_iter().collect(),
            };
            if let Some(absent) = chosen.iter().find(|position| !generation.has(*id, **position)) {
                return Err((*id, *absent));
            }
            instances = instances
                .iter()
                .flat_map(|before| chosen.iter().map(move |position| before * declared + usize::from(*position)))
                .collect();
        }
        let stations = match reach.station {
            Some(station) => usize::from(station)..usize::from(station) + 1,
            None => 0..characteristic.slots_each(),
        };
        Ok(instances
            .into_iter()
            .flat_map(|instance| stations.clone().map(move |station| characteristic.slot(instance, station)))
            .collect())
    }
}
