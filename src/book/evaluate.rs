//! Works out values that need no record: bounds, constants, and formulas of them. The same arithmetic serves judging.

use super::expression::{Expression, ExpressionKind, Function};
use super::{Book, Generation, Table};
use crate::quantity::{Value, function};
use crate::syntax::tree::{Collector, Operator};
use crate::text::Place;
use std::borrow::Borrow;
use std::sync::Arc;

/// Why a value cannot be worked out without a record.
#[derive(Clone, Debug)]
pub enum Impossible {
    /// It depends on a reading, a name or a condition.
    NeedsRecord,
    /// A division by zero, a root of a negative number, or the like, there.
    Arithmetic(Place),
    /// A value outside the ends of a table.
    OutsideTable(Box<OutsideTable>),
    /// The generation does not give this constant.
    NoConstant(super::Id<super::Constant>),
}

/// A value outside the ends of a table.
#[derive(Clone, Debug)]
pub struct OutsideTable {
    /// The table.
    pub table: Arc<Table>,
    /// The value, in base units.
    pub value: Value,
    /// Where the table is asked for it.
    pub place: Place,
}

/// Arithmetic between two quantities; `None` where there is no answer (a division by zero).
#[must_use]
pub fn binary(operator: Operator, left: &Value, right: &Value) -> Option<Value> {
    match operator {
        Operator::Add => Some(left.add(right)),
        Operator::Subtract => Some(left.subtract(right)),
        Operator::Multiply => Some(left.multiply(right)),
        Operator::Divide => left.divide(right),
        Operator::And | Operator::Or => None,
    }
}

/// A function of quantities in base units (angles in radians); `None` where there is no answer.
#[must_use]
pub fn call(function: Function, values: &[Value]) -> Option<Value> {
    let first = values.first()?;
    match function {
        Function::SquareRoot => function::sqrt(first),
        Function::Sine => Some(function::sin(first)),
        Function::Cosine => Some(function::cos(first)),
        Function::Tangent => function::tan(first),
        Function::ArcSine => function::asin(first),
        Function::ArcCosine => function::acos(first),
        Function::ArcTangent => Some(function::atan(first)),
        Function::Absolute => Some(first.absolute()),
        Function::Round => first.round_to(values.get(1)?),
        Function::Exponential => Some(function::exp(first)),
        Function::Logarithm => function::ln(first),
        Function::Significant => first.significant(values.get(1)?),
        // The base unit of an angle is the radian, so the number of radians is the value itself.
        Function::Radians => Some(first.clone()),
    }
}

/// One quantity of several; `None` where there are none.
#[must_use]
pub fn collect<V: Borrow<Value>>(collector: Collector, values: &[V]) -> Option<Value> {
    match collector {
        Collector::Count => {
            i64::try_from(values.len()).ok().map(|count| Value::from(crate::quantity::Number::from_integer(count)))
        }
        Collector::Smallest => Value::smallest(values),
        Collector::Largest => Value::largest(values),
        Collector::Spread => Some(Value::largest(values)?.subtract(&Value::smallest(values)?)),
        Collector::Sum => sum(values),
        Collector::Mean => sum(values)?.divide(&collect(Collector::Count, values)?),
    }
}

fn sum<V: Borrow<Value>>(values: &[V]) -> Option<Value> {
    let (first, rest) = values.split_first()?;
    Some(rest.iter().map(V::borrow).fold(first.borrow().clone(), |sum, value| sum.add(value)))
}

/// Works out a quantity from literals and the constants of a generation.
///
/// # Errors
/// Where it needs a record, a constant the generation does not give, or has no answer.
pub fn evaluate(book: &Book, generation: Option<&Generation>, expression: &Expression) -> Result<Value, Impossible> {
    with_parameters(book, generation, expression, &[])
}

fn with_parameters(
    book: &Book,
    generation: Option<&Generation>,
    expression: &Expression,
    parameters: &[Value],
) -> Result<Value, Impossible> {
    let value = |expression: &Expression| with_parameters(book, generation, expression, parameters);
    let answer = |value: Option<Value>| value.ok_or_else(|| Impossible::Arithmetic(expression.place.clone()));
    match &expression.kind {
        ExpressionKind::Quantity(value) => Ok(value.clone()),
        ExpressionKind::Constant(id) => generation
            .and_then(|generation| generation.constants.get(id.index()))
            .and_then(|given| given.as_ref())
            .map(|given| given.value.clone())
            .ok_or(Impossible::NoConstant(*id)),
        ExpressionKind::Parameter(number) => {
            parameters.get(usize::from(*number)).cloned().ok_or(Impossible::NeedsRecord)
        }
        ExpressionKind::Negate(inner) => Ok(value(inner)?.negate()),
        ExpressionKind::Binary(operator, left, right) => match operator {
            Operator::And | Operator::Or => Err(Impossible::NeedsRecord),
            operator => answer(binary(*operator, &value(left)?, &value(right)?)),
        },
        ExpressionKind::Power(base, exponent) => {
            let base = value(base)?;
            answer(i8::try_from(*exponent).ok().and_then(|exponent| base.power(exponent)))
        }
        ExpressionKind::Function(function, arguments) => {
            let arguments: Vec<Value> = arguments.iter().map(value).collect::<Result<_, _>>()?;
            answer(call(*function, &arguments))
        }
        ExpressionKind::Formula(id, arguments) => {
            let arguments: Vec<Value> = arguments.iter().map(value).collect::<Result<_, _>>()?;
            with_parameters(book, generation, &book.formulas.get(*id).body, &arguments)
        }
        ExpressionKind::Table(table, inner) => {
            let value = value(inner)?;
            table.at(&value).ok_or_else(|| {
                let (table, place) = (table.clone(), inner.place.clone());
                Impossible::OutsideTable(Box::new(OutsideTable { table, value, place }))
            })
        }
        ExpressionKind::Collect(collector, values) => {
            let values: Vec<Value> = values.iter().map(value).collect::<Result<_, _>>()?;
            answer(collect(*collector, &values))
        }
        ExpressionKind::YesNo(_)
        | ExpressionKind::Name(_)
        | ExpressionKind::Reach(_)
        | ExpressionKind::Not(_)
        | ExpressionKind::Test { .. } => Err(Impossible::NeedsRecord),
    }
}
