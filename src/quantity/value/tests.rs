//! Values: exact where they can be, enclosed where they must be, and never growing without end.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::{Enclosure, Value};
use crate::quantity::{Number, function};
use proptest::prelude::*;
use std::cmp::Ordering;

fn value(text: &str) -> Value {
    Value::from(Number::parse(text).unwrap())
}

fn ratio(above: i64, below: i64) -> Value {
    Value::from(Number::ratio(above, below).unwrap())
}

#[test]
fn powers_of_pi_cancel_exactly() {
    let degree = Value::pi().divide(&value("180")).unwrap();
    let right_angle = value("90").multiply(&degree);
    assert_eq!(right_angle, Value::pi().divide(&value("2")).unwrap());
    assert_eq!(right_angle.divide(&degree), Some(value("90")));
    assert_eq!(Value::pi().subtract(&Value::pi()), Value::ZERO);
    assert_eq!(Value::pi().multiply(&Value::ZERO), Value::ZERO);
    assert_eq!(Value::pi().power(0), Some(Value::ONE));
    assert_eq!(Value::pi().add(&Value::ZERO), Value::pi());
}

#[test]
fn approximations_of_pi_fall_on_their_proper_side() {
    // Convergents of the continued fraction of π lie below and above it in turn (OEIS A002485/A002486).
    for (above, below, side) in [
        (3, 1, Ordering::Less),
        (22, 7, Ordering::Greater),
        (333, 106, Ordering::Less),
        (355, 113, Ordering::Greater),
        (103_993, 33_102, Ordering::Less),
        (104_348, 33_215, Ordering::Greater),
        (5_419_351, 1_725_033, Ordering::Greater),
        (411_557_987, 131_002_976, Ordering::Greater),
        (1_068_966_896, 340_262_731, Ordering::Less),
    ] {
        assert_eq!(ratio(above, below).compare(&Value::pi()), Some(side), "{above}/{below}");
    }
    // 59 places of π, cut and rounded up: 48 digits do not tell them apart, 120 do.
    let cut = "3.14159265358979323846264338327950288419716939937510582097494";
    assert_eq!(value(cut).compare(&Value::pi()), Some(Ordering::Less));
    assert_eq!(value(&cut.replace("7494", "7495")).compare(&Value::pi()), Some(Ordering::Greater));
    assert_eq!(Value::pi().negate().compare(&value("-4")), Some(Ordering::Greater));
}

#[test]
fn what_overlaps_is_not_decided() {
    let root = function::sqrt(&value("2")).unwrap();
    let two = root.multiply(&root);
    assert_eq!(two.compare(&value("2")), None);
    assert_eq!(two.compare(&value("2.0000000001")), Some(Ordering::Less));
    assert_eq!(root.compare(&root), None);
    let hull = Value::smallest(&[value("3"), two.clone(), value("2")]).unwrap().enclosure();
    assert_eq!(hull.low, two.enclosure().low);
    assert_eq!(hull.high, Number::from_integer(2));
    assert_eq!(Value::largest::<Value>(&[]), None);
    assert_eq!(Value::largest(&[value("1"), value("7"), value("-9")]), Some(value("7")));
}

#[test]
fn division_by_what_may_be_zero_is_refused() {
    let root = function::sqrt(&value("2")).unwrap();
    let nothing = root.subtract(&root);
    assert_eq!(Value::ONE.divide(&nothing), None);
    assert_eq!(nothing.power(-1), None);
    assert_eq!(Value::ONE.divide(&Value::ZERO), None);
    assert_eq!(function::sqrt(&nothing), None);
}

#[test]
fn a_tower_of_powers_ends_and_never_decides_wrongly() {
    let mut tower = value("123456789.123456789");
    let mut small = Value::ONE.divide(&tower).unwrap();
    for _ in 0..60 {
        tower = tower.power(127).unwrap();
        small = small.power(127).unwrap();
        assert_ne!(tower.compare(&value("1000")), Some(Ordering::Less));
        assert_ne!(small.compare(&Value::ZERO), Some(Ordering::Less));
        assert_ne!(small.compare(&value("0.001")), Some(Ordering::Greater));
    }
    // By then nothing is known of the one, and only that it is tiny of the other.
    assert_eq!(tower.compare(&value("1000")), None);
    assert_eq!(small.compare(&value("0.001")), Some(Ordering::Less));
    assert_eq!(tower.subtract(&tower).compare(&Value::ZERO), None);
    assert!(tower.to_string_length() < 60_000);
}

impl Value {
    fn to_string_length(&self) -> usize {
        let Enclosure { low, high } = self.enclosure();
        format!("{low:?}{high:?}").len()
    }
}

#[test]
fn rounding_a_value_says_when_it_cannot_tell() {
    assert_eq!(value("2.135").round_to(&value("0.01")), Some(value("2.14")));
    assert_eq!(value("2.135").round_to(&Value::ZERO), None);
    assert_eq!(Value::pi().round_to(&value("0.01")), Some(value("3.14")));
    // A tie the enclosure straddles: both neighbours remain possible.
    let root = function::sqrt(&value("2")).unwrap();
    let tie = root.multiply(&root).add(&value("0.5")).round_to(&Value::ONE).unwrap();
    assert_eq!(tie.enclosure(), Enclosure { low: Number::from_integer(2), high: Number::from_integer(3) });
}

/// An enclosure of a known number, wider or narrower.
fn around() -> impl Strategy<Value = (Number, Value)> {
    (-2_000_000..2_000_000_i64, 0..1_000_i64, 0..1_000_i64, 1..500_i64).prop_map(|(units, below, above, parts)| {
        let at = |units| Number::ratio(units, 1_000 * parts).unwrap();
        (at(units), Value::from(Enclosure { low: at(units - below), high: at(units + above) }))
    })
}

fn holds(value: &Value, number: &Number) -> bool {
    let Enclosure { low, high } = value.enclosure();
    low <= *number && *number <= high
}

proptest! {
    #[test]
    fn an_enclosure_holds_whatever_was_inside((a, left) in around(), (b, right) in around(), power in -5..=5_i8) {
        prop_assert!(holds(&left.add(&right), &(&a + &b)));
        prop_assert!(holds(&left.subtract(&right), &(&a - &b)));
        prop_assert!(holds(&left.multiply(&right), &(&a * &b)));
        prop_assert!(holds(&left.absolute(), &a.abs()));
        if let Some(quotient) = left.divide(&right) {
            prop_assert!(holds(&quotient, &a.checked_div(&b).unwrap()));
        }
        if let Some(raised) = left.power(power) {
            prop_assert!(holds(&raised, &a.power(power).unwrap()));
        }
        if let Some(ordering) = left.compare(&right) {
            prop_assert_eq!(ordering, a.cmp(&b));
        }
        prop_assert!(holds(&Value::smallest(&[left.clone(), right.clone()]).unwrap(), (&a).min(&b)));
        prop_assert!(holds(&Value::largest(&[left.clone(), right.clone()]).unwrap(), (&a).max(&b)));
        if let Some(root) = function::sqrt(&left) {
            let Enclosure { low, high } = root.enclosure();
            prop_assert!(&low * &low <= a && a <= &high * &high && low.signum() >= 0);
        }
    }

    /// A wide enclosure's sine and the rest hold the sine of every number inside, crests counted.
    #[test]
    fn functions_of_an_enclosure_hold_those_of_its_inside((a, wide) in around()) {
        let point = Value::from(a.clone());
        let inside = |wide: &Value, point: &Value| {
            let (wide, point) = (wide.enclosure(), point.enclosure());
            wide.low <= point.high && point.low <= wide.high
        };
        prop_assert!(inside(&function::sin(&wide), &function::sin(&point)));
        prop_assert!(inside(&function::cos(&wide), &function::cos(&point)));
        prop_assert!(inside(&function::atan(&wide), &function::atan(&point)));
        prop_assert!(inside(&function::exp(&wide), &function::exp(&point)));
        if let (Some(wide), Some(point)) = (function::ln(&wide), function::ln(&point)) {
            prop_assert!(inside(&wide, &point));
        }
        for digits in [1, 3, 9] {
            let digits = Value::from(Number::from_integer(digits));
            if let (Some(wide), Some(point)) = (wide.significant(&digits), point.significant(&digits)) {
                prop_assert!(inside(&wide, &point));
            }
        }
        if let (Some(wide), Some(point)) = (function::asin(&wide), function::asin(&point)) {
            prop_assert!(inside(&wide, &point));
        }
        if let (Some(wide), Some(point)) = (function::acos(&wide), function::acos(&point)) {
            prop_assert!(inside(&wide, &point));
        }
    }
}
