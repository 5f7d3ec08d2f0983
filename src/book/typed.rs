//! Names as a record may write them: in capitals or small letters, where only one fits. Refuses to choose between two.

use super::{Book, Generation, Id, NameSet};

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

/// Whether two names differ in capitals at most.
fn same_letters(one: &str, other: &str) -> bool {
    one.chars().flat_map(char::to_lowercase).eq(other.chars().flat_map(char::to_lowercase))
}
