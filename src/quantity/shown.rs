//! Values as a mechanic reads them: a decimal in a unit, with as many digits as it takes to see a difference.

use super::unit::Unit;
use super::value::Value;
use std::cmp::Ordering;

/// More places than this are not printed to make a difference visible.
const MOST_SHOWN: u32 = 12;

/// A value in SI base units as a number in the unit, rounded half to even, and the unit's symbol: `0.09 mm`, `26.2°`.
#[must_use]
pub fn shown(value: &Value, unit: &Unit, places: u32) -> String {
    let number = unit.from_base(value).midpoint().to_decimal(places);
    // SI Brochure, 9th ed., 5.4.3: a space before the unit, but none before degree, minute and second of angle.
    let close = matches!(unit.symbol.as_ref(), "" | "°" | "′" | "″");
    format!("{number}{}{}", if close { "" } else { " " }, unit.symbol)
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
