//! Values as they are printed.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use super::{shown, shown_apart};
use crate::quantity::{Dimension, Number, Unit, Value, function};

fn value(text: &str) -> Value {
    Value::from(Number::parse(text).unwrap())
}

fn millimetre() -> Unit {
    Unit::new("mm", Dimension::LENGTH, value("0.001"))
}

#[test]
fn a_value_is_printed_in_its_unit() {
    let degree = Unit::new("°", Dimension::ANGLE, Value::pi().divide(&value("180")).unwrap());
    let number = Unit::new("", Dimension::NUMBER, Value::ONE);
    let celsius = Unit { zero: Some(value("273.15")), ..Unit::new("°C", Dimension::TEMPERATURE.point(), Value::ONE) };
    assert_eq!(shown(&value("0.00009"), &millimetre(), 2), "0.09 mm");
    assert_eq!(shown(&value("0.0799995"), &millimetre(), 3), "80.000 mm");
    assert_eq!(shown(&Value::pi().divide(&value("8")).unwrap(), &degree, 2), "22.50°");
    assert_eq!(shown(&value("9.7"), &number, 1), "9.7");
    assert_eq!(shown(&value("294.15"), &celsius, 0), "21 °C");
    // Largest leaning angle of a trochoid with R = 105, e = 15, from an independent computation: 25.3769335252°.
    let leaning = function::asin(&value("45").divide(&value("105")).unwrap()).unwrap();
    assert_eq!(shown(&leaning, &degree, 10), "25.3769335252°");
}

#[test]
fn a_difference_is_seen_in_print() {
    let apart = |one: &str, other: &str| shown_apart(&value(one), &value(other), &millimetre(), 2);
    let pair = |one: &str, other: &str| (one.to_owned(), other.to_owned());
    assert_eq!(apart("0.0800004", "0.08"), pair("80.0004 mm", "80.0000 mm"));
    assert_eq!(apart("0.08", "0.08"), pair("80.00 mm", "80.00 mm"));
    assert_eq!(apart("0.081", "0.08"), pair("81.00 mm", "80.00 mm"));
    // Past twelve places two values are written out, and a distance from nothing is a power of ten.
    assert_eq!(apart("0.080000000000000001", "0.08"), pair("80.000000000000001 mm", "80.000000000000000 mm"));
    assert_eq!(apart("0.0000000000000000001", "0"), pair("10⁻¹⁶ mm", "0.00 mm"));
    assert_eq!(apart("0.000000000000000000254", "0"), pair("2.5 × 10⁻¹⁶ mm", "0.00 mm"));
    assert_eq!(apart("-0.0000000000000000003", "0"), pair("-3 × 10⁻¹⁶ mm", "0.00 mm"));
    assert_eq!(apart("0.000000000000000000996", "0"), pair("10⁻¹⁵ mm", "0.00 mm"));
    assert_eq!(apart("0.000000000001", "0"), pair("0.000000001 mm", "0.000000000 mm"));
}
