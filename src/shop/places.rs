//! Where a loose part of some kind could go: each place of each generation, with the rows that lie within the part there.

use super::Shop;
use crate::blank::PlaceAsked;
use crate::book::{Generation, Id, Part};
use crate::loose::Scope;

impl Shop {
    /// The places of a part with all that is inside it: of one generation, or of every one that has it.
    #[must_use]
    pub fn places_of(&self, part: Id<Part>, generation: Option<Id<Generation>>) -> Vec<PlaceAsked<'_>> {
        let inside: Vec<Id<Part>> = self.book.parts.ids().filter(|id| self.book.is_inside(*id, part)).collect();
        let generations = self.book.generations.ids().filter(|id| generation.is_none_or(|one| one == *id));
        let mut places = Vec::new();
        for id in generations {
            let (Some(plan), Some(leaves)) = (self.plan(id), self.leaves(id)) else { continue };
            for positions in self.book.instances(part, self.book.generations.get(id)) {
                let scope = Scope::new(&self.book, (plan, leaves), (part, &inside), &positions);
                places.push(PlaceAsked { plan, positions, within: scope.within });
            }
        }
        places
    }
}
