//! Which unit was meant by one that is not known, or that measures something else: the only one of the dimension needed that is
//! written with the same letters. Refuses to guess where several are.

use crate::quantity::{Dimension, UnitTable};

/// The unit of a dimension that has the letters of what is written, such as `N·m` where a torque is written `NM`, or `ft-lbs`
/// where it is written `ft/lbs`; `None` if there is none, or more than one.
pub(super) fn meant<'u>(units: &'u UnitTable, needed: Dimension, written: &str) -> Option<&'u str> {
    let named = |letters_of: &str| {
        let fits = units.names().filter_map(|name| {
            let alike = !letters_of.is_empty() && letters(name) == letters_of;
            units.find(name).filter(|unit| alike && unit.dimension == needed).map(|unit| (name, unit))
        });
        let fits: Vec<_> = fits.collect();
        let (_, first) = fits.first()?;
        let printed = fits.iter().find(|(name, unit)| **name == *unit.symbol);
        // The name that is printed, or the one that sets its parts apart.
        let (name, _) = printed.or_else(|| fits.iter().max_by_key(|(name, _)| name.len()))?;
        fits.iter().all(|(_, unit)| unit.measures_as(first)).then_some(*name)
    };
    named(&letters(written))
        .or_else(|| named(&letters(&in_symbols(units, written, ""))))
        .or_else(|| named(&letters(&in_symbols(units, written, "f"))))
}

/// The letters and digits of a unit, small.
fn letters(text: &str) -> String {
    text.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// What is written in words, by the symbols of the units: `foot pounds` as `ft lb`. With `f` a mass as the force that weighs it,
/// where there is one: many a wrench is marked `kg m`.
fn in_symbols(units: &UnitTable, written: &str, force: &str) -> String {
    let words = written.split(|letter: char| !letter.is_alphanumeric());
    let symbols = words.map(|word| {
        let symbol = units.find(word).map_or(word, |unit| &*unit.symbol);
        let as_force = format!("{symbol}{force}");
        if units.find(&as_force).is_some() { as_force } else { symbol.to_owned() }
    });
    symbols.collect()
}
