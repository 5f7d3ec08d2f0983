//! Every shipped unit against the tables of a general-purpose units library and against the definitions of the UCUM.
//!
//! Sources: the library `pint` 0.25.3, written to `data/unit_library.json` by the command at its head; The Unified Code for
//! Units of Measure, essence table 2.2 (2024-06-17), its definitions copied to `data/ucum.json` and followed here to the
//! base units, so that the two share nothing.

use super::check_values::number;
use super::unit_factors::{fraction, shipped, unit};
use std::collections::BTreeSet;
use trochoid::quantity::{Number, Value};
use trochoid::shop::Shop;

/// The scales whose zero is not nothing: `unit_factors` checks their points.
const SCALES: [&str; 2] = ["°C", "°F"];

/// A size as close to another's as π is known there, or the same where it is rational.
fn same(name: &str, size: &Value, theirs: &Number, relative: &str) -> bool {
    if let Some(exact) = size.is_exact_rational() {
        assert_eq!(exact, theirs, "{name}");
        return true;
    }
    let off = (size.midpoint() - theirs).abs();
    assert!(off <= theirs * &number(relative), "{name}: {} and {}", size.midpoint().to_f64(), theirs.to_f64());
    false
}

/// The symbols of the shipped units that no name in a table stands for.
fn left_out<'a>(shop: &'a Shop, names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let named: BTreeSet<Box<str>> = names.map(|name| unit(shop, name).symbol).collect();
    let all = shop.book.units.units().map(|unit| unit.symbol.clone());
    all.filter(|symbol| !symbol.is_empty() && !named.contains(symbol)).map(String::from).collect()
}

#[test]
fn a_general_purpose_library_agrees_on_every_shipped_unit() {
    let shop = shipped();
    let table: serde_json::Value = serde_json::from_str(include_str!("data/unit_library.json")).unwrap();
    let units = table["units"].as_object().unwrap();
    let mut exact = 0;
    for (name, entry) in units {
        let size = unit(&shop, name).size;
        // The library takes π to 49 places.
        exact += usize::from(same(name, &size, &fraction(entry["fraction"].as_str().unwrap()), "1e-48"));
        // And as it answers in binary floating point.
        let theirs: f64 = entry["decimal"].as_str().unwrap().parse().unwrap();
        assert!((size.midpoint().to_f64() / theirs - 1.0).abs() < 1e-12, "{name}");
    }
    assert_eq!(units.len() - exact, 5, "degree, minute, second, turn and rpm are the units made of π");
    assert_eq!(left_out(&shop, units.keys().map(String::as_str)), SCALES);
}

/// The definitions of the UCUM, as they stand in its essence table.
struct Ucum(serde_json::Value);

impl Ucum {
    /// One of a term such as `[lbf_av].[ft_i]/m2`, in SI base units. Factors are taken from left to right.
    fn term(&self, term: &str) -> Number {
        let mut product = Number::ONE;
        let mut rest = term;
        let mut over = false;
        while !rest.is_empty() {
            let end = rest.find(['.', '/']).unwrap_or(rest.len());
            let (factor, behind) = rest.split_at(end);
            if !factor.is_empty() {
                let size = self.factor(factor);
                product = if over { product.checked_div(&size).unwrap() } else { product * size };
            }
            over = behind.starts_with('/');
            rest = behind.get(1..).unwrap_or("");
        }
        product
    }

    /// A code with its exponent, or a whole number.
    fn factor(&self, factor: &str) -> Number {
        if factor.bytes().all(|byte| byte.is_ascii_digit()) {
            return number(factor);
        }
        let code = factor.trim_end_matches(|letter: char| letter.is_ascii_digit()).trim_end_matches('-');
        let exponent = factor.strip_prefix(code).unwrap();
        let size = self.code(code);
        if exponent.is_empty() { size } else { size.power(exponent.parse().unwrap()).unwrap() }
    }

    fn code(&self, code: &str) -> Number {
        // The UCUM's unit of mass is the gram; of its other base units the coulomb is not the SI's, and is one too.
        if code == "g" {
            return number("0.001");
        }
        if self.0["base"].as_array().unwrap().iter().any(|base| base == code) {
            return Number::ONE;
        }
        if let Some(definition) = self.0["definitions"].get(code) {
            let value = definition[0].as_str().unwrap();
            // π is printed to 64 places, which is more than one number may have: 48 are kept.
            return number(value.get(..50).unwrap_or(value)) * self.term(definition[1].as_str().unwrap());
        }
        let prefixes = self.0["prefixes"].as_object().unwrap();
        let (prefix, factor) = prefixes.iter().find(|(prefix, _)| code.starts_with(prefix.as_str())).unwrap();
        number(factor.as_str().unwrap()) * self.code(code.strip_prefix(prefix.as_str()).unwrap())
    }
}

#[test]
fn the_definitions_of_the_ucum_lead_to_the_same_units() {
    let shop = shipped();
    let ucum = Ucum(serde_json::from_str(include_str!("data/ucum.json")).unwrap());
    // The way of following definitions itself: the UCUM's pound is 7000 grains of 64.79891 mg.
    assert_eq!(ucum.term("[lb_av]"), number("0.45359237"));
    assert_eq!(ucum.term("/[in_i]2"), fraction("1000000/645.16"));
    let ours = ucum.0["ours"].as_object().unwrap();
    let mut exact = 0;
    for (name, term) in ours {
        exact += usize::from(same(name, &unit(&shop, name).size, &ucum.term(term.as_str().unwrap()), "1e-40"));
    }
    assert_eq!(ours.len() - exact, 5);
    // It has no metric horsepower; ampere, mole and candela are base units here, and not all of them there.
    assert_eq!(left_out(&shop, ours.keys().map(String::as_str)), ["A", "mol", "cd", "PS", SCALES[0], SCALES[1]]);
}

#[test]
fn units_one_slip_away_are_not_the_same() {
    // What the comparisons must be able to tell apart: the survey foot, the troy pound, the kilogram-force of 9.81 m/s²,
    // a π of four places.
    let shop = shipped();
    for (name, slip) in
        [("ft", "1200/3937"), ("lb", "0.3732417216"), ("kgf", "9.81"), ("in", "0.025400051"), ("deg", "3.1416/180")]
    {
        let slip = fraction(slip);
        let size = unit(&shop, name).size;
        assert!(std::panic::catch_unwind(|| same(name, &size, &slip, "1e-12")).is_err(), "{name}");
    }
}
