//! Conditions with the yes/no values they ask for written out. Refuses to know whether they can hold.

use super::super::{Book, Bound, Expression, ExpressionKind, Kind, Origin, Range, RangeKind, Reach, Selector, circles};

/// A condition is written out to no more steps than this.
const MOST_STEPS: usize = 500;

/// Deeper than this nothing is written out.
const MOST_DEPTH: usize = 64;

/// The same condition, with what is derived in place of its name wherever that is yes or no.
pub(super) fn expanded(book: &Book, condition: &Expression) -> Expression {
    let mut steps = 0;
    Writer { book, steps: &mut steps }.written(condition, 0)
}

struct Writer<'a> {
    book: &'a Book,
    steps: &'a mut usize,
}

impl Writer<'_> {
    fn written(&mut self, condition: &Expression, depth: usize) -> Expression {
        *self.steps += 1;
        if *self.steps > MOST_STEPS || depth > MOST_DEPTH {
            return condition.clone();
        }
        let kind = match &condition.kind {
            ExpressionKind::Not(inner) => ExpressionKind::Not(Box::new(self.written(inner, depth + 1))),
            ExpressionKind::Binary(operator, left, right) => ExpressionKind::Binary(
                *operator,
                Box::new(self.written(left, depth + 1)),
                Box::new(self.written(right, depth + 1)),
            ),
            ExpressionKind::Test { subject, negated, range } if matches!(range.kind, RangeKind::YesNo(_)) => {
                let subject = Box::new(self.written(subject, depth + 1));
                ExpressionKind::Test { subject, negated: *negated, range: range.clone() }
            }
            ExpressionKind::Reach(reach) => {
                let characteristic = self.book.characteristics.get(reach.characteristic);
                let Origin::Derived(Some(body)) = &characteristic.origin else { return condition.clone() };
                let mut size = 0;
                circles::walk(body, &mut |_| size += 1);
                *self.steps += size;
                if characteristic.kind != Kind::YesNo || *self.steps > MOST_STEPS {
                    return condition.clone();
                }
                return match seen_over(body, &reach.selectors, 0) {
                    Some(body) => self.written(&body, depth + 1),
                    None => condition.clone(),
                };
            }
            _ => return condition.clone(),
        };
        Expression { kind, place: condition.place.clone() }
    }
}

/// What a part looks up, as it is looked up from a part that reaches this one over `selectors`; `None` where those lead to
/// more than one.
pub(super) fn seen_over(expression: &Expression, selectors: &[Selector], depth: usize) -> Option<Expression> {
    if depth > MOST_DEPTH || selectors.contains(&Selector::All) {
        return None;
    }
    let inner = |expression: &Expression| seen_over(expression, selectors, depth + 1);
    let boxed = |expression: &Expression| inner(expression).map(Box::new);
    let all = |expressions: &[Expression]| expressions.iter().map(inner).collect::<Option<Vec<_>>>();
    let kind = match &expression.kind {
        ExpressionKind::Quantity(_)
        | ExpressionKind::YesNo(_)
        | ExpressionKind::Name(_)
        | ExpressionKind::Constant(_)
        | ExpressionKind::Parameter(_) => expression.kind.clone(),
        ExpressionKind::Reach(reach) => {
            let through = |selector: &Selector| match selector {
                Selector::Same(depth) => selectors.get(usize::from(*depth)).copied(),
                other => Some(*other),
            };
            let selectors = reach.selectors.iter().map(through).collect::<Option<_>>()?;
            ExpressionKind::Reach(Reach { selectors, ..reach.clone() })
        }
        ExpressionKind::Negate(one) => ExpressionKind::Negate(boxed(one)?),
        ExpressionKind::Not(one) => ExpressionKind::Not(boxed(one)?),
        ExpressionKind::Binary(operator, left, right) => ExpressionKind::Binary(*operator, boxed(left)?, boxed(right)?),
        ExpressionKind::Power(base, exponent) => ExpressionKind::Power(boxed(base)?, *exponent),
        ExpressionKind::Function(function, arguments) => ExpressionKind::Function(*function, all(arguments)?),
        ExpressionKind::Formula(id, arguments) => ExpressionKind::Formula(*id, all(arguments)?),
        ExpressionKind::Table(table, one) => ExpressionKind::Table(table.clone(), boxed(one)?),
        ExpressionKind::Collect(collector, values) => ExpressionKind::Collect(*collector, all(values)?),
        ExpressionKind::Test { subject, negated, range } => {
            let bound = |bound: &Option<Bound>| match bound {
                None => Some(None),
                Some(bound) => Some(Some(Bound { value: inner(&bound.value)?, closed: bound.closed })),
            };
            let kind = match &range.kind {
                RangeKind::Band { low, high } => RangeKind::Band { low: bound(low)?, high: bound(high)? },
                other => other.clone(),
            };
            let range = Box::new(Range { kind, ..(**range).clone() });
            ExpressionKind::Test { subject: boxed(subject)?, negated: *negated, range }
        }
    };
    Some(Expression { kind, place: expression.place.clone() })
}
