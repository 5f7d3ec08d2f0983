//! What binds and what only advises: no concession lets through what is never excused, an outer limit binds beside a row that
//! advises, and the rows of the shipped books that have such force say why.

use proptest::prelude::*;
use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Checked, Shop};
use trochoid::text::Source;

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

const BOOK: &str = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    gap     : mm
    cracked : yes/no
    part vane at 1 to 3 {
        width : mm
        split : yes/no
    }
}
generation small \"an invented pump\" {
    pump.gap     standard 1 to 2 mm limit at most 4 mm
    pump.gap     outer limit at most 6 mm never excused
    pump.cracked limit no never excused
    vane.width   standard 1 to 2 mm limit 0.5 to 3 mm advisory
    vane.width   outer limit 0.2 to 5 mm
    vane.split   limit no
}
";

fn shop() -> Shop {
    let shop = Shop::of_sources(&[Source::new("pump.rulebook", BOOK)]);
    assert!(shop.findings().is_empty(), "{:?}", shop.findings());
    shop
}

fn check(shop: &Shop, readings: &str, concessions: &str) -> Checked {
    let record = format!("build: P\nfinished: 2026-03-01\ngeneration: small\n{readings}{concessions}");
    shop.check_source(&Source::new("p.yaml", record), &ASK)
}

fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn no_concession_lets_through_what_is_never_excused(
        (gap, cracked) in (0_u32..90, any::<bool>()),
        vanes in proptest::collection::vec((0_u32..70, any::<bool>()), 3),
        named in proptest::collection::vec((0_usize..8, any::<bool>()), 0..6),
    ) {
        const ROWS: [&str; 8] = [
            "pump.gap", "gap", "pump.cracked", "cracked", "vane.1.width", "vane.2.width", "vane.3.width", "vane.1.split",
        ];
        let tenths = |tenths: u32| format!("{}.{} mm", tenths / 10, tenths % 10);
        let mut readings = format!("gap: {}\ncracked: {}\nvane:\n", tenths(gap), yes_no(cracked));
        for (number, (width, split)) in vanes.iter().enumerate() {
            let (width, split) = (tenths(*width), yes_no(*split));
            readings.push_str(&format!("  {}: {{ width: {width}, split: {split} }}\n", number + 1));
        }
        let mut concessions = String::new();
        for (row, ends) in &named {
            let head = if concessions.is_empty() { "concessions:\n" } else { "" };
            let until = if *ends { "    until: 2999-12-31\n" } else { "" };
            concessions.push_str(&format!("{head}  - row: {}\n    because: b\n    by: c\n{until}", ROWS[*row]));
        }
        let shop = shop();
        let plain = check(&shop, &readings, "");
        let conceded = check(&shop, &readings, &concessions);
        let mut refused = false;
        for (before, after) in plain.rulings.iter().zip(&conceded.rulings) {
            prop_assert_eq!(&before.path, &after.path);
            if before.never_excused {
                prop_assert_eq!(before.grade, after.grade, "{}", &before.path);
                let asked = named.iter().any(|(row, _)| ROWS[*row].trim_start_matches("pump.") == before.path);
                refused |= asked && before.grade != Grade::Good;
            }
            // What a concession does not excuse keeps its grade.
            prop_assert!(after.grade == before.grade || after.grade == Grade::Excused, "{}", &before.path);
        }
        let told = conceded.findings.iter().any(|finding| finding.code.name() == "concession-refused");
        prop_assert_eq!(told, refused);
        if gap > 60 || cracked {
            prop_assert_eq!(conceded.grade, Some(Grade::Out));
            prop_assert!(!conceded.passes());
        }
    }

    #[test]
    fn an_outer_limit_binds_and_the_row_beside_it_advises(width in 0_u32..70) {
        let width = f64::from(width) / 10.0;
        let readings = format!(
            "gap: 1.5 mm\ncracked: no\nvane:\n  1: {{ width: {width:.1} mm, split: no }}\n  \
             2: {{ width: 1.5 mm, split: no }}\n  3: {{ width: 1.5 mm, split: no }}\n"
        );
        let checked = check(&shop(), &readings, "");
        let expected = match width {
            dead if !(0.2..=5.0).contains(&dead) => Grade::Out,
            new if (1.0..=2.0).contains(&new) => Grade::Good,
            _ => Grade::Worn,
        };
        prop_assert_eq!(checked.grade, Some(expected));
        // Of one value past the outer limit the row that advises says nothing more.
        let said = checked.findings.iter().filter(|finding| finding.code.name().starts_with("row-")).count();
        prop_assert_eq!(said, usize::from(expected != Grade::Good));
        prop_assert_eq!(checked.unverified.len(), usize::from(expected != Grade::Good));
    }
}

#[test]
fn every_shipped_row_that_is_never_excused_or_an_outer_limit_says_why() {
    let shop = Shop::shipped();
    let (mut never, mut outer) = (0, 0);
    let mut silent = std::collections::BTreeSet::new();
    for generation in shop.book.generations.iter() {
        for row in generation.rows.iter().filter(|row| row.never_excused || row.outer) {
            assert!(!row.advisory, "{}", row.path);
            if row.texts.because.is_none() || row.texts.remedy.is_none() || row.texts.provenance.is_none() {
                silent.insert(row.path.to_string());
            }
            never += usize::from(row.never_excused);
            outer += usize::from(row.outer);
        }
    }
    assert!(silent.is_empty(), "without a reason, a remedy or a source: {silent:?}");
    assert!(never >= 10 * shop.book.generations.len() && outer >= 25 * shop.book.generations.len());
}
