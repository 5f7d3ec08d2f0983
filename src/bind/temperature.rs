//! Figures with a `±`: how warm a part or a gauge was, and by how much a gauge grows as it warms.

use super::number::Trouble;
use super::walk::Binder;
use super::{Temperature, wording, wording_gauge, wording_number};
use crate::finding::NoteKind;
use crate::quantity::{Dimension, Number, Unit, Value};
use crate::record::ScalarNode;
use std::borrow::Cow;
use std::cmp::Ordering;

/// The text before a `±` or `+/-`, and the byte it begins at with the text behind it.
fn around(text: &str) -> (&str, Option<(usize, &str)>) {
    for sign in ["±", "+/-"] {
        if let Some((before, behind)) = text.split_once(sign) {
            return (before, Some((before.len() + sign.len(), behind)));
        }
    }
    (text, None)
}

/// Half a step of the last digit a number is written with: of 28 a half, of 28.0 a twentieth.
fn half_a_step(text: &str) -> Number {
    let number = text.trim_ascii_start().trim_start_matches(['+', '-']);
    let length = number.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(number.len());
    let places = number.get(..length).and_then(|number| number.split_once('.')).map_or(0, |(_, behind)| behind.len());
    let tenth = Number::ratio(1, 10).unwrap_or_default();
    let half = Number::ratio(1, 2).unwrap_or_default();
    // A number has far fewer digits than this; more would not have been read.
    let step = i8::try_from(places).ok().and_then(|places| tenth.power(places)).unwrap_or_default();
    half * step
}

impl<'a> Binder<'a> {
    /// A temperature on a scale: `28 degC`, `28 ± 1 degC`, `28 degC ± 1 K`; without `±` it holds to half a step of its
    /// last digit.
    pub(super) fn temperature(&mut self, what: &str, scalar: ScalarNode<'a>) -> Option<Temperature> {
        let found = self.read_temperature(scalar);
        let finding = match found {
            Ok((_, half_width)) if half_width.compare(&Value::ZERO) == Some(Ordering::Less) => {
                wording::below_zero("what may be either way", scalar.text(), self.place(scalar.span()))
            }
            Ok((value, _)) if value.compare(&Value::ZERO) == Some(Ordering::Less) => {
                wording_gauge::below_absolute_zero(what, scalar.text(), self.place(scalar.span()))
            }
            Ok((value, half_width)) => return Some(Temperature { value, half_width, span: scalar.span() }),
            Err(trouble) => wording_number::trouble_with(self, what, Dimension::TEMPERATURE.point(), trouble, scalar),
        };
        self.say(finding.note(NoteKind::Remark, wording_gauge::AS_TAKEN));
        None
    }

    fn read_temperature(&mut self, scalar: ScalarNode<'a>) -> Result<(Value, Value), Trouble> {
        let text = scalar.text();
        let (before, behind) = around(text);
        let Some((from, behind)) = behind else {
            let (number, unit) = self.in_any_unit(before, 0)?;
            let unit = scale(&unit, (before, 0))?;
            return Ok((unit.to_base(&number), unit.difference().to_base(&half_a_step(before))));
        };
        let (half_width, width_unit) = self.in_any_unit(behind, from)?;
        let (number, unit, written) = match Number::parse(before.trim_ascii()) {
            Ok(number) => (number, width_unit.clone(), (behind, from)),
            Err(_) => {
                let (number, unit) = self.in_any_unit(before, 0)?;
                (number, unit, (before, 0))
            }
        };
        let unit = scale(&unit, written)?;
        let width_unit = width_unit.difference();
        if width_unit.dimension != Dimension::TEMPERATURE {
            return Err(another(behind, from, width_unit.dimension, Dimension::TEMPERATURE));
        }
        Ok((unit.to_base(&number), width_unit.to_base(&half_width)))
    }

    /// A coefficient of expansion and how far the true one may lie from it: `11.5 um/m/K ± 1 um/m/K`.
    pub(super) fn expansion(&mut self, scalar: ScalarNode<'a>) -> Option<(Value, Value)> {
        let finding = match self.read_expansion(scalar) {
            Ok(Some((coefficient, half_width))) => {
                let below = |value: &Value| value.compare(&Value::ZERO) == Some(Ordering::Less);
                if !below(&coefficient) && !below(&half_width) {
                    return Some((coefficient, half_width));
                }
                wording_gauge::expansion_below_zero(scalar.text(), self.place(scalar.span()))
            }
            Ok(None) => wording_gauge::expansion_alone(scalar.text(), self.place(scalar.span())),
            Err(trouble) => wording::plain_trouble(self, "a gauge's expansion", trouble, scalar),
        };
        self.say(finding);
        None
    }

    fn read_expansion(&mut self, scalar: ScalarNode<'a>) -> Result<Option<(Value, Value)>, Trouble> {
        let (before, behind) = around(scalar.text());
        let Some((from, behind)) = behind else { return Ok(None) };
        let (half_width, width_unit) = self.in_any_unit(behind, from)?;
        let (number, unit) = match Number::parse(before.trim_ascii()) {
            Ok(number) => (number, width_unit.clone()),
            Err(_) => self.in_any_unit(before, 0)?,
        };
        let Some(needed) = Dimension::NUMBER.quotient(Dimension::TEMPERATURE) else { return Ok(None) };
        // The unit at the end may serve both.
        for (text, at, unit) in [(behind, from, &width_unit), (before, 0, &unit)] {
            if unit.dimension != needed {
                return Err(another(text, at, unit.dimension, needed));
            }
        }
        Ok(Some((unit.to_base(&number), width_unit.to_base(&half_width))))
    }
}

/// A unit that is a scale of temperature.
fn scale<'u>(unit: &'u Cow<'u, Unit>, (text, from): (&str, usize)) -> Result<&'u Unit, Trouble> {
    let needed = Dimension::TEMPERATURE.point();
    if unit.dimension == needed { Ok(unit) } else { Err(another(text, from, unit.dimension, needed)) }
}

/// A unit of another dimension, in a text that begins at the byte `from`.
pub(super) fn another(text: &str, from: usize, found: Dimension, needed: Dimension) -> Trouble {
    let is_number = |letter: char| letter.is_ascii_digit() || letter.is_ascii_whitespace() || "+-.".contains(letter);
    let at = from + text.find(|letter: char| !is_number(letter)).unwrap_or(0);
    Trouble::Dimension { at, found, needed, expected: String::new() }
}
