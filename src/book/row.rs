//! A rule as checked: what a characteristic may be, on which days and builds, why, and who said so.

use super::{Expression, Id, Range, Reach, Rounding};
use crate::quantity::Days;
use crate::syntax::tree::{RowWord, SourceGrade};
use crate::text::Place;
use std::sync::Arc;

/// A rule: what a characteristic may be, and why.
#[derive(Clone, Debug)]
pub struct Row {
    /// The characteristic, and which positions of its parts; [`Selector::All`](super::Selector::All) means a ruling for each.
    pub subject: Reach,
    /// How several values of one instance are dealt with.
    pub word: Option<RowWord>,
    /// As new.
    pub standard: Option<Range>,
    /// Worn as far as may be.
    pub limit: Option<Range>,
    /// What a value is rounded to before it is compared, if the row says so.
    pub rounded: Option<Rounding>,
    /// Whether it is an outer limit: it binds beside a row on the same values that may only advise, and judges by `limit`.
    pub outer: bool,
    /// Whether it is shown but never makes a build worse than worn.
    pub advisory: bool,
    /// Whether no concession lets through what it calls out.
    pub never_excused: bool,
    /// When it applies.
    pub condition: Option<Arc<Expression>>,
    /// On which days: a build is judged by the rows in force on the day it was finished.
    pub days: Days,
    /// Sentences, those of the characteristic filled in where the row has none.
    pub texts: Texts,
    /// The row's path as the book writes it.
    pub path: Box<str>,
    /// Where the row is.
    pub place: Place,
    /// Who said so: the declaration first, then each change.
    pub history: Vec<Change>,
}

impl Row {
    /// Whether another row is on the same values, and of the same sort.
    #[must_use]
    pub fn is_on_same(&self, other: &Row) -> bool {
        self.subject == other.subject && self.word == other.word && self.outer == other.outer
    }

    /// Where the limit comes from, or the standard: what is said of that tier, else what is said of the row.
    #[must_use]
    pub fn provenance(&self, limit: bool) -> Option<&Provenance> {
        let tier = if limit { &self.texts.limit_from } else { &self.texts.standard_from };
        tier.as_ref().or(self.texts.provenance.as_ref())
    }

    /// Whether something is said of one tier alone.
    #[must_use]
    pub fn has_tier_provenance(&self) -> bool {
        self.texts.standard_from.is_some() || self.texts.limit_from.is_some()
    }

    /// The words before its limit.
    #[must_use]
    pub fn limit_word(&self) -> &'static str {
        if self.outer { "outer limit" } else { "limit" }
    }
}

/// One step in the history of a row.
#[derive(Clone, Debug)]
pub struct Change {
    /// What was done.
    pub kind: ChangeKind,
    /// The generation, or the shop, whose book did it.
    pub by: Box<str>,
    /// From when to when.
    pub days: Days,
    /// Whether it made an advisory row binding.
    pub binds: bool,
    /// Whether it left out the words `never excused` of the row before it.
    pub excuses: bool,
    /// Where.
    pub place: Place,
}

/// What a book can do to a row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ChangeKind {
    /// Declared it.
    Declared,
    /// Replaced it.
    Replaced,
    /// A shop allows less.
    Tightened,
    /// A shop allows more.
    Loosened,
    /// A shop judges what was not judged.
    Added,
    /// A shop makes an advisory row binding.
    Adopted,
}

impl ChangeKind {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ChangeKind::Declared => "declared",
            ChangeKind::Replaced => "replaced",
            ChangeKind::Tightened => "tightened",
            ChangeKind::Loosened => "loosened",
            ChangeKind::Added => "added",
            ChangeKind::Adopted => "adopted",
        }
    }
}

/// Sentences that go with a row.
#[derive(Clone, Debug, Default)]
pub struct Texts {
    /// Why.
    pub because: Option<Box<str>>,
    /// What to do.
    pub remedy: Option<Box<str>>,
    /// What can hurt someone or cannot be put back.
    pub caution: Option<Box<str>>,
    /// How it is measured; said by readings.
    pub measure: Option<Box<str>>,
    /// Where it comes from; of a row, each tier that does not say its own.
    pub provenance: Option<Provenance>,
    /// Where the standard of a row comes from, if that is said.
    pub standard_from: Option<Provenance>,
    /// Where the limit of a row comes from, if that is said.
    pub limit_from: Option<Provenance>,
}

/// A source of numbers.
#[derive(Clone, Debug)]
pub struct Citation {
    /// The short name.
    pub name: Box<str>,
    /// Author, title, edition, clause.
    pub citation: Box<str>,
    /// How far it may be trusted, if its book says so.
    pub grade: Option<SourceGrade>,
    /// Whether anything says that it comes from here.
    pub named: bool,
    /// Whether another of the books uses the book it is declared in: then books that are not here may name it.
    pub in_used_book: bool,
    /// Where it is declared.
    pub place: Place,
}

/// Where a number comes from.
#[derive(Clone, Debug)]
pub enum Provenance {
    /// A declared source, and the table, page or clause.
    Source(Id<Citation>, Option<Box<str>>),
    /// A fact of the trade with no single source.
    CommonPractice(Option<Box<str>>),
    /// From memory, not verified.
    Memory(Option<Box<str>>),
    /// The shop's own tolerance, in words with its days.
    House(Box<str>),
}
