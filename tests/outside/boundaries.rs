//! Values exactly at their limits, through the whole program: decided exactly, where binary floats would flip.
//!
//! The cases of metrology practice come from the design of the check (19.980 + 0.004 and the like are exact in decimals and
//! not in binary); the expected verdicts are arithmetic on integers.

use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

const UNITS: &str = "unit mm = 0.001 m\nunit in = 25.4 mm\nunit thou = 0.001 in\n";
const ASK: Ask = Ask { tell: GradeSet::NONE, rulings: false };

fn shop(rows: &str) -> Shop {
    let book = format!(
        "rulebook \"Ends\" edition 2026-03-01\n{UNITS}part fit {{\n    a : mm\n    b : mm\n    derive gap : mm = a - b\n    derive third : mm = a / 3\n}}\ngeneration g \"ends\" {{\n{rows}\n}}\n"
    );
    let shop = Shop::of_sources(&[Source::new("ends.rulebook", book)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

fn grade(shop: &Shop, a: &str, b: &str) -> Grade {
    let record = format!("generation: g\na: {a}\nb: {b}\n");
    shop.check_source(&Source::new("r.yaml", record), &ASK).grade.unwrap()
}

#[test]
fn the_equal_case_is_the_one_the_word_says() {
    for (row, a, b, expected) in [
        ("fit.gap limit at most 0.05 mm", "2.00 mm", "1.95 mm", Grade::Good),
        ("fit.gap limit below 0.05 mm", "2.00 mm", "1.95 mm", Grade::Out),
        ("fit.gap limit at least 0.05 mm", "2.00 mm", "1.95 mm", Grade::Good),
        ("fit.gap limit above 0.05 mm", "2.00 mm", "1.95 mm", Grade::Out),
        ("fit.gap limit exactly 0.05 mm", "2.00 mm", "1.95 mm", Grade::Good),
        ("fit.a limit at most 19.984 mm", "19.984 mm", "1 mm", Grade::Good),
        ("fit.gap limit at most 19.980 mm", "19.984 mm", "0.004 mm", Grade::Good),
        ("fit.gap limit at least 20.016 mm", "20.020 mm", "0.004 mm", Grade::Good),
        ("fit.a limit exactly 2.54 mm", "0.1 in", "1 mm", Grade::Good),
        ("fit.a limit 5 thou ± 1 thou", "0.1524 mm", "1 mm", Grade::Good),
        ("fit.a limit 5 thou ± 1 thou", "0.1525 mm", "1 mm", Grade::Out),
        ("fit.a limit 5 thou +1 -1 thou", "4 thou", "1 mm", Grade::Good),
        ("fit.third limit exactly 1 mm / 3", "1 mm", "1 mm", Grade::Good),
        ("fit.third limit below 0.3333333333333334 mm", "1 mm", "1 mm", Grade::Good),
        ("fit.third limit at most 0.3333333333333333 mm", "1 mm", "1 mm", Grade::Out),
    ] {
        assert_eq!(grade(&shop(row), a, b), expected, "{row} with a = {a}, b = {b}");
    }
}

#[test]
fn a_hundred_thousand_values_at_their_limit_are_all_inside_and_one_unit_beyond_all_outside() {
    let at_limit = shop("fit.gap limit at most 0.05 mm");
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut flipped = 0;
    for round in 0..100_000_u64 {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        let b = 1_000 + seed % 8_000_000;
        let text = |thousandths: u64| format!("{}.{:03} mm", thousandths / 1000, thousandths % 1000);
        // A float would say: is a - b at most 0.05?
        let float = |thousandths: u64| text(thousandths).trim_end_matches(" mm").parse::<f64>().unwrap();
        flipped += usize::from(float(b + 50) - float(b) > 0.05);
        if round % 50 == 0 {
            assert_eq!(grade(&at_limit, &text(b + 50), &text(b)), Grade::Good, "{}", text(b));
            assert_eq!(grade(&at_limit, &text(b + 51), &text(b)), Grade::Out, "{}", text(b));
        }
    }
    assert!(flipped > 10_000, "floats were expected to be wrong often, and were {flipped} times");
}
