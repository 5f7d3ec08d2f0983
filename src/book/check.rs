//! Checks expressions: resolves names, agrees dimensions, and refuses several values where one is needed.

use super::expression::{Expression, ExpressionKind, Function, Kind, Reach};
use super::scope::{self, Lead};
use super::{Book, Id, Part, Table, wording};
use crate::finding::Finding;
use crate::quantity::{Dimension, Unit, Value};
use crate::syntax::tree::{self, Collector, Expr, ExprKind, Operator};
use crate::text::{Place, Source, Span};
use std::borrow::Cow;
use std::sync::Arc;

/// A checked expression with what is known of it.
pub(super) struct Checked {
    pub(super) expression: Expression,
    pub(super) kind: Kind,
    /// Whether it can be several values.
    pub(super) many: bool,
}

/// What an expression may name, and where its findings go.
pub(super) struct Checker<'a> {
    pub(super) book: &'a Book,
    pub(super) source: &'a Source,
    /// The part it stands in; none in formulas, units and constants.
    pub(super) part: Option<Id<Part>>,
    /// The parameters of the formula it stands in.
    pub(super) parameters: &'a [(Box<str>, Kind)],
    pub(super) findings: &'a mut Vec<Finding>,
}

impl Checker<'_> {
    pub(super) fn place(&self, span: Span) -> Place {
        self.source.place(span)
    }

    pub(super) fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Checks an expression that must give one value.
    pub(super) fn one(&mut self, expr: &Expr) -> Option<Checked> {
        let checked = self.any(expr)?;
        if checked.many {
            let finding = wording::many_values(self.book, self.part, &checked, self.place(expr.span));
            self.say(finding);
            return None;
        }
        Some(checked)
    }

    /// Checks an expression that must give one quantity, and gives its dimension.
    pub(super) fn quantity(&mut self, expr: &Expr) -> Option<(Expression, Dimension)> {
        let checked = self.one(expr)?;
        match checked.kind {
            Kind::Quantity(dimension) => Some((checked.expression, dimension)),
            other => {
                let finding = wording::not_a_quantity(self.book, other, self.place(expr.span));
                self.say(finding);
                None
            }
        }
    }

    /// Checks an expression that must be yes or no.
    pub(super) fn condition(&mut self, expr: &Expr) -> Option<Expression> {
        let checked = self.one(expr)?;
        if checked.kind == Kind::YesNo {
            return Some(checked.expression);
        }
        let finding = wording::not_a_condition(self.book, &checked, self.place(expr.span));
        self.say(finding);
        None
    }

    /// A unit as written.
    pub(super) fn unit(&mut self, text: &str, span: Span) -> Option<Unit> {
        match self.book.units.resolve(text) {
            Ok(unit) => Some(Cow::into_owned(unit)),
            Err(error) => {
                let finding = wording::unit_unknown(self.book, text, &error, self.source, span);
                self.say(finding);
                None
            }
        }
    }

    fn made(&self, expr: &Expr, kind: ExpressionKind, value: Kind) -> Checked {
        Checked { expression: Expression { kind, place: self.place(expr.span) }, kind: value, many: false }
    }

    fn any(&mut self, expr: &Expr) -> Option<Checked> {
        match &expr.kind {
            ExprKind::Number(number) => {
                let kind = ExpressionKind::Quantity(Value::from(number.clone()));
                Some(self.made(expr, kind, Kind::Quantity(Dimension::NUMBER)))
            }
            ExprKind::Quantity(number, unit) => {
                let unit = self.unit(&unit.text, unit.span)?;
                let kind = ExpressionKind::Quantity(unit.to_base(number));
                Some(self.made(expr, kind, Kind::Quantity(unit.dimension)))
            }
            ExprKind::Ratio(left, right) => match left.checked_div(right) {
                Some(ratio) => {
                    let kind = ExpressionKind::Quantity(Value::from(ratio));
                    Some(self.made(expr, kind, Kind::Quantity(Dimension::NUMBER)))
                }
                None => {
                    let finding = wording::divided_by_zero(self.place(expr.span));
                    self.say(finding);
                    None
                }
            },
            ExprKind::YesNo(yes) => Some(self.made(expr, ExpressionKind::YesNo(*yes), Kind::YesNo)),
            ExprKind::Path(path) => self.path(expr, path),
            ExprKind::Call { name, arguments } => self.call(expr, name, arguments),
            ExprKind::Collect { collector, word, of } => self.collect(expr, *collector, *word, of),
            ExprKind::Negate(inner) => {
                if let Some(point) = self.point_below_zero(expr, inner) {
                    return Some(point);
                }
                let (inner, dimension) = self.quantity(inner)?;
                if dimension.is_point() {
                    let finding = wording::point_arithmetic(self.place(expr.span));
                    self.say(finding);
                    return None;
                }
                Some(self.made(expr, ExpressionKind::Negate(Box::new(inner)), Kind::Quantity(dimension)))
            }
            ExprKind::Not(inner) => {
                let inner = self.condition(inner)?;
                Some(self.made(expr, ExpressionKind::Not(Box::new(inner)), Kind::YesNo))
            }
            ExprKind::Binary { operator, left, right, .. } => self.binary(expr, *operator, left, right),
            ExprKind::Power { base, exponent } => {
                let (base_checked, dimension) = self.quantity(base)?;
                let power = i8::try_from(*exponent).ok().and_then(|exponent| dimension.power(exponent));
                let Some(dimension) = power else {
                    let finding = wording::dimension_impossible(dimension, self.place(expr.span));
                    self.say(finding);
                    return None;
                };
                let kind = ExpressionKind::Power(Box::new(base_checked), *exponent);
                Some(self.made(expr, kind, Kind::Quantity(dimension)))
            }
            ExprKind::Test { subject, negated, range } => {
                let subject = self.one(subject)?;
                let range = self.range(range, subject.kind, None)?;
                let kind = ExpressionKind::Test {
                    subject: Box::new(subject.expression),
                    negated: *negated,
                    range: Box::new(range),
                };
                Some(self.made(expr, kind, Kind::YesNo))
            }
        }
    }

    /// A literal with a minus on a scale, such as `-5 degC`: the minus belongs to the number. Between brackets it does not.
    fn point_below_zero(&self, expr: &Expr, inner: &Expr) -> Option<Checked> {
        let ExprKind::Quantity(number, unit) = &inner.kind else { return None };
        let unit = self.book.units.resolve(&unit.text).ok()?;
        if !unit.dimension.is_point() || self.source.slice(inner.span).starts_with('(') {
            return None;
        }
        let kind = ExpressionKind::Quantity(unit.to_base(&-number));
        Some(self.made(expr, kind, Kind::Quantity(unit.dimension)))
    }

    fn path(&mut self, expr: &Expr, path: &tree::Path) -> Option<Checked> {
        let first = path.segments.first()?;
        if path.segments.len() == 1 {
            if let Some(number) = self.parameters.iter().position(|(name, _)| *name == first.text) {
                let kind = self.parameters.get(number).map(|(_, kind)| *kind)?;
                let number = u16::try_from(number).ok()?;
                return Some(self.made(expr, ExpressionKind::Parameter(number), kind));
            }
            if &*first.text == "pi" {
                return Some(self.made(expr, ExpressionKind::Quantity(Value::pi()), Kind::Quantity(Dimension::NUMBER)));
            }
        }
        let lead = match self.part {
            Some(part) => scope::look_up(self.book, part, path),
            None => Lead::Unknown,
        };
        match lead {
            Lead::Reach(reach, many) => {
                let kind = self.book.characteristics.get(reach.characteristic).kind;
                let mut checked = self.made(expr, ExpressionKind::Reach(reach), kind);
                checked.many = many;
                Some(checked)
            }
            Lead::Unknown if path.segments.len() == 1 => {
                if let Some((id, constant)) =
                    self.book.constants.entries().find(|(_, constant)| constant.name == first.text)
                {
                    return Some(self.made(expr, ExpressionKind::Constant(id), Kind::Quantity(constant.dimension)));
                }
                let finding = wording::name_unknown(self.book, self.part, self.parameters, first, self.source);
                self.say(finding);
                None
            }
            lead => self.lost(path, lead),
        }
    }

    fn call(&mut self, expr: &Expr, name: &tree::Name, arguments: &[Expr]) -> Option<Checked> {
        // What is given to a function that is not there cannot be wrong for it.
        let formula = self.book.formulas.iter().any(|formula| formula.name == name.text);
        let table = self.book.tables.iter().any(|table| table.name == name.text);
        if !formula && !table && !Function::ALL.iter().any(|(known, _, _)| **known == *name.text) {
            let finding = wording::function_unknown(self.book, name, self.source);
            self.say(finding);
            return None;
        }
        let mut checked = Vec::with_capacity(arguments.len());
        let mut sound = true;
        for argument in arguments {
            match self.quantity(argument) {
                Some(pair) => checked.push(pair),
                None => sound = false,
            }
        }
        if let Some((id, formula)) = self.book.formulas.entries().find(|(_, formula)| formula.name == name.text) {
            if formula.parameters.len() != arguments.len() {
                let finding = wording::argument_count(
                    &name.text,
                    formula.parameters.len(),
                    arguments.len(),
                    self.place(expr.span),
                    Some(&formula.place),
                );
                self.say(finding);
                return None;
            }
            if !sound {
                return None;
            }
            for (((_, dimension), argument), (parameter, kind)) in
                checked.iter().zip(arguments).zip(&formula.parameters)
            {
                if Kind::Quantity(*dimension) != *kind {
                    let finding = wording::argument_dimension(
                        self.book,
                        parameter,
                        *kind,
                        *dimension,
                        self.place(argument.span),
                        &formula.place,
                    );
                    self.say(finding);
                    sound = false;
                }
            }
            let kind = ExpressionKind::Formula(id, checked.into_iter().map(|(expression, _)| expression).collect());
            return sound.then(|| self.made(expr, kind, formula.result));
        }
        if let Some(table) = self.book.tables.iter().find(|table| table.name == name.text).cloned() {
            return self.table_call(expr, table, checked, arguments);
        }
        let (_, function, count) = Function::ALL.iter().find(|(known, _, _)| **known == *name.text)?;
        if *count != arguments.len() {
            let finding = wording::argument_count(&name.text, *count, arguments.len(), self.place(expr.span), None);
            self.say(finding);
            return None;
        }
        if !sound {
            return None;
        }
        let dimensions: Vec<Dimension> = checked.iter().map(|(_, dimension)| *dimension).collect();
        match function_dimension(*function, &dimensions) {
            Ok(dimension) => {
                let values = checked.into_iter().map(|(expression, _)| expression).collect();
                Some(self.made(expr, ExpressionKind::Function(*function, values), Kind::Quantity(dimension)))
            }
            Err(needed) => {
                let finding = wording::function_dimension(&name.text, needed, &dimensions, self.place(expr.span));
                self.say(finding);
                None
            }
        }
    }

    /// A call of a table, its arguments checked where they are sound.
    fn table_call(
        &mut self,
        expr: &Expr,
        table: Arc<Table>,
        checked: Vec<(Expression, Dimension)>,
        arguments: &[Expr],
    ) -> Option<Checked> {
        let [argument] = arguments else {
            let place = self.place(expr.span);
            let finding = wording::argument_count(&table.name, 1, arguments.len(), place, Some(&table.place));
            self.say(finding);
            return None;
        };
        let (value, dimension) = checked.into_iter().next()?;
        if dimension != table.takes {
            let (needed, place) = (Kind::Quantity(table.takes), self.place(argument.span));
            let finding =
                wording::argument_dimension(self.book, &table.parameter, needed, dimension, place, &table.place);
            self.say(finding);
            return None;
        }
        let gives = Kind::Quantity(table.gives);
        Some(self.made(expr, ExpressionKind::Table(table, Box::new(value)), gives))
    }

    fn collect(&mut self, expr: &Expr, collector: Collector, word: Span, of: &[Expr]) -> Option<Checked> {
        let mut values = Vec::with_capacity(of.len());
        let mut many = of.len() > 1;
        let mut kind: Option<Kind> = None;
        let mut sound = true;
        for element in of {
            let Some(checked) = self.any(element) else {
                sound = false;
                continue;
            };
            many |= checked.many;
            if *kind.get_or_insert(checked.kind) != checked.kind {
                let finding = wording::collection_mixed(
                    self.book,
                    kind,
                    checked.kind,
                    self.place(element.span),
                    self.place(word),
                );
                self.say(finding);
                sound = false;
            }
            values.push(checked.expression);
        }
        let kind = kind.filter(|_| sound)?;
        if !many {
            let finding = wording::one_value(collector, self.place(expr.span));
            self.say(finding);
            return None;
        }
        let Some(result) = collected_kind(self.book, collector, kind) else {
            let finding = wording::collection_impossible(self.book, collector, kind, self.place(expr.span));
            self.say(finding);
            return None;
        };
        Some(self.made(expr, ExpressionKind::Collect(collector, values), result))
    }

    fn binary(&mut self, expr: &Expr, operator: Operator, left: &Expr, right: &Expr) -> Option<Checked> {
        if matches!(operator, Operator::And | Operator::Or) {
            let left = self.condition(left);
            let right = self.condition(right);
            return Some(self.made(
                expr,
                ExpressionKind::Binary(operator, Box::new(left?), Box::new(right?)),
                Kind::YesNo,
            ));
        }
        let left_checked = self.quantity(left);
        let right_checked = self.quantity(right);
        let ((left_value, a), (right_value, b)) = (left_checked?, right_checked?);
        let dimension = match operator {
            Operator::Add => sum_dimension(a, b),
            Operator::Subtract => difference_dimension(a, b),
            Operator::Multiply => a.product(b),
            _ => a.quotient(b),
        };
        let Some(dimension) = dimension else {
            let finding = wording::dimensions_differ(operator, (a, self.place(left.span)), (b, self.place(right.span)));
            self.say(finding);
            return None;
        };
        let kind = ExpressionKind::Binary(operator, Box::new(left_value), Box::new(right_value));
        Some(self.made(expr, kind, Kind::Quantity(dimension)))
    }

    /// The subject of a row: a path whose every position is meant.
    pub(super) fn subject(&mut self, path: &tree::Path) -> Option<Reach> {
        let part = self.part?;
        match scope::look_up(self.book, part, path) {
            Lead::Reach(reach, _) => Some(reach),
            lead => self.lost(path, lead),
        }
    }

    /// Says that a path leads nowhere it may.
    fn lost<T>(&mut self, path: &tree::Path, lead: Lead) -> Option<T> {
        let finding = wording::lost(self.book, self.part, path, lead, self.source);
        self.say(finding);
        None
    }

    /// A path that must lead to a part.
    pub(super) fn part_named(&mut self, path: &tree::Path) -> Option<Id<Part>> {
        let part = self.part?;
        match scope::look_up(self.book, part, path) {
            Lead::Part(found) => Some(found),
            Lead::Reach(..) => {
                let finding = wording::not_a_part(path, self.source);
                self.say(finding);
                None
            }
            lead => self.lost(path, lead),
        }
    }
}

/// The dimension of a sum: a point plus a difference is a point.
fn sum_dimension(a: Dimension, b: Dimension) -> Option<Dimension> {
    match (a.is_point(), b.is_point()) {
        (true, true) => None,
        (true, false) if a.difference() == b => Some(a),
        (false, true) if b.difference() == a => Some(b),
        (false, false) if a == b => Some(a),
        _ => None,
    }
}

/// The dimension of a difference: two points differ by a difference.
fn difference_dimension(a: Dimension, b: Dimension) -> Option<Dimension> {
    match (a.is_point(), b.is_point()) {
        (true, true) if a == b => Some(a.difference()),
        (true, false) if a.difference() == b => Some(a),
        (false, false) if a == b => Some(a),
        _ => None,
    }
}

/// The dimension a function gives, or the words for what it needs.
fn function_dimension(function: Function, of: &[Dimension]) -> Result<Dimension, &'static str> {
    let first = of.first().copied().unwrap_or(Dimension::NUMBER);
    let second = of.get(1).copied().unwrap_or(Dimension::NUMBER);
    match function {
        Function::SquareRoot => first.root(2).ok_or("a value whose dimension is a square, such as an area"),
        Function::Sine | Function::Cosine | Function::Tangent => {
            if first == Dimension::ANGLE || first.is_number() {
                Ok(Dimension::NUMBER)
            } else {
                Err("an angle")
            }
        }
        Function::ArcSine | Function::ArcCosine | Function::ArcTangent => {
            if first.is_number() {
                Ok(Dimension::ANGLE)
            } else {
                Err("a plain number")
            }
        }
        Function::Absolute => {
            if first.is_point() {
                Err("a difference, not a point on a scale")
            } else {
                Ok(first)
            }
        }
        Function::Round => {
            if first == second && !first.is_point() {
                Ok(first)
            } else {
                Err("a value and a step of the same dimension")
            }
        }
        Function::Radians => first.quotient(Dimension::ANGLE).ok_or("an angle"),
        Function::Exponential | Function::Logarithm => {
            if first.is_number() {
                Ok(first)
            } else {
                Err("a plain number: divide by the unit first")
            }
        }
        // The digits of a length depend on its unit: 2.54 cm have three, and so has 1.00 in.
        Function::Significant => {
            if first.is_number() && second.is_number() {
                Ok(first)
            } else {
                Err("a plain number and how many digits of it count: divide by the unit first")
            }
        }
    }
}

/// What kind of value a collector makes of values of a kind; `None` where it makes no sense.
pub(super) fn collected_kind(book: &Book, collector: Collector, kind: Kind) -> Option<Kind> {
    match (collector, kind) {
        (Collector::Count, _) => Some(Kind::Quantity(Dimension::NUMBER)),
        (Collector::Spread, Kind::Quantity(dimension)) => Some(Kind::Quantity(dimension.difference())),
        (Collector::Sum, Kind::Quantity(dimension)) if dimension.is_point() => None,
        (_, Kind::Quantity(dimension)) => Some(Kind::Quantity(dimension)),
        (Collector::Spread, Kind::Names(set)) if book.sets.get(set).ordered => Some(Kind::Quantity(Dimension::NUMBER)),
        (Collector::Smallest | Collector::Largest, Kind::Names(set)) if book.sets.get(set).ordered => Some(kind),
        _ => None,
    }
}
