//! The normal and Student's distributions and the coverage factors of JCGM 100:2008, Table G.2.
//!
//! Sources: NIST TN 1297, Table B.1 (`data/degrees-of-freedom.yaml`); the library `scipy` 1.17.1, `data/statistics_library.json`
//! written by the script beside it; Table G.2 against quantiles recomputed here.

use super::check_values::items;
use trochoid::quantity::Number;
use trochoid::statistics::coverage::factor;
use trochoid::statistics::distribution::{
    normal_cdf, normal_quantile, student_quantile, student_two_sided, student_two_sided_p,
};

pub(super) fn library() -> serde_json::Value {
    serde_json::from_str(include_str!("data/statistics_library.json")).unwrap()
}

pub(super) fn figure(entry: &serde_json::Value, field: &str) -> f64 {
    entry[field].as_str().unwrap().parse().unwrap()
}

fn near(found: f64, expected: f64, relative: f64, what: &serde_json::Value) {
    assert!((found - expected).abs() <= relative * expected.abs().max(1e-300), "{found} for {expected} of {what}");
}

#[test]
fn the_distributions_agree_with_another_library() {
    let library = library();
    let list = |name: &str, least: usize| {
        let list = library[name].as_array().unwrap().clone();
        assert!(list.len() >= least);
        list
    };
    for entry in list("normal_cdf", 12) {
        near(normal_cdf(figure(&entry, "z")), figure(&entry, "p"), 1e-9, &entry);
    }
    for entry in list("normal_quantile", 10) {
        let found = normal_quantile(figure(&entry, "p")).unwrap();
        assert!((found - figure(&entry, "z")).abs() <= 1e-9, "{found} of {entry}");
    }
    for entry in list("student_quantile", 90) {
        let found = student_quantile(figure(&entry, "p"), figure(&entry, "nu")).unwrap();
        near(found, figure(&entry, "t"), 1e-10, &entry);
    }
    for entry in list("student_two_sided_p", 24) {
        let found = student_two_sided_p(figure(&entry, "t"), figure(&entry, "nu")).unwrap();
        near(found, figure(&entry, "p"), 1e-10, &entry);
    }
}

#[test]
fn what_has_no_quantile_has_none() {
    for p in [0.0, 1.0, -1.0, 2.0, f64::NAN] {
        assert_eq!((normal_quantile(p), student_quantile(p, 5.0)), (None, None));
    }
    assert_eq!(student_quantile(0.5, 0.0), None);
    assert_eq!(student_two_sided_p(f64::NAN, 5.0), None);
    assert_eq!(student_two_sided_p(1.0, f64::NAN), None);
    let endless = student_quantile(0.975, f64::INFINITY).unwrap();
    assert!((endless - normal_quantile(0.975).unwrap()).abs() < 1e-14);
}

/// NIST TN 1297, Table B.1, prints 1.70 for 35 degrees of freedom and 90 %, where the quantile is 1.6896: a misprint.
#[test]
fn tn_1297_table_b_1() {
    let text = include_str!("data/degrees-of-freedom.yaml");
    let mut misprints = Vec::new();
    let mut held = 0;
    for item in items(text).into_iter().filter(|item| item.item == "tn1297-table-b1") {
        let nu = item.number("inputs", "nu").to_f64();
        // 68.27, 95.45 and 99.73 stand for one, two and three deviations of a normal distribution.
        let beyond = |deviations: f64| 2.0 * normal_cdf(-deviations);
        let columns = [("68.27", beyond(1.0)), ("90", 0.1), ("95", 0.05)];
        let columns = columns.into_iter().chain([("95.45", beyond(2.0)), ("99", 0.01), ("99.73", beyond(3.0))]);
        let (expected, printed) = (item.numbers("expected", "t"), item.numbers("expected", "printed"));
        assert_eq!((expected.len(), printed.len()), (6, 6));
        for (((column, alpha), expected), printed) in columns.zip(expected).zip(printed) {
            let found = student_two_sided(alpha, nu).unwrap();
            // Eight digits are given.
            assert!(
                (found - expected.to_f64()).abs() <= 1e-6f64.max(expected.to_f64() * 1e-7),
                "{nu} {column}: {found}"
            );
            if (found - printed.to_f64()).abs() > 0.0051 {
                misprints.push((nu.to_string(), column));
            }
            held += 1;
        }
    }
    assert_eq!(held, 42);
    assert_eq!(misprints, [("35".to_owned(), "90")]);
}

#[test]
fn every_entry_of_table_g_2_is_the_quantile_to_half_its_last_digit() {
    let entries = (1..=20).chain([25, 30, 35, 40, 45, 50, 100]);
    let mut held = 0;
    for nu in entries {
        let entry = factor(Some(&Number::from_integer(nu))).unwrap();
        // Two decimals in print, and three from a hundred degrees of freedom on.
        let half = if nu < 100 { 0.005 } else { 0.0005 };
        let quantile = student_two_sided(2.0 * normal_cdf(-2.0), nu as f64).unwrap();
        assert!((entry.to_f64() - quantile).abs() <= half, "{nu}: {entry} in print, {quantile}");
        held += 1;
    }
    assert_eq!(held, 27);
    let normal = normal_quantile(normal_cdf(2.0)).unwrap();
    assert!((factor(None).unwrap().to_f64() - normal).abs() <= 0.0005);
    // The column beside it, 95 %, would not pass.
    assert!(
        (factor(Some(&Number::from_integer(10))).unwrap().to_f64() - student_two_sided(0.05, 10.0).unwrap()).abs()
            > 0.04
    );
}

#[test]
fn degrees_of_freedom_are_truncated_to_the_entry_below() {
    let entry = |above: i64, below: i64| factor(Number::ratio(above, below).as_ref()).map(|factor| factor.to_string());
    assert_eq!(entry(1666, 100).as_deref(), Some("2.17"));
    assert_eq!(entry(24, 1).as_deref(), Some("2.13"), "25 would be rounding up");
    assert_eq!(entry(9999, 100).as_deref(), Some("2.05"));
    assert_eq!(entry(1_000_000, 1).as_deref(), Some("2.025"), "only infinitely many reach 2");
    assert_eq!(factor(None), Some(Number::from_integer(2)));
    assert_eq!(entry(99, 100), None);
    assert_eq!(entry(0, 1), None);
}
