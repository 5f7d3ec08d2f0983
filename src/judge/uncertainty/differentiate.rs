//! The derivative of a program by everything that is not known exactly, one operation after another.

use super::{Form, Weighing};
use crate::book::{Datum, Function, Table};
use crate::judge::evaluate::Outcome;
use crate::plan::{Operation, Program};
use crate::quantity::{Number, Value, function};
use crate::syntax::tree::Operator;
use std::cmp::Ordering;

/// How a program's value follows. Where a value is missing or has no answer the form is empty: nothing is judged by it.
pub(super) fn program(weighing: &Weighing<'_>, program: &Program) -> Form {
    if let [Operation::Slot(slot)] = program.operations.as_slice() {
        return weighing.slot(*slot);
    }
    let mut forms: Vec<Form> = Vec::with_capacity(program.operations.len());
    let results = weighing.bench.results(program);
    for operation in &program.operations {
        let form = one(weighing, (program, operation), &results, &forms);
        forms.push(form);
    }
    forms.pop().unwrap_or_default()
}

fn one(
    weighing: &Weighing<'_>,
    (program, operation): (&Program, &Operation),
    results: &[Outcome],
    forms: &[Form],
) -> Form {
    let value = |earlier: u32| match results.get(earlier as usize) {
        Some(Outcome::Known(Datum::Quantity(value))) => Some(value),
        _ => None,
    };
    let form = |earlier: u32| forms.get(earlier as usize).cloned().unwrap_or_default();
    // Of a value followed by a function with that derivative: nothing where nothing is uncertain, and there is a value.
    let chained = |earlier: u32, derivative: &dyn Fn(&Value) -> Option<Value>| {
        let inner = form(earlier);
        if inner.is_exact() {
            return inner;
        }
        match value(earlier).and_then(derivative) {
            Some(by) => inner.scaled(&by),
            None => Form { boundless: value(earlier).is_some(), unknown: inner.unknown, ..Form::default() },
        }
    };
    match operation {
        Operation::Known(_) | Operation::Impossible | Operation::Not(_) | Operation::Test { .. } => Form::default(),
        Operation::Slot(slot) => weighing.slot(*slot),
        Operation::Negate(inner) => form(*inner).scaled(&whole(-1)),
        Operation::Binary(Operator::Add, left, right) => form(*left).with(&form(*right), false),
        Operation::Binary(Operator::Subtract, left, right) => {
            let operand = |earlier: u32| program.operations.get(earlier as usize);
            let spread = |largest: u32, smallest: u32| {
                weighing.spread_in_words((operand(largest)?, operand(smallest)?), results, forms)
            };
            if let Some(spread) = spread(*left, *right) {
                return spread;
            }
            match spread(*right, *left) {
                Some(spread) => spread.scaled(&whole(-1)),
                None => form(*left).with(&form(*right), true),
            }
        }
        Operation::Binary(Operator::Multiply, left, right) => match (value(*left), value(*right)) {
            (Some(one), Some(other)) => form(*left).scaled(other).with(&form(*right).scaled(one), false),
            _ => Form::default(),
        },
        Operation::Binary(Operator::Divide, left, right) => {
            let (Some(above), Some(below)) = (value(*left), value(*right)) else { return Form::default() };
            // d(a/b) = da/b − db·a/b²
            let (Some(by_above), Some(quotient)) = (Value::ONE.divide(below), above.divide(below)) else {
                return Form::default();
            };
            let by_below = quotient.multiply(&by_above);
            form(*left).scaled(&by_above).with(&form(*right).scaled(&by_below), true)
        }
        Operation::Binary(Operator::And | Operator::Or, ..) => Form::default(),
        Operation::Power(inner, 0) => Form { unknown: form(*inner).unknown, ..Form::default() },
        Operation::Power(inner, exponent) => chained(*inner, &|at| {
            let lower = i8::try_from(exponent.saturating_sub(1)).ok()?;
            Some(at.power(lower)?.multiply(&whole(i64::from(*exponent))))
        }),
        Operation::Table(table, inner) => chained(*inner, &|at| {
            // 4 u² is the square of the expanded uncertainty, k = 2: so far away the value may truly be.
            slope(table, at, &weighing.variance(&form(*inner)).multiply(&whole(4)))
        }),
        Operation::Function(function, arguments) => {
            let Some(first) = arguments.first() else { return Form::default() };
            match function {
                Function::Radians => form(*first),
                Function::Round => {
                    let step = arguments.get(1).and_then(|step| value(*step));
                    match (value(*first), step) {
                        (Some(at), Some(step)) => rounded(weighing, form(*first), at, step),
                        _ => form(*first),
                    }
                }
                Function::Significant => {
                    let digits = arguments.get(1).and_then(|digits| value(*digits));
                    match (value(*first), digits) {
                        (Some(at), Some(digits)) => significant(weighing, form(*first), at, digits),
                        _ => form(*first),
                    }
                }
                function => chained(*first, &|at| derivative(*function, at)),
            }
        }
        Operation::Collect(collector, elements) => weighing.collect(*collector, elements, results, forms),
    }
}

fn whole(number: i64) -> Value {
    Value::from(Number::from_integer(number))
}

/// The derivative of a function at a value; none where it has no tangent, or an upright one.
pub(super) fn derivative(function: Function, at: &Value) -> Option<Value> {
    let square = at.squared();
    match function {
        Function::SquareRoot => Value::ONE.divide(&function::sqrt(at)?.multiply(&whole(2))),
        Function::Sine => Some(function::cos(at)),
        Function::Cosine => Some(function::sin(at).negate()),
        Function::Tangent => {
            let tangent = function::tan(at)?;
            Some(tangent.squared().add(&Value::ONE))
        }
        Function::ArcSine => Value::ONE.divide(&function::sqrt(&Value::ONE.subtract(&square))?),
        Function::ArcCosine => Some(Value::ONE.divide(&function::sqrt(&Value::ONE.subtract(&square))?)?.negate()),
        Function::ArcTangent => Value::ONE.divide(&square.add(&Value::ONE)),
        Function::Absolute => match at.compare(&Value::ZERO) {
            Some(Ordering::Less) => Some(whole(-1)),
            _ => Some(Value::ONE),
        },
        Function::Exponential => Some(function::exp(at)),
        Function::Logarithm => Value::ONE.divide(at),
        Function::Round | Function::Radians | Function::Significant => Some(Value::ONE),
    }
}

/// How a rounded value follows: as the value does, unless a tie is so near that the value may truly lie past it. Then it may
/// be another step too, which adds half a step squared to its variance, and never more.
fn rounded(weighing: &Weighing<'_>, inner: Form, at: &Value, step: &Value) -> Form {
    let variance = weighing.variance(&inner);
    let follows = || {
        let half = step.divide(&whole(2))?;
        let to_tie = half.subtract(&at.subtract(&at.round_to(step)?).absolute());
        // 4 u² is the square of the expanded uncertainty, k = 2.
        if to_tie.squared().compare(&variance.multiply(&whole(4))) == Some(Ordering::Greater) {
            return None;
        }
        function::sqrt(&Value::ONE.add(&half.squared().divide(&variance)?))
    };
    match follows() {
        Some(by) => inner.scaled(&by),
        None => inner,
    }
}

/// How a value rounded to significant digits follows: as one rounded to what its last digit is worth. Where the value may truly lie
/// on either side of a power of ten, and its last digit be worth ten times as much, half of the larger step squared is added.
fn significant(weighing: &Weighing<'_>, inner: Form, at: &Value, digits: &Value) -> Form {
    let variance = weighing.variance(&inner);
    let steps = || {
        // 4 u² is the square of the expanded uncertainty, k = 2.
        let reach = function::sqrt(&variance.multiply(&whole(4)))?;
        let size = at.absolute();
        Some((last_digit(&size.subtract(&reach), digits), last_digit(&size.add(&reach), digits)?))
    };
    match steps() {
        Some((Some(low), high)) if low == high => rounded(weighing, inner, at, &high),
        Some((_, high)) => {
            let half = high.divide(&whole(2));
            let more = half.and_then(|half| half.squared().divide(&variance));
            match more.and_then(|more| function::sqrt(&Value::ONE.add(&more))) {
                Some(by) => inner.scaled(&by),
                None => inner,
            }
        }
        None => inner,
    }
}

/// What the last of so many significant digits of a value is worth; `None` at nought and below.
fn last_digit(at: &Value, digits: &Value) -> Option<Value> {
    let (at, ten) = (at.midpoint(), Number::from_integer(10));
    let digits: i8 = digits.midpoint().to_decimal(0).parse().ok().filter(|digits| (1..=40).contains(digits))?;
    let first = (-80..=80_i8).rev().find(|power| ten.power(*power).is_some_and(|power| power <= at))?;
    ten.power(first - digits + 1).map(Value::from)
}

/// The slope of a table at a value: the steepest of the pieces that the value may truly lie on, `reach_squared` being the
/// square of how far away that is.
fn slope(table: &Table, at: &Value, reach_squared: &Value) -> Option<Value> {
    let mut steepest: Option<Value> = None;
    for (left, right) in table.points.iter().zip(table.points.iter().skip(1)) {
        let past = |beyond: Value| {
            beyond.compare(&Value::ZERO) == Some(Ordering::Greater)
                && beyond.squared().compare(reach_squared) == Some(Ordering::Greater)
        };
        if past(left.0.subtract(at)) || past(at.subtract(&right.0)) {
            continue;
        }
        let slope = right.1.subtract(&left.1).divide(&right.0.subtract(&left.0))?;
        let steeper = steepest
            .as_ref()
            .is_none_or(|other| slope.absolute().compare(&other.absolute()) == Some(Ordering::Greater));
        if steeper {
            steepest = Some(slope);
        }
    }
    // Beyond the ends the end's value holds.
    Some(steepest.unwrap_or(Value::ZERO))
}
