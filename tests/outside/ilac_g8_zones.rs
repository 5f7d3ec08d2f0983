//! The decision rules of ILAC-G8:09/2019 and ISO 14253-1 at and around every boundary, in records. The values and their zones
//! are those of `data/decision-rules.yaml`; which zone holds the boundary itself is the program's choice, said there too.

use super::check_values::{Item, items};
use super::weighing::{near, shop, told};
use trochoid::judge::uncertainty::Zone;
use trochoid::judge::{Grade, RulingReport};
use trochoid::shop::Shop;

fn all(name: &str) -> Vec<Item> {
    items(include_str!("data/decision-rules.yaml")).into_iter().filter(|item| item.item == name).collect()
}

/// A bore of 19.980 to 20.020 mm, judged by a rule.
fn bore(limit: &str, rule: &str) -> Shop {
    shop(&format!(
        "rulebook \"A bore\" edition 2026-03-01
unit mm = 0.001 m
part bush {{
    bore : mm
}}
generation g \"a bore\" {{
    bush.bore limit {limit}
}}
house \"Zones\" {{
    judge by {rule}
}}
"
    ))
}

fn measured(shop: &Shop, value: &str, expanded: &str) -> RulingReport {
    told(shop, &format!("generation: g\nbore: {{ value: {value} mm, uncertainty: {expanded} mm }}\n"))
}

#[test]
fn the_zones_hold_at_every_boundary() {
    let (simple, guarded) =
        (bore("19.980 to 20.020 mm", "simple acceptance"), bore("19.980 to 20.020 mm", "guard band 1 U"));
    let cases = all("decision-four-state");
    assert_eq!(cases.len(), 9);
    for case in cases {
        let (value, expanded) = (case.text("inputs", "y").unwrap(), case.text("inputs", "U").unwrap());
        let expected = |field: &str| case.text("expected", field).unwrap();
        let (simple, guarded) = (measured(&simple, &value, &expanded), measured(&guarded, &value, &expanded));
        for told in [&simple, &guarded] {
            let zone = match told.uncertainty.as_ref().unwrap().limit.as_ref().unwrap().zone {
                Zone::Pass => "pass",
                Zone::ConditionalPass => "conditional_pass",
                Zone::ConditionalFail => "conditional_fail",
                Zone::Fail => "fail",
            };
            assert_eq!(zone, expected("four_state"), "{value}");
        }
        let passes = |told: &RulingReport| if told.grade.passes() { "pass" } else { "fail" };
        assert_eq!(passes(&simple), expected("simple"), "{value} by simple acceptance");
        assert_eq!(passes(&guarded), expected("binary_guarded"), "{value} by a guard band");
        let decided = match guarded.grade {
            Grade::Good => "conforming",
            Grade::Unsettled => "uncertainty_zone",
            Grade::Out => "not_conforming",
            other => panic!("{other:?}"),
        };
        assert_eq!(decided, expected("iso14253_w_U"), "{value} by ISO 14253-1 with w = U");
        assert_eq!(simple.uncertainty.unwrap().rule, "simple acceptance");
        assert_eq!(guarded.uncertainty.unwrap().rule, "guard band 1 U", "the factor is always said");
    }
}

/// Half of the boundaries of the zones, worked out in binary, are not where they are in decimals.
#[test]
fn binary_floats_put_values_at_a_boundary_in_another_zone() {
    let guarded = bore("19.980 to 20.020 mm", "guard band 1 U");
    let decimal = |value: &str| measured(&guarded, value, "0.004").grade;
    // By the guard inside either end, and outside: the first two are good, the others not yet out.
    let inside_low = (decimal("19.984") == Grade::Good, 19.984_f64 - 19.980 >= 0.004);
    let inside_high = (decimal("20.016") == Grade::Good, 20.020_f64 - 20.016 >= 0.004);
    let outside_low = (decimal("19.976") == Grade::Out, 19.980_f64 - 19.976 > 0.004);
    let outside_high = (decimal("20.024") == Grade::Out, 20.024_f64 - 20.020 > 0.004);
    assert_eq!([inside_low.0, inside_high.0, outside_low.0, outside_high.0], [true, true, false, false]);
    let all = [inside_low, inside_high, outside_low, outside_high];
    assert!(all.iter().filter(|(exact, binary)| exact != binary).count() >= 2, "{all:?}");
}

/// A step of a nanometre to the other side of each boundary changes the zone.
#[test]
fn a_nanometre_past_a_boundary_is_the_next_zone() {
    let guarded = bore("19.980 to 20.020 mm", "guard band 1 U");
    for (value, grade) in [
        ("19.975999", Grade::Out),
        ("19.976", Grade::Unsettled),
        ("19.983999", Grade::Unsettled),
        ("19.984", Grade::Good),
        ("20.016", Grade::Good),
        ("20.016001", Grade::Unsettled),
        ("20.024", Grade::Unsettled),
        ("20.024001", Grade::Out),
    ] {
        assert_eq!(measured(&guarded, value, "0.004").grade, grade, "{value}");
    }
    // ISO 14253-1:2017 guards by 0.83 U: 3.32 µm of 4 µm.
    let newer = bore("19.980 to 20.020 mm", "guard band 0.83 U");
    for (value, grade) in [
        ("19.983319", Grade::Unsettled),
        ("19.983320", Grade::Good),
        ("20.016680", Grade::Good),
        ("20.016681", Grade::Unsettled),
        ("20.023320", Grade::Unsettled),
        ("20.023321", Grade::Out),
    ] {
        assert_eq!(measured(&newer, value, "0.004").grade, grade, "{value} by 0.83 U");
    }
}

/// Table 1: with a guard of r U, the probability of false acceptance of a value just accepted.
#[test]
fn what_is_just_accepted_is_falsely_so_as_printed() {
    let rows = all("ilac-g8-table-w-rU");
    assert_eq!(rows.len(), 3);
    for row in rows {
        let r = row.text("inputs", "r").unwrap();
        let (rule, value, past) = match r.as_str() {
            "0" => ("simple acceptance".to_string(), "20.020", "20.020001"),
            "1" => ("guard band 1".to_string(), "20.016", "20.016001"),
            "1.5" => ("guard band 1.5".to_string(), "20.014", "20.014001"),
            other => panic!("{other}"),
        };
        let shop = bore("at most 20.020 mm", &rule);
        let told = measured(&shop, value, "0.004");
        assert_eq!(told.grade, Grade::Good, "the last value accepted at r = {r}");
        assert_ne!(measured(&shop, past, "0.004").grade, Grade::Good, "past it, at r = {r}");
        let inside: f64 = told.uncertainty.unwrap().limit.unwrap().probability.parse().unwrap();
        let expected = row.number("expected", "specific_PFA_at_acceptance_limit").to_f64();
        near(1.0 - inside, expected, 0.000_05, &format!("false acceptance at r = {r}"));
    }
}

/// A range narrower than twice the guard accepts nothing; and a row with two tiers is weighed at each: what is surely inside
/// the limit passes, however near the standard it lies.
#[test]
fn a_narrow_range_accepts_nothing_and_each_tier_is_weighed() {
    let narrow = bore("19.997 to 20.003 mm", "guard band 1");
    for value in ["19.997", "20.000", "20.003"] {
        assert_eq!(measured(&narrow, value, "0.004").grade, Grade::Unsettled, "{value}");
    }
    let two = shop(
        "rulebook \"Two tiers\" edition 2026-03-01
unit mm = 0.001 m
part bush {
    bore : mm
}
generation g \"two tiers\" {
    bush.bore standard 19.990 to 20.010 mm limit 19.980 to 20.020 mm
}
house \"Zones\" {
    judge by guard band 1
}
",
    );
    for (value, grade, standard, limit) in [
        ("20.000", Grade::Good, Zone::Pass, Zone::Pass),
        ("20.008", Grade::Worn, Zone::ConditionalPass, Zone::Pass),
        ("20.012", Grade::Worn, Zone::ConditionalFail, Zone::Pass),
        ("20.015", Grade::Worn, Zone::Fail, Zone::Pass),
        ("20.018", Grade::Unsettled, Zone::Fail, Zone::ConditionalPass),
        ("20.022", Grade::Unsettled, Zone::Fail, Zone::ConditionalFail),
        ("20.025", Grade::Out, Zone::Fail, Zone::Fail),
    ] {
        let told = measured(&two, value, "0.004");
        assert_eq!(told.grade, grade, "{value}");
        let weighed = told.uncertainty.unwrap();
        assert_eq!((weighed.standard.unwrap().zone, weighed.limit.unwrap().zone), (standard, limit), "{value}");
    }
}
