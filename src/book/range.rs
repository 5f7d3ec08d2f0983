//! Checks ranges: bounds of the right dimension, names of the right set, one unit serving both ends.

use super::check::Checker;
use super::expression::{Bound, Expression, ExpressionKind, Kind, Range, RangeKind};
use super::{Id, NameSet, wording};
use crate::quantity::Dimension;
use crate::syntax::tree::{self, Expr, ExprKind, Name, Operator, UnitName};
use std::borrow::Cow;

impl Checker<'_> {
    /// Checks a range for a subject of a kind. `rows` is whether `all the same across` may stand here.
    pub(super) fn range(&mut self, range: &tree::Range, subject: Kind, rows: Option<()>) -> Option<Range> {
        let place = self.place(range.span);
        let kind = match (&range.kind, subject) {
            (tree::RangeKind::AllTheSame { across }, _) => {
                if rows.is_none() {
                    let finding = wording::all_the_same_in_condition(place);
                    self.say(finding);
                    return None;
                }
                RangeKind::AllTheSame { across: self.part_named(across)? }
            }
            (_, Kind::Text) => {
                let finding = wording::text_judged(place);
                self.say(finding);
                return None;
            }
            (kind, Kind::Names(set)) => RangeKind::Names(self.names(kind, set, range)?),
            (kind, Kind::YesNo) => RangeKind::YesNo(self.yes_no(kind, range)?),
            (kind, Kind::Quantity(dimension)) => self.band(kind, dimension, range)?,
        };
        Some(Range { kind, place, fit: matches!(range.kind, tree::RangeKind::Fit { .. }) })
    }

    fn yes_no(&mut self, kind: &tree::RangeKind, range: &tree::Range) -> Option<bool> {
        let word = |names: &[Name]| match names {
            [one] if &*one.text == "yes" => Some(true),
            [one] if &*one.text == "no" => Some(false),
            _ => None,
        };
        let answer = match kind {
            tree::RangeKind::Names(names) => word(names),
            tree::RangeKind::NotNames(names) => word(names).map(|yes| !yes),
            tree::RangeKind::Exactly(Expr { kind: ExprKind::YesNo(yes), .. }) => Some(*yes),
            _ => None,
        };
        if answer.is_none() {
            let finding = wording::range_not_yes_no(self.place(range.span));
            self.say(finding);
        }
        answer
    }

    fn names(&mut self, kind: &tree::RangeKind, set: Id<NameSet>, range: &tree::Range) -> Option<Vec<u16>> {
        let last = u16::try_from(self.book.sets.get(set).names.len()).ok()?.checked_sub(1)?;
        let ordered = self.book.sets.get(set).ordered;
        let (low, high) = match kind {
            tree::RangeKind::Names(names) => {
                let mut numbers = self.members(names, set)?;
                numbers.sort_unstable();
                numbers.dedup();
                return Some(numbers);
            }
            tree::RangeKind::NotNames(names) => {
                let numbers = self.members(names, set)?;
                let rest: Vec<u16> = (0..=last).filter(|number| !numbers.contains(number)).collect();
                if rest.is_empty() {
                    let finding = wording::range_empty_names(self.place(range.span));
                    self.say(finding);
                    return None;
                }
                return Some(rest);
            }
            tree::RangeKind::Exactly(one) => {
                let number = self.class_bound(one, set)?;
                return Some(vec![number]);
            }
            _ if !ordered => {
                let finding = wording::set_not_ordered(self.book, set, self.place(range.span));
                self.say(finding);
                return None;
            }
            tree::RangeKind::Between(low, high) => {
                let low = self.class_bound(low, set);
                let high = self.class_bound(high, set);
                (low?, high?)
            }
            tree::RangeKind::AtLeast(low) => (self.class_bound(low, set)?, last),
            tree::RangeKind::AtMost(high) => (0, self.class_bound(high, set)?),
            tree::RangeKind::Above(low) => (self.class_bound(low, set)?.saturating_add(1), last),
            tree::RangeKind::Below(high) => match self.class_bound(high, set)?.checked_sub(1) {
                Some(high) => (0, high),
                None => (1, 0),
            },
            tree::RangeKind::PlusMinus(..)
            | tree::RangeKind::Tolerance { .. }
            | tree::RangeKind::Fit { .. }
            | tree::RangeKind::AllTheSame { .. } => {
                let finding = wording::range_not_names(self.book, set, self.place(range.span));
                self.say(finding);
                return None;
            }
        };
        if low > high {
            let finding = wording::range_empty_names(self.place(range.span));
            self.say(finding);
            return None;
        }
        Some((low..=high).collect())
    }

    fn members(&mut self, names: &[Name], set: Id<NameSet>) -> Option<Vec<u16>> {
        let numbers: Vec<Option<u16>> = names.iter().map(|name| self.member(name, set)).collect();
        numbers.into_iter().collect()
    }

    fn member(&mut self, name: &Name, set: Id<NameSet>) -> Option<u16> {
        let number = self.book.sets.get(set).number(&name.text);
        if number.is_none() {
            let finding = wording::not_in_set(self.book, set, &name.text, self.place(name.span));
            self.say(finding);
        }
        number
    }

    fn class_bound(&mut self, bound: &Expr, set: Id<NameSet>) -> Option<u16> {
        if let ExprKind::Path(path) = &bound.kind
            && let [one] = path.segments.as_slice()
        {
            return self.member(one, set);
        }
        let finding = wording::range_not_names(self.book, set, self.place(bound.span));
        self.say(finding);
        None
    }

    fn band(&mut self, kind: &tree::RangeKind, dimension: Dimension, range: &tree::Range) -> Option<RangeKind> {
        let (low, high) = match kind {
            tree::RangeKind::Between(low, high) => {
                let unit = own_unit(high).or_else(|| own_unit(low));
                let low = self.bound(low, unit, dimension);
                let high = self.bound(high, unit, dimension);
                (Some((low?, true)), Some((high?, true)))
            }
            tree::RangeKind::AtLeast(low) => (Some((self.bound(low, None, dimension)?, true)), None),
            tree::RangeKind::Above(low) => (Some((self.bound(low, None, dimension)?, false)), None),
            tree::RangeKind::AtMost(high) => (None, Some((self.bound(high, None, dimension)?, true))),
            tree::RangeKind::Below(high) => (None, Some((self.bound(high, None, dimension)?, false))),
            tree::RangeKind::Exactly(value) => {
                let value = self.bound(value, None, dimension)?;
                (Some((value.clone(), true)), Some((value, true)))
            }
            tree::RangeKind::PlusMinus(size, by) => {
                let unit = own_unit(by).or_else(|| own_unit(size));
                let size = self.bound(size, unit, dimension);
                let by = self.deviation(by, unit, dimension);
                let (size, by) = (size?, by?);
                let low = arithmetic(Operator::Subtract, &size, &by);
                let high = arithmetic(Operator::Add, &size, &by);
                (Some((low, true)), Some((high, true)))
            }
            tree::RangeKind::Tolerance { size, first, second } => {
                let unit = own_unit(second).or_else(|| own_unit(first)).or_else(|| own_unit(size));
                let size = self.bound(size, unit, dimension);
                let first = self.deviation(first, unit, dimension);
                let second = self.deviation(second, unit, dimension);
                let (size, first, second) = (size?, first?, second?);
                // Both may lie on one side of the size, and the greater one may stand first.
                let (lower, upper) = if is_greater(&first, &second) { (second, first) } else { (first, second) };
                let low = arithmetic(Operator::Add, &size, &lower);
                let high = arithmetic(Operator::Add, &size, &upper);
                (Some((low, true)), Some((high, true)))
            }
            tree::RangeKind::Fit { size, class } => {
                let (low, high) = self.fit(size, class, dimension)?;
                (Some((low, true)), Some((high, true)))
            }
            tree::RangeKind::Names(_) | tree::RangeKind::NotNames(_) | tree::RangeKind::AllTheSame { .. } => {
                let finding = wording::range_not_numbers(dimension, self.place(range.span), self.source);
                self.say(finding);
                return None;
            }
        };
        let bound = |end: Option<(Expression, bool)>| end.map(|(value, closed)| Bound { value, closed });
        Some(RangeKind::Band { low: bound(low), high: bound(high) })
    }

    /// How far from a size: on a scale, `20 ± 2 degC`, degrees of that scale can only be a difference.
    fn deviation(&mut self, expr: &Expr, shared: Option<&UnitName>, dimension: Dimension) -> Option<Expression> {
        if dimension.is_point()
            && let ExprKind::Quantity(number, unit) = &in_unit(expr, shared).kind
        {
            let unit = self.unit(&unit.text, unit.span)?;
            if unit.dimension == dimension {
                let kind = ExpressionKind::Quantity(unit.difference().to_base(number));
                return Some(Expression { kind, place: self.place(expr.span) });
            }
        }
        self.bound(expr, shared, dimension.difference())
    }

    /// One bound: of the subject's dimension; a bare number takes the unit its neighbour has.
    pub(super) fn bound(&mut self, expr: &Expr, shared: Option<&UnitName>, dimension: Dimension) -> Option<Expression> {
        let expr = &*in_unit(expr, shared);
        let (expression, found) = self.quantity(expr)?;
        if found == dimension {
            return Some(expression);
        }
        let finding = wording::bound_dimension(self.book, expr, found, dimension, self.place(expr.span));
        self.say(finding);
        None
    }
}

/// The unit written at the end of a literal.
pub(super) fn own_unit(expr: &Expr) -> Option<&UnitName> {
    match &expr.kind {
        ExprKind::Quantity(_, unit) => Some(unit),
        ExprKind::Negate(inner) => own_unit(inner),
        _ => None,
    }
}

/// A bare number with the unit that serves it too; anything else as it is.
pub(super) fn in_unit<'e>(expr: &'e Expr, shared: Option<&UnitName>) -> Cow<'e, Expr> {
    match (bare_number(expr), shared) {
        (Some(()), Some(unit)) => Cow::Owned(with_unit_of(expr, unit)),
        _ => Cow::Borrowed(expr),
    }
}

/// A literal number without a unit.
fn bare_number(expr: &Expr) -> Option<()> {
    match &expr.kind {
        ExprKind::Number(_) => Some(()),
        ExprKind::Negate(inner) => bare_number(inner),
        _ => None,
    }
}

fn with_unit_of(expr: &Expr, unit: &UnitName) -> Expr {
    let kind = match &expr.kind {
        ExprKind::Number(number) => ExprKind::Quantity(number.clone(), unit.clone()),
        ExprKind::Negate(inner) => ExprKind::Negate(Box::new(with_unit_of(inner, unit))),
        other => other.clone(),
    };
    Expr { kind, span: expr.span }
}

/// One length and another after it in the text.
pub(super) fn sum(left: &Expression, right: &Expression) -> Expression {
    arithmetic(Operator::Add, left, right)
}

fn arithmetic(operator: Operator, left: &Expression, right: &Expression) -> Expression {
    let place = crate::text::Place { source: left.place.source.clone(), span: left.place.span.to(right.place.span) };
    Expression { kind: ExpressionKind::Binary(operator, Box::new(left.clone()), Box::new(right.clone())), place }
}

/// Whether one deviation is greater than another.
fn is_greater(one: &Expression, other: &Expression) -> bool {
    match (&one.kind, &other.kind) {
        (ExpressionKind::Quantity(one), ExpressionKind::Quantity(other)) => {
            one.compare(other) == Some(std::cmp::Ordering::Greater)
        }
        // Deviations are literals.
        _ => false,
    }
}
