//! One unit: its symbol, what it measures, and how a number in it becomes a value in SI base units and back.

use super::dimension::Dimension;
use super::number::{Number, Short};
use super::value::Value;

/// A unit of measurement.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unit {
    /// As it is printed.
    pub symbol: Box<str>,
    /// What it measures.
    pub dimension: Dimension,
    /// One of it in SI base units.
    pub size: Value,
    /// Where its zero stands in SI base units, on a scale such as °C; the dimension is then a point.
    pub zero: Option<Value>,
}

impl Unit {
    /// A unit that starts at nothing.
    #[must_use]
    pub fn new(symbol: &str, dimension: Dimension, size: Value) -> Unit {
        Unit { symbol: symbol.into(), dimension, size, zero: None }
    }

    /// The unit of plain numbers: one, which is not written.
    #[must_use]
    pub fn number() -> Unit {
        Unit::new("", Dimension::NUMBER, Value::ONE)
    }

    /// A number written in this unit, in SI base units.
    #[must_use]
    #[inline]
    pub fn to_base(&self, written: &Number) -> Value {
        let value = match &self.size {
            Value::Exact { number, pi } => Value::exact(number * written, *pi),
            size @ Value::Within(_) => size.multiply(&Value::from(written.clone())),
        };
        match &self.zero {
            Some(zero) => value.add(zero),
            None => value,
        }
    }

    /// As [`Unit::to_base`], for the short decimals most readings are, in units that start at nothing; none for all else.
    #[must_use]
    #[inline]
    pub fn short_to_base(&self, written: Short) -> Option<Value> {
        let (Value::Exact { number, pi }, None) = (&self.size, &self.zero) else { return None };
        let number = number.short_product(written)?;
        let pi = if number.is_zero() { 0 } else { *pi };
        Some(Value::Exact { number, pi })
    }

    /// A value in SI base units, in this unit. A unit of no size at all measures nothing: the answer is then unknown.
    #[must_use]
    pub fn from_base(&self, base: &Value) -> Value {
        let above_zero = match &self.zero {
            Some(zero) => &base.subtract(zero),
            None => base,
        };
        above_zero.divide(&self.size).unwrap_or_else(Value::unknown)
    }

    /// A value in SI base units as a decimal in this unit, without the unit: exact where it ends within twelve places, else
    /// rounded to them. For whoever reckons on with it.
    #[must_use]
    pub fn decimal(&self, base: &Value) -> String {
        const PLACES: u32 = 12;
        self.from_base(base).midpoint().to_text(PLACES)
    }

    /// Whether a number means the same in both: symbols aside, they are one unit.
    #[must_use]
    pub fn measures_as(&self, other: &Unit) -> bool {
        let same = |one: &Value, other: &Value| one.compare(other) == Some(std::cmp::Ordering::Equal);
        self.dimension == other.dimension
            && same(&self.size, &other.size)
            && match (&self.zero, &other.zero) {
                (None, None) => true,
                (Some(one), Some(other)) => same(one, other),
                _ => false,
            }
    }

    /// The unit of differences on this scale: of °C, the kelvin's size without a zero.
    #[must_use]
    pub fn difference(&self) -> Unit {
        Unit { dimension: self.dimension.difference(), zero: None, ..self.clone() }
    }
}
