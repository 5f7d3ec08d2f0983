//! Tables against values worked out by hand and against the definition of a straight line.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::Table;
use crate::book::{Book, compile};
use crate::finding::{Code, Finding};
use crate::quantity::{Enclosure, Number, Value};
use crate::syntax::parse;
use crate::text::Source;
use std::cmp::Ordering;
use std::sync::Arc;

fn book(text: &str) -> (Book, Vec<Finding>) {
    let head = "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nunit min = 60 s\nunit rpm = 2 * pi * 1 rad / 1 min\n\
                unit kPa = 1000 kg/m/s2\nunit degC = 1 K zero at 273.15 K\nconstant half : number\npart pump { gap : mm }\n";
    let (tree, findings) = parse(&Source::new("t.rulebook", format!("{head}{text}")));
    assert!(findings.is_empty(), "{findings:?}");
    compile(&[tree])
}

fn table(text: &str) -> Arc<Table> {
    let (book, findings) = book(text);
    assert!(findings.is_empty(), "{findings:?}");
    book.tables.iter().next().unwrap().clone()
}

fn rpm(book_number: &str) -> Value {
    let (book, _) = book("");
    book.units.resolve("rpm").unwrap().to_base(&Number::parse(book_number).unwrap())
}

fn number(text: &str) -> Value {
    Value::from(Number::parse(text).unwrap())
}

#[test]
fn between_points_lies_a_straight_line_and_the_answer_is_exact() {
    let share = table("table share(speed: rpm) : number = 200 rpm: 0.86, 250 rpm: 1, 300 rpm: 1.09");
    // By hand: 0.86 + 14 × 0.14 / 50 = 0.8992, and 1 + 25 × 0.09 / 50 = 1.045.
    for (speed, answer) in [("200", "0.86"), ("214", "0.8992"), ("250", "1"), ("275", "1.045"), ("300", "1.09")] {
        assert_eq!(share.at(&rpm(speed)), Some(number(answer)), "{speed} rpm");
    }
    assert_eq!(share.at(&rpm("199.999")), None);
    assert_eq!(share.at(&rpm("300.001")), None);
}

#[test]
fn held_ends_hold() {
    let share = table("table share(speed: rpm) : number = 200 rpm: 0.86, 300 rpm: 1.09, held");
    assert_eq!(share.at(&rpm("1")), Some(number("0.86")));
    assert_eq!(share.at(&rpm("9000")), Some(number("1.09")));
}

#[test]
fn a_scale_takes_points_below_its_zero() {
    let gap = table("table gap_at(t: degC) : mm = -10 degC: 0.10 mm, 30 degC: 0.18 mm");
    // Ten degrees are half the way: 0.14 mm.
    assert_eq!(gap.at(&number("283.15")), Some(number("0.00014")));
}

#[test]
fn what_encloses_a_value_gives_what_encloses_every_answer() {
    let bent = table("table bent(x: mm) : mm = 0 mm: 0 mm, 10 mm: 5 mm, 20 mm: 1 mm, 30 mm: 9 mm");
    let base = |milli: i64| Number::ratio(milli, 1_000_000).unwrap();
    let spans = [(1_000, 2_000), (9_000, 11_000), (5_000, 25_000), (19_999, 20_001), (0, 30_000), (10_000, 10_500)];
    for (low, high) in spans {
        let within = Value::Within(Enclosure { low: base(low), high: base(high) }.into());
        let answer = bent.at(&within).unwrap().enclosure();
        let (mut least, mut most) = (None::<Number>, None::<Number>);
        for step in 0..=200 {
            let x = low + (high - low) * step / 200;
            let exact = bent.at(&Value::from(base(x))).unwrap().is_exact_rational().unwrap().clone();
            assert!(answer.low <= exact && exact <= answer.high, "{low} to {high} µm: {x}");
            least = Some(least.map_or(exact.clone(), |least| least.min(exact.clone())));
            most = Some(most.map_or(exact.clone(), |most| most.max(exact.clone())));
        }
        // And it is no wider than it must be where the sampled ends and corners are the extremes.
        for corner in [10_000, 20_000].into_iter().filter(|corner| (low..=high).contains(corner)) {
            let exact = bent.at(&Value::from(base(corner))).unwrap().is_exact_rational().unwrap().clone();
            least = least.map(|least| least.min(exact.clone()));
            most = most.map(|most| most.max(exact));
        }
        assert_eq!((Some(answer.low), Some(answer.high)), (least, most), "{low} to {high} µm");
    }
    let past = Value::Within(Enclosure { low: base(29_000), high: base(30_001) }.into());
    assert_eq!(bent.at(&past), None, "it may lie outside");
}

#[test]
fn a_table_serves_in_formulas_and_other_tables_may_not_take_its_name() {
    let (book, findings) = book(
        "table share(x: mm) : number = 0 mm: 0, 1 mm: 1\nformula twice(x: mm) : number = 2 * share(x)\n\
         generation g \"g\" { constant half = twice(0.25 mm) }",
    );
    assert!(findings.is_empty(), "{findings:?}");
    let generation = book.generations.iter().next().unwrap();
    let given = generation.constants.iter().flatten().next().unwrap();
    assert_eq!(given.value.compare(&number("0.5")), Some(Ordering::Equal));
    let clash = self::book("table f(x: mm) : number = 0 mm: 0, 1 mm: 1\nformula f(x: mm) : mm = x").1;
    assert_eq!(clash.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::NameTaken]);
}

#[test]
fn what_is_known_to_lie_outside_is_said_with_the_table_and_its_ends() {
    let (_, findings) = book(
        "table share(speed: rpm) : number = 200 rpm: 0.86, 300 rpm: 1.09\ngeneration g \"g\" { constant half = share(180 rpm) }",
    );
    let messages: Vec<&str> = findings.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(messages, ["speed 180 rpm is outside the table share, which runs from 200 to 300 rpm"]);
    assert_eq!(findings[0].code, Code::ArithmeticImpossible);
}

#[test]
fn points_must_rise_and_have_their_units() {
    let code = |text: &str| book(text).1.iter().map(|finding| finding.code).collect::<Vec<_>>();
    assert_eq!(code("table f(x: mm) : mm = 0 mm: 0 mm, 2 mm: 1 mm, 2 mm: 3 mm"), [Code::TableOrder]);
    assert_eq!(code("table f(x: mm) : mm = 0 mm: 0 mm"), [Code::TableOrder]);
    assert_eq!(code("table f(x: mm) : mm = 0 mm: 0 mm, 2: 1 mm"), [Code::DimensionMismatch]);
    assert_eq!(code("table f(x: mm) : mm = 0 mm: 0 kPa, 2 mm: 1 mm"), [Code::DimensionMismatch]);
}
