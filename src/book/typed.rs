//! Names as a record may write them: in capitals or small letters, where only one fits. Refuses to choose between two.

use super::{Book, Characteristic, Generation, Id, Member, NameSet, Part};
use crate::text::{named_alike, same_letters};

impl NameSet {
    /// The number of a name as a record may write it: capitals or small letters, where only one name fits.
    #[must_use]
    pub fn number_typed(&self, name: &str) -> Option<u16> {
        self.number(name).or_else(|| {
            let at = only(self.names.iter().enumerate().filter(|(_, other)| same_letters(other, name)))?.0;
            u16::try_from(at).ok()
        })
    }
}

impl Part {
    /// What is inside by a name, in other capitals where only one fits.
    #[must_use]
    pub fn member_typed(&self, name: &str) -> Option<Member> {
        let alike = || named_alike(self.members.iter(), name, |(member, _)| member).map(|(_, member)| *member);
        self.member_by_name.get(name).copied().or_else(alike)
    }

    /// The number of a position by its name, in other capitals where only one fits.
    #[must_use]
    pub fn position_typed(&self, name: &str) -> Option<u16> {
        let alike = || {
            named_alike(self.positions.iter().enumerate(), name, |(_, position)| position)
                .and_then(|(at, _)| u16::try_from(at).ok())
        };
        self.position_by_name.get(name).copied().or_else(alike)
    }
}

impl Characteristic {
    /// The number of a station by its name, in other capitals where only one fits.
    #[must_use]
    pub fn station_typed(&self, name: &str) -> Option<u16> {
        let (at, _) = named_alike(self.stations().iter().enumerate(), name, |(_, station)| station)?;
        u16::try_from(at).ok()
    }
}

impl Book {
    /// The generation a record may mean by a name: one of that name, else the only one a record may have with these letters,
    /// capitals or small.
    #[must_use]
    pub fn generation_typed(&self, name: &str) -> Option<Id<Generation>> {
        self.generation(name).or_else(|| {
            let fits = |(_, generation): &(Id<Generation>, &Generation)| {
                !generation.basis && same_letters(&generation.name, name)
            };
            only(self.generations.entries().filter(fits)).map(|(id, _)| id)
        })
    }
}

/// The only one there is; `None` of none and of several.
fn only<T>(mut all: impl Iterator<Item = T>) -> Option<T> {
    let first = all.next()?;
    all.next().is_none().then_some(first)
}
