//! The shipped units against published factors and against a general-purpose units library.
//!
//! Sources: NIST Special Publication 811 (2008 edition), Appendix B.8, and the UCUM essence table 2.2, both as collected in
//! `data/units.yaml` (each item says how it was verified); the unit tables of the library `pint` 0.25.3, written to
//! `data/unit_library.json` by the command at its head.

use super::check_values::items;
use std::cmp::Ordering;
use trochoid::quantity::{Number, Unit, Value};
use trochoid::shop::Shop;

fn shipped() -> Shop {
    let shop = Shop::shipped();
    assert!(shop.is_sound());
    shop
}

fn unit(shop: &Shop, name: &str) -> Unit {
    shop.book.units.resolve(name).unwrap_or_else(|_| panic!("no unit {name}")).into_owned()
}

/// `numerator/denominator`, both of any size.
fn fraction(text: &str) -> Number {
    let (above, below) = text.split_once('/').unwrap_or((text, "1"));
    Number::parse(above).unwrap().checked_div(&Number::parse(below).unwrap()).unwrap()
}

/// Our name for a unit of the UCUM table.
fn ours(code: &str) -> &str {
    match code {
        "[in_i]" => "in",
        "[ft_i]" => "ft",
        "[lb_av]" => "lb",
        "[lbf_av]" => "lbf",
        "[lbf_av].[ft_i]" => "lbf*ft",
        "[lbf_av].[in_i]" => "lbf*in",
        "[psi]" => "psi",
        "kgf.m" => "kgf*m",
        "[cin_i]" => "in3",
        "g.mm" => "g*mm",
        "[oz_av].[in_i]" => "oz*in",
        "[oz_av].[g].[in_i]" => "ozf*in",
        "N.m" => "Nm",
        "kg.m" => "kg*m",
        same => same,
    }
}

#[test]
fn published_factors_hold_exactly() {
    let shop = shipped();
    let mut checked = 0;
    for item in items(include_str!("data/units.yaml")).iter().filter(|item| item.item == "unit-factor") {
        let from = unit(&shop, ours(&item.text("inputs", "ucum").unwrap()));
        let to = unit(&shop, ours(&item.text("inputs", "to").unwrap()));
        assert_eq!(from.dimension, to.dimension, "{} and {}", from.symbol, to.symbol);
        let factor = from.size.divide(&to.size).unwrap();
        let expected = fraction(&item.text("expected", "fraction").unwrap());
        assert_eq!(factor.is_exact_rational(), Some(&expected), "{} in {}", from.symbol, to.symbol);
        checked += 1;
    }
    assert_eq!(checked, 12);
}

#[test]
fn worked_conversions_come_out_as_published() {
    let shop = shipped();
    let mut checked = 0;
    for item in items(include_str!("data/units.yaml")).iter().filter(|item| item.item == "unit-worked") {
        let quantity = item.text("inputs", "quantity").unwrap();
        let (number, from) = quantity.split_once(' ').unwrap();
        let (from, to) = (unit(&shop, ours(from)), unit(&shop, ours(&item.text("inputs", "to").unwrap())));
        let found = to.from_base(&from.to_base(&Number::parse(number).unwrap()));
        let expected = item.number("expected", "value");
        // As many digits as are printed.
        let places = expected.decimal_places().unwrap();
        let found = found.is_exact_rational().unwrap().to_decimal(places);
        assert_eq!(Number::parse(&found).unwrap(), expected, "{quantity}");
        checked += 1;
    }
    assert_eq!(checked, 6);
}

#[test]
fn degrees_are_points_and_their_differences_have_no_zero() {
    let shop = shipped();
    let (fahrenheit, celsius) = (unit(&shop, "degF"), unit(&shop, "degC"));
    let mut checked = 0;
    for item in items(include_str!("data/units.yaml")).iter().filter(|item| item.item == "degF-affine") {
        let point = fahrenheit.to_base(&item.number("inputs", "degF"));
        let expected = fraction(&item.text("expected", "Cel_fraction").unwrap());
        assert_eq!(celsius.from_base(&point).is_exact_rational(), Some(&expected));
        checked += 1;
    }
    assert_eq!(checked, 4);
    let difference =
        fahrenheit.to_base(&Number::from_integer(77)).subtract(&fahrenheit.to_base(&Number::from_integer(68)));
    assert_eq!(difference.compare(&Value::from(Number::from_integer(5))), Some(Ordering::Equal));
    assert!(fahrenheit.dimension.is_point() && unit(&shop, "K").zero.is_none());
}

#[test]
fn a_revolution_a_minute_is_two_pi_radians_in_sixty_seconds() {
    let shop = shipped();
    let item = items(include_str!("data/units.yaml")).into_iter().find(|item| item.item == "rpm").unwrap();
    let rpm = unit(&shop, "rpm").size;
    let expected = item.number("expected", "rad_per_s");
    let middle = rpm.midpoint();
    let off = (&middle - &expected).abs();
    assert!(off < Number::parse("0.00000000000001").unwrap(), "{off}");
    assert_eq!(
        rpm.compare(&Value::pi().divide(&Value::from(Number::from_integer(30))).unwrap()),
        Some(Ordering::Equal)
    );
}

#[test]
fn a_general_purpose_library_agrees_on_every_unit_it_knows() {
    let shop = shipped();
    let table: serde_json::Value = serde_json::from_str(include_str!("data/unit_library.json")).unwrap();
    let mut exact = 0;
    let units = table["units"].as_object().unwrap();
    for (name, entry) in units {
        let size = unit(&shop, name).size;
        if let (Some(text), Some(number)) = (entry["fraction"].as_str(), size.is_exact_rational()) {
            assert_eq!(number, &fraction(text), "{name}");
            exact += 1;
            continue;
        }
        // Angles: an irrational factor, which the library holds as a binary float.
        let theirs: f64 = entry["decimal"].as_str().unwrap().parse().unwrap();
        let mine = size.midpoint().to_f64();
        assert!((mine / theirs - 1.0).abs() < 1e-14, "{name}: {mine} and {theirs}");
    }
    assert!(units.len() >= 60 && exact >= 50, "{} units, {exact} of them exact", units.len());
}

#[test]
fn torque_is_not_work() {
    let shop = shipped();
    for torque in ["N*m", "Nm", "N·m", "ft*lbf", "lbf*ft", "kgf*m", "ft-lb"] {
        assert_ne!(unit(&shop, torque).dimension, unit(&shop, "J").dimension, "{torque}");
        assert_eq!(unit(&shop, torque).dimension, unit(&shop, "Nm").dimension, "{torque}");
    }
}
