//! Values exactly at their limits, through the whole program: decided exactly, where binary floats would flip.
//!
//! The cases of metrology practice come from the design of the check (19.980 + 0.004 and the like are exact in decimals and
//! not in binary); the expected verdicts are arithmetic on integers.

use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

const UNITS: &str = "unit mm = 0.001 m\nunit in = 25.4 mm\nunit thou = 0.001 in\n";
const ASK: Ask = Ask { tell: GradeSet::NONE, rulings: false, as_of: None };

fn shop(rows: &str) -> Shop {
    let book = format!(
        "rulebook \"Ends\" edition 2026-03-01\n{UNITS}part fit {{\n    a : mm\n    b : mm\n    derive gap : mm = a - b\n    derive total : mm = a + b\n    derive third : mm = a / 3\n}}\ngeneration g \"ends\" {{\n{rows}\n}}\n"
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
        ("fit.gap limit above 20.016 mm", "20.020 mm", "0.004 mm", Grade::Out),
        ("fit.total limit at most 19.984 mm", "19.980 mm", "0.004 mm", Grade::Good),
        ("fit.total limit exactly 19.984 mm", "19.980 mm", "0.004 mm", Grade::Good),
        ("fit.total limit below 19.984 mm", "19.980 mm", "0.004 mm", Grade::Out),
        ("fit.total limit at most 0.3 mm", "0.1 mm", "0.2 mm", Grade::Good),
        ("fit.a limit below 2.54 mm", "0.1 in", "1 mm", Grade::Out),
        ("fit.a limit at most 0.1 in", "2.54 mm", "1 mm", Grade::Good),
        ("fit.a limit below 0.1 in", "2.54 mm", "1 mm", Grade::Out),
        ("fit.a limit at most 0.1 in", "2.540000000000000001 mm", "1 mm", Grade::Out),
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

/// How many gaps one record holds.
const POSITIONS: usize = 250;

/// One way to stand at a limit: `a - b` is the limit, or a step away from it.
struct Edge {
    /// The row's limit.
    row: &'static str,
    /// The unit readings are written in, and how many places they have.
    unit: &'static str,
    places: u32,
    /// The limit in steps of the last place, of the unit readings are written in.
    limit: u64,
    /// The grade of a gap just at the limit.
    at: Grade,
    /// How many steps away, over or under, the grade is the other.
    away: i64,
    /// Whether floats find a gap inside, given in the unit readings are written in.
    float: fn(f64) -> bool,
}

const EDGES: [Edge; 8] = [
    Edge {
        row: "at most 0.05 mm",
        unit: "mm",
        places: 3,
        limit: 50,
        at: Grade::Good,
        away: 1,
        float: |gap| gap <= 0.05,
    },
    Edge { row: "below 0.05 mm", unit: "mm", places: 3, limit: 50, at: Grade::Out, away: -1, float: |gap| gap < 0.05 },
    Edge {
        row: "at least 0.05 mm",
        unit: "mm",
        places: 2,
        limit: 5,
        at: Grade::Good,
        away: -1,
        float: |gap| gap >= 0.05,
    },
    Edge { row: "above 0.004 mm", unit: "mm", places: 3, limit: 4, at: Grade::Out, away: 1, float: |gap| gap > 0.004 },
    Edge {
        row: "at most 0.0020 in",
        unit: "in",
        places: 4,
        limit: 20,
        at: Grade::Good,
        away: 1,
        float: |gap| gap <= 0.002,
    },
    Edge {
        row: "at least 2 thou",
        unit: "in",
        places: 4,
        limit: 20,
        at: Grade::Good,
        away: -1,
        float: |gap| gap >= 0.002,
    },
    // Read in one unit, limited in the other: 0.05 in is 1.27 mm, 2.54 mm is 0.1 in.
    Edge {
        row: "at most 0.05 in",
        unit: "mm",
        places: 2,
        limit: 127,
        at: Grade::Good,
        away: 1,
        float: |gap| gap / 25.4 <= 0.05,
    },
    Edge {
        row: "at least 2.54 mm",
        unit: "in",
        places: 3,
        limit: 100,
        at: Grade::Good,
        away: -1,
        float: |gap| gap * 25.4 >= 2.54,
    },
];

#[test]
fn half_a_million_gaps_at_their_limit_are_decided_by_arithmetic_on_integers() {
    const RECORDS: usize = 250;
    let names: Vec<String> = (1..=POSITIONS).map(|number| format!("p{number}")).collect();
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut judged = 0;
    for edge in &EDGES {
        let book = format!(
            "rulebook \"Ends\" edition 2026-03-01\n{UNITS}part machine {{\n    part fit at {} {{\n        a : mm\n        b : mm\n        derive gap : mm = a - b\n    }}\n}}\ngeneration g \"ends\" {{\n    fit.gap limit {}\n}}\n",
            names.join(", "),
            edge.row
        );
        let shop = Shop::of_sources(&[Source::new("ends.rulebook", book)]);
        assert!(shop.is_sound(), "{:?}", shop.findings());
        let mut flipped = 0;
        for round in 0..RECORDS {
            // Every other record is a step away, and every gap of a record is alike, so that the counts say it all.
            let away = if round % 2 == 0 { 0 } else { edge.away };
            let expected = match (away, edge.at) {
                (0, at) => at,
                (_, Grade::Good) => Grade::Out,
                _ => Grade::Good,
            };
            let mut record = String::from("generation: g\nfit:\n");
            for name in &names {
                seed ^= seed << 13;
                seed ^= seed >> 7;
                seed ^= seed << 17;
                let b = 100 + seed % 800_000;
                let a = (b + edge.limit).checked_add_signed(away).unwrap();
                let (a, b) = (decimal(a, edge.places), decimal(b, edge.places));
                record.push_str(&format!("  {name}: {{ a: {a} {unit}, b: {b} {unit} }}\n", unit = edge.unit));
                let good = (edge.float)(a.parse::<f64>().unwrap() - b.parse::<f64>().unwrap());
                flipped += usize::from(good != (expected == Grade::Good));
            }
            let checked = shop.check_source(&Source::new("r.yaml", record), &ASK);
            assert_eq!(checked.record_errors, 0, "{:?}", checked.findings);
            assert_eq!(checked.counts.of(expected), POSITIONS, "{} in {}: {:?}", edge.row, edge.unit, checked.counts);
            assert_eq!(checked.counts.total(), POSITIONS);
            judged += POSITIONS;
        }
        assert!(flipped > 1_000, "{}: floats were expected to be wrong often, and were {flipped} times", edge.row);
    }
    assert_eq!(judged, 500_000);
}

/// A whole number of steps of so many places, as written: 19984 to three places is 19.984.
fn decimal(steps: u64, places: u32) -> String {
    let whole = 10_u64.pow(places);
    format!("{}.{:0width$}", steps / whole, steps % whole, width = places as usize)
}
