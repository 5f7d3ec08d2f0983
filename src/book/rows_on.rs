//! Which rows are on which characteristic, so that among ten thousand rows those of one are found at once. Refuses to know
//! what a row says.

use super::{Characteristic, Id};

/// The numbers of rows by their characteristic, each list in the order of the rows. Generations are many and follow one another
/// with all their rows, so it takes two blocks of memory, however many characteristics there are.
pub(super) struct RowsOn {
    /// For each characteristic, its first row and its last one.
    ends: Vec<Option<(usize, usize)>>,
    /// For each row, the next one on the same characteristic.
    next: Vec<Option<usize>>,
}

impl RowsOn {
    /// The rows on these characteristics, of a book that has so many.
    pub(super) fn new(count: usize, rows: impl ExactSizeIterator<Item = Id<Characteristic>>) -> RowsOn {
        let mut rows_on = RowsOn { ends: vec![None; count], next: Vec::with_capacity(rows.len()) };
        rows.for_each(|characteristic| rows_on.push(characteristic));
        rows_on
    }

    /// Takes in one more row.
    pub(super) fn push(&mut self, characteristic: Id<Characteristic>) {
        let number = self.next.len();
        self.next.push(None);
        let Some(ends) = self.ends.get_mut(characteristic.index()) else { return };
        let first = match *ends {
            Some((first, last)) => {
                if let Some(next) = self.next.get_mut(last) {
                    *next = Some(number);
                }
                first
            }
            None => number,
        };
        *ends = Some((first, number));
    }

    /// The rows on a characteristic.
    pub(super) fn of(&self, characteristic: Id<Characteristic>) -> impl Iterator<Item = usize> {
        let first = self.ends.get(characteristic.index()).copied().flatten().map(|(first, _)| first);
        std::iter::successors(first, |number| self.next.get(*number).copied().flatten())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::{book, syntax, text::Source};

    #[test]
    fn rows_are_found_by_their_characteristic_in_their_order() {
        let text = "rulebook \"Small\" edition 2026-03-01\npart lot {\n a : number\n b : number\n c : number\n d : number\n}\n";
        let (book, _) = book::compile(&[syntax::parse(&Source::new("small.rulebook", text)).0]);
        let ids: Vec<Id<Characteristic>> = book.characteristics.ids().collect();
        assert_eq!(ids.len(), 4);
        let rows = [2, 0, 2, 2, 3, 0].map(|at| ids[at]);
        let mut rows_on = RowsOn::new(ids.len(), rows[..4].iter().copied());
        rows[4..].iter().for_each(|id| rows_on.push(*id));
        let found: Vec<Vec<usize>> = ids.iter().map(|id| rows_on.of(*id).collect()).collect();
        assert_eq!(found, [vec![1, 5], vec![], vec![0, 2, 3], vec![4]]);
    }
}
