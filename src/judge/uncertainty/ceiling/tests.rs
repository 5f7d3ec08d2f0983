//! A first look must never be lower than what the exact way comes to.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::{Ceilings, apart};
use crate::book::{Book, compile};
use crate::judge::evaluate::Bench;
use crate::judge::uncertainty::{Memory, Weighing};
use crate::plan::Plan;
use crate::quantity::{Number, Value};
use crate::text::Source;
use crate::{bind, record, syntax};
use proptest::prelude::*;

/// Every way a ceiling is reckoned, alone and in one another.
const DERIVED: [&str; 20] = [
    "a - b",
    "a + b",
    "c - d",
    "a - a",
    "a * b / (1 mm)",
    "a * c / (b + d)",
    "a ^ 2 / (1 mm)",
    "sqrt(a * b)",
    "sin(a / b * (1 rad)) * (1 mm)",
    "exp(a / b) * (1 mm)",
    "ln(a / b) * (1 mm)",
    "abs(c - a)",
    "smallest of w - largest of v",
    "largest of w - a",
    "spread of w",
    "largest of (a, b, c)",
    "mean of (a, b, d)",
    "sum of (a, b, c, d)",
    "-(smallest of v) * 3 + a / 7",
    "first - second * 2",
];

fn book() -> Book {
    let derived: String =
        DERIVED.iter().enumerate().map(|(at, body)| format!("    derive d{at} : mm = {body}\n")).collect();
    let rows: String =
        (0..DERIVED.len()).map(|at| format!("    p.d{at} limit -900 to 900 m {{ from memory }}\n")).collect();
    let text = format!(
        "rulebook \"Ceilings\" edition 2026-01-01\nunit mm = 0.001 m\nunit um = 0.001 mm\npart p {{\n    a : mm\n    b : mm\n    c : mm\n    \
         d : mm\n    w : mm, 2 readings or more\n    v : mm, 2 readings or more\n    derive first : mm = a - c\n    derive \
         second : mm = b - a\n{derived}}}\ngeneration g \"g\" {{\n{rows}}}\n"
    );
    let (tree, said) = syntax::parse(&Source::new("ceilings.rulebook", text));
    assert!(said.is_empty(), "{said:?}");
    let (book, said) = compile(&[tree]);
    assert!(!said.iter().any(crate::finding::Finding::is_error), "{said:?}");
    book
}

proptest! {
    #[test]
    fn a_first_look_is_never_too_low(
        values in prop::array::uniform8(1_000..90_000_i32),
        gauges in prop::array::uniform6(0..5_usize),
        sizes in prop::array::uniform3(1..60_i32),
        guarded in any::<bool>(),
    ) {
        let book = book();
        let generation = book.generation("g").unwrap();
        let (plan, _) = Plan::new(&book, generation);
        let value = |at: usize| format!("{}.{:03} mm", values[at] / 1000, values[at] % 1000);
        let told = |value: String, gauge: usize| match gauge {
            3 => format!("{{ value: {value}, uncertainty: 7 um }}"),
            4 => value,
            gauge => format!("{{ value: {value}, gauge: g{gauge} }}"),
        };
        let text = format!(
            "generation: g\ngauges:\n  g0: {{ uncertainty: {} um }}\n  g1: {{ uncertainty: {} um, resolution: 1 um }}\n  g2: {{ \
             resolution: {} um }}\na: {}\nb: {}\nc: {}\nd: {}\nw: {}\nv: {}\n",
            sizes[0], sizes[1], sizes[2],
            told(value(0), gauges[0]), told(value(1), gauges[1]), told(value(2), gauges[2]), told(value(3), gauges[3]),
            told(format!("[{}, {}]", value(4), value(5)), gauges[4]),
            told(format!("[{}, {}]", value(6), value(7)), gauges[5]),
        );
        let source = Source::new("r.yaml", text);
        let sheet = record::read(&source).0.unwrap();
        let (readings, said) = bind::bind(&book, &sheet, &source);
        prop_assert!(said.is_empty(), "{said:?}");
        let bench = Bench::new(&plan, &readings);
        let memory = Memory::default();
        let weighing = Weighing { book: &book, bench: &bench, memory: &memory };
        let ceilings = Ceilings::new(&bench, guarded);
        let mut finite = 0;
        for step in &plan.steps {
            let form = weighing.slot(step.slot);
            let looked = ceilings.slot(step.slot);
            let ceiling = looked.standard;
            let exact = weighing.uncertainty(&form).map_or(0.0, |it| it.standard().enclosure().high.to_f64());
            prop_assert!(ceiling >= exact, "{ceiling} under {exact} in {}", source.text());
            // Of nothing the first look needs no other; and it is no use if it is far too high.
            if ceiling.is_finite() {
                finite += 1;
            }
            if guarded && ceiling.is_finite() {
                prop_assert_eq!(looked.unknown, form.unknown, "in {}", source.text());
            }
        }
        // Of nothing but picks among known and unknown does the first look know nothing.
        prop_assert!(finite + if guarded { 2 } else { 0 } >= plan.steps.len(), "{finite} of {}", plan.steps.len());
    }
}

proptest! {
    #[test]
    fn nothing_is_taken_for_further_apart_than_it_is(
        one in -10_i64.pow(15)..10_i64.pow(15),
        by in -1000_i64..1000,
        below in 1_i64..100_000,
    ) {
        let number = |above: i64| Number::ratio(above, below).expect("something below the line");
        let (one, other) = (number(one), number(one + by));
        let between = number(by.abs());
        let said = apart(&Value::from(one), &Value::from(other));
        // Exactly: what was said, as a fraction of a power of two, against what lies between.
        let said = Number::parse(&format!("{said:.30}")).expect("a number");
        prop_assert!(said <= between, "{said:?} over {between:?}");
    }
}
