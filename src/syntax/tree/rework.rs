//! The tree of operations: what a shop can do to a reading or a part. Refuses to know what they put right.

use super::{Expr, Name, Path, Texts};
use crate::text::Span;

/// `[replace] rework NAME : PATH ACTION [, PATH follows [by N]]… [{ texts }]`.
#[derive(Clone, Debug)]
pub struct ReworkLine {
    /// Where `replace` stands, if it does.
    pub replace: Option<Span>,
    /// The operation's name.
    pub name: Name,
    /// The reading it changes, or the part it replaces.
    pub path: Path,
    /// What it does.
    pub action: ReworkAction,
    /// Readings that change with it.
    pub followers: Vec<Follower>,
    /// Why, what to do, what to mind, where it comes from.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// What an operation does.
#[derive(Clone, Debug)]
pub enum ReworkAction {
    /// `less [by at most WIDTH]`, or `more`.
    Change {
        /// Whether the reading becomes more.
        more: bool,
        /// The most it may change by.
        most: Option<Expr>,
        /// From the word to its end.
        span: Span,
    },
    /// `from FIRST to LAST, step STEP`: another one of a set of sizes.
    Sizes {
        /// The smallest size.
        first: Expr,
        /// The largest size.
        last: Expr,
        /// From one size to the next.
        step: Expr,
        /// From the word to its end.
        span: Span,
    },
    /// `replaced`.
    Replaced(Span),
}

/// `PATH follows [by N]`.
#[derive(Clone, Debug)]
pub struct Follower {
    /// The reading that changes too.
    pub path: Path,
    /// How many times as much it changes; not known if not said.
    pub by: Option<Expr>,
    /// All of it.
    pub span: Span,
}
