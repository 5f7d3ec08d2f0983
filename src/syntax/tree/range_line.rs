//! The tree of lines that give a characteristic a range and judge nothing: telltales and plausible ranges.

use super::{Expr, Path, Range, Texts, TypeName};
use crate::text::Span;

/// `[replace] telltale PATH RANGE [where CONDITION] [{ texts }]`; without the condition the same with `plausible`, which may go on with `or zero`; and `narrow PATH RANGE [{ texts }]`.
#[derive(Clone, Debug)]
pub struct RangeLine {
    /// Where `replace` stands, if it does.
    pub replace: Option<Span>,
    /// The characteristic.
    pub path: Path,
    /// The range.
    pub range: Range,
    /// Where `or zero` stands, if it does.
    pub or_zero: Option<Span>,
    /// The value of a reading that a telltale tells, instead of the generation.
    pub condition: Option<Expr>,
    /// Why, and where it comes from.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}

/// `plausible gauges TYPE : RANGE [{ texts }]`: what the uncertainty and the resolution of a gauge can be at all.
#[derive(Clone, Debug)]
pub struct PlausibleGauges {
    /// What such gauges measure.
    pub kind: TypeName,
    /// The range.
    pub range: Range,
    /// Why, and where it comes from.
    pub texts: Texts,
    /// All of it.
    pub span: Span,
}
