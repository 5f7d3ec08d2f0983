//! The names of units, and products of them written without spaces; refuses to guess what a misspelt one means.

use super::dimension::{Dimension, superscript};
use super::unit::Unit;
use super::value::Value;
use rustc_hash::FxHashMap;
use std::borrow::Cow;
use std::ops::Range;

/// Units by name, in the order they were declared.
#[derive(Clone, Debug)]
pub struct UnitTable {
    units: Vec<Unit>,
    /// In order of declaration, each with its unit.
    names: Vec<(Box<str>, usize)>,
    /// Only ever looked into, never walked: its order shows nowhere.
    places: FxHashMap<Box<str>, usize>,
}

/// A unit that could not be understood.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UnitError {
    /// The bytes of the factor that is not known.
    pub part: Range<usize>,
    /// The declared name it is close to: the same letters in another case, else one slip away. None where two are.
    pub nearest: Option<String>,
    /// It is known, but is a scale such as °C, which cannot stand in a product.
    pub point: bool,
}

/// A product of more factors than this is no unit.
const MOST_FACTORS: usize = 16;

impl Default for UnitTable {
    fn default() -> UnitTable {
        UnitTable::new()
    }
}

impl UnitTable {
    /// The base units of the SI, the radian, and `1`.
    #[must_use]
    pub fn new() -> UnitTable {
        let mut table = UnitTable { units: Vec::new(), names: Vec::new(), places: FxHashMap::default() };
        let base = [
            ("m", Dimension::LENGTH),
            ("kg", Dimension::MASS),
            ("s", Dimension::TIME),
            ("A", Dimension::CURRENT),
            ("K", Dimension::TEMPERATURE),
            ("mol", Dimension::AMOUNT),
            ("cd", Dimension::LUMINOUS_INTENSITY),
            ("rad", Dimension::ANGLE),
            ("1", Dimension::NUMBER),
        ];
        for (name, dimension) in base {
            let symbol = if dimension.is_number() { "" } else { name };
            table.put(&[name], Unit::new(symbol, dimension, Value::ONE));
        }
        table
    }

    /// Takes a unit in under all its names, or under none of them.
    ///
    /// # Errors
    /// The place in `names` of the first one that is already taken.
    pub fn declare(&mut self, names: &[&str], unit: Unit) -> Result<(), usize> {
        let taken = |(place, name): (usize, &&str)| {
            self.places.contains_key(*name) || names.iter().take(place).any(|earlier| earlier == name)
        };
        match names.iter().enumerate().position(taken) {
            Some(place) => Err(place),
            None => {
                self.put(names, unit);
                Ok(())
            }
        }
    }

    fn put(&mut self, names: &[&str], unit: Unit) {
        let place = self.units.len();
        self.units.push(unit);
        for name in names {
            self.names.push(((*name).into(), place));
            self.places.insert((*name).into(), place);
        }
    }

    /// The unit of a declared name or alias.
    #[must_use]
    #[inline]
    pub fn find(&self, name: &str) -> Option<&Unit> {
        self.places.get(name).and_then(|place| self.units.get(*place))
    }

    /// The unit of a declared name, or of a product of them written without spaces: `kg*m/s2`, `N·m`, `s^-1`.
    ///
    /// `*` and `·` multiply, `/` divides by the one factor after it, and a power is written behind its factor: `mm2`,
    /// `mm^2` or `mm²`.
    ///
    /// # Errors
    /// [`UnitError`] with the factor that is not known.
    pub fn resolve(&self, text: &str) -> Result<Cow<'_, Unit>, UnitError> {
        if let Some(unit) = self.find(text) {
            return Ok(Cow::Borrowed(unit));
        }
        let mut product = Unit::new("", Dimension::NUMBER, Value::ONE);
        let mut symbol = String::new();
        let mut divide = false;
        let mut start = 0;
        for (count, factor) in text.split(is_sign).enumerate() {
            let part = start..start + factor.len();
            let unknown = || self.error(factor, part.clone());
            if count >= MOST_FACTORS {
                return Err(UnitError { part: start..text.len(), nearest: None, point: false });
            }
            let (unit, power) = self.factor(factor).ok_or_else(unknown)?;
            if unit.dimension.is_point() {
                return Err(UnitError { part, nearest: None, point: true });
            }
            let signed = if divide { -power } else { power };
            let size = unit.size.power(signed).ok_or_else(unknown)?;
            product.size = product.size.multiply(&size);
            product.dimension = unit
                .dimension
                .power(signed)
                .and_then(|dimension| product.dimension.product(dimension))
                .ok_or_else(unknown)?;
            write_factor(&mut symbol, &unit.symbol, power, divide);
            start = part.end;
            let sign = text.get(start..).and_then(|rest| rest.chars().next());
            divide = sign == Some('/');
            start += sign.map_or(0, char::len_utf8);
        }
        product.symbol = symbol.into();
        Ok(Cow::Owned(product))
    }

    /// One factor and its power, which is never the least 8-bit number, so that it can be turned over.
    fn factor(&self, text: &str) -> Option<(&Unit, i8)> {
        if let Some(unit) = self.find(text) {
            return Some((unit, 1));
        }
        let name = text.trim_end_matches(is_power);
        let raised = text.get(name.len()..)?;
        let plain: String = raised.trim_start_matches('^').chars().map(lowered).collect();
        if raised.matches('^').count() > 1 || plain.starts_with('+') {
            return None;
        }
        let power: i8 = plain.parse().ok()?;
        if power == i8::MIN || power == 0 {
            return None;
        }
        Some((self.find(name)?, power))
    }

    fn error(&self, factor: &str, part: Range<usize>) -> UnitError {
        let name = factor.trim_end_matches(is_power);
        let nearest = self.nearest(if name.is_empty() { factor } else { name });
        UnitError { part, nearest, point: false }
    }

    /// The one name with the same letters in another case, else the one name a slip away. A wrong unit is worse than
    /// none, so that two candidates for two different units (`mPa`, `MPa`) are no answer.
    fn nearest(&self, written: &str) -> Option<String> {
        if written.is_empty() || written.len() > 40 {
            return None;
        }
        let folded = folded(written);
        if self.names().any(|name| self::folded(name) == folded) {
            return self.only(|name| self::folded(name) == folded);
        }
        // Of two letters, one slip leaves too little to go by.
        if written.chars().count() < 3 {
            return None;
        }
        self.only(|name| one_slip(written, name))
    }

    fn only(&self, fits: impl Fn(&str) -> bool) -> Option<String> {
        let mut fitting = self.names.iter().filter(|(name, _)| fits(name));
        let (name, place) = fitting.next()?;
        fitting.all(|(_, other)| other == place).then(|| name.to_string())
    }

    /// Every name and alias, in order of declaration.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.names.iter().map(|(name, _)| name.as_ref())
    }

    /// Every name and alias with the number of its unit, in order of declaration.
    pub(super) fn named(&self) -> impl Iterator<Item = (&str, usize)> {
        self.names.iter().map(|(name, place)| (name.as_ref(), *place))
    }

    /// Every unit, in order of declaration.
    pub fn units(&self) -> impl Iterator<Item = &Unit> {
        self.units.iter()
    }

    /// The units of one dimension, in order of declaration.
    pub fn of_dimension(&self, dimension: Dimension) -> impl Iterator<Item = &Unit> {
        self.units.iter().filter(move |unit| unit.dimension == dimension)
    }
}

/// The signs between factors: the asterisk, the middle dot, the dot operator and the slash.
pub(super) fn is_sign(letter: char) -> bool {
    matches!(letter, '*' | '\u{b7}' | '\u{22c5}' | '/')
}

fn is_power(letter: char) -> bool {
    letter.is_ascii_digit() || matches!(letter, '^' | '-' | '+') || lowered(letter) != letter
}

/// A raised digit or minus as a plain one.
fn lowered(letter: char) -> char {
    match letter {
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁻' => '-',
        '⁰' | '⁴'..='⁹' => char::from_digit(u32::from(letter) - 0x2070, 10).unwrap_or(letter),
        other => other,
    }
}

/// Adds a factor to a product's symbol: `kg·m²/s²`.
fn write_factor(symbol: &mut String, factor: &str, power: i8, divide: bool) {
    if factor.is_empty() {
        return;
    }
    if divide {
        symbol.push_str(if symbol.is_empty() { "1/" } else { "/" });
    } else if !symbol.is_empty() {
        symbol.push('·');
    }
    symbol.push_str(factor);
    if power < 0 {
        symbol.push('⁻');
        symbol.push_str(if power == -1 { "¹" } else { "" });
    }
    symbol.push_str(&superscript(power.unsigned_abs()));
}

/// Without case, and with both letters for micro as one.
fn folded(name: &str) -> String {
    name.to_lowercase().replace('\u{3bc}', "\u{b5}")
}

/// Whether one letter more, fewer or other, or two neighbours swapped, makes the second of the first.
fn one_slip(written: &str, name: &str) -> bool {
    let (left, right): (Vec<char>, Vec<char>) = (written.chars().collect(), name.chars().collect());
    let same = left.iter().zip(&right).take_while(|(left, right)| left == right).count();
    let (left, right) = (left.get(same..).unwrap_or(&[]), right.get(same..).unwrap_or(&[]));
    match (left, right) {
        ([], [_]) | ([_], []) => true,
        ([first, second, left @ ..], [third, fourth, right @ ..]) if first == fourth && second == third => {
            left == right
        }
        ([_, left_rest @ ..], [_, right_rest @ ..]) => {
            left_rest == right_rest || left_rest == right || left == right_rest
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests;
