//! The tree of a value, a condition or a range: what is written, not yet what it means.

use super::{Name, Path, UnitName};
use crate::quantity::Number;
use crate::text::Span;

/// A value or a condition.
#[derive(Clone, Debug)]
pub struct Expr {
    /// What it is.
    pub kind: ExprKind,
    /// All of it.
    pub span: Span,
}

/// The forms of a value or a condition.
#[derive(Clone, Debug)]
pub enum ExprKind {
    /// `3`, `0.05`.
    Number(Number),
    /// `0.05 mm`.
    Quantity(Number, UnitName),
    /// `9.0 : 1`.
    Ratio(Number, Number),
    /// `yes` or `no`.
    YesNo(bool),
    /// A characteristic, constant, parameter, class letter or choice.
    Path(Path),
    /// `sqrt(x)`, `chamber_displacement(e, r, b)`.
    Call {
        /// The function or formula.
        name: Name,
        /// What it is given.
        arguments: Vec<Expr>,
    },
    /// `smallest of housing.width`, `smallest of (a, b)`.
    Collect {
        /// Which.
        collector: Collector,
        /// The word itself, `of` included.
        word: Span,
        /// One path to several values, or a list of values.
        of: Vec<Expr>,
    },
    /// `-x`.
    Negate(Box<Expr>),
    /// `not x`.
    Not(Box<Expr>),
    /// `a + b`, `a and b`.
    Binary {
        /// Which.
        operator: Operator,
        /// The operator itself.
        operator_span: Span,
        /// Left of it.
        left: Box<Expr>,
        /// Right of it.
        right: Box<Expr>,
    },
    /// `x ^ 2`.
    Power {
        /// What is raised.
        base: Box<Expr>,
        /// To which power, 0 to 9.
        exponent: u8,
    },
    /// `x at least 3 mm`, `casting is early`, `casting is not early`.
    Test {
        /// What is tested.
        subject: Box<Expr>,
        /// Whether `not` stands after `is`.
        negated: bool,
        /// What it must be in.
        range: Box<Range>,
    },
}

/// Arithmetic and logic between two values.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum Operator {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `and`
    And,
    /// `or`
    Or,
}

/// What makes one value of several.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum Collector {
    /// `smallest of`
    Smallest,
    /// `largest of`
    Largest,
    /// `mean of`
    Mean,
    /// `spread of`: largest less smallest; on a class, steps apart
    Spread,
    /// `sum of`
    Sum,
    /// `count of`
    Count,
}

impl Collector {
    /// Every collector, in the order they are offered.
    pub const ALL: [Collector; 6] =
        [Collector::Smallest, Collector::Largest, Collector::Mean, Collector::Spread, Collector::Sum, Collector::Count];

    /// The word that stands before `of`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Collector::Smallest => "smallest",
            Collector::Largest => "largest",
            Collector::Mean => "mean",
            Collector::Spread => "spread",
            Collector::Sum => "sum",
            Collector::Count => "count",
        }
    }
}

/// What a value may be.
#[derive(Clone, Debug)]
pub struct Range {
    /// Which form.
    pub kind: RangeKind,
    /// All of it.
    pub span: Span,
}

/// The forms of a range.
#[derive(Clone, Debug)]
pub enum RangeKind {
    /// `A to B`, both ends included.
    Between(Expr, Expr),
    /// `at least A`, A included.
    AtLeast(Expr),
    /// `at most A`, A included.
    AtMost(Expr),
    /// `above A`, A not included.
    Above(Expr),
    /// `below A`, A not included.
    Below(Expr),
    /// `exactly A`.
    Exactly(Expr),
    /// `A ± B`.
    PlusMinus(Expr, Expr),
    /// `A +B -C`.
    Tolerance {
        /// The size.
        size: Expr,
        /// What may be added: `+0.02` or `-0.01`, sign included in the value.
        first: Expr,
        /// The other deviation, sign included.
        second: Expr,
    },
    /// `43 mm H7`: a size and its tolerance class, as ISO 286-1 writes them.
    Fit {
        /// The nominal size.
        size: Expr,
        /// The class: letters and grade.
        class: Name,
    },
    /// `cast or machined`, `yes`: one of these names.
    Names(Vec<Name>),
    /// `not cast`, `not cast or machined`: none of these names.
    NotNames(Vec<Name>),
    /// `all the same across PART`.
    AllTheSame {
        /// The part.
        across: Path,
    },
}
