//! Univariate summary statistics against the NIST Statistical Reference Datasets, to every certified digit.
//!
//! Source: NIST StRD, univariate (Lew, Lottery, Mavro, Michelso, NumAcc1 to NumAcc4), `data/strd/`, each file with its
//! certified values and its origin at its head. The set of digits of π is left out: the certified values remembered for it
//! are not those of the digits of π.

use super::check_values::number;
use trochoid::quantity::{Enclosure, Number, Value};
use trochoid::statistics::sample;

const SETS: [(&str, &str); 8] = [
    ("Lew", include_str!("data/strd/Lew.dat")),
    ("Lottery", include_str!("data/strd/Lottery.dat")),
    ("Mavro", include_str!("data/strd/Mavro.dat")),
    ("Michelso", include_str!("data/strd/Michelso.dat")),
    ("NumAcc1", include_str!("data/strd/NumAcc1.dat")),
    ("NumAcc2", include_str!("data/strd/NumAcc2.dat")),
    ("NumAcc3", include_str!("data/strd/NumAcc3.dat")),
    ("NumAcc4", include_str!("data/strd/NumAcc4.dat")),
];

/// A certified value of a file's head: the text after the colon.
fn certified<'a>(text: &'a str, what: &str) -> &'a str {
    let line = text.lines().find(|line| line.starts_with(what)).unwrap_or_else(|| panic!("no {what}"));
    // The exact sets say so in words after the number.
    line.rsplit_once(':').unwrap().1.split_whitespace().next().unwrap()
}

/// The data as they are written.
fn written(text: &str) -> Vec<&str> {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let start = lines.iter().position(|line| line.starts_with("---")).unwrap();
    lines[start + 1..].iter().copied().filter(|line| !line.is_empty()).collect()
}

fn values(text: &str) -> Vec<Value> {
    written(text).into_iter().map(|line| Value::from(number(line))).collect()
}

/// Every digit printed is right: both ends of what is known round to it.
fn has_digits(name: &str, value: &Value, digits: &str) {
    let places = digits.split_once('.').map_or(0, |(_, after)| u32::try_from(after.len()).unwrap());
    let Enclosure { low, high } = value.enclosure();
    assert_eq!(low.to_decimal(places), digits, "{name}");
    assert_eq!(high.to_decimal(places), digits, "{name}");
}

#[test]
fn every_certified_digit_is_met() {
    for (name, text) in SETS {
        let values = values(text);
        let observations = match name {
            "Lew" => 200,
            "Lottery" => 218,
            "Mavro" => 50,
            "Michelso" => 100,
            "NumAcc1" => 3,
            _ => 1001,
        };
        assert_eq!(values.len(), observations, "{name}");
        has_digits(name, &sample::mean(&values).unwrap(), certified(text, "Sample Mean"));
        has_digits(name, &sample::deviation(&values).unwrap(), certified(text, "Sample Standard Deviation"));
        has_digits(name, &sample::lag1_autocorrelation(&values).unwrap(), certified(text, "Sample Autocorrelation"));
    }
}

#[test]
fn the_made_up_sets_are_met_exactly() {
    for (name, text) in &SETS[4..] {
        let values = values(text);
        let exact = |value: Option<Value>| value.unwrap().is_exact_rational().cloned().unwrap();
        assert_eq!(exact(sample::mean(&values)), number(certified(text, "Sample Mean")), "{name}");
        assert_eq!(exact(sample::deviation(&values)), number(certified(text, "Sample Standard")), "{name}");
        assert_eq!(exact(sample::lag1_autocorrelation(&values)), number(certified(text, "Sample Auto")), "{name}");
    }
}

/// The wrong ways: one pass over binary numbers gives a variance below zero, and n in place of n − 1 other digits.
#[test]
fn one_pass_over_binary_numbers_gives_another_variance() {
    let text = SETS[7].1;
    let binary: Vec<f64> = written(text).iter().map(|line| line.parse().unwrap()).collect();
    let count = binary.len() as f64;
    let (sum, squares) = binary.iter().fold((0.0, 0.0), |(sum, squares), x| (sum + x, squares + x * x));
    let one_pass = (squares - sum * sum / count) / (count - 1.0);
    assert_eq!(one_pass.to_string(), "-2", "the trap is not where it was");
    assert_eq!(sample::variance(&values(text)), Some(Value::from(number("0.01"))));

    let lew = values(SETS[0].1);
    let by_n = sample::variance(&lew).unwrap().multiply(&Value::from(Number::ratio(199, 200).unwrap()));
    let certified = number(certified(SETS[0].1, "Sample Standard"));
    assert!((by_n.midpoint() - &certified * &certified).abs() > number("1"));
}

#[test]
fn too_few_values_have_no_spread() {
    let one = [Value::ONE];
    assert_eq!(sample::mean(&[]), None);
    assert_eq!(sample::mean(&one), Some(Value::ONE));
    assert_eq!(
        (sample::variance(&one), sample::deviation(&[]), sample::lag1_autocorrelation(&one)),
        (None, None, None)
    );
    assert_eq!(sample::lag1_autocorrelation(&[Value::ONE, Value::ONE]), None);
}
