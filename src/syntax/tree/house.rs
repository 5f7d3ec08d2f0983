//! The tree of what a shop adds: its house tolerances, and the examples a book carries with it.

use super::{Name, Path, RangeLine, Row, RowWord, Words};
use crate::quantity::{Date, Number};
use crate::syntax::tree::Expr;
use crate::text::Span;

/// `house "NAME" { … }`.
#[derive(Clone, Debug)]
pub struct HouseDeclaration {
    /// The shop.
    pub name: Words,
    /// What is inside.
    pub members: Vec<HouseMember>,
    /// All of it.
    pub span: Span,
}

/// What may stand inside a house.
#[derive(Clone, Debug)]
pub enum HouseMember {
    /// `judge by …`.
    Judge(JudgeDeclaration),
    /// `gauges at least RATIO`: how many times the uncertainty a range must be wide.
    Gauges {
        /// The ratio.
        ratio: Expr,
        /// All of it.
        span: Span,
    },
    /// `for G … { … }`; `retire PATH for G …` is one with a single overlay.
    For(ForDeclaration),
}

/// `judge by simple acceptance`, `judge by guard band [FACTOR [U]]`.
#[derive(Clone, Debug)]
pub struct JudgeDeclaration {
    /// Which.
    pub rule: DecisionRule,
    /// All of it.
    pub span: Span,
}

/// The decision rules a house may name.
#[derive(Clone, Debug)]
pub enum DecisionRule {
    /// The value decides.
    SimpleAcceptance,
    /// Inside by the factor times the uncertainty.
    GuardBand(Option<Number>),
}

/// `for G, H [from DATE] [to DATE] [where CONDITION] { … }`.
#[derive(Clone, Debug)]
pub struct ForDeclaration {
    /// For which records.
    pub scope: Scope,
    /// What changes for them.
    pub overlays: Vec<Overlay>,
    /// Plausible ranges that are narrower for them.
    pub narrowed: Vec<RangeLine>,
    /// All of it.
    pub span: Span,
}

/// `for G, H [from DATE] [to DATE] [where CONDITION]`.
#[derive(Clone, Debug)]
pub struct Scope {
    /// The generations, or bases that others follow.
    pub generations: Vec<Name>,
    /// The first day.
    pub from: Option<(Date, Span)>,
    /// The last day.
    pub to: Option<(Date, Span)>,
    /// On which builds.
    pub condition: Option<Expr>,
    /// All of it.
    pub span: Span,
}

/// One line inside a `for`.
#[derive(Clone, Debug)]
pub struct Overlay {
    /// What it does.
    pub kind: OverlayKind,
    /// The word that says so.
    pub word: Span,
    /// The row it does it to, or adds.
    pub row: Row,
}

/// What a house may do to a row.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum OverlayKind {
    /// Allow less.
    Tighten,
    /// Allow more.
    Loosen,
    /// Judge what was not judged.
    Add,
    /// Make an advisory row binding.
    Adopt,
    /// Judge by it no more.
    Retire,
}

impl OverlayKind {
    /// The word in a book.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            OverlayKind::Tighten => "tighten",
            OverlayKind::Loosen => "loosen",
            OverlayKind::Add => "add",
            OverlayKind::Adopt => "adopt",
            OverlayKind::Retire => "retire",
        }
    }
}

/// `try "TITLE" { … }`: an example that a book carries with it.
#[derive(Clone, Debug)]
pub struct TryDeclaration {
    /// What it shows.
    pub title: Words,
    /// What is inside.
    pub members: Vec<TryMember>,
    /// All of it.
    pub span: Span,
}

/// What may stand inside a try.
#[derive(Clone, Debug)]
pub enum TryMember {
    /// `generation NAME`.
    Generation(Name),
    /// `finished DATE`.
    Finished(Date, Span),
    /// `PATH = VALUE, VALUE`.
    Given {
        /// The reading.
        path: Path,
        /// Its values, each as written.
        values: Vec<Name>,
        /// All of it.
        span: Span,
    },
    /// `expect [each of …] PATH [outer limit] is [not] GRADE or GRADE`.
    Expect {
        /// Which of several values, if the path leads to several.
        word: Option<(RowWord, Span)>,
        /// The characteristic whose row is meant.
        path: Path,
        /// Whether its outer limit is meant.
        outer: bool,
        /// Whether `not` stands after `is`.
        negated: bool,
        /// The grades.
        grades: Vec<Name>,
        /// All of it.
        span: Span,
    },
}
