//! Values as a mechanic reads them: a decimal in a unit, with as many digits as it takes to see a difference.

use super::number::Number;
use super::unit::Unit;
use super::value::Value;
use std::cmp::Ordering;

/// More places than this are not printed where fewer digits say as much.
const MOST_SHOWN: u32 = 12;

/// More places than this are not printed to tell two values apart.
const MOST_APART: u32 = 40;

/// Nearer to nought than ten to the power of minus this, a number is not told from it in print.
const LEAST_POWER: u32 = 300;

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

/// Two values, printed with as many more places (to 40) as it takes for them to differ in print where they differ in
/// fact. What is further than 12 places from nought is a power of ten: `10⁻¹⁶ mm`.
#[must_use]
pub fn shown_apart(value: &Value, from: &Value, unit: &Unit, places: u32) -> (String, String) {
    let pair = |places| (shown(value, unit, places), shown(from, unit, places));
    if value.compare(from) == Some(Ordering::Equal) {
        return pair(places);
    }
    let apart = |most: u32| (places..=most.max(places)).map(pair).find(|(one, other)| one != other);
    if let Some(found) = apart(MOST_SHOWN) {
        return found;
    }
    if unit.from_base(from) == Value::ZERO
        && let Some(power) = power_of_ten(&unit.from_base(value).midpoint())
    {
        return (with_symbol(power, unit), shown(from, unit, places));
    }
    // Whole, where that is no longer: it then reads as it was written.
    let whole = |value: &Value| unit.from_base(value).is_exact_rational().and_then(Number::decimal_places);
    let whole = whole(value).max(whole(from)).filter(|whole| *whole <= MOST_APART).map(pair);
    whole
        .filter(|(one, other)| one != other)
        .or_else(|| apart(MOST_APART))
        .unwrap_or_else(|| pair(places.max(MOST_SHOWN)))
}

/// A small number as a power of ten with two digits before it: `10⁻¹⁶`, `2.5 × 10⁻¹⁶`. `None` of one that is not below a tenth, and
/// of nought or nearly so.
#[must_use]
pub fn power_of_ten(number: &Number) -> Option<String> {
    let (tenth, ten) = (Number::ratio(1, 10)?, Number::from_integer(10));
    if number.is_zero() || number.abs() >= tenth {
        return None;
    }
    let (mut digits, mut power) = (number.abs(), 0);
    // A number that is nearly ten when rounded to two digits is the next power.
    let nearly = Number::ratio(995, 1000)?;
    while digits < nearly {
        power += 1;
        if power > LEAST_POWER {
            return None;
        }
        digits = &digits * &ten;
    }
    let written = digits.to_decimal(1);
    let digits = written.strip_suffix(".0").unwrap_or(&written);
    let sign = if number.signum() < 0 { "-" } else { "" };
    let raised: String = power.to_string().chars().map(superscript).collect();
    Some(if digits == "1" { format!("{sign}10⁻{raised}") } else { format!("{sign}{digits} × 10⁻{raised}") })
}

fn superscript(digit: char) -> char {
    const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    digit.to_digit(10).and_then(|digit| RAISED.get(digit as usize)).copied().unwrap_or(digit)
}

#[cfg(test)]
mod tests;
