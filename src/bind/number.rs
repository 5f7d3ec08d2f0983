//! From the text of a value to an exact quantity: the number, then its unit.

use super::walk::Binder;
use super::wording;
use crate::book::{Characteristic, Kind};
use crate::quantity::{Dimension, Number, NumberError, Unit, UnitError, Value};
use crate::record::ScalarNode;
use std::borrow::Cow;

/// Why a text is no quantity of the dimension needed.
pub(super) enum Trouble {
    /// No number can be read.
    Number(NumberError),
    /// A fraction, or a second number.
    Fraction,
    /// A ratio where a dimension is needed, or the other way round.
    Ratio,
    /// A ratio to zero.
    RatioToZero,
    /// No unit where one is needed.
    NoUnit {
        /// The unit the book declares.
        expected: String,
    },
    /// A unit nobody declared, and the byte in the text where it begins.
    Unit(usize, UnitError),
    /// A unit of another dimension, and the byte in the text where it begins.
    Dimension {
        /// Where the unit begins.
        at: usize,
        /// What it measures.
        found: Dimension,
        /// What is needed.
        needed: Dimension,
        /// The unit the book declares.
        expected: String,
    },
}

impl<'a> Binder<'a> {
    /// A quantity as written, in base units.
    pub(super) fn quantity(
        &mut self,
        dimension: Dimension,
        declared: Option<&Unit>,
        scalar: ScalarNode<'a>,
    ) -> Result<Value, Trouble> {
        let text = scalar.text();
        let (number, length) = Number::parse_prefix(text).map_err(Trouble::Number)?;
        let rest = text.get(length..).unwrap_or("");
        // Blanks in a record are blanks of ASCII; wider ones belong to the text and make it no unit.
        let unit_text = rest.trim_ascii();
        let expected = || declared.map_or_else(String::new, |unit| unit.symbol.to_string());
        if unit_text.is_empty() {
            if dimension.is_number() {
                return Ok(Value::from(number));
            }
            return Err(Trouble::NoUnit { expected: expected() });
        }
        if let Some(second) = unit_text.strip_prefix(':') {
            if !dimension.is_number() {
                return Err(Trouble::Ratio);
            }
            let second = Number::parse(second.trim()).map_err(Trouble::Number)?;
            return number.checked_div(&second).map(Value::from).ok_or(Trouble::RatioToZero);
        }
        let at = length + (rest.len() - rest.trim_ascii_start().len());
        let unit = self.find_unit(unit_text).map_err(|error| {
            let second_number = unit_text.starts_with(|letter: char| letter.is_ascii_digit() || letter == '/');
            if second_number { Trouble::Fraction } else { Trouble::Unit(at, error) }
        })?;
        if unit.dimension != dimension {
            let (found, needed) = (unit.dimension, dimension);
            return Err(Trouble::Dimension { at, found, needed, expected: expected() });
        }
        Ok(unit.to_base(&number))
    }

    fn find_unit(&mut self, text: &'a str) -> Result<Cow<'a, Unit>, UnitError> {
        if let Some((last, unit)) = self.last_unit
            && last == text
        {
            return Ok(Cow::Borrowed(unit));
        }
        let book = self.book;
        if let Some(unit) = book.units.find(text) {
            self.last_unit = Some((text, unit));
            return Ok(Cow::Borrowed(unit));
        }
        book.units.resolve(text)
    }

    /// A value of the same dimension as a characteristic: its uncertainty.
    pub(super) fn like(&mut self, characteristic: &'a Characteristic, scalar: ScalarNode<'a>) -> Option<Value> {
        let Kind::Quantity(dimension) = characteristic.kind else { return None };
        match self.quantity(dimension.difference(), characteristic.unit.as_ref(), scalar) {
            Ok(value) => Some(value),
            Err(trouble) => {
                let finding = wording::number_trouble(self, characteristic, None, trouble, scalar);
                self.say(finding);
                None
            }
        }
    }

    /// A temperature on a scale.
    pub(super) fn temperature(&mut self, scalar: ScalarNode<'a>) -> Option<Value> {
        match self.quantity(Dimension::TEMPERATURE.point(), None, scalar) {
            Ok(value) => Some(value),
            Err(trouble) => {
                let finding = wording::plain_trouble(self, "the temperature", trouble, scalar);
                self.say(finding);
                None
            }
        }
    }

    /// A length, or whatever a gauge's own figure measures: any unit will do.
    pub(super) fn any_quantity(&mut self, what: &str, scalar: ScalarNode<'a>) -> Option<Value> {
        let text = scalar.text();
        let read = Number::parse_prefix(text).map_err(Trouble::Number).and_then(|(number, length)| {
            let rest = text.get(length..).unwrap_or("");
            let unit = rest.trim();
            if unit.is_empty() {
                return Err(Trouble::NoUnit { expected: String::new() });
            }
            let at = length + (rest.len() - rest.trim_start().len());
            let unit = self.find_unit(unit).map_err(|error| Trouble::Unit(at, error))?;
            Ok(unit.to_base(&number))
        });
        match read {
            Ok(value) => Some(value),
            Err(trouble) => {
                let finding = wording::plain_trouble(self, what, trouble, scalar);
                self.say(finding);
                None
            }
        }
    }
}
