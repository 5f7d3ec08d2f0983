//! Values as a mechanic reads them: a decimal in a unit, with as many digits as it takes to see a difference.

use super::number::Number;
use super::unit::Unit;
use super::value::Value;
use std::cmp::Ordering;

/// More places than this are not printed to make a difference visible.
const MOST_SHOWN: u32 = 12;

/// A value in SI base units as a number in the unit, rounded half to even, and the unit's symbol: `0.09 mm`, `26.2°`.
#[must_use]
pub fn shown(value: &Value, unit: &Unit, places: u32) -> String {
    with_symbol(unit.from_base(value).midpoint().to_decimal(places), unit)
}

fn with_symbol(number: String, unit: &Unit) -> String {
    // SI Brochure, 9th ed., 5.4.3: a space before the unit, but none before degree, minute and second of angle.
    let close = matches!(unit.symbol.as_ref(), "" | "°" | "′" | "″");
    format!("{number}{}{}", if close { "" } else { " " }, unit.symbol)
}

/// Which way a figure may be rounded for print, so that it never says more than is so.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rounded {
    /// Up, as an uncertainty is reported (JCGM 100:2008, 7.2.6).
    Up,
    /// Down, as what an uncertainty must not exceed.
    Down,
    /// To the nearest, half to even, where neither way is the safe one.
    Nearest,
}

/// A value in SI base units, not below nought, with so many significant digits in the unit, and the unit's symbol.
#[must_use]
pub fn shown_significant(value: &Value, unit: &Unit, digits: u32, rounded: Rounded) -> String {
    let inside = unit.from_base(value).enclosure();
    let number = match rounded {
        Rounded::Up => inside.high,
        Rounded::Down => inside.low,
        Rounded::Nearest => unit.from_base(value).midpoint(),
    };
    let places = significant_places(&number, digits);
    if rounded == Rounded::Nearest {
        return with_symbol(number.to_decimal(places), unit);
    }
    let scale = (0..places).fold(Number::ONE, |scale, _| &scale * &Number::from_integer(10));
    let scaled = &number * &scale;
    let below = scaled.floor_number();
    let steps = if rounded == Rounded::Up && below != scaled { &below + &Number::ONE } else { below };
    with_symbol(steps.checked_div(&scale).unwrap_or(number).to_decimal(places), unit)
}

/// The places after the point that so many significant digits of a number take; none for nought.
fn significant_places(number: &Number, digits: u32) -> u32 {
    if number.is_zero() {
        return 0;
    }
    let mut places = 0;
    let mut step = Number::ONE;
    let ten = Number::from_integer(10);
    // The first digit that is not nought.
    while places < MOST_SHOWN && number.abs() < step {
        step = step.checked_div(&ten).unwrap_or_default();
        places += 1;
    }
    let mut before = 0;
    let mut size = ten.clone();
    while number.abs() >= size && before < MOST_SHOWN {
        size = &size * &ten;
        before += 1;
    }
    if number.abs() < Number::ONE { places + digits.saturating_sub(1) } else { digits.saturating_sub(before + 1) }
}

/// Two values, printed with as many more places (to 12) as it takes for them to differ in print where they differ in
/// fact.
#[must_use]
pub fn shown_apart(value: &Value, from: &Value, unit: &Unit, places: u32) -> (String, String) {
    let pair = |places| (shown(value, unit, places), shown(from, unit, places));
    if value.compare(from) == Some(Ordering::Equal) {
        return pair(places);
    }
    (places..MOST_SHOWN).map(pair).find(|(one, other)| one != other).unwrap_or_else(|| pair(places.max(MOST_SHOWN)))
}

#[cfg(test)]
mod tests;
