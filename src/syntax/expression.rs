//! Makes values, conditions and ranges of what pest matched. Refuses to look anything up.

use pest::iterators::{Pair, Pairs};

use super::grammar::Rule;
use super::tree::{Collector, Expr, ExprKind, Name, Operator, Path, Range, RangeKind, UnitName};
use super::{mend, wording};
use crate::finding::{Code, Finding};
use crate::quantity::Number;
use crate::text::{Source, Span};

/// How many values deep a value may be: longer sums are no row a person reads, and the tree is walked by recursion.
const MOST_DEPTH: usize = 200;

/// Turns pairs, whose places count from `base`, into tree nodes whose places count from the start of the source.
pub(super) struct Lower<'a> {
    /// The book.
    pub(super) source: &'a Source,
    /// Where pest's text begins in it.
    pub(super) base: usize,
    /// What was wrong.
    pub(super) findings: Vec<Finding>,
}

/// A value and how deep it is.
struct Grown {
    expr: Expr,
    depth: usize,
}

/// Where a pair ends: at the end of its last token. pest counts the white space before an optional part that is not
/// there as well.
pub(super) fn end_of(pair: &Pair<'_, Rule>) -> usize {
    let mut end = pair.as_span().end();
    let mut inner = pair.clone().into_inner();
    // From the last inner pair to its last inner pair: no deeper than the grammar nests.
    while let Some(last) = inner.next_back() {
        end = last.as_span().end();
        inner = last.into_inner();
    }
    end
}

impl Lower<'_> {
    /// The place of a pair in the book.
    pub(super) fn span(&self, pair: &Pair<'_, Rule>) -> Span {
        Span::new(self.base + pair.as_span().start(), self.base + end_of(pair))
    }

    /// A name.
    pub(super) fn name(&self, pair: &Pair<'_, Rule>) -> Name {
        Name { text: pair.as_str().into(), span: self.span(pair) }
    }

    /// A path.
    pub(super) fn path(&self, pair: &Pair<'_, Rule>) -> Path {
        let segments = pair.clone().into_inner().map(|segment| self.name(&segment)).collect();
        Path { segments, span: self.span(pair) }
    }

    fn complain(&mut self, finding: Finding) {
        // A value too deep is too deep at every further step: said once.
        if self.findings.iter().all(|said| said.code != finding.code || said.place != finding.place) {
            self.findings.push(finding);
        }
    }

    /// A number; one with too many digits gets a finding and is nothing.
    pub(super) fn number(&mut self, pair: &Pair<'_, Rule>) -> Option<Number> {
        self.number_text(pair.as_str(), self.span(pair))
    }

    fn number_text(&mut self, text: &str, span: Span) -> Option<Number> {
        match Number::parse(text) {
            Ok(number) => Some(number),
            Err(_) => {
                let finding = Finding::new(Code::NumberTooLong, wording::number_too_long())
                    .at(self.source.place(span), wording::LABEL_NUMBER)
                    .help(wording::number_too_long_help());
                self.complain(finding);
                None
            }
        }
    }

    /// A whole number of positions, readings or the like.
    pub(super) fn whole(&mut self, pair: &Pair<'_, Rule>) -> Option<u16> {
        let span = self.span(pair);
        let number = pair.as_str().parse::<u16>().ok();
        if number.is_none() {
            let finding = Finding::new(Code::NumberTooLong, wording::count_too_large(self.source.slice(span)))
                .at(self.source.place(span), wording::LABEL_NUMBER)
                .help(wording::count_too_large_help());
            self.complain(finding);
        }
        number
    }

    /// `expression` or `sum`.
    pub(super) fn value(&mut self, pair: &Pair<'_, Rule>) -> Option<Expr> {
        let grown = match pair.as_rule() {
            Rule::sum => self.sum(pair),
            _ => self.condition(pair),
        };
        grown.map(|grown| grown.expr)
    }

    fn grow(&mut self, kind: ExprKind, span: Span, depth: usize) -> Option<Grown> {
        if depth > MOST_DEPTH {
            let finding = Finding::new(Code::NestingTooDeep, wording::value_too_long())
                .at(self.source.place(span), wording::LABEL_TOO_DEEP)
                .help(wording::value_too_long_help());
            if self.findings.iter().all(|said| said.code != Code::NestingTooDeep) {
                self.findings.push(finding);
            }
            return None;
        }
        Some(Grown { expr: Expr { kind, span }, depth })
    }

    fn join(&mut self, left: Grown, operator: (Operator, Span), right: Grown) -> Option<Grown> {
        let depth = left.depth.max(right.depth) + 1;
        let span = left.expr.span.to(right.expr.span);
        let kind = ExprKind::Binary {
            operator: operator.0,
            operator_span: operator.1,
            left: Box::new(left.expr),
            right: Box::new(right.expr),
        };
        self.grow(kind, span, depth)
    }

    fn maybe_join(&mut self, left: Option<(Grown, (Operator, Span))>, right: Grown) -> Option<Grown> {
        match left {
            Some((left, operator)) => self.join(left, operator, right),
            None => Some(right),
        }
    }

    /// Things joined by operators of two strengths, such as `and` within `or`.
    fn joined(
        &mut self,
        inner: Pairs<'_, Rule>,
        operand: impl Fn(&mut Self, &Pair<'_, Rule>) -> Option<Grown>,
    ) -> Option<Grown> {
        let mut loose: Option<(Grown, (Operator, Span))> = None;
        let mut tight: Option<(Grown, (Operator, Span))> = None;
        let mut last: Option<Grown> = None;
        for pair in inner {
            let Some(operator) = operator(&pair) else {
                let value = operand(self, &pair)?;
                last = Some(self.maybe_join(tight.take(), value)?);
                continue;
            };
            let at = self.span(&pair);
            let Some(value) = last.take() else { continue };
            if matches!(operator, Operator::Multiply | Operator::Divide | Operator::And) {
                tight = Some((value, (operator, at)));
            } else {
                let value = self.maybe_join(loose.take(), value)?;
                loose = Some((value, (operator, at)));
            }
        }
        let value = last?;
        self.maybe_join(loose, value)
    }

    fn condition(&mut self, pair: &Pair<'_, Rule>) -> Option<Grown> {
        self.joined(pair.clone().into_inner(), Lower::clause)
    }

    fn sum(&mut self, pair: &Pair<'_, Rule>) -> Option<Grown> {
        self.joined(pair.clone().into_inner(), Lower::factor)
    }

    fn clause(&mut self, pair: &Pair<'_, Rule>) -> Option<Grown> {
        let mut nots = Vec::new();
        let mut value = None;
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::not_word => nots.push(self.span(&inner)),
                Rule::sum => value = Some(self.sum(&inner)?),
                _ => value = Some(self.test(value.take()?, &inner)?),
            }
        }
        let mut value = value?;
        for not in nots.into_iter().rev() {
            let span = not.to(value.expr.span);
            value = self.grow(ExprKind::Not(Box::new(value.expr)), span, value.depth + 1)?;
        }
        Some(value)
    }

    fn test(&mut self, subject: Grown, pair: &Pair<'_, Rule>) -> Option<Grown> {
        let mut negated = false;
        let mut range = None;
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::is_word => {}
                Rule::not_word => negated = true,
                _ => range = Some(self.range_form(&inner)?),
            }
        }
        let (range, depth) = range?;
        let span = subject.expr.span.to(range.span);
        let kind = ExprKind::Test { subject: Box::new(subject.expr), negated, range: Box::new(range) };
        self.grow(kind, span, subject.depth.max(depth) + 1)
    }

    fn factor(&mut self, pair: &Pair<'_, Rule>) -> Option<Grown> {
        let mut signs = Vec::new();
        let mut value = None;
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::minus => signs.push(self.span(&inner)),
                Rule::caret => {}
                Rule::exponent => {
                    let base: Grown = value.take()?;
                    let exponent = inner.as_str().parse::<u8>().ok()?;
                    let span = base.expr.span.to(self.span(&inner));
                    let kind = ExprKind::Power { base: Box::new(base.expr), exponent };
                    value = Some(self.grow(kind, span, base.depth + 1)?);
                }
                _ => value = Some(self.primary(&inner)?),
            }
        }
        let mut value = value?;
        for sign in signs.into_iter().rev() {
            let span = sign.to(value.expr.span);
            value = self.grow(ExprKind::Negate(Box::new(value.expr)), span, value.depth + 1)?;
        }
        Some(value)
    }

    fn primary(&mut self, pair: &Pair<'_, Rule>) -> Option<Grown> {
        let span = self.span(pair);
        let mut inner = pair.clone().into_inner();
        let (kind, depth) = match pair.as_rule() {
            Rule::paren => {
                let within = inner.find(|inner| inner.as_rule() == Rule::expression)?;
                let Grown { expr, depth } = self.condition(&within)?;
                // The parentheses belong to what they hold, so that underlining it underlines them.
                (expr.kind, depth)
            }
            Rule::number => (ExprKind::Number(self.number(pair)?), 0),
            Rule::quantity => (self.quantity("", pair)?, 0),
            Rule::ratio => {
                let mut numbers = inner.filter(|inner| inner.as_rule() == Rule::number);
                let (left, right) = (numbers.next()?, numbers.next()?);
                (ExprKind::Ratio(self.number(&left)?, self.number(&right)?), 0)
            }
            Rule::yes_word => (ExprKind::YesNo(true), 0),
            Rule::no_word => (ExprKind::YesNo(false), 0),
            Rule::call => {
                let name = self.name(&inner.next()?);
                let (arguments, depth) = self.values(inner)?;
                (ExprKind::Call { name, arguments }, depth + 1)
            }
            Rule::collection => {
                let word = inner.next()?;
                let collector = collector(word.as_str())?;
                let word = self.span(&word);
                let (of, depth) = self.values(inner)?;
                (ExprKind::Collect { collector, word, of }, depth + 1)
            }
            _ => (ExprKind::Path(self.path(pair)), 0),
        };
        self.grow(kind, span, depth)
    }

    fn values(&mut self, inner: Pairs<'_, Rule>) -> Option<(Vec<Expr>, usize)> {
        let mut values = Vec::new();
        let mut deepest = 0;
        for pair in inner {
            let value = match pair.as_rule() {
                Rule::expression => self.condition(&pair)?,
                Rule::path => self.primary(&pair)?,
                _ => continue,
            };
            deepest = deepest.max(value.depth);
            values.push(value.expr);
        }
        Some((values, deepest))
    }

    fn quantity(&mut self, sign: &str, pair: &Pair<'_, Rule>) -> Option<ExprKind> {
        let mut inner = pair.clone().into_inner();
        let (number, unit) = (inner.next()?, inner.next()?);
        let span = self.span(pair);
        if number.as_span().end() == unit.as_span().start()
            && let Some(finding) = mend::other_notation(self.source, span)
        {
            self.complain(finding);
            return None;
        }
        let number = self.number_text(&format!("{sign}{}", number.as_str()), self.span(&number))?;
        Some(ExprKind::Quantity(number, UnitName { text: unit.as_str().into(), span: self.span(&unit) }))
    }

    /// `number` or `quantity`.
    pub(super) fn literal(&mut self, pair: &Pair<'_, Rule>) -> Option<Expr> {
        self.primary(pair).map(|grown| grown.expr)
    }

    /// A range.
    pub(super) fn range(&mut self, pair: &Pair<'_, Rule>) -> Option<Range> {
        let inner = pair.clone().into_inner().next()?;
        self.range_form(&inner).map(|(range, _)| range)
    }

    fn range_form(&mut self, pair: &Pair<'_, Rule>) -> Option<(Range, usize)> {
        let span = self.span(pair);
        let mut inner = pair.clone().into_inner().peekable();
        let (kind, depth) = match pair.as_rule() {
            Rule::bound => {
                let word = inner.next()?.as_rule();
                let Grown { expr, depth } = self.sum(&inner.next()?)?;
                let kind = match word {
                    Rule::at_least => RangeKind::AtLeast(expr),
                    Rule::at_most => RangeKind::AtMost(expr),
                    Rule::above_word => RangeKind::Above(expr),
                    Rule::below_word => RangeKind::Below(expr),
                    _ => RangeKind::Exactly(expr),
                };
                (kind, depth)
            }
            Rule::between => {
                let (low, word, high) = (inner.next()?, inner.next()?, inner.next()?);
                let (low, high) = (self.sum(&low)?, self.sum(&high)?);
                let depth = low.depth.max(high.depth);
                let kind = match word.as_rule() {
                    Rule::to_word => RangeKind::Between(low.expr, high.expr),
                    _ => RangeKind::PlusMinus(low.expr, high.expr),
                };
                (kind, depth)
            }
            Rule::tolerance => {
                let minus = inner.next_if(|inner| inner.as_rule() == Rule::minus).map(|minus| self.span(&minus));
                let (size, first, second) = (inner.next()?, inner.next()?, inner.next()?);
                let mut size = self.primary(&size)?.expr;
                if let Some(minus) = minus {
                    let span = minus.to(size.span);
                    size = Expr { kind: ExprKind::Negate(Box::new(size)), span };
                }
                (RangeKind::Tolerance { size, first: self.deviation(&first)?, second: self.deviation(&second)? }, 0)
            }
            Rule::fit => {
                let (size, class) = (inner.next()?, inner.next()?);
                (RangeKind::Fit { size: self.primary(&size)?.expr, class: self.name(&class) }, 0)
            }
            Rule::not_names => {
                let names = inner.find(|inner| inner.as_rule() == Rule::names)?;
                (RangeKind::NotNames(self.names(&names)), 0)
            }
            Rule::names => (RangeKind::Names(self.names(pair)), 0),
            // `yes` and `no` are the two names of a reading that is either.
            _ => (RangeKind::Names(vec![self.name(pair)]), 0),
        };
        Some((Range { kind, span }, depth + 1))
    }

    /// `+0.02 mm`: the sign is part of the number.
    fn deviation(&mut self, pair: &Pair<'_, Rule>) -> Option<Expr> {
        let value = pair.clone().into_inner().next()?;
        let sign = if pair.as_str().starts_with('-') { "-" } else { "+" };
        let kind = match value.as_rule() {
            Rule::quantity => self.quantity(sign, &value)?,
            _ => ExprKind::Number(self.number_text(&format!("{sign}{}", value.as_str()), self.span(&value))?),
        };
        Some(Expr { kind, span: self.span(pair) })
    }

    pub(super) fn names(&self, pair: &Pair<'_, Rule>) -> Vec<Name> {
        let inner = pair.clone().into_inner();
        inner.filter(|inner| inner.as_rule() == Rule::name).map(|name| self.name(&name)).collect()
    }
}

/// Which word a collector begins with.
pub(super) fn collector(text: &str) -> Option<Collector> {
    Collector::ALL.into_iter().find(|collector| text.starts_with(collector.word()))
}

fn operator(pair: &Pair<'_, Rule>) -> Option<Operator> {
    match (pair.as_rule(), pair.as_str()) {
        (Rule::and_word, _) => Some(Operator::And),
        (Rule::or_word, _) => Some(Operator::Or),
        (Rule::operator, "+") => Some(Operator::Add),
        (Rule::operator, "-") => Some(Operator::Subtract),
        (Rule::operator, "*") => Some(Operator::Multiply),
        (Rule::operator, "/") => Some(Operator::Divide),
        _ => None,
    }
}
