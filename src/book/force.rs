//! What force a row has: it binds, it advises, or no concession lets it through. Refuses to know its range.

use super::compile::Draft;
use super::wording_rows;
use crate::finding::Finding;
use crate::syntax::tree;
use crate::text::Source;

impl Draft {
    /// What is wrong with the words of a row that say its force: an outer limit binds, and so does a row that is never excused.
    pub(super) fn force_contradicted(row: &tree::Row, path: &str, source: &Source) -> Option<Finding> {
        let advisory = row.advisory?;
        let (word, binding) = match (row.outer, row.never_excused) {
            (Some(outer), _) => ("outer limit", outer),
            (None, Some(never)) => ("never excused", never),
            (None, None) => return None,
        };
        Some(wording_rows::force_contradicted(path, word, source.place(advisory), source.place(binding)))
    }
}
