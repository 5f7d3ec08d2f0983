//! Grubbs' test against published critical values and the uranium readings; sources in `data/repeated-readings.yaml`.

use super::check_values::{Item, items, number};
use trochoid::quantity::{Number, Value};
use trochoid::statistics::distribution::normal_quantile;
use trochoid::statistics::grubbs::{Sided, Verdict, apart, critical};
use trochoid::statistics::sample;

fn family(name: &str, least: usize) -> Vec<Item> {
    let items: Vec<_> =
        items(include_str!("data/repeated-readings.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(items.len() >= least, "only {} items of {name}", items.len());
    items
}

fn values(texts: &[&str]) -> Vec<Value> {
    texts.iter().map(|text| Value::from(number(text))).collect()
}

#[test]
fn critical_values_are_met_and_the_misprints_are_not() {
    let mut other_digit = Vec::new();
    for item in family("grubbs-critical", 9) {
        let n: usize = item.text("inputs", "n").unwrap().parse().unwrap();
        let tolerance = item.number("tolerance", "abs").to_f64();
        for (field, alpha, sided) in [
            ("one_sided_05", 0.05, Sided::One),
            ("one_sided_01", 0.01, Sided::One),
            ("two_sided_05", 0.05, Sided::Two),
            ("two_sided_01", 0.01, Sided::Two),
        ] {
            let found = critical(n, alpha, sided).unwrap();
            let expected = item.number("expected", field).to_f64();
            assert!((found - expected).abs() <= tolerance, "n = {n}, {field}: {found} for {expected}");
        }
        // A widely read table, in print to three decimals: its last digit is another one at these.
        if let Some(text) = item.text("expected", "libretexts_05") {
            let off = (critical(n, 0.05, Sided::Two).unwrap() - number(&text).to_f64()).abs();
            assert!(off <= 0.001, "n = {n}: {text} in print");
            if off > 0.0005 {
                other_digit.push(n);
            }
        }
    }
    assert_eq!(other_digit, [3, 8, 15]);
}

/// At 1 % the same table prints 2.755 for fifteen values, as noted in the data.
#[test]
fn the_widely_read_table_is_wrong_at_fifteen() {
    let item = family("grubbs-critical", 9).into_iter().find(|item| item.text("inputs", "n").unwrap() == "15").unwrap();
    assert!(item.text("tolerance", "note").unwrap().contains("2.755 at 1 %"));
    let found = critical(15, 0.01, Sided::Two).unwrap();
    assert!((found - item.number("expected", "two_sided_01").to_f64()).abs() < 1e-6 && (found - 2.755).abs() > 0.05);
}

/// NIST/SEMATECH e-Handbook, 1.3.5.17, data of Tietjen and Moore: quoted from memory, recomputed.
#[test]
fn the_uranium_reading_stands_apart() {
    for item in family("grubbs-uranium", 1) {
        let readings: Vec<Value> = item.numbers("inputs", "data").into_iter().map(Value::from).collect();
        let close = |found: f64, field: &str| {
            let expected = item.number("expected", field).to_f64();
            assert!((found - expected).abs() <= 1e-8, "{field}: {found} for {expected}");
        };
        close(sample::mean(&readings).unwrap().midpoint().to_f64(), "mean");
        close(sample::deviation(&readings).unwrap().midpoint().to_f64(), "s");
        close(critical(8, 0.05, Sided::One).unwrap(), "critical");
        let Verdict::Apart { index, statistic, critical } = apart(&readings, 0.05) else { panic!("nothing apart") };
        assert_eq!(index, 7);
        close(statistic, "G");
        // Two-sided, the limit is a higher one.
        assert!((critical - 2.126645).abs() < 1e-6);
        assert_eq!(apart(&readings[..7], 0.05), Verdict::Together);
    }
}

#[test]
fn three_readings_are_too_few_to_tell() {
    assert_eq!(apart(&[], 0.05), Verdict::TooFew);
    assert_eq!(apart(&values(&["1", "1", "900"]), 0.05), Verdict::TooFew);
    assert_eq!(apart(&values(&["1", "1", "1", "1"]), 0.05), Verdict::Together);
    // Of four values the statistic is at most 3/2, above its limit of 1.4812: one far out is told apart.
    assert_eq!(apart(&values(&["1", "1.1", "0.9", "1"]), 0.05), Verdict::Together);
    let Verdict::Apart { index: 0, .. } = apart(&values(&["-900", "1", "1.1", "1"]), 0.05) else { panic!("a far one") };
    assert_eq!(critical(2, 0.05, Sided::Two), None);
    assert_eq!(critical(8, 0.0, Sided::Two), None);
    assert_eq!(critical(8, 1.0, Sided::One), None);
}

/// Where the verdict turns, it turns on the exact statistic: the last reading is moved across the limit by one in the ninth
/// decimal.
#[test]
fn the_verdict_turns_at_the_critical_value() {
    let base = ["9", "10", "11", "10", "9.5", "10.5", "10"];
    let with = |last: &Number| {
        let mut values = values(&base);
        values.push(Value::from(last.clone()));
        apart(&values, 0.05)
    };
    let (mut together, mut far) = (number("10"), number("20"));
    for _ in 0..40 {
        let middle = (&together + &far) * number("0.5");
        if matches!(with(&middle), Verdict::Apart { .. }) { far = middle } else { together = middle }
    }
    assert!(&far - &together < number("0.000000001"));
    let Verdict::Apart { index: 7, statistic, critical } = with(&far) else { panic!("the far side") };
    assert!(statistic > critical && statistic - critical < 1e-8);
    assert_eq!(with(&together), Verdict::Together);
    assert!(normal_quantile(0.975).unwrap() < critical);
}
