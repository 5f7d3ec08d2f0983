//! Forms a shop types, each the same value as the plain form of it.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::*;
use crate::quantity::{Dimension, Value};
use proptest::prelude::*;

fn table() -> UnitTable {
    let mut table = UnitTable::new();
    let value = |text: &str| Value::from(Number::parse(text).unwrap());
    let torque = table.resolve("kg*m2/s2/rad").unwrap().dimension;
    let pressure = table.resolve("kg/m/s2").unwrap().dimension;
    // NIST SP 811 (2008), B.8: inch and pound exact, foot 12 inches, ounce a sixteenth of a pound, pound-force foot.
    let foot_pound = value("0.3048").multiply(&value("4.4482216152605"));
    let ounce = value("0.45359237").divide(&value("16")).unwrap();
    for (names, dimension, size, zero) in [
        (vec!["mm"], Dimension::LENGTH, value("0.001"), None),
        (vec!["nm"], Dimension::LENGTH, value("0.000000001"), None),
        (vec!["in", "inch", "″"], Dimension::LENGTH, value("0.0254"), None),
        (vec!["thou"], Dimension::LENGTH, value("0.0000254"), None),
        (vec!["ft", "feet", "′"], Dimension::LENGTH, value("0.3048"), None),
        (vec!["g"], Dimension::MASS, value("0.001"), None),
        (vec!["lb", "lbs"], Dimension::MASS, value("0.45359237"), None),
        (vec!["oz"], Dimension::MASS, ounce, None),
        (vec!["ms"], Dimension::TIME, value("0.001"), None),
        (vec!["Nm", "N·m"], torque, Value::ONE, None),
        (vec!["ft-lb", "ft-lbs", "lbf·ft"], torque, foot_pound, None),
        (vec!["Pa"], pressure, Value::ONE, None),
        (vec!["MPa"], pressure, value("1000000"), None),
        (vec!["psi"], pressure, value("6894.757293168"), None),
        (vec!["°F", "degF"], Dimension::TEMPERATURE.point(), Value::ONE, Some(value("255"))),
    ] {
        table.declare(&names, Unit { symbol: names.first().copied().unwrap().into(), dimension, size, zero }).unwrap();
    }
    table
}

/// The value in base units.
fn read(table: &UnitTable, text: &str) -> Option<Value> {
    table.quantity(text).map(|(number, unit)| unit.to_base(&number))
}

#[test]
fn what_a_shop_types_is_the_plain_quantity() {
    let table = table();
    for (typed, plain) in [
        ("3/16 in", "0.1875 in"),
        ("1-3/16 in", "1.1875 in"),
        ("2 1/2 in", "2.5 in"),
        ("-2 1/2 in", "-2.5 in"),
        ("+3/16\"", "0.1875 in"),
        ("\u{2212}0.05 mm", "-0.05 mm"),
        ("5/4 in", "1.25 in"),
        ("2½ in", "2.5 in"),
        ("2 ½ in", "2.5 in"),
        ("⅜″", "0.375 in"),
        ("1⁄4 in.", "0.25 in"),
        ("9 lb 9.5 oz", "153.5 oz"),
        ("9 lbs 9 1/2 oz", "153.5 oz"),
        ("1 ft 2 in", "14 in"),
        ("5'6\"", "66 in"),
        ("5′ 6 1/2″", "66.5 in"),
        ("5’ 6”", "66 in"),
        ("5' 6''", "66 in"),
        ("1 ft 0.5 in", "12.5 in"),
        ("-1 ft 2 in", "-14 in"),
        ("26 ft lbs", "26 ft-lb"),
        ("26 ft. lbs.", "26 ft-lb"),
        ("26 ft.lbs", "26 ft-lb"),
        ("26 FT LBS", "26 ft-lb"),
        ("26 lbf ft", "26 ft-lb"),
        ("30 N m", "30 Nm"),
        ("79.85\u{a0}mm", "79.85 mm"),
        ("79.85\u{2009}mm", "79.85 mm"),
        ("79.85\u{202f}mm", "79.85 mm"),
        ("79.85\u{2007}mm", "79.85 mm"),
        ("\u{a0}79.85 mm\u{a0}", "79.85 mm"),
        ("79.85 MM", "79.85 mm"),
        ("79.85MM", "79.85 mm"),
        ("100 PSI", "100 psi"),
        ("100 Psi", "100 psi"),
        ("3 MPA", "3 MPa"),
        ("4 THOU", "4 thou"),
        ("70 ºF", "70 degF"),
        ("70 ˚F", "70 degF"),
        ("70 ℉", "70 degF"),
        ("70 °f", "70 degF"),
        (".5 in", "0.5 in"),
    ] {
        let (number, unit) = table.quantity(plain).unwrap();
        assert_eq!(read(&table, typed), Some(unit.to_base(&number)), "{typed}");
    }
}

#[test]
fn what_could_mean_two_things_is_not_taken() {
    let table = table();
    for text in [
        "",
        "mm",
        "79.85",
        "3/16",
        "1/3/26 in",
        "3/0 in",
        "2 5/4 in",
        "2.5 1/2 in",
        "1 - 2 in",
        "1-2 in",
        "1 234 mm",
        "1\u{2009}234 mm",
        "1\u{202f}234.5 mm",
        "1'000 mm",
        "1'000 in",
        "1'234\"",
        "79,85 mm",
        "1,234 mm",
        "1e3 mm",
        "79.85 79.86 mm",
        "79.85 mm 79.86 mm",
        "9 lb 16 oz",
        "9.5 lb 3 oz",
        "9 1/2 lb 3 oz",
        "9 oz 3 lb",
        "9 lb -3 oz",
        "9 lb 09 oz",
        "9 lb 3 in",
        "1 in 2 mm",
        "70 degF 3 degF",
        "9 lb 3",
        "9 lb 3 oz worn",
        "3 Mm",
        "3 mPa",
        "3 mpa",
        "3 NM",
        "3 G",
        "3 Ms",
        "3 K N",
        "3 in/ft lb",
    ] {
        assert_eq!(read(&table, text), None, "{text}");
    }
}

proptest! {
    #[test]
    fn fractions_and_sums_are_exact(whole in 0_i64..1000, above in 1_i64..64, more in 1_i64..64, tenths in 0_i64..120) {
        let table = table();
        let inch = table.find("in").unwrap();
        let below = above + more;
        let exact = Number::from_integer(whole) + Number::ratio(above, below).unwrap();
        for text in [format!("{whole} {above}/{below} in"), format!("{whole}-{above}/{below}\"")] {
            prop_assert_eq!(read(&table, &text), Some(inch.to_base(&exact)), "{}", text);
        }
        let inches = Number::from_integer(12 * whole) + Number::ratio(tenths, 10).unwrap();
        for text in [format!("{whole} ft {}.{} in", tenths / 10, tenths % 10), format!("{whole}′{}.{}″", tenths / 10, tenths % 10)] {
            prop_assert_eq!(read(&table, &text), Some(inch.to_base(&inches)), "{}", text);
        }
    }

    #[test]
    fn any_text_is_taken_or_not(text in "[-+0-9/ .,'\"′″½a-zA-Z°·*]{0,24}|\\PC{0,16}") {
        let table = table();
        if let Some((number, unit)) = table.typed(&text) {
            // What is taken in a form of its own is no other quantity in the plain one.
            if let Ok((plain, length)) = Number::parse_prefix(text.trim())
                && let Some(rest) = text.trim().get(length..)
                && let Ok(same) = table.resolve(rest.trim())
            {
                prop_assert_eq!(unit.to_base(&number), same.to_base(&plain));
            }
        }
    }
}
