//! Functions given by points, with straight lines between them. Refuses to guess outside the ends it was given.

use super::compile::{Draft, Space};
use super::wording;
use crate::quantity::{Dimension, Enclosure, Unit, Value};
use crate::syntax::tree::{Expr, ExprKind, Item, TableDeclaration, Tree};
use crate::text::{Place, Source};
use std::cmp::Ordering;
use std::sync::Arc;

/// A function given by points.
#[derive(Clone, PartialEq, Debug)]
pub struct Table {
    /// Its name.
    pub name: Box<str>,
    /// The name of what it takes.
    pub parameter: Box<str>,
    /// What it takes.
    pub takes: Dimension,
    /// The unit what it takes is declared in; none for a plain number.
    pub takes_in: Option<Unit>,
    /// What it gives.
    pub gives: Dimension,
    /// Its points in base units, at least two, the first of each strictly rising.
    pub points: Vec<(Value, Value)>,
    /// Whether outside its ends the end's value holds.
    pub held: bool,
    /// Where it is declared.
    pub place: Place,
}

impl Table {
    /// What it gives for a value in base units; `None` outside its ends where they do not hold, and where it is not
    /// decided whether the value is outside.
    ///
    /// Of a value known only to lie between two numbers it gives what encloses every answer possible: a line of straight
    /// pieces has its smallest and largest values at the two numbers or at points between them.
    #[must_use]
    pub fn at(&self, value: &Value) -> Option<Value> {
        let Value::Within(within) = value else { return self.at_exact(value) };
        let (low, high) = (Value::from(within.low.clone()), Value::from(within.high.clone()));
        let mut answers = vec![self.at_exact(&low)?, self.at_exact(&high)?];
        let between = self
            .points
            .iter()
            .filter(|(x, _)| x.compare(&low) != Some(Ordering::Less) && x.compare(&high) != Some(Ordering::Greater));
        answers.extend(between.map(|(_, y)| y.clone()));
        let (smallest, largest) = (Value::smallest(&answers)?, Value::largest(&answers)?);
        Some(Enclosure { low: smallest.enclosure().low, high: largest.enclosure().high }.into())
    }

    fn at_exact(&self, value: &Value) -> Option<Value> {
        let (first, at_first) = self.points.first()?;
        if value.compare(first)? == Ordering::Less {
            return self.held.then(|| at_first.clone());
        }
        for (left, right) in self.points.iter().zip(self.points.iter().skip(1)) {
            if value.compare(&right.0)? != Ordering::Greater {
                let share = value.subtract(&left.0).divide(&right.0.subtract(&left.0))?;
                return Some(left.1.add(&share.multiply(&right.1.subtract(&left.1))));
            }
        }
        let (_, at_last) = self.points.last()?;
        self.held.then(|| at_last.clone())
    }
}

impl Draft {
    pub(super) fn tables(&mut self, trees: &[&Tree]) {
        for tree in trees {
            for item in &tree.items {
                if let Item::Table(table) = item
                    && self.take(Space::Formula, &table.name, &tree.source)
                    && let Some(made) = self.table(table, &tree.source)
                {
                    self.book.tables.push(Arc::new(made));
                }
            }
        }
    }

    fn table(&mut self, table: &TableDeclaration, source: &Source) -> Option<Table> {
        let takes = self.quantity_kind(&table.parameter.kind, source);
        let gives = self.quantity_kind(&table.result, source);
        let ((takes, takes_in), (gives, _)) = (takes?, gives?);
        let mut points: Vec<(Value, Value)> = Vec::with_capacity(table.points.len());
        let mut sound = true;
        for (at, (x, y)) in table.points.iter().enumerate() {
            let (x_value, y_value) = (self.figure(x, takes, source), self.figure(y, gives, source));
            let (Some(x_value), Some(y_value)) = (x_value, y_value) else {
                sound = false;
                continue;
            };
            let before = at.checked_sub(1).and_then(|before| table.points.get(before));
            if let (Some((last, _)), Some((before, _))) = (points.last(), before)
                && sound
                && x_value.compare(last) != Some(Ordering::Greater)
            {
                let finding = wording::table_order(&table.name.text, source.place(x.span), source.place(before.span));
                self.say(finding);
                return None;
            }
            points.push((x_value, y_value));
        }
        if !sound {
            return None;
        }
        if points.len() < 2 {
            let place = table.points.first().map_or(table.span, |(x, y)| x.span.to(y.span));
            let finding = wording::table_too_short(&table.name.text, source.place(place));
            self.say(finding);
            return None;
        }
        Some(Table {
            name: table.name.text.clone(),
            parameter: table.parameter.name.text.clone(),
            takes,
            takes_in,
            gives,
            points,
            held: table.held.is_some(),
            place: source.place(table.name.span),
        })
    }

    /// One figure of a point, which has its own unit.
    fn figure(&mut self, expr: &Expr, dimension: Dimension, source: &Source) -> Option<Value> {
        let literal = unsigned(expr);
        let (expression, found) = self.checker(source, None, &[]).quantity(&literal)?;
        if found != dimension {
            let finding = wording::bound_dimension(&self.book, &literal, found, dimension, source.place(expr.span));
            self.say(finding);
            return None;
        }
        self.constant_value(None, &expression)
    }
}

/// A literal with its minus taken into the number: on a scale, minus ten degrees is a point like any other.
fn unsigned(expr: &Expr) -> Expr {
    let ExprKind::Negate(inner) = &expr.kind else { return expr.clone() };
    let kind = match &inner.kind {
        ExprKind::Number(number) => ExprKind::Number(-number),
        ExprKind::Quantity(number, unit) => ExprKind::Quantity(-number, unit.clone()),
        _ => return expr.clone(),
    };
    Expr { kind, span: expr.span }
}

#[cfg(test)]
mod tests;
