//! Lists whose numbers are typed: a number handed out by a list leads back into that list and no other.

use std::marker::PhantomData;

/// The number of an entry in a [`List`] of `T`.
pub struct Id<T> {
    number: u32,
    of: PhantomData<fn() -> T>,
}

impl<T> Id<T> {
    /// The plain number, for tables laid out beside the list.
    #[must_use]
    pub fn index(self) -> usize {
        self.number as usize
    }
}

impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.number == other.number
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.number.cmp(&other.number)
    }
}
impl<T> std::hash::Hash for Id<T> {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.number.hash(state);
    }
}
impl<T> std::fmt::Debug for Id<T> {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "#{}", self.number)
    }
}

/// A list that only grows, so that every [`Id`] it gave out stays good.
#[derive(Clone, Debug)]
pub struct List<T>(Vec<T>);

impl<T> Default for List<T> {
    fn default() -> Self {
        List(Vec::new())
    }
}

impl<T> List<T> {
    /// Adds an entry and gives its number.
    pub fn push(&mut self, entry: T) -> Id<T> {
        self.0.push(entry);
        Id { number: u32::try_from(self.0.len() - 1).unwrap_or(u32::MAX), of: PhantomData }
    }

    /// The entry of a number.
    #[must_use]
    #[allow(clippy::indexing_slicing, reason = "a list never shrinks and only it makes its numbers")]
    pub fn get(&self, id: Id<T>) -> &T {
        &self.0[id.index()]
    }

    /// The entry of a number, to change.
    #[allow(clippy::indexing_slicing, reason = "a list never shrinks and only it makes its numbers")]
    pub fn get_mut(&mut self, id: Id<T>) -> &mut T {
        &mut self.0[id.index()]
    }

    /// Every entry in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &T> + ExactSizeIterator {
        self.0.iter()
    }

    /// Every number in order.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = Id<T>> + ExactSizeIterator + use<T> {
        (0..u32::try_from(self.0.len()).unwrap_or(u32::MAX)).map(|number| Id { number, of: PhantomData })
    }

    /// Every number with its entry.
    pub fn entries(&self) -> impl DoubleEndedIterator<Item = (Id<T>, &T)> + ExactSizeIterator {
        self.ids().zip(self.iter())
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
