//! Conditions decided here against trying every record of a small grid.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use crate::book::{Book, compile};
use crate::finding::Finding;
use crate::syntax::parse;
use crate::text::Source;
use proptest::prelude::*;

/// A book whose rows have these conditions.
fn book_of(conditions: &[String]) -> Book {
    let mut text = String::from(
        "rulebook \"b\" edition 2026-01-01\nunit mm = 0.001 m\nunit thou = 0.0254 mm\nclass grade = A, B, C, D\nchoice duty = street, track, race\n\
         constant size : mm\n\
         part engine {\n  duty : duty\n  grade : grade\n  dry : yes/no\n  gap : mm\n  wear : mm\n  derive loose : yes/no = gap above 3 mm\n\
           derive sound : yes/no = not loose and dry\n  derive total : mm = gap + wear\n  derive most : mm = largest of (gap, wear)\n",
    );
    for number in 0..conditions.len() {
        text.push_str(&format!("  r{number} : number\n"));
    }
    text.push_str("}\ngeneration g \"g\" {\n  constant size = 2 mm\n");
    for (number, condition) in conditions.iter().enumerate() {
        text.push_str(&format!("  r{number} limit at most 1 where {condition} {{ from memory }}\n"));
    }
    text.push_str("}\n");
    let (tree, mut findings) = parse(&Source::new("b.rulebook", text.as_str()));
    let (book, said) = compile(&[tree]);
    findings.extend(said);
    assert!(!findings.iter().any(Finding::is_error), "{text}\n{findings:?}");
    book
}

fn decide(conditions: &[&str]) -> Answer {
    let conditions: Vec<String> = conditions.iter().map(ToString::to_string).collect();
    let book = book_of(&conditions);
    let generation = book.generations.iter().next().unwrap();
    let wanted: Vec<(&Expression, bool)> =
        generation.rows.iter().map(|row| (&**row.condition.as_ref().unwrap(), true)).collect();
    satisfiable_as(&book, Some(generation), &wanted)
}

fn example(conditions: &[&str]) -> (String, bool) {
    match decide(conditions) {
        Answer::Yes(example) => (example.words(), example.certain),
        other => panic!("{conditions:?}: {other:?}"),
    }
}

#[test]
fn what_cannot_be_is_proved() {
    for conditions in [
        &["duty is race", "duty is street"][..],
        &["grade is at least C and grade is at most B"],
        &["gap above 1 mm and gap below 1 mm"],
        &["gap above 1 mm and gap at most 1 mm"],
        &["gap is 1 to 2 mm", "gap is not 0 to 3 mm"],
        &["dry and not dry"],
        &["(dry or duty is race) and not dry and duty is not race"],
        &["gap above wear", "gap at most wear"],
        &["gap + wear above 2 mm", "gap + wear below 1 mm"],
        &["gap below size", "gap above 3 mm"],
        &["duty is not race", "duty is not street", "duty is not track"],
        &["loose", "not loose"],
        &["smallest of (gap, wear) above 2 mm", "smallest of (gap, wear) below 2 mm"],
        // What is derived follows from what it is derived from.
        &["loose", "gap below 1 mm"],
        &["not loose", "gap above 4 mm"],
        &["sound", "not dry"],
        &["sound", "gap is 4 to 5 mm"],
        &["total above 10 mm", "gap at most 3 mm", "wear below 6 mm"],
        &["gap - wear above 0 mm", "gap below 1 mm", "wear above 2 mm"],
        &["most below 4 mm", "gap above 5 mm"],
        &["smallest of (gap, wear) above 6 mm", "largest of (gap, wear) below 5 mm"],
        &["mean of (gap, wear) above 6 mm", "largest of (gap, wear) below 5 mm"],
        &["smallest of (gap, wear) above 6 mm", "gap below 5 mm"],
        &["gap above wear", "wear at least gap"],
        &["gap above wear", "wear above gap"],
        &["gap above wear", "gap below 1 mm", "wear above 2 mm"],
    ] {
        assert!(decide(conditions).is_no(), "{conditions:?}");
    }
}

#[test]
fn what_can_be_is_shown() {
    assert_eq!(example(&["duty is race", "dry"]), ("duty is race and dry: yes".into(), true));
    assert_eq!(example(&["duty is not race", "grade is above C"]), ("duty is street and grade is D".into(), true));
    assert_eq!(example(&["gap above 1 mm", "gap below 2 mm"]), ("gap between 1 mm and 2 mm".into(), true));
    assert_eq!(example(&["gap at least 1 mm", "gap at most 1 mm"]), ("gap is 1 mm".into(), true));
    // In the unit a bound is written in, or in that of the reading where it has none of its own.
    assert_eq!(example(&["gap above 5 thou", "gap below 2 mm"]), ("gap between 5 thou and 2 mm".into(), true));
    assert_eq!(example(&["gap is 3 to 5 thou", "gap above 4 thou"]).0, "gap between 4 thou and 5 thou");
    assert_eq!(example(&["gap is 3 to 5 mm", "gap below 4 mm"]).0, "gap is 3 mm");
    assert_eq!(example(&["dry or not dry"]).0, "dry: no");
    // What is worked out from other readings may follow from them: the case is not for certain.
    assert!(!example(&["total above 10 mm", "gap below 6 mm"]).1);
    assert_eq!(example(&["loose", "gap below 4 mm"]), ("gap between 3 mm and 4 mm".into(), true));
    assert!(!example(&["gap above wear"]).1);
}

#[test]
fn too_many_cases_are_not_decided() {
    let conditions: Vec<String> = (0..=MOST_AXES).map(|number| format!("gap above wear * {number} + 1 mm")).collect();
    let texts: Vec<&str> = conditions.iter().map(String::as_str).collect();
    assert!(matches!(decide(&texts), Answer::NotDecided));
    let many: Vec<String> = (0..=MOST_TESTS).map(|_| "dry and not dry".to_string()).collect();
    let book = book_of(&many[..1]);
    let condition = book.generations.iter().next().unwrap().rows[0].condition.clone().unwrap();
    let wanted: Vec<(&Expression, bool)> = many.iter().map(|_| (&*condition, true)).collect();
    assert!(matches!(satisfiable_as(&book, None, &wanted), Answer::NotDecided));
    assert!(satisfiable_as(&book, None, &wanted[..2]).is_no());
    // Of thirteen bounds that know nothing of each other at most one may be kept.
    let over = |number: usize| format!("gap above wear * {number} + 1 mm");
    let mut triples = Vec::new();
    for a in 0..13 {
        for b in a + 1..13 {
            triples.push(format!("({} or {})", over(a), over(b)));
        }
    }
    let either = triples.join(" and ");
    let neither: Vec<String> = (0..13).map(over).collect();
    let few = format!("not ({}) or not ({})", neither[..7].join(" and "), neither[6..].join(" and "));
    assert!(!matches!(decide(&[&either, &few]), Answer::No));
    assert!(decide(&[&either, &format!("not ({}) and not ({})", over(0), over(1))]).is_no());
}

/// A condition of the test's own, written out for the book and tried by itself.
#[derive(Clone, Debug)]
enum Own {
    Duty(u8),
    Grade(u8, bool),
    Dry,
    Number(bool, u8, u8),
    Loose,
    /// Of the two together, which is no reading.
    Total(u8, u8),
    Not(Box<Own>),
    Both(Box<Own>, Box<Own>),
    Either(Box<Own>, Box<Own>),
}

/// duty, grade, dry, and gap and wear in tenths of a millimetre.
type Record = (u8, u8, bool, i32, i32);

impl Own {
    fn text(&self) -> String {
        match self {
            Own::Duty(name) => format!("duty is {}", ["street", "track", "race"][usize::from(*name)]),
            Own::Grade(name, least) => {
                let word = if *least { "at least" } else { "at most" };
                format!("grade is {word} {}", ["A", "B", "C", "D"][usize::from(*name)])
            }
            Own::Dry => "dry".into(),
            Own::Number(gap, word, bound) => {
                let subject = if *gap { "gap" } else { "wear" };
                format!("{subject} {} {bound} mm", ["above", "below", "at least", "at most"][usize::from(*word)])
            }
            Own::Loose => "loose".into(),
            Own::Total(word, bound) => {
                format!("total {} {bound} mm", ["above", "below", "at least", "at most"][usize::from(*word)])
            }
            Own::Not(inner) => format!("not ({})", inner.text()),
            Own::Both(left, right) => format!("({}) and ({})", left.text(), right.text()),
            Own::Either(left, right) => format!("({}) or ({})", left.text(), right.text()),
        }
    }

    fn holds(&self, record: &Record) -> bool {
        match self {
            Own::Duty(name) => record.0 == *name,
            Own::Grade(name, least) => {
                if *least {
                    record.1 >= *name
                } else {
                    record.1 <= *name
                }
            }
            Own::Dry => record.2,
            Own::Number(gap, word, bound) => {
                let (value, bound) = (if *gap { record.3 } else { record.4 }, i32::from(*bound) * 10);
                [value > bound, value < bound, value >= bound, value <= bound][usize::from(*word)]
            }
            Own::Loose => record.3 > 30,
            Own::Total(word, bound) => {
                let (value, bound) = (record.3 + record.4, i32::from(*bound) * 10);
                [value > bound, value < bound, value >= bound, value <= bound][usize::from(*word)]
            }
            Own::Not(inner) => !inner.holds(record),
            Own::Both(left, right) => left.holds(record) && right.holds(record),
            Own::Either(left, right) => left.holds(record) || right.holds(record),
        }
    }
}

fn own() -> impl Strategy<Value = Own> {
    of_leaves(leaves())
}

fn with_totals() -> impl Strategy<Value = Own> {
    let total = (0_u8..4, 1_u8..8).prop_map(|(word, bound)| Own::Total(word, bound));
    of_leaves(prop_oneof![2 => leaves(), 1 => total])
}

fn leaves() -> impl Strategy<Value = Own> {
    prop_oneof![
        (0_u8..3).prop_map(Own::Duty),
        (0_u8..4, any::<bool>()).prop_map(|(name, least)| Own::Grade(name, least)),
        Just(Own::Dry),
        (any::<bool>(), 0_u8..4, 1_u8..4).prop_map(|(gap, word, bound)| Own::Number(gap, word, bound)),
        Just(Own::Loose),
    ]
}

fn of_leaves(leaf: impl Strategy<Value = Own> + 'static) -> impl Strategy<Value = Own> {
    leaf.prop_recursive(4, 24, 2, |inner| {
        prop_oneof![
            inner.clone().prop_map(|one| Own::Not(Box::new(one))),
            (inner.clone(), inner.clone()).prop_map(|(one, other)| Own::Both(Box::new(one), Box::new(other))),
            (inner.clone(), inner).prop_map(|(one, other)| Own::Either(Box::new(one), Box::new(other))),
        ]
    })
}

/// Whether some record of a small grid meets all conditions.
fn some_record(conditions: &[Own]) -> bool {
    let tenths = [0, 5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 75];
    let gaps = || tenths.iter().flat_map(|gap| tenths.iter().map(move |wear| (*gap, *wear)));
    (0..3).any(|duty| {
        (0..4).any(|grade| {
            [false, true].into_iter().any(|dry| {
                gaps().any(|(gap, wear)| {
                    let record = (duty, grade, dry, gap, wear);
                    conditions.iter().all(|condition| condition.holds(&record))
                })
            })
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn the_answer_is_that_of_trying_every_record(conditions in proptest::collection::vec(own(), 1..4)) {
        let possible = some_record(&conditions);
        let texts: Vec<String> = conditions.iter().map(Own::text).collect();
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        match decide(&texts) {
            Answer::Yes(example) => {
                prop_assert!(possible, "{texts:?}: {}", example.words());
                prop_assert!(example.certain);
            }
            Answer::No => prop_assert!(!possible, "{texts:?}"),
            Answer::NotDecided => prop_assert!(false, "not decided: {texts:?}"),
        }
    }

    #[test]
    fn what_is_said_to_be_impossible_no_record_is(conditions in proptest::collection::vec(with_totals(), 1..4)) {
        let possible = some_record(&conditions);
        let texts: Vec<String> = conditions.iter().map(Own::text).collect();
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        match decide(&texts) {
            Answer::Yes(example) => prop_assert!(possible || !example.certain, "{texts:?}: {}", example.words()),
            Answer::No => prop_assert!(!possible, "{texts:?}"),
            Answer::NotDecided => prop_assert!(false, "not decided: {texts:?}"),
        }
    }
}
