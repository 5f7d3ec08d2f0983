//! Values and ranges drawn as bracketed text, so that a test can say which tree it expects in one line.

use crate::syntax::tree::{Expr, ExprKind, Operator, Path, Range, RangeKind};

pub(super) fn path(path: &Path) -> String {
    path.segments.iter().map(|segment| segment.text.to_string()).collect::<Vec<_>>().join(".")
}

pub(super) fn value(expr: &Expr) -> String {
    match &expr.kind {
        ExprKind::Number(number) => number.to_string(),
        ExprKind::Quantity(number, unit) => format!("{number}_{}", unit.text),
        ExprKind::Ratio(left, right) => format!("{left}:{right}"),
        ExprKind::YesNo(yes) => yes.to_string(),
        ExprKind::Path(it) => path(it),
        ExprKind::Call { name, arguments } => format!("{}[{}]", name.text, values(arguments)),
        ExprKind::Collect { collector, of, .. } => format!("{}<{}>", collector.word(), values(of)),
        ExprKind::Negate(inner) => format!("(neg {})", value(inner)),
        ExprKind::Not(inner) => format!("(not {})", value(inner)),
        ExprKind::Binary { operator, left, right, .. } => {
            let sign = match operator {
                Operator::Add => "+",
                Operator::Subtract => "-",
                Operator::Multiply => "*",
                Operator::Divide => "/",
                Operator::And => "and",
                Operator::Or => "or",
            };
            format!("({} {sign} {})", value(left), value(right))
        }
        ExprKind::Power { base, exponent } => format!("{}^{exponent}", value(base)),
        ExprKind::Test { subject, negated, range: within } => {
            format!("({} is{} {})", value(subject), if *negated { " not" } else { "" }, range(within))
        }
    }
}

fn values(list: &[Expr]) -> String {
    list.iter().map(value).collect::<Vec<_>>().join(", ")
}

pub(super) fn range(range: &Range) -> String {
    let names = |list: &[crate::syntax::tree::Name]| {
        list.iter().map(|name| name.text.to_string()).collect::<Vec<_>>().join("|")
    };
    match &range.kind {
        RangeKind::Between(low, high) => format!("{} .. {}", value(low), value(high)),
        RangeKind::AtLeast(end) => format!(">= {}", value(end)),
        RangeKind::AtMost(end) => format!("<= {}", value(end)),
        RangeKind::Above(end) => format!("> {}", value(end)),
        RangeKind::Below(end) => format!("< {}", value(end)),
        RangeKind::Exactly(end) => format!("= {}", value(end)),
        RangeKind::PlusMinus(size, by) => format!("{} ± {}", value(size), value(by)),
        RangeKind::Tolerance { size, first, second } => {
            format!("{} <{} {}>", value(size), value(first), value(second))
        }
        RangeKind::Fit { size, class } => format!("{} fit {}", value(size), class.text),
        RangeKind::Names(list) => names(list),
        RangeKind::NotNames(list) => format!("not {}", names(list)),
        RangeKind::AllTheSame { across } => format!("same across {}", path(across)),
    }
}
