//! The tree of figures in rows: functions given by points, and the tables of tolerance classes.

use super::{Expr, Name, Parameter, TypeName, Words};
use crate::text::Span;

/// `table NAME(NAME: TYPE) : TYPE = X: Y, X: Y[, held]`.
#[derive(Clone, Debug)]
pub struct TableDeclaration {
    /// Its name.
    pub name: Name,
    /// What it takes.
    pub parameter: Parameter,
    /// What it gives.
    pub result: TypeName,
    /// Its points, as written: literals.
    pub points: Vec<(Expr, Expr)>,
    /// Where `held` stands: outside its ends the end's value holds.
    pub held: Option<Span>,
    /// All of it.
    pub span: Span,
}

/// `fits "SOURCE" { … }`.
#[derive(Clone, Debug)]
pub struct FitsDeclaration {
    /// Where the figures come from.
    pub title: Words,
    /// What is inside.
    pub members: Vec<FitsMember>,
    /// All of it.
    pub span: Span,
}

/// What may stand inside fits. Figures are literals; the unit of the last serves all.
#[derive(Clone, Debug)]
pub enum FitsMember {
    /// `sizes 3, 6, 10 mm`: each row of the tables is over the size before and up to and including this one.
    Sizes {
        /// The upper ends.
        figures: Vec<Expr>,
        /// All of it.
        span: Span,
    },
    /// `grade 7 = 10, 12, 15 um`: the widths of a tolerance grade.
    Grade {
        /// The number of the grade.
        grade: (u16, Span),
        /// One for each size.
        figures: Vec<Expr>,
        /// All of it.
        span: Span,
    },
    /// `shaft g = -2, -4, -5 um`, `hole K grade 5 to 8 = …`: fundamental deviations.
    Deviations {
        /// Whether it is for holes.
        hole: bool,
        /// The letters.
        letters: Name,
        /// The grades it holds for; all, if not said.
        grades: Option<(u16, u16)>,
        /// One for each size.
        figures: Vec<Expr>,
        /// All of it.
        span: Span,
    },
}
