//! Sources, and where the numbers of a row come from: the whole row, or each of its tiers. Refuses to judge a source.

use super::compile::Draft;
use super::{Citation, Provenance, Row, Texts, wording};
use crate::syntax::tree::{self, Item, SourceDeclaration, Tree};
use crate::text::Source;

impl Draft {
    /// Keeps a declared source.
    pub(super) fn source(&mut self, declared: &SourceDeclaration, trees: &[&Tree], source: &Source) {
        self.book.citations.push(Citation {
            name: declared.name.text.clone(),
            citation: declared.citation.text.clone(),
            grade: declared.grade,
            named: false,
            in_used_book: trees.iter().any(|other| uses(other, source)),
            place: source.place(declared.span),
        });
    }

    /// Where a number comes from, the source looked up.
    pub(super) fn provenance(&mut self, from: Option<&tree::From>, source: &Source) -> Option<Provenance> {
        let from = from?;
        let detail = from.detail.as_ref().map(|words| words.text.clone());
        match &from.kind {
            tree::FromKind::CommonPractice => Some(Provenance::CommonPractice(detail)),
            tree::FromKind::Memory => Some(Provenance::Memory(detail)),
            tree::FromKind::Source(name) => {
                let found = self.book.citations.entries().find(|(_, citation)| citation.name == name.text);
                let Some(id) = found.map(|(id, _)| id) else {
                    let finding = wording::source_unknown(&self.book, &name.text, source.place(name.span));
                    self.say(finding);
                    return None;
                };
                self.book.citations.get_mut(id).named = true;
                Some(Provenance::Source(id, detail))
            }
        }
    }
}

/// Whether a book uses another. Files are compared by their last names: two books of one name in two folders count as one, so
/// that nothing wrong is said of either.
fn uses(book: &Tree, other: &Source) -> bool {
    let last = |file: &str| file.rsplit(['/', '\\', ' ']).next().unwrap_or(file).to_owned();
    !book.source.is_same(other)
        && book.items.iter().any(|item| matches!(item, Item::Use(used) if last(&used.file.text) == last(other.name())))
}

/// Where a row's numbers come from once a shop has changed it: `said` has the tiers that the change names, `own` its sentences,
/// and `shop` is what stands for a change that says nothing. A tier that is not named keeps where it came from.
pub(super) fn changed(own: Texts, shop: Option<Provenance>, said: &Row, old: &Row) -> Texts {
    let Some(shop) = own.provenance.clone().or(shop) else { return own };
    let is_new = |limit: bool| if limit { said.limit.is_some() } else { said.standard.is_some() };
    let is_old = |limit: bool| if limit { old.limit.is_some() } else { old.standard.is_some() };
    let kept = |limit: bool| (is_old(limit) && !is_new(limit)).then(|| old.provenance(limit).cloned()).flatten();
    Texts {
        standard_from: own.standard_from.or_else(|| kept(false)),
        limit_from: own.limit_from.or_else(|| kept(true)),
        provenance: Some(shop),
        ..own
    }
}
