//! What is said to settle a value does so when it is followed to the letter: the gauge as named, or the value as named.

use super::SEED;
use crate::outside::weighing::{shop, told};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use trochoid::judge::{Grade, RulingReport};
use trochoid::shop::Shop;

const FACTORS: [&str; 3] = ["1", "0.83", "1.5"];

/// Two readings by one gauge, the second by none of the record's doubt; what is judged follows the first three times.
fn book(factor: &str) -> Shop {
    shop(&format!(
        "rulebook \"Advice\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part fit {{
    a : mm
    b : mm
    derive gap : mm = 3 * a - b
}}
generation g \"advice\" {{
    fit.gap limit 20.100 to 20.300 mm
}}
house \"Advice\" {{
    judge by guard band {factor}
}}
"
    ))
}

/// Micrometres and hundredths of them.
#[derive(Clone, Copy)]
struct Taken {
    a: i64,
    expanded: f64,
    resolution: u32,
}

fn judged(shop: &Shop, taken: Taken) -> RulingReport {
    let Taken { a, expanded, resolution } = taken;
    let record = format!(
        "generation: g\ngauges:\n  one: {{ uncertainty: {expanded} um, resolution: {resolution} um }}\na: {{ value: {}.{:05} mm, gauge: one }}\nb: {{ value: 10.000 mm, uncertainty: 0.1 um }}\n",
        a / 100_000,
        a % 100_000
    );
    told(shop, &record)
}

/// The number before ` mm` that follows some words.
fn after(text: &str, words: &str) -> Option<f64> {
    let rest = &text[text.find(words)? + words.len()..];
    rest[..rest.find(" mm")?].parse().ok()
}

#[test]
fn what_is_said_to_settle_a_value_settles_it() {
    let mut chance = ChaCha8Rng::seed_from_u64(SEED);
    let (mut gauges, mut values, mut outside, mut inside) = (0, 0, 0, 0);
    for factor in FACTORS {
        let shop = book(factor);
        for _ in 0..150 {
            // The gap is 3 a − 10 mm, so that 10.1 mm is the middle of it.
            let end = if chance.random_bool(0.5) { 1_003_333 } else { 1_010_000 };
            let taken = Taken {
                a: end + chance.random_range(-400..400),
                expanded: f64::from(chance.random_range(20..120_u32)) / 10.0,
                resolution: chance.random_range(1..4),
            };
            let first = judged(&shop, taken);
            let Some(advice) = first.uncertainty.unwrap().settled_by else {
                assert_ne!(first.grade, Grade::Unsettled, "nothing is said of what is unsettled");
                continue;
            };
            assert_eq!(first.grade, Grade::Unsettled, "{advice}");
            if let Some(finest) = after(&advice, "gauge whose uncertainty is ") {
                let told = judged(&shop, Taken { expanded: finest * 1e3, ..taken });
                let expected =
                    if advice.contains("or better (it would then be inside)") { Grade::Good } else { Grade::Out };
                assert_eq!(told.grade, expected, "{advice}");
                gauges += 1;
                if expected == Grade::Good { inside += 1 } else { outside += 1 }
            }
            for (words, up) in [(" of at least ", true), (" of at most ", false)] {
                let Some(wanted) = after(&advice, words) else { continue };
                // The reading that gives the gap named, a hundredth of a micrometre further in where it is between two.
                let a = (wanted + 10.0) / 3.0 * 1e5;
                let a = if up { (a - 1e-4).ceil() } else { (a + 1e-4).floor() } as i64;
                assert_eq!(judged(&shop, Taken { a, ..taken }).grade, Grade::Good, "{advice}");
                values += 1;
            }
        }
    }
    assert!(gauges > 50 && values > 150 && inside > 20 && outside > 20, "{gauges} {values} {inside} {outside}");
}
