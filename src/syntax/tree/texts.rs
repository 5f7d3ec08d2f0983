//! Sentences between braces, where numbers come from, and the sources that are declared for it.

use super::{Name, Words};
use crate::text::Span;

/// `source NAME "CITATION" [GRADE]`.
#[derive(Clone, Debug)]
pub struct SourceDeclaration {
    /// The short name rows use.
    pub name: Name,
    /// Author, title, edition, clause.
    pub citation: Words,
    /// How far it may be trusted, if that is said.
    pub grade: Option<SourceGrade>,
    /// All of it.
    pub span: Span,
}

/// How far a source may be trusted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SourceGrade {
    /// A text of the maker.
    Maker,
    /// A text or page of the trade.
    Trade,
    /// A forum, a mailing list or a blog.
    Forum,
    /// A standard, a textbook or a table of reference.
    Reference,
}

impl SourceGrade {
    /// The word that books write.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            SourceGrade::Maker => "maker",
            SourceGrade::Trade => "trade",
            SourceGrade::Forum => "forum",
            SourceGrade::Reference => "reference",
        }
    }
}

/// Sentences that may stand at a row, a reading, a derivation or a constant.
#[derive(Clone, Debug, Default)]
pub struct Texts {
    /// Why.
    pub because: Option<Words>,
    /// What to do.
    pub remedy: Option<Words>,
    /// What can hurt someone or cannot be put back.
    pub caution: Option<Words>,
    /// How it is measured; after a reading only.
    pub measure: Option<Words>,
    /// Where it comes from.
    pub from: Option<From>,
    /// Where the standard comes from; after a row only.
    pub standard_from: Option<From>,
    /// Where the limit comes from; after a row only.
    pub limit_from: Option<From>,
}

impl Texts {
    /// All that is said about where numbers come from.
    pub fn sources(&self) -> impl Iterator<Item = &From> {
        [&self.from, &self.standard_from, &self.limit_from].into_iter().flatten()
    }
}

/// `from NAME ["where"]`, `from common practice`, `from memory`; of one tier after `standard` or `limit`.
#[derive(Clone, Debug)]
pub struct From {
    /// Which.
    pub kind: FromKind,
    /// Table, page or clause.
    pub detail: Option<Words>,
    /// All of it.
    pub span: Span,
}

/// The kinds of provenance.
#[derive(Clone, Debug)]
pub enum FromKind {
    /// A declared source.
    Source(Name),
    /// A fact of the trade with no single source.
    CommonPractice,
    /// From memory, not verified.
    Memory,
}
