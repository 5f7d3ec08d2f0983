//! The shipped units against published factors, exactly and as printed.
//!
//! Sources: NIST Special Publication 811 (2008 edition), Appendix B.8, and the UCUM essence table 2.2, both as collected in
//! `data/units.yaml` (each item says how it was verified).

use super::check_values::{items, number};
use std::cmp::Ordering;
use trochoid::quantity::{Enclosure, Number, Unit, Value};
use trochoid::shop::Shop;

pub(super) fn shipped() -> Shop {
    let shop = Shop::shipped();
    assert!(shop.is_sound());
    shop
}

pub(super) fn unit(shop: &Shop, name: &str) -> Unit {
    shop.book.units.resolve(name).unwrap_or_else(|_| panic!("no unit {name}")).into_owned()
}

/// `numerator/denominator`, both of any size.
pub(super) fn fraction(text: &str) -> Number {
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

/// Half a unit in the last place of a number as printed, such as `1.638706E-05`.
fn half_a_place(printed: &str) -> Number {
    let (digits, exponent) = printed.split_once('e').unwrap_or((printed, "0"));
    let places = digits.split_once('.').map_or(0, |(_, behind)| behind.len());
    let last = exponent.parse::<i64>().unwrap() - i64::try_from(places).unwrap();
    number(&format!("0.5e{last}"))
}

#[test]
fn the_digits_special_publication_811_prints_come_out() {
    let shop = shipped();
    let mut checked = 0;
    for item in items(include_str!("data/units.yaml")).iter().filter(|item| item.item == "unit-factor") {
        let from = unit(&shop, ours(&item.text("inputs", "ucum").unwrap()));
        let printed = item.text("expected", "sp811").unwrap().to_lowercase();
        let Some((digits, rest)) = printed.split_once(' ') else { continue };
        // What is printed is in SI units: which differ from base units only in name.
        let to = match rest.split(' ').next().unwrap() {
            "n.m" => "Nm",
            "n" => "N",
            "pa" => "Pa",
            same => same,
        };
        let factor = from.size.divide(&unit(&shop, to).size).unwrap();
        assert_eq!(from.dimension, unit(&shop, to).dimension, "{} in {to}", from.symbol);
        let off = (factor.is_exact_rational().unwrap() - &number(digits)).abs();
        assert!(off <= half_a_place(digits), "{} is printed {printed}", from.symbol);
        checked += 1;
    }
    assert_eq!(checked, 9, "as many as have printed digits");
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
    let item = items(include_str!("data/units.yaml")).into_iter().find(|item| item.item == "degF-interval").unwrap();
    let (warmer, colder) = (number("68") + item.number("inputs", "delta_degF"), number("68"));
    let difference = fahrenheit.to_base(&warmer).subtract(&fahrenheit.to_base(&colder));
    let expected = Value::from(item.number("expected", "delta_Cel"));
    assert_eq!(difference.compare(&expected), Some(Ordering::Equal));
    // A difference read as a point would be 9 °F = −12.8 °C.
    assert_ne!(celsius.from_base(&fahrenheit.to_base(&item.number("inputs", "delta_degF"))), expected);
    assert!(fahrenheit.dimension.is_point() && unit(&shop, "K").zero.is_none());
}

#[test]
fn a_revolution_a_minute_is_two_pi_radians_in_sixty_seconds() {
    let shop = shipped();
    let item = items(include_str!("data/units.yaml")).into_iter().find(|item| item.item == "rpm").unwrap();
    let rpm = unit(&shop, "rpm").size;
    let expected = item.number("expected", "rad_per_s");
    assert!((rpm.midpoint() - &expected).abs() <= &expected * &item.number("tolerance", "rel"));
    // SP 811 prints 0.1047198.
    assert!((rpm.midpoint() - number("0.1047198")).abs() <= item.number("tolerance", "printed_abs"));
    // π/30 cut after forty places (π: Abramowitz and Stegun, table 1.1, carried on with an arbitrary-precision library).
    let (cut, last) = (number("0.1047197551196597746154214461093167628065"), number("1e-40"));
    let Enclosure { low, high } = rpm.enclosure();
    assert!(cut <= low && low < high && high <= &cut + &last, "from {low} to {high}");
    assert_eq!(
        rpm.compare(&Value::pi().divide(&Value::from(Number::from_integer(30))).unwrap()),
        Some(Ordering::Equal)
    );
}

#[test]
fn torque_is_not_work() {
    let shop = shipped();
    for torque in ["N*m", "Nm", "N·m", "ft*lbf", "lbf*ft", "kgf*m", "ft-lb", "gf*cm"] {
        assert_ne!(unit(&shop, torque).dimension, unit(&shop, "J").dimension, "{torque}");
        assert_eq!(unit(&shop, torque).dimension, unit(&shop, "Nm").dimension, "{torque}");
    }
}

/// SP 811, B.8: a kilogram-force metre is 9.806 65 N·m; a gram-force centimetre is a hundred-thousandth of it.
#[test]
fn a_gram_force_centimetre_is_a_torque() {
    let shop = shipped();
    let found = unit(&shop, "N·m").from_base(&unit(&shop, "gf*cm").to_base(&Number::ONE));
    assert_eq!(found.is_exact_rational(), Some(&(number("9.80665") * number("0.00001"))));
}

#[test]
fn every_item_of_the_list_has_a_check() {
    let mut kinds: Vec<String> = items(include_str!("data/units.yaml")).into_iter().map(|item| item.item).collect();
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds, ["degF-affine", "degF-interval", "rpm", "unit-factor", "unit-worked"]);
}
