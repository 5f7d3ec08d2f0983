//! Which row a shop's change is of: by its path, its word, and its `where`. Refuses to change it.

use super::check::Checker;
use super::compile::Draft;
use super::{Expression, Generation, Row, rows, satisfy, wording_house};
use crate::syntax::tree::{Overlay, OverlayKind};
use crate::text::Source;
use std::sync::Arc;

impl Draft {
    /// Whether a change leaves out the word its row is declared with, such as `smallest of`: then it is told which there are.
    pub(super) fn word_missing(&mut self, generation: &Generation, overlay: &Overlay, source: &Source) -> bool {
        if overlay.row.word.is_some() || overlay.kind == OverlayKind::Add {
            return false;
        }
        // What is wrong with the path itself is said where the row is checked.
        let mut unsaid = Vec::new();
        let mut checker =
            Checker { book: &self.book, source, part: self.book.root(), parameters: &[], findings: &mut unsaid };
        let Some(subject) = checker.subject(&overlay.row.path) else { return false };
        if !rows::is_many(self.book.characteristics.get(subject.characteristic), &subject) {
            return false;
        }
        let declared: Vec<&Row> = generation
            .rows
            .iter()
            .filter(|row| row.subject.characteristic == subject.characteristic && row.word.is_some())
            .map(|row| &**row)
            .collect();
        if declared.is_empty() {
            return false;
        }
        let finding = wording_house::word_missing(overlay.kind, &declared, source.place(overlay.row.path.span));
        self.findings.push(finding);
        true
    }

    /// The row a change is of.
    pub(super) fn target(
        &mut self,
        (generation, near): (&Generation, &[usize]),
        overlay: &Overlay,
        row: &Row,
        source: &Source,
    ) -> Option<usize> {
        let near: Vec<(usize, &Row)> = near.iter().filter_map(|at| Some((*at, &**generation.rows.get(*at)?))).collect();
        let about: Vec<&(usize, &Row)> = near.iter().filter(|(_, other)| other.is_on_same(row)).collect();
        let same = |one: &Option<Arc<Expression>>, other: &Option<Arc<Expression>>| match (one, other) {
            (Some(one), Some(other)) => satisfy::same(one, other),
            (None, None) => true,
            _ => false,
        };
        let chosen: Vec<usize> = about
            .iter()
            .filter(|(_, other)| row.condition.is_none() || same(&other.condition, &row.condition))
            .map(|(at, _)| *at)
            .collect();
        let word = source.place(overlay.word);
        match chosen.as_slice() {
            [one] => Some(*one),
            [] => {
                let near: Vec<&Row> = near.iter().map(|(_, other)| *other).collect();
                self.findings.push(wording_house::nothing_there(overlay.kind, row, generation, &near, word));
                None
            }
            _ => {
                let rows: Vec<&Row> = about.iter().map(|(_, other)| *other).collect();
                self.findings.push(wording_house::several_there(overlay.kind, row, &rows, word));
                None
            }
        }
    }
}
