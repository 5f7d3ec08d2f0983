//! How well a gauge measures, as its certificate gives it: a width, a share of the reading, a width that grows with it; and
//! the factor it was expanded by. Refuses to know what is measured.

use super::walk::Binder;
use super::wording_gauge::NOTHING_KNOWN;
use super::{Certified, wording_certificate};
use crate::quantity::{Dimension, Number, Rounded, Unit, Value, shown_significant};
use crate::record::ScalarNode;
use crate::statistics::distribution::{normal_quantile, student_quantile};
use crate::text::Span;
use std::borrow::Cow;
use std::cmp::Ordering;

/// The places to which a factor from a coverage probability is cut off: down, so that the uncertainty comes out no smaller.
const FACTOR_PLACES: i64 = 1_000_000;

/// An uncertainty as it is written: what all readings have, and what comes on top for each unit of the reading.
#[derive(Clone)]
pub(super) struct Written {
    pub(super) fixed: Value,
    pub(super) share: Value,
    /// What it measures; none for a share alone.
    pub(super) dimension: Option<Dimension>,
    pub(super) span: Span,
}

/// Why a text is no uncertainty that grows with the reading.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Fault {
    /// A piece is no number.
    Number(String),
    /// A piece is below zero, or nothing.
    NotAbove(String),
    /// A unit is missing at a piece.
    Unit(String),
    /// Nobody declared this unit.
    Unknown(String),
    /// It has an L, and nothing says in which unit.
    LengthUnit,
    /// What L measures is not what the rest does.
    Differ(Dimension, Dimension),
    /// It is a share of the end of the scale.
    FullScale,
    /// All of the reading, or more.
    Whole,
    /// A bracket is not closed.
    Bracket,
}

/// A share of the reading or a width that grows with it, and not a plain width.
pub(super) fn grows(text: &str) -> bool {
    text.contains('%') || letter(text).is_some_and(|at| has_form(text, at)) || text.contains(" + ")
}

/// An `L` with a number to divide it by, a sum around it, or a unit of its own: and no litre.
fn has_form(text: &str, at: usize) -> bool {
    let after = text.get(at + 1..).unwrap_or("").trim_start();
    let divided =
        after.strip_prefix('/').is_some_and(|rest| rest.trim_start().starts_with(|it: char| it.is_ascii_digit()));
    divided || after.starts_with("in ") || text.contains('+')
}

/// Where `L` stands by itself.
fn letter(text: &str) -> Option<usize> {
    let mut before = ' ';
    let mut letters = text.char_indices().peekable();
    while let Some((at, it)) = letters.next() {
        let alone = !letters.peek().is_some_and(|(_, next)| next.is_alphanumeric());
        if it == 'L' && !before.is_alphabetic() && alone {
            return Some(at);
        }
        before = it;
    }
    None
}

impl<'a> Binder<'a> {
    /// An uncertainty as a certificate gives it.
    pub(super) fn certified(&mut self, what: &str, scalar: ScalarNode<'a>) -> Option<Written> {
        let text = scalar.text().trim();
        let span = scalar.text_span().unwrap_or_else(|| scalar.span());
        if !grows(text) {
            let (value, dimension) = self.any_width(what, scalar)?;
            let fixed = self.width(what, value, scalar)?;
            return Some(Written { fixed, share: Value::ZERO, dimension: Some(dimension), span: scalar.span() });
        }
        match self.growing(text, None) {
            Ok((fixed, share, dimension)) => Some(Written { fixed, share, dimension, span }),
            Err(fault) => {
                let finding = wording_certificate::formula((what, text), &fault, self.place(span), NOTHING_KNOWN);
                self.say(finding);
                None
            }
        }
    }

    /// `4 %`, `0.2 N*m + 1 %`, `2 um + 3 um/m`, `(2 + L/300) um, L in mm`. A number without a unit is in `unit`, if there is one.
    pub(super) fn growing(
        &mut self,
        text: &'a str,
        unit: Option<Cow<'a, Unit>>,
    ) -> Result<(Value, Value, Option<Dimension>), Fault> {
        let text = text.strip_prefix('±').unwrap_or(text).trim();
        let small = text.to_ascii_lowercase();
        if ["scale", "range", " fs", "f.s."].iter().any(|word| small.contains(word)) {
            return Err(Fault::FullScale);
        }
        let (text, length) = self.length_clause(text)?;
        let (inner, outer) = match text.strip_prefix('(') {
            Some(rest) => {
                let (inner, unit) = rest.split_once(')').ok_or(Fault::Bracket)?;
                (inner, Some(self.unit_written(unit)?))
            }
            None => (text, unit),
        };
        let (mut fixed, mut share, mut dimension) =
            (Value::ZERO, Value::ZERO, outer.as_ref().map(|unit| unit.dimension));
        // What stands before L counts in the unit of the rest.
        let mut per_length: Option<(Value, Option<Cow<'a, Unit>>)> = None;
        let mut first_unit = outer.clone();
        for piece in inner.split('+') {
            let piece = piece.trim();
            if let Some(percent) = of_percent(piece) {
                share = share.add(&above_zero(percent, piece)?.multiply(&hundredth()));
            } else if letter(piece).is_some() {
                let (by, unit) = slope(piece)?;
                let unit = if unit.is_empty() { None } else { Some(self.unit_written(unit)?) };
                per_length = Some((by, unit));
            } else {
                let (number, unit) = self.piece(piece, outer.as_ref())?;
                let value = above_zero_number(&number, piece)?;
                let base = value.multiply(&unit.size);
                if unit.dimension.is_number() && unit.symbol.contains('/') {
                    share = share.add(&base);
                    continue;
                }
                if let Some(other) = dimension.filter(|other| *other != unit.dimension) {
                    return Err(Fault::Differ(unit.dimension, other));
                }
                dimension = Some(unit.dimension);
                fixed = fixed.add(&base);
                first_unit.get_or_insert(unit);
            }
        }
        if let Some((by, own)) = per_length {
            let unit = own.or(first_unit).ok_or_else(|| Fault::Unit(inner.trim().to_owned()))?;
            let length = length.ok_or(Fault::LengthUnit)?;
            if unit.dimension != length.dimension {
                return Err(Fault::Differ(length.dimension, unit.dimension));
            }
            dimension = Some(unit.dimension);
            let by = by.multiply(&unit.size).divide(&length.size).ok_or(Fault::Bracket)?;
            share = share.add(&by);
        } else if let (Some(length), None) = (&length, &dimension) {
            dimension = Some(length.dimension);
        }
        if share.compare(&Value::ONE) != Some(Ordering::Less) {
            return Err(Fault::Whole);
        }
        Ok((fixed, share, dimension))
    }

    /// What stands before `L in mm`, and that unit.
    fn length_clause(&mut self, text: &'a str) -> Result<(&'a str, Option<Cow<'a, Unit>>), Fault> {
        let Some(at) = text.rfind("L in ") else { return Ok((text, None)) };
        let unit = text.get(at + "L in ".len()..).unwrap_or("");
        let before = text.get(..at).unwrap_or("").trim_end();
        let (before, unit) = match before.strip_suffix('(') {
            Some(before) => (before, unit.trim_end().strip_suffix(')').ok_or(Fault::Bracket)?),
            None => (before, unit),
        };
        let before = before.trim_end().trim_end_matches(',').trim_end();
        Ok((before, Some(self.unit_written(unit)?)))
    }

    fn unit_written(&mut self, text: &'a str) -> Result<Cow<'a, Unit>, Fault> {
        let text = text.trim();
        if text.is_empty() {
            return Err(Fault::Unit(String::new()));
        }
        let unit = self.find_unit(text).map_err(|_| Fault::Unknown(text.to_owned()))?;
        Ok(Cow::Owned(unit.difference()))
    }

    /// A number with its unit, or in the unit behind the bracket.
    fn piece(&mut self, piece: &'a str, outer: Option<&Cow<'a, Unit>>) -> Result<(Number, Cow<'a, Unit>), Fault> {
        let (number, length) = Number::parse_prefix(piece).map_err(|_| Fault::Number(piece.to_owned()))?;
        let unit = piece.get(length..).unwrap_or("").trim();
        match (unit.is_empty(), outer) {
            (true, Some(outer)) => Ok((number, outer.clone())),
            (true, None) => Err(Fault::Unit(piece.to_owned())),
            (false, _) => Ok((number, self.unit_written(unit)?)),
        }
    }

    /// `k: 2.13`; none, with a finding, where it is no number above zero.
    pub(super) fn coverage_factor(&mut self, scalar: ScalarNode<'a>, counts: &'static str) -> Option<Number> {
        let number = Number::parse(scalar.text().trim_ascii()).ok().filter(|number| number.signum() > 0);
        if number.is_none() {
            let finding = wording_certificate::factor(scalar.text(), self.place(scalar.span()), counts);
            self.say(finding);
        }
        number
    }

    /// `coverage: 95 %`, or `0.95`; none, with a finding, where it does not lie between a half and all.
    pub(super) fn coverage(&mut self, scalar: ScalarNode<'a>, counts: &'static str) -> Option<Number> {
        let text = scalar.text().trim();
        let share = match text.strip_suffix('%') {
            Some(percent) => {
                Number::parse(percent.trim()).ok().and_then(|it| it.checked_div(&Number::from_integer(100)))
            }
            None => Number::parse(text).ok(),
        };
        let half = Number::ratio(1, 2).unwrap_or_default();
        let share = share.filter(|share| *share > half && *share < Number::ONE);
        if share.is_none() {
            let finding = wording_certificate::coverage(text, self.place(scalar.span()), counts);
            self.say(finding);
        }
        share
    }
}

/// The factor an uncertainty was expanded by: as it is said, from its coverage probability, or 2.
pub(super) fn factor_of(k: Option<Number>, coverage: Option<&Number>, freedom: Option<&Number>) -> Option<Number> {
    match (k, coverage) {
        (Some(k), _) => Some(k),
        (None, Some(coverage)) => factor_for(coverage, freedom),
        (None, None) => Some(Number::from_integer(2)),
    }
}

/// The factor that covers so much of Student's t, or of a normal distribution where nothing is said of degrees of freedom
/// (JCGM 100:2008, G.3.2), cut off at a millionth.
fn factor_for(coverage: &Number, freedom: Option<&Number>) -> Option<Number> {
    let below = (1.0 + coverage.to_f64()) / 2.0;
    let factor = match freedom {
        Some(freedom) => student_quantile(below, freedom.to_f64())?,
        None => normal_quantile(below)?,
    };
    let cut = (factor * 1e6).floor();
    // A coverage so near to all that nothing is left has no factor; others are far below.
    (cut > 0.0 && cut < 1e15).then(|| Number::ratio(cut as i64, FACTOR_PLACES))?
}

/// The number of `4 %` or `4 % of the reading`.
fn of_percent(piece: &str) -> Option<&str> {
    let (number, rest) = piece.split_once('%')?;
    let rest = rest.trim();
    let rest = rest.strip_prefix("of").unwrap_or(rest).trim();
    let rest = rest.strip_prefix("the").unwrap_or(rest).trim();
    matches!(rest, "" | "reading" | "rdg" | "value").then(|| number.trim())
}

fn hundredth() -> Value {
    Value::from(Number::ratio(1, 100).unwrap_or_default())
}

fn above_zero(text: &str, piece: &str) -> Result<Value, Fault> {
    let number = Number::parse(text).map_err(|_| Fault::Number(piece.to_owned()))?;
    above_zero_number(&number, piece)
}

fn above_zero_number(number: &Number, piece: &str) -> Result<Value, Fault> {
    if number.signum() > 0 { Ok(Value::from(number.clone())) } else { Err(Fault::NotAbove(piece.to_owned())) }
}

/// What stands at `L`, as a number: `L/300`, `4 L`, `1.5*L/1000`; and the unit behind it.
fn slope(piece: &str) -> Result<(Value, &str), Fault> {
    let wrong = || Fault::Number(piece.to_owned());
    let (before, after) =
        letter(piece).and_then(|at| Some((piece.get(..at)?, piece.get(at + 1..)?))).ok_or_else(wrong)?;
    let before = before.trim().trim_end_matches(['*', '·', '×']).trim();
    let times = if before.is_empty() { Value::ONE } else { above_zero(before, piece)? };
    let after = after.trim();
    let Some(divided) = after.strip_prefix('/') else { return Ok((times, after)) };
    let divided = divided.trim();
    let (divisor, length) = Number::parse_prefix(divided).map_err(|_| wrong())?;
    let divisor = above_zero_number(&divisor, piece)?;
    Ok((times.divide(&divisor).ok_or_else(wrong)?, divided.get(length..).unwrap_or("").trim()))
}

impl Certified {
    /// A width that every reading has, k = 2.
    #[must_use]
    pub fn fixed(width: Value) -> Certified {
        Certified { fixed: width, share: Value::ZERO, factor: Number::from_integer(2), coverage: None, written: None }
    }

    /// Whether every reading has the same.
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        self.share == Value::ZERO
    }

    /// The expanded uncertainty at a reading, in base units.
    #[must_use]
    pub fn at(&self, reading: &Value) -> Value {
        self.fixed.add(&self.share.multiply(&reading.absolute()))
    }

    /// In words: `2.3 um`, `(2 + L/300) um, L in mm`, with its factor where that is not 2.
    #[must_use]
    pub fn words(&self, unit: &Unit) -> String {
        let figure = match &self.written {
            Some(written) if self.fixed == Value::ZERO && !written.contains("reading") => {
                format!("{written} of the reading")
            }
            Some(written) => written.clone(),
            None => shown_significant(&self.fixed, &unit.difference(), 2, Rounded::Up),
        };
        if self.factor == Number::from_integer(2) && self.written.is_none() {
            return figure;
        }
        format!("{figure} (k = {}{})", self.factor_text(), self.coverage_text())
    }

    /// The factor as it is printed.
    #[must_use]
    pub fn factor_text(&self) -> String {
        self.factor.to_text(if self.coverage.is_some() { 3 } else { 6 })
    }

    /// What the factor was worked out from: `, for 95 %`; nothing where it is said itself.
    #[must_use]
    pub fn coverage_text(&self) -> String {
        let percent = |coverage: &Number| Number::from_integer(100) * coverage.clone();
        self.coverage.as_ref().map_or_else(String::new, |it| format!(", for {} %", percent(it).to_text(6)))
    }

    /// As [`Certified::at`], with k = 2.
    #[must_use]
    pub fn doubled_at(&self, reading: &Value) -> Value {
        let two = Value::from(Number::from_integer(2));
        self.at(reading).multiply(&two).divide(&Value::from(self.factor.clone())).unwrap_or_default()
    }

    /// The variance at a reading (JCGM 100:2008, 4.3.3).
    #[must_use]
    pub fn variance_at(&self, reading: &Value) -> Value {
        self.at(reading).divide(&Value::from(self.factor.clone())).unwrap_or_default().squared()
    }

    /// What a gauge's error, common to all its readings, counts in, over k: the width, the share of the reading, or of the
    /// uncertainty at each reading where that has both.
    fn unit(&self) -> Value {
        if self.is_fixed() {
            self.fixed.clone()
        } else if self.fixed == Value::ZERO {
            self.share.clone()
        } else {
            Value::ONE
        }
    }

    /// The standard uncertainty of the common error, in the unit that [`Certified::sensitivity`] is by.
    #[must_use]
    pub fn standard(&self) -> Value {
        self.unit().divide(&Value::from(self.factor.clone())).unwrap_or_default()
    }

    /// The variance of the common error, in that unit squared.
    #[must_use]
    pub fn variance(&self) -> Value {
        self.standard().squared()
    }

    /// By how much a reading follows the common error: a width by itself, a share by the reading, and else by what the
    /// uncertainty comes to at it.
    #[must_use]
    pub fn sensitivity(&self, reading: &Value) -> Value {
        if self.is_fixed() {
            Value::ONE
        } else if self.fixed == Value::ZERO {
            reading.clone()
        } else {
            self.at(reading)
        }
    }
}

#[cfg(test)]
mod tests;
