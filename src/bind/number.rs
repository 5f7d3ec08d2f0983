//! From the text of a value to an exact quantity: the number, then its unit.

use super::walk::Binder;
use super::{wording, wording_gauge};
use crate::book::{Characteristic, Kind};
use crate::finding::NoteKind;
use crate::quantity::{Dimension, Number, NumberError, Short, Unit, UnitError, Value};
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
    /// A unit or a third number after a ratio.
    AfterRatio,
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
    /// A quantity as written, in base units: in the plain form, or in one of the others a shop types.
    pub(super) fn quantity(
        &mut self,
        dimension: Dimension,
        declared: Option<&Unit>,
        text: &'a str,
    ) -> Result<Value, Trouble> {
        self.plain_quantity(dimension, declared, text).or_else(|trouble| {
            let (number, unit) = self.typed(text, trouble)?;
            if unit.dimension == dimension {
                return Ok(unit.to_base(&number));
            }
            let expected = declared.map_or_else(String::new, |unit| unit.symbol.to_string());
            let at = text.find(|letter: char| letter.is_alphabetic() || "\"'°″′%".contains(letter)).unwrap_or(0);
            Err(Trouble::Dimension { at, found: unit.dimension, needed: dimension, expected })
        })
    }

    /// A quantity in a form of its own, such as `2 1/2 in`; the trouble with the plain form where it is in none.
    #[cold]
    fn typed(&self, text: &str, trouble: Trouble) -> Result<(Number, Cow<'a, Unit>), Trouble> {
        let book = self.book;
        match trouble {
            Trouble::Number(_) | Trouble::Fraction | Trouble::Unit(..) => book.units.typed(text).ok_or(trouble),
            _ => Err(trouble),
        }
    }

    fn plain_quantity(
        &mut self,
        dimension: Dimension,
        declared: Option<&Unit>,
        text: &'a str,
    ) -> Result<Value, Trouble> {
        let (number, length) = number_at_start(text).map_err(Trouble::Number)?;
        let rest = text.get(length..).unwrap_or("");
        // Wider blanks than those of ASCII are read with the other forms.
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
            let second = second.trim_ascii();
            let (divisor, taken) = Number::parse_prefix(second).map_err(|error| {
                let first = text.get(..length).unwrap_or("").trim_ascii();
                let mended = error.mended.map(|mended| format!("{first}:{mended}"));
                Trouble::Number(NumberError { mended, ..error })
            })?;
            if taken < second.len() {
                return Err(Trouble::AfterRatio);
            }
            return number.checked_div(&divisor).map(Value::from).ok_or(Trouble::RatioToZero);
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

    /// A quantity as [`Binder::quantity`] gives it, where it is a short decimal in the unit found last: most are. None else,
    /// and nothing is said of it.
    #[inline]
    pub(super) fn usual_quantity(&self, dimension: Dimension, text: &str) -> Option<Value> {
        let (written, length) = Short::prefix(text)?;
        let unit = self.unit_again(text.get(length..)?.trim_ascii())?;
        if unit.dimension == dimension { unit.short_to_base(written) } else { None }
    }

    /// The unit found last, if it is written so again.
    #[inline]
    fn unit_again(&self, text: &str) -> Option<&'a Unit> {
        self.last_unit.filter(|(last, _)| *last == text).map(|(_, unit)| unit)
    }

    pub(super) fn find_unit(&mut self, text: &'a str) -> Result<Cow<'a, Unit>, UnitError> {
        if let Some(unit) = self.unit_again(text) {
            return Ok(Cow::Borrowed(unit));
        }
        let book = self.book;
        if let Some(unit) = book.units.find(text) {
            self.last_unit = Some((text, unit));
            return Ok(Cow::Borrowed(unit));
        }
        book.units.resolve(text).or_else(|error| match book.units.in_other_case(text) {
            Some(unit) => {
                self.last_unit = Some((text, unit));
                Ok(Cow::Borrowed(unit))
            }
            None => Err(error),
        })
    }

    /// A value of the same dimension as a characteristic: its uncertainty. A width on a scale may be written in the scale's
    /// own unit, `0.5 degC` for `0.5 K`: it can mean nothing else.
    pub(super) fn like(&mut self, characteristic: &'a Characteristic, scalar: ScalarNode<'a>) -> Option<Value> {
        let Kind::Quantity(dimension) = characteristic.kind else {
            let finding = wording::no_uncertainty(self, characteristic, self.place(scalar.span()));
            self.say(finding);
            return None;
        };
        if dimension.is_point()
            && let Ok((number, unit)) = self.in_any_unit(scalar.text(), 0)
            && unit.dimension == dimension
        {
            return self.width("an uncertainty", unit.difference().to_base(&number), scalar);
        }
        match self.quantity(dimension.difference(), characteristic.unit.as_ref(), scalar.text()) {
            Ok(value) => self.width("an uncertainty", value, scalar),
            Err(trouble) => {
                let finding = wording::number_trouble(self, characteristic, None, trouble, scalar);
                self.say(finding);
                None
            }
        }
    }

    /// A value that says how wide something is; none, with a finding, where it is below zero.
    pub(super) fn width(&mut self, what: &str, value: Value, scalar: ScalarNode<'a>) -> Option<Value> {
        if value.compare(&Value::ZERO) == Some(std::cmp::Ordering::Less) {
            let finding = wording::below_zero(what, scalar.text(), self.place(scalar.span()));
            self.say(finding);
            return None;
        }
        Some(value)
    }

    /// A width in any unit, for whatever a gauge measures, and what it measures.
    pub(super) fn any_width(&mut self, what: &str, scalar: ScalarNode<'a>) -> Option<(Value, Dimension)> {
        match self.in_any_unit(scalar.text(), 0) {
            Ok((number, unit)) => {
                let unit = unit.difference();
                Some((unit.to_base(&number), unit.dimension))
            }
            Err(trouble) => {
                let finding = wording::plain_trouble(self, what, trouble, scalar);
                self.say(finding.note(NoteKind::Remark, wording_gauge::NOTHING_KNOWN));
                None
            }
        }
    }

    /// Two ends as one text: `50 to 75 mm` or `50 mm to 75 mm`.
    pub(super) fn two_ends(&mut self, text: &'a str) -> Option<((Value, Value), Dimension)> {
        let (low, high) = text.split_once(" to ")?;
        self.ends(low, high)
    }

    /// Two ends of one dimension, the lower first; the lower may leave its unit to the higher.
    pub(super) fn ends(&mut self, low: &'a str, high: &'a str) -> Option<((Value, Value), Dimension)> {
        let (high, unit) = self.in_any_unit(high.trim_ascii(), 0).ok()?;
        let low = low.trim_ascii();
        let (low, low_unit) = match Number::parse(low) {
            Ok(number) => (number, unit.clone()),
            Err(_) => self.in_any_unit(low, 0).ok()?,
        };
        let ends = (low_unit.to_base(&low), unit.to_base(&high));
        let rising = ends.0.compare(&ends.1) == Some(std::cmp::Ordering::Less);
        (rising && unit.dimension == low_unit.dimension).then_some((ends, unit.dimension))
    }

    /// A number with a unit of any kind; troubles are placed as in a text in which this one begins at the byte `from`.
    pub(super) fn in_any_unit(&mut self, text: &'a str, from: usize) -> Result<(Number, Cow<'a, Unit>), Trouble> {
        self.plain_in_any_unit(text, from).or_else(|trouble| self.typed(text, trouble))
    }

    fn plain_in_any_unit(&mut self, text: &'a str, from: usize) -> Result<(Number, Cow<'a, Unit>), Trouble> {
        let (number, length) = number_at_start(text).map_err(Trouble::Number)?;
        let rest = text.get(length..).unwrap_or("");
        let unit = rest.trim_ascii();
        if unit.is_empty() {
            return Err(Trouble::NoUnit { expected: String::new() });
        }
        let at = from + length + (rest.len() - rest.trim_ascii_start().len());
        let unit = self.find_unit(unit).map_err(|error| Trouble::Unit(at, error))?;
        Ok((number, unit))
    }
}

/// The number a text begins with, blanks before it left out (quotes may hold them), and the byte it ends at.
#[inline]
fn number_at_start(text: &str) -> Result<(Number, usize), NumberError> {
    let blanks = text.len() - text.trim_ascii_start().len();
    let (number, length) = Number::parse_prefix(text.get(blanks..).unwrap_or(""))?;
    Ok((number, blanks + length))
}
