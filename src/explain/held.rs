//! Values held against each other: one of several, logic between two, tests against ranges, each step written down.
//! Refuses to know how an expression is walked.

use super::figure::figure;
use super::wording::folded;
use super::working::{Answer, Stand, Term, Working, result_of};
use crate::book::{Datum, Expression, ExpressionKind, Range, RangeKind, evaluate};
use crate::quantity::{Band, End, Number, Side, Unit, Value};
use crate::syntax::tree::{Collector, Operator};

impl Working<'_> {
    pub(super) fn collect(&mut self, collector: Collector, terms: &[Term]) -> Term {
        let mut lacking: Option<Answer> = None;
        let mut used: Vec<&Term> = Vec::new();
        for term in terms {
            match &term.answer {
                Answer::Known(_) => used.push(term),
                Answer::Skipped => {}
                other => lacking = Some(lacking.map_or_else(|| other.clone(), |before| worse(&before, other))),
            }
        }
        if let Some(lacking) = lacking {
            return self.lacking(lacking);
        }
        let Some(first) = used.first() else { return self.lacking(Answer::Skipped) };
        let texts: Vec<&str> = used.iter().map(|term| term.text.as_str()).collect();
        let line = format!("{} of ({})", collector.word(), texts.join(", "));
        let mut names: Vec<(u16, &Term)> = Vec::new();
        let mut values: Vec<Value> = Vec::new();
        for term in &used {
            match &term.answer {
                Answer::Known(Datum::Name(name)) => names.push((*name, *term)),
                Answer::Known(Datum::Quantity(value)) => values.push(value.clone()),
                _ => {}
            }
        }
        let made = if collector == Collector::Count {
            let count = i64::try_from(used.len()).unwrap_or(i64::MAX);
            Some(self.quantity(Value::from(Number::from_integer(count)), Unit::number()))
        } else if let (Some(low), Some(high)) =
            (names.iter().min_by_key(|(name, _)| *name), names.iter().max_by_key(|(name, _)| *name))
        {
            match collector {
                Collector::Smallest => Some(low.1.clone()),
                Collector::Largest => Some(high.1.clone()),
                Collector::Spread => {
                    let apart = Number::from_integer(i64::from(high.0) - i64::from(low.0));
                    let term = self.quantity(Value::from(apart), Unit::number());
                    self.say(format!("{line}: from {} to {}, steps apart", low.1.text, high.1.text), None);
                    Some(term)
                }
                _ => None,
            }
        } else {
            let unit = if collector == Collector::Spread { first.unit.difference() } else { first.unit.clone() };
            if collector == Collector::Spread
                && let (Some(low), Some(high)) = (Value::smallest(&values), Value::largest(&values))
            {
                let (low, high) = (figure(&low, &first.unit).operand(), figure(&high, &first.unit).operand());
                self.say(format!("{line}: the largest less the smallest, {high} - {low}"), None);
            }
            evaluate::collect(collector, &values).map(|value| self.quantity(value, unit))
        };
        let Some(made) = made else { return self.lacking(Answer::Impossible) };
        self.say(format!("{line} {}", result_of(&made)), None);
        made
    }

    pub(super) fn logic(&mut self, operator: Operator, left: &Term, right: &Term) -> Term {
        let settles = operator == Operator::Or;
        let word = if settles { "or" } else { "and" };
        let term = match (&left.answer, &right.answer) {
            (Answer::Known(Datum::YesNo(yes)), _) | (_, Answer::Known(Datum::YesNo(yes))) if *yes == settles => {
                self.yes(settles)
            }
            (Answer::Known(Datum::YesNo(_)), _) => right.clone(),
            (_, Answer::Known(Datum::YesNo(_))) => left.clone(),
            (left, right) => self.lacking(worse(left, right)),
        };
        self.say(format!("{} {word} {} = {}", left.text, right.text, term.text), None);
        term
    }

    pub(super) fn test(
        &mut self,
        subject: &Expression,
        term: &Term,
        negated: bool,
        range: &Range,
        stand: Stand<'_>,
    ) -> Term {
        let inside = match (&range.kind, &term.answer) {
            (RangeKind::Names(names), Answer::Known(Datum::Name(name))) => names.binary_search(name).is_ok(),
            (RangeKind::YesNo(wanted), Answer::Known(Datum::YesNo(yes))) => wanted == yes,
            (RangeKind::Band { .. }, Answer::Known(Datum::Quantity(value))) => {
                let stand = Stand { unit: &term.unit, ..stand };
                match self.band(range, stand).map(|band| band.locate(value)) {
                    Ok(Side::Inside) => true,
                    Ok(Side::Below | Side::Above) => false,
                    Ok(Side::Undecided) => return self.lacking(Answer::Undecided),
                    Err(answer) => return self.lacking(answer),
                }
            }
            (_, Answer::Known(_)) => return self.lacking(Answer::Impossible),
            (_, other) => return self.lacking(other.clone()),
        };
        let result = self.yes(inside != negated);
        let name = folded(subject.place.text());
        let is = if negated { "is not" } else { "is" };
        let asked = folded(range.place.text());
        let wanted = format!("{is} {}", asked.strip_prefix("is ").unwrap_or(&asked));
        let value = if name == term.text { String::new() } else { format!(" ({name})") };
        self.say(format!("{}{value} {wanted}: {}", term.text, result.text), None);
        result
    }

    /// The band of a range of bounds, its expressions worked out in the lines.
    pub(super) fn band(&mut self, range: &Range, stand: Stand<'_>) -> Result<Band, Answer> {
        let RangeKind::Band { low, high } = &range.kind else { return Err(Answer::Impossible) };
        let mut ends = Vec::new();
        for bound in [low, high] {
            ends.push(match bound {
                None => None,
                Some(bound) => {
                    let term = match &bound.value.kind {
                        ExpressionKind::Quantity(value) => self.literal(value, &bound.value.place, stand.unit),
                        _ => self.work(&bound.value, stand),
                    };
                    match term.answer {
                        Answer::Known(Datum::Quantity(value)) => Some(End { value, closed: bound.closed }),
                        other => return Err(other),
                    }
                }
            });
        }
        let high = ends.pop().flatten();
        Ok(Band { low: ends.pop().flatten(), high })
    }
}

/// What two answers, not both usable, come to: what is required and missing outweighs all else.
pub(super) fn worse(left: &Answer, right: &Answer) -> Answer {
    let rank = |answer: &Answer| match answer {
        Answer::Missing => 4,
        Answer::Skipped => 3,
        Answer::Impossible => 2,
        Answer::Undecided => 1,
        Answer::Known(_) => 0,
    };
    let worse = if rank(left) >= rank(right) { left } else { right };
    if matches!(worse, Answer::Known(_)) { Answer::Impossible } else { worse.clone() }
}
