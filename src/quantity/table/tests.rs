//! Names and products of units.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::{UnitError, UnitTable};
use crate::quantity::{Dimension, Number, Unit, Value};
use proptest::prelude::*;

fn value(text: &str) -> Value {
    Value::from(Number::parse(text).unwrap())
}

/// Factors: SI Brochure, 9th ed., tables 7 and 8; NIST SP 811 (2008), B.8 (inch, pound-force, degree Fahrenheit).
fn table() -> UnitTable {
    let mut table = UnitTable::new();
    let force = table.resolve("kg*m/s2").unwrap().dimension;
    let pressure = table.resolve("kg/m/s2").unwrap().dimension;
    let degree = Value::pi().divide(&value("180")).unwrap();
    let fahrenheit = Value::from(Number::ratio(5, 9).unwrap());
    let fahrenheit_zero = value("459.67").multiply(&fahrenheit);
    for (names, dimension, size, zero) in [
        (vec!["mm"], Dimension::LENGTH, value("0.001"), None),
        (vec!["µm", "um"], Dimension::LENGTH, value("0.000001"), None),
        (vec!["in", "inch"], Dimension::LENGTH, value("0.0254"), None),
        (vec!["g"], Dimension::MASS, value("0.001"), None),
        (vec!["min"], Dimension::TIME, value("60"), None),
        (vec!["N"], force, Value::ONE, None),
        (vec!["Pa"], pressure, Value::ONE, None),
        (vec!["mPa"], pressure, value("0.001"), None),
        (vec!["MPa"], pressure, value("1000000"), None),
        (vec!["lbf"], force, value("4.4482216152605"), None),
        (vec!["°", "deg"], Dimension::ANGLE, degree, None),
        (vec!["°C", "degC"], Dimension::TEMPERATURE.point(), Value::ONE, Some(value("273.15"))),
        (vec!["°F", "degF"], Dimension::TEMPERATURE.point(), fahrenheit, Some(fahrenheit_zero)),
    ] {
        let unit = Unit { symbol: names.first().copied().unwrap().into(), dimension, size, zero };
        table.declare(&names, unit).unwrap();
    }
    table
}

#[test]
fn a_name_is_taken_once() {
    let mut table = table();
    let unit = table.find("mm").unwrap().clone();
    assert_eq!(table.declare(&["thou", "m", "mm"], unit.clone()), Err(1));
    assert_eq!(table.find("thou"), None);
    assert_eq!(table.declare(&["thou", "thou"], unit), Err(1));
    let names: Vec<_> = table.names().take(12).collect();
    assert_eq!(names, ["m", "kg", "s", "A", "K", "mol", "cd", "rad", "1", "mm", "µm", "um"]);
    let lengths: Vec<_> = table.of_dimension(Dimension::LENGTH).map(|unit| unit.symbol.as_ref()).collect();
    assert_eq!(lengths, ["m", "mm", "µm", "in"]);
}

#[test]
fn products_are_read_and_printed() {
    let table = table();
    for (text, symbol, dimension, size) in [
        ("mm2", "mm²", "area", "0.000001"),
        ("mm^2", "mm²", "area", "0.000001"),
        ("mm²", "mm²", "area", "0.000001"),
        ("N*mm", "N·mm", "energy", "0.001"),
        ("N·m/rad", "N·m/rad", "torque", "1"),
        ("kg*m/s2", "kg·m/s²", "force", "1"),
        ("s^-1", "s⁻¹", "frequency", "1"),
        ("s⁻²", "s⁻²", "number per time²", "1"),
        ("1/s", "1/s", "frequency", "1"),
        ("rad/s", "rad/s", "speed of rotation", "1"),
        ("g*mm", "g·mm", "unbalance", "0.000001"),
        ("lbf/in2", "lbf/in²", "pressure", ""),
        ("m3/s", "m³/s", "volume flow", "1"),
        ("kg2*m/A", "kg²·m/A", "length · mass² per current", "1"),
        ("m*m", "m·m", "area", "1"),
    ] {
        let unit = table.resolve(text).unwrap_or_else(|error| panic!("{text}: {error:?}"));
        assert_eq!((unit.symbol.as_ref(), unit.dimension.name().as_str()), (symbol, dimension), "{text}");
        if !size.is_empty() {
            assert_eq!(unit.size, value(size), "{text}");
        }
    }
    // NIST SP 811 (2008), B.8: 6.894 757 E+03 Pa; exactly 8896443230521/1290320000 Pa.
    let psi = Number::ratio(8_896_443_230_521, 1_290_320_000).unwrap();
    assert_eq!(table.resolve("lbf/in2").unwrap().size, Value::from(psi));
}

#[test]
fn an_unknown_factor_is_named_with_what_was_meant() {
    let table = table();
    let error = |part, nearest: Option<&str>, point| UnitError { part, nearest: nearest.map(str::to_owned), point };
    for (text, expected) in [
        ("MM", error(0..2, Some("mm"), false)),
        ("N*Mm", error(2..4, Some("mm"), false)),
        ("Inhc", error(0..4, None, false)),
        ("inhc", error(0..4, Some("inch"), false)),
        ("μm", error(0..3, Some("µm"), false)),
        // Two units fit without case, a thousand million apart: neither is suggested.
        ("mpa", error(0..3, None, false)),
        ("N·degC", error(3..7, None, true)),
        ("°C2", error(0..4, None, true)),
        ("N*", error(2..2, None, false)),
        ("", error(0..0, None, false)),
        ("/s", error(0..0, None, false)),
        ("mm0", error(0..3, None, false)),
        ("mm^200", error(0..6, None, false)),
        ("m100*m100", error(5..9, None, false)),
        ("xyzzy", error(0..5, None, false)),
    ] {
        let expected = match text {
            "mm0" | "mm^200" => UnitError { nearest: Some("mm".to_owned()), ..expected },
            "m100*m100" => UnitError { nearest: Some("m".to_owned()), ..expected },
            _ => expected,
        };
        assert_eq!(table.resolve(text).map(|unit| unit.into_owned()), Err(expected), "{text}");
    }
    assert!(table.resolve(&"m*".repeat(40)).is_err());
}

#[test]
fn temperatures_are_points_and_differences() {
    let table = table();
    let (celsius, fahrenheit) = (table.find("degC").unwrap(), table.find("degF").unwrap());
    // NIST SP 811 (2008), B.8: t/°C = (t/°F − 32)/1.8.
    for (written, expected) in [("32", "0"), ("68", "20"), ("-40", "-40"), ("212", "100")] {
        let base = fahrenheit.to_base(&Number::parse(written).unwrap());
        assert_eq!(celsius.from_base(&base), value(expected), "{written} °F");
    }
    let nine = fahrenheit.difference().to_base(&Number::from_integer(9));
    assert_eq!(celsius.difference().from_base(&nine), value("5"));
    assert_eq!(Dimension::TEMPERATURE.point().product(Dimension::LENGTH), None);
    assert_eq!(Dimension::TEMPERATURE.point().difference(), Dimension::TEMPERATURE);
    assert_eq!(celsius.dimension.name(), "temperature");
    assert_eq!(celsius.difference().dimension.name(), "temperature difference");
}

#[test]
fn a_tenth_of_an_inch_is_exactly_2_54_millimetres() {
    let table = table();
    let base = table.find("in").unwrap().to_base(&Number::parse("0.1").unwrap());
    assert_eq!(table.find("mm").unwrap().from_base(&base), value("2.54"));
}

proptest! {
    #[test]
    fn to_base_and_back_is_exact(units in -1_000_000_000..1_000_000_000_i64, below in 1..100_000_i64) {
        let written = Number::ratio(units, below).unwrap();
        for unit in table().units() {
            let back = unit.from_base(&unit.to_base(&written));
            prop_assert_eq!(back.is_exact_rational(), Some(&written), "{}", unit.symbol);
        }
    }

    #[test]
    fn any_text_is_a_unit_or_refused_within_itself(text in "[a-zA-Zµ°0-9^*·/²⁻-]{0,12}") {
        if let Err(error) = table().resolve(&text) {
            prop_assert!(text.get(error.part).is_some());
        }
    }

    #[test]
    fn dimensions_multiply_like_their_powers(length in -5..=5_i8, mass in -5..=5_i8, power in -5..=5_i8) {
        let first = Dimension::LENGTH.power(length).unwrap();
        let second = Dimension::MASS.power(mass).unwrap();
        let both = first.product(second).unwrap();
        prop_assert_eq!(both.quotient(second), Some(first));
        prop_assert_eq!(both.power(power), first.power(power).unwrap().product(second.power(power).unwrap()));
        if power != 0 {
            prop_assert_eq!(both.power(power).unwrap().root(power), Some(both));
        }
    }
}
