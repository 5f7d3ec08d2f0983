//! Rounding against ISO 80000-1 Annex B, NIST SP 811 and ASTM E29; sources item by item in `data/rounding.yaml`.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::check_values::{Item, items, number};
use trochoid::quantity::{Band, Number, Side, Value};

/// The items of one family; a family that has gone missing is a failure, not a pass.
fn family(name: &str, least: usize) -> Vec<Item> {
    let items: Vec<_> =
        items(include_str!("data/rounding.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(items.len() >= least, "only {} items of {name}", items.len());
    items
}

/// The digits after the point of a written number.
fn places(text: &str) -> u32 {
    text.split_once('.').map_or(0, |(_, after)| u32::try_from(after.len()).unwrap())
}

#[test]
fn iso_80000_annex_b_rule_a() {
    let mut told_apart = 0;
    for item in family("iso80000-1-annex-b", 7) {
        let value = item.number("inputs", "value");
        let rounded = value.round_to(&item.number("inputs", "range")).unwrap();
        let expected = item.number("expected", "rule_A_half_even");
        assert_eq!(rounded, expected, "{value}");
        let as_value = Value::from(value).round_to(&Value::from(item.number("inputs", "range")));
        assert_eq!(as_value, Some(Value::from(expected.clone())));
        told_apart += u32::from(expected != item.number("expected", "rule_B_half_up"));
    }
    // Without an example where rule B gives another answer, rule B would pass this test.
    assert!(told_apart >= 2);
}

#[test]
fn sp_811_b_7_1_significant_digits() {
    for item in family("nist-sp811-b71", 3) {
        let expected = item.text("expected", "rounded").unwrap();
        // One digit stands before the point in each of the examples.
        let significant: u32 = item.text("inputs", "significant").unwrap().parse().unwrap();
        assert_eq!(item.number("inputs", "value").to_decimal(significant - 1), expected);
    }
}

#[test]
fn astm_e29_absolute_and_rounding_method() {
    let mut told_apart = 0;
    for item in family("astm-e29-table", 8) {
        let limit = Value::from(item.number("inputs", "limit"));
        let band = match item.text("inputs", "kind").as_deref() {
            Some("min") => Band::at_least(limit),
            Some("max") => Band::at_most(limit),
            other => panic!("a limit of kind {other:?}"),
        };
        let observed = item.number("inputs", "observed");
        let rounded = observed.round_to(&item.number("inputs", "nearest")).unwrap();
        assert_eq!(rounded, item.number("expected", "rounded"), "{observed}");
        let conforms = |number: Number| match band.locate(&Value::from(number)) {
            Side::Inside => "yes",
            _ => "no",
        };
        let (absolute, by_rounding) = (conforms(observed.clone()), conforms(rounded));
        assert_eq!(Some(absolute), item.text("expected", "absolute_method_conforms").as_deref(), "{observed}");
        assert_eq!(Some(by_rounding), item.text("expected", "rounding_method_conforms").as_deref(), "{observed}");
        told_apart += u32::from(absolute != by_rounding);
    }
    assert!(told_apart >= 4);
}

#[test]
fn binary_floating_point_rounds_these_elsewhere() {
    let mut told_apart = 0;
    for item in family("binary-float-trap", 4) {
        let expected = item.text("expected", "decimal_half_even").unwrap();
        let value = item.text("inputs", "value").unwrap();
        let places = places(&expected);
        assert_eq!(number(&value).to_decimal(places), expected);
        let step = item.number("inputs", "nearest");
        assert_eq!(number(&value).round_to(&step), Some(number(&expected)));
        // The trap itself: what the nearest binary number rounds to, which must not be what we print.
        let binary = format!("{:.*}", places as usize, value.parse::<f64>().unwrap());
        assert_eq!(number(&binary), item.number("expected", "f64_rounding_gives"), "{value}");
        told_apart += u32::from(binary != expected);
    }
    assert!(told_apart >= 3);
}
