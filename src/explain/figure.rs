//! Values as text one can reckon with: exact where the decimal ends, marked `≈` where it was rounded; and the units
//! that products and quotients come in. Refuses to know books' expressions.

use crate::quantity::{Dimension, Number, Unit, UnitTable, Value, power_of_ten};

/// Decimals that end within this many places are written whole.
const MOST_PLACES: u32 = 9;

/// More places than this are not written.
const MOST_DECIMALS: u32 = 20;

/// A number as text.
pub(super) struct Figure {
    /// The number and its unit.
    pub(super) text: String,
    /// Whether the decimal was rounded.
    pub(super) rounded: bool,
    /// How far the value may be off, where it is only enclosed.
    pub(super) bound: Option<String>,
}

impl Figure {
    /// As it stands in the middle of a line.
    pub(super) fn operand(&self) -> String {
        if self.rounded { format!("≈{}", self.text) } else { self.text.clone() }
    }

    /// As it stands at the end of a line: `= 0.05 mm`, `≈ 763.33333 kPa`.
    pub(super) fn result(&self) -> String {
        format!("{} {}", if self.rounded { "≈" } else { "=" }, self.text)
    }

    /// The same with how far it may be off: `≈ 25.376934° (± less than 10^-45°)`.
    pub(super) fn bounded_result(&self) -> String {
        let bound = self.bound.as_ref().map(|bound| format!(" (± less than {bound})")).unwrap_or_default();
        format!("{}{bound}", self.result())
    }
}

/// A value in a unit.
pub(super) fn figure(value: &Value, unit: &Unit) -> Figure {
    let inside = unit.from_base(value);
    let (number, rounded) = match inside.is_exact_rational() {
        Some(number) if number.decimal_places().is_some_and(|places| places <= MOST_PLACES) => {
            (number.to_text(MOST_PLACES), false)
        }
        _ => {
            let middle = inside.midpoint();
            let places = places_for(&middle);
            // So near nought that its first digits lie past the last place.
            let power = power_of_ten(&middle).filter(|_| places == MOST_DECIMALS);
            (power.unwrap_or_else(|| middle.to_decimal(places)), true)
        }
    };
    let bound = match &inside {
        Value::Within(enclosure) => {
            let symbol = spaced(&unit.symbol);
            Number::ratio(1, 2)
                .and_then(|half| power_above(&((&enclosure.high - &enclosure.low) * half)))
                .map(|power| format!("10^-{power}{symbol}"))
        }
        Value::Exact { .. } => None,
    };
    Figure { text: format!("{number}{}", spaced(&unit.symbol)), rounded, bound }
}

/// A unit as it stands behind its number.
fn spaced(symbol: &str) -> String {
    // SI Brochure, 9th ed., 5.4.3: a space before the unit, but none before degree, minute and second of angle.
    match symbol {
        "" | "°" | "′" | "″" => symbol.to_string(),
        other => format!(" {other}"),
    }
}

/// The places that show eight digits of a number, at least two.
fn places_for(number: &Number) -> u32 {
    let ten = Number::from_integer(10);
    let enough = Number::from_integer(10_000_000);
    let mut size = number.abs();
    let mut places = 0;
    while size < enough && places < MOST_DECIMALS {
        size = &size * &ten;
        places += 1;
    }
    places.max(2)
}

/// The largest n, to 60, for which a number is less than 10^-n.
fn power_above(number: &Number) -> Option<u32> {
    let ten = Number::from_integer(10);
    let mut size = number.clone();
    let mut power = None;
    for count in 0..=60 {
        if size >= Number::ONE {
            break;
        }
        power = Some(count);
        size = &size * &ten;
    }
    power
}

/// The unit a product comes in.
pub(super) fn product(units: &UnitTable, left: &Unit, right: &Unit) -> Unit {
    if is_plain(left) {
        return right.difference();
    }
    if is_plain(right) {
        return left.difference();
    }
    let dimension = left.dimension.product(right.dimension);
    named(units, dimension, left.size.multiply(&right.size), || {
        let (left, right) = (&left.symbol, &right.symbol);
        if left == right && !left.contains(['·', '/', '*', '²', '³']) {
            format!("{left}²")
        } else if left.strip_suffix('²') == Some(right) {
            format!("{right}³")
        } else {
            format!("{left}·{right}")
        }
    })
}

/// The unit a quotient comes in.
pub(super) fn quotient(units: &UnitTable, left: &Unit, right: &Unit) -> Unit {
    if is_plain(right) {
        return left.difference();
    }
    let dimension = left.dimension.quotient(right.dimension);
    let size = left.size.divide(&right.size).unwrap_or(Value::ONE);
    named(units, dimension, size, || {
        let below = if right.symbol.contains(['·', '/', '*']) {
            format!("({})", right.symbol)
        } else {
            right.symbol.to_string()
        };
        format!("{}/{below}", if left.symbol.is_empty() { "1" } else { &left.symbol })
    })
}

/// The unit a square root comes in.
pub(super) fn root(units: &UnitTable, of: &Unit) -> Unit {
    let Some(dimension) = of.dimension.root(2) else { return Unit::number() };
    if dimension.is_number() {
        return Unit::number();
    }
    units
        .of_dimension(dimension)
        .find(|unit| unit.zero.is_none() && unit.size.multiply(&unit.size) == of.size)
        .or_else(|| units.of_dimension(dimension).find(|unit| unit.zero.is_none()))
        .cloned()
        .unwrap_or_else(|| Unit::new(&format!("√({})", of.symbol), dimension, Value::ONE))
}

fn is_plain(unit: &Unit) -> bool {
    unit.dimension.is_number() && unit.size == Value::ONE
}

fn named(units: &UnitTable, dimension: Option<Dimension>, size: Value, symbol: impl Fn() -> String) -> Unit {
    let Some(dimension) = dimension else { return Unit::number() };
    if dimension.is_number() {
        return Unit::number();
    }
    units
        .of_dimension(dimension)
        .find(|unit| unit.zero.is_none() && unit.size == size)
        .cloned()
        .unwrap_or_else(|| Unit::new(&symbol(), dimension, size))
}
