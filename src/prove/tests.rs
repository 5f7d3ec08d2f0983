//! Stack-ups against trying values, with another library's fractions; and what the other proofs say of small books.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::stack::Stacks;
use super::worth::{Pull, Worth};
use super::*;
use crate::book::compile;
use crate::quantity::{Band, Number, Side, Value};
use crate::syntax::parse;
use crate::text::Source;
use dashu::integer::IBig;
use dashu::rational::RBig;
use proptest::prelude::*;
use std::cmp::Ordering;

mod sharp;
mod witnesses;

fn book_of(text: &str) -> Book {
    let (tree, mut findings) = parse(&Source::new("b.rulebook", text));
    let (book, said) = compile(&[tree]);
    findings.extend(said);
    assert!(!findings.iter().any(Finding::is_error), "{text}\n{findings:?}");
    book
}

/// The readings of the books below: name, and its least and most in tenths. The last two are stations of one reading.
const READINGS: [(&str, i64, i64); 5] = [("a", -20, 30), ("b", 10, 40), ("c", 5, 20), ("w.p", 20, 50), ("w.q", 20, 50)];

fn worth_of(expression: &str) -> Worth {
    let book = book_of(&format!(
        "rulebook \"b\" edition 2026-01-01\npart root {{\n  a : number\n  b : number\n  c : number\n  w at p, q : number\n\
         derive d : number = {expression}\n}}\n\
         generation g \"g\" {{\n  a standard -2 to 3 {{ from memory }}\n  b standard 1 to 4 limit at most 9 {{ from memory }}\n\
         c limit 0.5 to 2 {{ from memory }}\n  each of w standard 2 to 5 {{ from memory }}\n}}\n"
    ));
    let generation = book.generations.iter().next().unwrap();
    let (id, _) = book.characteristics.entries().find(|(_, one)| &*one.name == "d").unwrap();
    Stacks::new(&book, generation).of(id, None).unwrap()
}

/// An expression of the test's own.
#[derive(Clone, Debug)]
enum Own {
    Reading(usize),
    Literal(u8),
    Two(char, Box<Own>, Box<Own>),
    Power(Box<Own>, u8),
    Of(&'static str, Vec<Own>),
}

impl Own {
    fn text(&self) -> String {
        match self {
            Own::Reading(number) => READINGS[*number].0.to_string(),
            Own::Literal(tenths) => format!("{}.{}", tenths / 10, tenths % 10),
            Own::Two(sign, left, right) => format!("({} {sign} {})", left.text(), right.text()),
            Own::Power(base, exponent) => format!("({}) ^ {exponent}", base.text()),
            Own::Of(word, values) => {
                format!("({word} of ({}))", values.iter().map(Own::text).collect::<Vec<_>>().join(", "))
            }
        }
    }

    /// Worked out by another library; `None` where zero divides.
    fn value(&self, tenths: &[i64]) -> Option<RBig> {
        let number = |tenths: i64| RBig::from_parts(IBig::from(tenths), 10_u8.into());
        Some(match self {
            Own::Reading(reading) => number(tenths[*reading]),
            Own::Literal(tenths) => number(i64::from(*tenths)),
            Own::Two(sign, left, right) => {
                let (left, right) = (left.value(tenths)?, right.value(tenths)?);
                match sign {
                    '+' => left + right,
                    '-' => left - right,
                    '*' => left * right,
                    _ if right == RBig::ZERO => return None,
                    _ => left / right,
                }
            }
            Own::Power(base, exponent) => {
                let base = base.value(tenths)?;
                (0..*exponent).fold(RBig::ONE, |product, _| product * base.clone())
            }
            Own::Of(word, values) => {
                let values: Vec<RBig> = values.iter().map(|value| value.value(tenths)).collect::<Option<_>>()?;
                let (low, high) = (values.iter().min()?.clone(), values.iter().max()?.clone());
                let sum = || values.iter().fold(RBig::ZERO, |sum, value| sum + value.clone());
                match *word {
                    "smallest" => low,
                    "largest" => high,
                    "spread" => high - low,
                    "sum" => sum(),
                    _ => sum() / RBig::from(values.len()),
                }
            }
        })
    }
}

fn own() -> impl Strategy<Value = Own> {
    let leaf = prop_oneof![
        4 => (0_usize..5).prop_map(Own::Reading),
        1 => (1_u8..40).prop_map(Own::Literal),
    ];
    leaf.prop_recursive(3, 10, 2, |inner| {
        let words = prop_oneof![Just("smallest"), Just("largest"), Just("spread"), Just("sum"), Just("mean")];
        prop_oneof![
            4 => (prop_oneof![Just('+'), Just('-'), Just('*'), Just('/')], inner.clone(), inner.clone())
                .prop_map(|(sign, left, right)| Own::Two(sign, Box::new(left), Box::new(right))),
            1 => (inner.clone(), 1_u8..4).prop_map(|(base, exponent)| Own::Power(Box::new(base), exponent)),
            2 => (words, proptest::collection::vec(inner, 2..4)).prop_map(|(word, values)| Own::Of(word, values)),
        ]
    })
}

fn as_value(number: &RBig) -> Option<Value> {
    let below = i64::try_from(IBig::from(number.denominator().clone())).ok()?;
    Number::ratio(i64::try_from(number.numerator()).ok()?, below).map(Value::from)
}

/// Every reading at its least or its most.
fn corners() -> Vec<Vec<i64>> {
    let pick =
        |corner: usize, number: usize| if corner >> number & 1 == 0 { READINGS[number].1 } else { READINGS[number].2 };
    (0..32).map(|corner| (0..5).map(|number| pick(corner, number)).collect()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_good_parts_leave_the_range_and_its_ends_are_reached(
        expression in own(),
        shares in proptest::collection::vec(proptest::collection::vec(0_i64..=10, 5), 40),
    ) {
        let worth = worth_of(&expression.text());
        let inside = |tenths: &[i64]| -> Option<(bool, RBig)> {
            let value = expression.value(tenths)?;
            Some((worth.band.locate(&as_value(&value)?) == Side::Inside, value))
        };
        for share in &shares {
            let tenths: Vec<i64> =
                share.iter().zip(READINGS).map(|(share, (_, low, high))| low + (high - low) * share / 10).collect();
            if let Some((inside, value)) = inside(&tenths) {
                prop_assert!(inside, "{}: {value} at {tenths:?} outside {:?}", expression.text(), worth.band);
            }
        }
        let values: Vec<RBig> = corners().iter().filter_map(|corner| expression.value(corner)).collect();
        for corner in &corners() {
            if let Some((inside, value)) = inside(corner) {
                prop_assert!(inside, "{}: {value} at {corner:?} outside {:?}", expression.text(), worth.band);
            }
        }
        // Where everything pulls one way, the ends are the values at two corners.
        let one_way = !worth.sharp && worth.uses.iter().all(|used| used.pull != Pull::Mixed);
        if worth.looseness().is_none() && one_way && values.len() == 32 {
            let ends = [(&worth.band.low, values.iter().min().unwrap()), (&worth.band.high, values.iter().max().unwrap())];
            for (end, reached) in ends {
                let Some(reached) = as_value(reached) else { continue };
                let end = end.as_ref().expect("an end that is reached is there");
                prop_assert_eq!(end.value.compare(&reached), Some(Ordering::Equal), "{}", expression.text());
                prop_assert!(end.closed);
            }
        }
    }
}

fn numbers(low: &str, high: &str) -> Band {
    let value = |text: &str| Value::from(Number::parse(text).unwrap());
    Band::between(value(low), value(high))
}

#[test]
fn ranges_worked_by_hand() {
    for (expression, low, high, exact) in [
        ("b - a", "-2", "6", true),
        ("a * b", "-8", "12", true),
        ("a ^ 2", "0", "9", true),
        ("a * a", "0", "9", true),
        ("b * b", "1", "16", true),
        ("b - b", "0", "0", true),
        ("b / c", "0.5", "8", true),
        ("(b + c) / c", "1.5", "9", true),
        ("abs(a)", "0", "3", true),
        ("spread of w", "0", "3", true),
        ("smallest of w", "2", "5", true),
        ("w.p - smallest of w", "0", "3", true),
        ("sum of w", "4", "10", true),
        ("mean of w", "2", "5", true),
        ("count of w", "2", "2", true),
        ("spread of (b, c)", "0", "3.5", true),
        ("smallest of (a, b)", "-2", "3", true),
        ("b + smallest of (b, c)", "1.5", "6", true),
        ("round(a, 2)", "-2", "4", false),
    ] {
        let worth = worth_of(expression);
        assert_eq!(worth.band, numbers(low, high), "{expression}");
        assert_eq!(worth.looseness().is_none(), exact, "{expression}");
    }
    // Of `c` there is only a limit.
    assert!(worth_of("a + b").as_new);
    assert!(!worth_of("a + c").as_new);
}

#[test]
fn what_divides_by_zero_is_not_bounded() {
    let worth = worth_of("b / a");
    assert_eq!(worth.band, Band::default());
    assert!(worth.looseness().is_some());
}

/// Two posts beside a plate they share.
const PLANT: &str = "rulebook \"b\" edition 2026-01-01\nunit mm = 0.001 m\nchoice wetness = wet, dry\n\
    part plant {\n  service : wetness\n  plate : mm\n  free : mm\n\
      part post at left, right {\n    height : mm\n    make : wetness\n    derive over : mm = height - plate\n\
        derive held : mm = height - free\n  }\n\
      derive over_gap : mm = spread of post.over\n  derive tallest : mm = largest of post.height\n}\n";

fn plant(rows: &str) -> (Proof, Vec<Finding>) {
    prove(&book_of(&format!("{PLANT}generation g \"g\" {{\n{rows}\n}}\n")), None)
}

fn stack<'a>(proof: &'a Proof, path: &str) -> &'a StackUp {
    proof.generations[0].stack_ups.iter().find(|stack_up| stack_up.path == path).unwrap()
}

#[test]
fn what_positions_share_is_taken_out() {
    let (proof, _) =
        plant("post.height standard 10 to 12 mm { from memory }\n plate standard 4 to 5 mm { from memory }");
    let over = stack(&proof, "post.over");
    assert_eq!((over.reaches.as_str(), over.loose.is_none(), over.as_new), ("5 to 8 mm", true, true));
    // Both posts stand beside one plate: at most 2 mm apart, and range by range it would be 3.
    let gap = stack(&proof, "plant.over_gap");
    assert_eq!((gap.reaches.as_str(), &gap.loose), ("0 to 2 mm", &None));
    assert_eq!(stack(&proof, "plant.tallest").reaches, "10 to 12 mm");
    assert_eq!(stack(&proof, "post.held").missing, ["plant.free"]);
}

#[test]
fn rows_with_where_bound_a_reading_only_if_they_leave_no_case() {
    let make = |second: &str| {
        plant(&format!(
            "plate standard 4 mm ± 0 mm {{ from memory }}\n\
             post.height standard 10 to 12 mm where make is wet {{ from memory }}\n {second}\n\
             post.over standard 5 to 9 mm where make is wet {{ from memory }}"
        ))
    };
    let (proof, _) = make("");
    let over = stack(&proof, "post.over");
    assert_eq!((over.reaches.as_str(), over.outcome.clone()), ("6 to 8 mm", Outcome::Fits));
    assert_eq!(stack(&proof, "plant.tallest").missing, ["post.height"]);
    let (proof, _) = make("post.height standard 20 to 22 mm where make is dry { from memory }");
    assert_eq!(stack(&proof, "post.over").reaches, "6 to 8 mm");
    let tallest = stack(&proof, "plant.tallest");
    assert_eq!(tallest.reaches, "10 to 22 mm");
    assert!(tallest.loose.is_some());
}

#[test]
fn open_ends_stay_open() {
    let (proof, findings) = plant(
        "post.height standard above 10 mm limit at least 9 mm { from memory }\n plate standard at most 4 mm { from memory }\n\
         post.over limit at most 6 mm { from memory }",
    );
    let over = stack(&proof, "post.over");
    assert_eq!((over.reaches.as_str(), &over.outcome), ("above 6 mm", &Outcome::Impossible("at most 6 mm".into())));
    assert!(findings.iter().any(|finding| finding.code == crate::finding::Code::StackUpImpossible));
    let (proof, _) = plant(
        "post.height standard at least 10 mm { from memory }\n plate standard at most 4 mm { from memory }\n\
         post.over limit at most 6 mm { from memory }",
    );
    assert_eq!(stack(&proof, "post.over").outcome, Outcome::Open);
}

#[test]
fn readings_are_covered_by_what_they_are_used_in() {
    let (proof, findings) = plant("plant.over_gap limit at most 1 mm where service is wet { from memory }");
    let how: Vec<(&str, How)> =
        proof.generations[0].coverage.iter().map(|reading| (reading.path.as_str(), reading.how)).collect();
    assert_eq!(
        how,
        [
            ("plant.service", How::Condition),
            ("plant.plate", How::Derived),
            ("plant.free", How::Nothing),
            ("post.height", How::Derived),
            ("post.make", How::Nothing)
        ]
    );
    let uncovered = findings.iter().filter(|finding| finding.code == crate::finding::Code::ReadingUncovered).count();
    assert_eq!(uncovered, 2);
}

#[test]
fn a_shop_s_own_tolerances_are_proved_on_their_days() {
    let rows = "post.height standard 10 to 12 mm { from memory }\n plate standard 4 mm ± 0 mm { from memory }\n\
                post.over standard 5 to 9 mm { from memory }\n plant.free standard 1 to 2 mm where service is wet { from memory }\n\
                plant.free standard 2 to 3 mm where service is dry { from memory }";
    let house = "house \"Kestrel Rotary\" {\n for g from 2026-07-01 {\n\
                 tighten post.height standard 10 to 11 mm { because \"Tighter.\" }\n }\n\
                 for g from 2026-07-01 where service is dry {\n\
                 tighten post.over standard 6 to 6.5 mm { because \"Tighter.\" }\n\
                 tighten plant.free standard 2 to 2.5 mm where service is dry { because \"Tighter.\" }\n }\n}\n";
    let (proof, findings) = prove(&book_of(&format!("{PLANT}generation g \"g\" {{\n{rows}\n}}\n{house}")), None);
    let over: Vec<(Option<&str>, &str, bool)> = proof.generations[0]
        .stack_ups
        .iter()
        .filter(|stack_up| stack_up.path == "post.over")
        .map(|stack_up| (stack_up.condition.as_deref(), stack_up.reaches.as_str(), stack_up.outcome == Outcome::Fits))
        .collect();
    assert_eq!(
        over,
        [
            (Some("to 2026-06-30"), "6 to 8 mm", true),
            (Some("where not (service is dry) from 2026-07-01"), "6 to 7 mm", true),
            (Some("where service is dry from 2026-07-01"), "6 to 7 mm", false),
        ]
    );
    let codes: Vec<&str> = findings.iter().map(|finding| finding.code.name()).collect();
    assert_eq!(codes, ["reading-uncovered", "stack-up-wider"], "{findings:?}");
}

#[test]
fn generations_are_told_apart_by_ranges_that_do_not_meet() {
    let book = book_of(&format!(
        "{PLANT}constant size : mm\ngeneration g \"g\" {{\n constant size = 10 mm\n post.make limit wet {{ from memory }}\n\
         post.height limit size ± 1 mm {{ from memory }}\n plate limit at most 3 mm {{ from memory }}\n}}\n\
         generation h \"h\" {{\n constant size = 12 mm\n post.make limit dry {{ from memory }}\n\
         post.height limit size ± 1 mm {{ from memory }}\n plate limit above 3 mm {{ from memory }}\n}}\n"
    ));
    // The rows stand in for telltales: both are a subject with a range.
    let of = |name: &str| {
        let generation = book.generations.get(book.generation(name).unwrap());
        let telltales: Vec<_> =
            generation.rows.iter().map(|row| (row.subject.clone(), row.limit.clone().unwrap())).collect();
        (generation, telltales)
    };
    let ((g, of_g), (h, of_h)) = (of("g"), of("h"));
    let apart = |number: usize, other: usize| {
        let one = telltale::Identity { generation: g, telltales: &of_g[number..=number] };
        telltale::told_apart(&book, one, telltale::Identity { generation: h, telltales: &of_h[other..=other] })
    };
    assert!(apart(0, 0), "wet and dry");
    assert!(!apart(1, 1), "9 to 11 mm and 11 to 13 mm have 11 mm in common");
    assert!(apart(2, 2), "at most 3 mm and above 3 mm");
    assert!(!apart(0, 2), "two different readings");
}
