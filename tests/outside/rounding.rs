//! Rounding against ISO 80000-1:2009 Annex B, NIST SP 811 (2008) B.7.1 and the table of ASTM E29: the numbers by themselves, and then
//! through a rulebook and a record. Sources item by item in `data/rounding.yaml`; what it calls `memory-recomputed` is from
//! memory of the standard, its arithmetic done again.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::check_values::{Item, items, number};
use trochoid::judge::{Grade, GradeSet, RulingReport};
use trochoid::quantity::{Band, Number, Side, Value};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

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

/// What a row says of one reading, in millimetres: the whole way of a rulebook and a record.
fn told(row: &str, reading: &str) -> RulingReport {
    let book = format!(
        "rulebook \"Rounding\" edition 2026-03-01\nunit mm = 0.001 m\npart pump {{ gap : mm }}\ngeneration g \"rounding\" {{ pump.gap {row} {{ from memory }} }}\n"
    );
    let shop = Shop::of_sources(&[Source::new("rounding.rulebook", book)]);
    assert!(shop.findings().is_empty(), "{row}: {:?}", shop.findings());
    let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
    let record = Source::new("build.yaml", format!("generation: g\ngap: {reading} mm\n"));
    let mut checked = shop.check_source(&record, &ask);
    assert_eq!((checked.rulings.len(), checked.record_errors), (1, 0), "{row}: {:?}", checked.findings);
    checked.rulings.remove(0)
}

/// A reading rounded by a row, as it is told; the reading itself where rounding leaves it as it is.
fn rounded_by_a_row(reading: &str, step: &str) -> String {
    let told = told(&format!("limit above -1 mm rounded to {step} mm"), reading);
    assert_eq!(told.value.as_deref(), Some(&*format!("{reading} mm")), "what was taken is told as it was taken");
    told.rounded.unwrap_or_else(|| format!("{reading} mm"))
}

#[test]
fn a_row_rounds_by_rule_a_of_annex_b() {
    let mut ties = 0;
    for item in family("iso80000-1-annex-b", 7) {
        let text = |group: &str, field: &str| item.text(group, field).unwrap();
        let (value, step) = (text("inputs", "value"), text("inputs", "range"));
        let (even, up) = (text("expected", "rule_A_half_even"), text("expected", "rule_B_half_up"));
        assert_eq!(rounded_by_a_row(&value, &step), format!("{even} mm"), "{value}");
        let grade = |wanted: &str| told(&format!("limit exactly {wanted} mm rounded to {step} mm"), &value).grade;
        assert_eq!(grade(&even), Grade::Good, "{value}");
        if even != up {
            assert_eq!(grade(&up), Grade::Out, "{value} by rule B");
            ties += 1;
        }
    }
    assert!(ties >= 2);
}

#[test]
fn a_row_rounds_the_examples_of_sp_811() {
    for item in family("nist-sp811-b71", 3) {
        let expected = item.text("expected", "rounded").unwrap();
        // So many significant digits are so many places: one digit stands before the point.
        let step = format!("0.{:0>1$}", 1, places(&expected) as usize);
        let value = item.text("inputs", "value").unwrap();
        assert_eq!(rounded_by_a_row(&value, &step), format!("{expected} mm"));
    }
}

/// The absolute method is a row as it is; the rounding method is the same row with `rounded to`.
#[test]
fn both_methods_of_astm_e29_are_rows() {
    let mut told_apart = 0;
    for item in family("astm-e29-table", 8) {
        let text = |group: &str, field: &str| item.text(group, field).unwrap();
        let (limit, observed, nearest) =
            (text("inputs", "limit"), text("inputs", "observed"), text("inputs", "nearest"));
        let word = if text("inputs", "kind") == "min" { "at least" } else { "at most" };
        let conforms = |row: &str| match told(row, &observed).grade {
            Grade::Good => "yes",
            Grade::Out => "no",
            other => panic!("{observed} is {other:?}"),
        };
        let plain = format!("limit {word} {limit} mm");
        let (absolute, rounding) = (conforms(&plain), conforms(&format!("{plain} rounded to {nearest} mm")));
        assert_eq!(absolute, text("expected", "absolute_method_conforms"), "{observed}");
        assert_eq!(rounding, text("expected", "rounding_method_conforms"), "{observed}");
        assert_eq!(rounded_by_a_row(&observed, &nearest), format!("{} mm", text("expected", "rounded")));
        told_apart += u32::from(absolute != rounding);
    }
    assert!(told_apart >= 4);
}

#[test]
fn a_row_rounds_where_binary_numbers_round_elsewhere() {
    let mut told_apart = 0;
    for item in family("binary-float-trap", 4) {
        let text = |group: &str, field: &str| item.text(group, field).unwrap();
        let (value, step, expected) =
            (text("inputs", "value"), text("inputs", "nearest"), text("expected", "decimal_half_even"));
        assert_eq!(rounded_by_a_row(&value, &step), format!("{expected} mm"));
        let binary = number(&text("expected", "f64_rounding_gives"));
        if binary != number(&expected) {
            // A row that asks for what a binary number rounds to is not met.
            let row = format!("limit exactly {binary} mm rounded to {step} mm");
            assert_eq!(told(&row, &value).grade, Grade::Out, "{value}");
            told_apart += 1;
        }
    }
    assert!(told_apart >= 3);
}

#[test]
fn each_tier_is_compared_with_the_rounded_value() {
    // By hand: 0.115 goes to 0.12 (twelve is even), 0.125 to 0.12, 0.095 to 0.10, 0.094 to 0.09.
    let row = "standard 0.12 to 0.21 mm limit at least 0.10 mm rounded to 0.01 mm";
    for (reading, grade, rounded) in [
        ("0.115", Grade::Good, Some("0.12 mm")),
        ("0.1149", Grade::Worn, Some("0.11 mm")),
        ("0.12", Grade::Good, None),
        ("0.215", Grade::Worn, Some("0.22 mm")),
        ("0.2149", Grade::Good, Some("0.21 mm")),
        ("0.095", Grade::Worn, Some("0.10 mm")),
        ("0.094", Grade::Out, Some("0.09 mm")),
    ] {
        let told = told(row, reading);
        assert_eq!((told.grade, told.rounded.as_deref()), (grade, rounded), "{reading}");
    }
}
