//! A record told again after a change, against the same record told from nothing: whatever was changed, every word is the same.

use crate::bench_page::{Draw, copied, root, workshop};
use trochoid::quantity::Date;
use trochoid::record::Record;
use trochoid::report::html::bench::{Drawn, PageName, changes};
use trochoid::text::Source;
use trochoid::worksheet::worksheet;

/// The text with one figure another one, or without a line; every tenth time as it was.
fn changed(text: &str, draw: &mut Draw) -> String {
    let figures: Vec<usize> =
        text.bytes().enumerate().filter(|(_, byte)| byte.is_ascii_digit()).map(|(at, _)| at).collect();
    let lines: Vec<&str> = text.lines().collect();
    match draw.of(10) {
        0 => text.to_owned(),
        1 | 2 => {
            let without = draw.of(lines.len());
            let rest = lines.iter().enumerate().filter(|(number, _)| *number != without);
            rest.map(|(_, line)| format!("{line}\n")).collect()
        }
        // A longer text moves everything after it.
        3 => {
            let before = draw.of(lines.len());
            let with = |(number, line): (usize, &&str)| {
                if number == before { format!("# {number}\n{line}\n") } else { format!("{line}\n") }
            };
            lines.iter().enumerate().map(with).collect()
        }
        _ => {
            let at = figures[draw.of(figures.len())];
            format!("{}{}{}", &text[..at], draw.of(10), &text[at + 1..])
        }
    }
}

fn tells_the_same(seed: u64, rounds: usize) {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let today = Date::parse("2026-11-28");
    let page = PageName { record: "r".into(), tag: None };
    let records: Vec<_> = shop.records().iter().filter(|record| record.name.starts_with("builds/")).cloned().collect();
    let mut draw = Draw(seed);
    let (mut compared, mut kept, mut told) = (0, 0, 0);
    for round in 0..rounds {
        let record = &records[round % records.len()];
        let books = shop.shops().of(&record.path);
        let read = |text: &str| Record::of(Source::new("r", text));
        let mut text = std::fs::read_to_string(&record.path).unwrap();
        let mut before: Option<Drawn> = None;
        for _ in 0..4 {
            let next = read(&text);
            let fresh = worksheet(&books, &next, None, today, None).map(|sheet| Drawn::new(sheet, None));
            let again = worksheet(&books, &next, None, today, before.as_ref().map(|before| &before.sheet))
                .map(|sheet| Drawn::new(sheet, before.as_ref()));
            assert_eq!(fresh.is_some(), again.is_some(), "{}", record.name);
            let (Some(fresh), Some(again)) = (fresh, again) else { break };
            let all = |drawn: &Drawn| -> Vec<String> {
                let fields = drawn.sheet.fields().flat_map(|(line, field)| field.told.iter().chain(&line.told));
                fields.chain(&drawn.sheet.together).map(|told| format!("{told:?}")).collect()
            };
            let (all_fresh, all_again) = (all(&fresh), all(&again));
            for (one, other) in all_fresh.iter().zip(&all_again) {
                assert_eq!(one, other, "{}\n{text}", record.name);
            }
            assert_eq!(all_fresh.len(), all_again.len());
            assert_eq!(
                changes(None, &fresh, true, &page),
                changes(None, &again, true, &page),
                "{}\n{text}",
                record.name
            );
            if let Some(before) = &before {
                compared += 1;
                let shared = |drawn: &Drawn| -> std::collections::BTreeSet<usize> {
                    let fields = drawn.sheet.fields().flat_map(|(_, field)| &field.told);
                    fields.map(|told| std::sync::Arc::as_ptr(told) as usize).collect()
                };
                let own = shared(&again);
                told += own.len();
                kept += own.intersection(&shared(before)).count();
            }
            before = Some(again);
            text = changed(&text, &mut draw);
        }
    }
    assert!(compared > rounds * 2, "{compared} compared");
    // Otherwise nothing was taken over, and the comparison says nothing.
    assert!(kept * 2 > told, "{kept} of {told} kept");
}

#[test]
fn a_record_told_again_says_what_it_says_told_from_nothing() {
    tells_the_same(20, 25);
}

#[test]
#[ignore = "minutes: more draws of the one above"]
fn a_record_told_again_says_the_same_for_longer() {
    tells_the_same(21, 1_000);
}
