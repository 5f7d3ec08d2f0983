//! Checked expressions: every name resolved, every dimension agreed.

use super::{Characteristic, Constant, Formula, Id, NameSet, Part, Table};
use crate::quantity::{Dimension, Value};
use crate::syntax::tree::{Collector, Operator};
use crate::text::Place;
use std::sync::Arc;

/// What kind of value an expression or a characteristic has.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A quantity of a dimension; a plain number has the dimension of a number.
    Quantity(Dimension),
    /// One name of a class or choice.
    Names(Id<NameSet>),
    /// Yes or no.
    YesNo,
    /// Free words, which nothing can judge.
    Text,
}

/// A checked expression. It gives one value, except directly inside [`ExpressionKind::Collect`], where a
/// [`Reach`] may give several.
#[derive(Clone, Debug)]
pub struct Expression {
    /// What it is.
    pub kind: ExpressionKind,
    /// Where it is written.
    pub place: Place,
}

impl Expression {
    /// Whether it stands in a book as it is; a shop's change puts conditions together that no one place holds.
    #[must_use]
    pub fn is_written(&self) -> bool {
        let within = |inner: &Expression| {
            inner.place.source == self.place.source
                && self.place.span.start <= inner.place.span.start
                && inner.place.span.end <= self.place.span.end
                && inner.place != self.place
        };
        match &self.kind {
            ExpressionKind::Not(inner) => within(inner) && inner.is_written(),
            ExpressionKind::Binary(_, left, right) => {
                within(left) && within(right) && left.is_written() && right.is_written()
            }
            _ => true,
        }
    }

    /// A condition as the books write it, its parts put together where they stand apart.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.kind {
            ExpressionKind::Not(inner) if !self.is_written() => format!("not ({})", inner.words()),
            ExpressionKind::Binary(operator, left, right) if !self.is_written() => {
                let word = if *operator == Operator::Or { "or" } else { "and" };
                format!("{} {word} {}", left.words(), right.words())
            }
            _ => self.place.text().split_whitespace().collect::<Vec<_>>().join(" "),
        }
    }
}

/// The forms of a checked expression.
#[derive(Clone, Debug)]
pub enum ExpressionKind {
    /// A quantity in base units.
    Quantity(Value),
    /// Yes or no.
    YesNo(bool),
    /// A name of a class or choice, by its number there.
    Name(u16),
    /// A constant of the generation.
    Constant(Id<Constant>),
    /// A parameter of the formula this stands in.
    Parameter(u16),
    /// A characteristic.
    Reach(Reach),
    /// `-x`.
    Negate(Box<Expression>),
    /// `not x`.
    Not(Box<Expression>),
    /// Arithmetic or logic between two.
    Binary(Operator, Box<Expression>, Box<Expression>),
    /// `x ^ n`.
    Power(Box<Expression>, u8),
    /// A function this program knows.
    Function(Function, Vec<Expression>),
    /// A formula of the book.
    Formula(Id<Formula>, Vec<Expression>),
    /// A function given by points.
    Table(Arc<Table>, Box<Expression>),
    /// One value of several. For a class, the values are the names' numbers.
    Collect(Collector, Vec<Expression>),
    /// Whether a value is in a range.
    Test {
        /// The value.
        subject: Box<Expression>,
        /// Whether it must be outside instead.
        negated: bool,
        /// The range.
        range: Box<Range>,
    },
}

/// Functions this program knows; everything else is a formula of a book.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Function {
    /// Square root: halves the dimension.
    SquareRoot,
    /// Sine of an angle.
    Sine,
    /// Cosine of an angle.
    Cosine,
    /// Tangent of an angle.
    Tangent,
    /// The angle of a sine.
    ArcSine,
    /// The angle of a cosine.
    ArcCosine,
    /// The angle of a tangent.
    ArcTangent,
    /// Without its sign.
    Absolute,
    /// To the nearest multiple of a step, half to even.
    Round,
    /// An angle as the plain number of radians.
    Radians,
    /// e to the power of a plain number.
    Exponential,
    /// The natural logarithm of a plain number.
    Logarithm,
    /// To so many significant digits, half to even.
    Significant,
}

impl Function {
    /// Every function, with the name a book calls it by and how many values it takes.
    pub const ALL: [(&'static str, Function, usize); 13] = [
        ("sqrt", Function::SquareRoot, 1),
        ("sin", Function::Sine, 1),
        ("cos", Function::Cosine, 1),
        ("tan", Function::Tangent, 1),
        ("asin", Function::ArcSine, 1),
        ("acos", Function::ArcCosine, 1),
        ("atan", Function::ArcTangent, 1),
        ("abs", Function::Absolute, 1),
        ("round", Function::Round, 2),
        ("radians", Function::Radians, 1),
        ("exp", Function::Exponential, 1),
        ("ln", Function::Logarithm, 1),
        ("significant", Function::Significant, 2),
    ];
}

/// The way from one part of the machine to a characteristic, maybe at several positions.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reach {
    /// What is reached.
    pub characteristic: Id<Characteristic>,
    /// One for every part with positions between the whole machine and the characteristic, outermost first.
    pub selectors: Vec<Selector>,
    /// The station, if one is named.
    pub station: Option<u16>,
}

/// Which of a part's positions a [`Reach`] means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Selector {
    /// The position that the asking part has at this depth (counting only parts with positions).
    Same(u16),
    /// Every fitted position.
    All,
    /// This one.
    At(u16),
}

/// What a value may be, checked.
#[derive(Clone, Debug)]
pub struct Range {
    /// Which form.
    pub kind: RangeKind,
    /// Where it is written: what a message underlines.
    pub place: Place,
    /// Whether it is a size and a tolerance class, whose text does not show the ends.
    pub fit: bool,
}

/// The forms of a checked range.
#[derive(Clone, Debug)]
pub enum RangeKind {
    /// Between bounds, each open or closed, at least one of them there.
    Band {
        /// The lower bound.
        low: Option<Bound>,
        /// The upper bound.
        high: Option<Bound>,
    },
    /// One of these names, by their numbers in the set, in rising order.
    Names(Vec<u16>),
    /// Yes, or no.
    YesNo(bool),
    /// The same at all positions of a part.
    AllTheSame {
        /// The part.
        across: Id<Part>,
    },
}

/// One end of a band.
#[derive(Clone, Debug)]
pub struct Bound {
    /// Its value.
    pub value: Expression,
    /// Whether the value itself is inside.
    pub closed: bool,
}
