//! An empty record asks for what the books ask for, and nothing is wrong with it; filled with values inside every range it
//! is good; half filled, what remains is told.

mod inside;
mod worst;

use inside::{Dice, Inside};
use std::collections::BTreeSet;
use trochoid::blank::blank;
use trochoid::book::{Book, Generation, Id, Origin};
use trochoid::finding::Code;
use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::Date;
use trochoid::report::blank::{Head, write};
use trochoid::shop::{Ask, Checked, Shop, Shops};
use trochoid::text::Source;

/// The generations a record may name.
fn generations(book: &Book) -> Vec<Id<Generation>> {
    book.generations.entries().filter(|(_, generation)| !generation.basis).map(|(id, _)| id).collect()
}

/// The blank of a generation, as the command prints it.
fn printed(shop: &Shop, generation: Id<Generation>) -> String {
    let plan = shop.plan(generation).unwrap();
    write(&blank(&shop.book, plan, None, &[]), &Head { build: Some("B-1"), finished: Date::parse("2026-11-20") })
}

fn check(shop: &Shop, text: &str) -> Checked {
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };
    shop.check_source(&Source::new("blank.yaml", text), &ask)
}

/// The paths of every reading of a generation; those that may be left out only where asked for.
fn asked_for(book: &Book, generation: Id<Generation>, optional_too: bool) -> BTreeSet<String> {
    let mut paths = BTreeSet::new();
    for (id, characteristic) in book.characteristics.entries() {
        let Origin::Reading { stations, optional, .. } = &characteristic.origin else { continue };
        if *optional && !optional_too {
            continue;
        }
        for positions in book.instances(characteristic.part, book.generations.get(generation)) {
            if stations.is_empty() {
                paths.insert(book.path(id, &positions, None));
            }
            paths.extend((0..stations.len()).map(|at| book.path(id, &positions, u16::try_from(at).ok())));
        }
    }
    paths
}

/// The keys of a record without a value, each with its line.
fn empty_keys(text: &str) -> Vec<(usize, String)> {
    let mut open: Vec<&str> = Vec::new();
    let mut keys = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let bare = line.trim_start();
        if bare.is_empty() || bare.starts_with('#') {
            continue;
        }
        let (key, value) = bare.split_once(':').unwrap();
        open.truncate((line.len() - bare.len()) / 2);
        open.push(key);
        if value.split('#').next().unwrap().trim().is_empty() {
            keys.push((number, open.join(".")));
        }
    }
    keys
}

/// A record with a value written behind the colon of each empty key that has one, its comments as they were.
fn filled(text: &str, value: impl Fn(&str) -> Option<String>) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    for (number, path) in empty_keys(text) {
        if let Some(value) = value(&path) {
            lines[number] = lines[number].replacen(':', &format!(": {value}"), 1);
        }
    }
    lines.join("\n") + "\n"
}

/// The record with the keys that may be left out written as keys: `# boost:  # bar, optional` is a line of its own.
fn with_optional_keys(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let is_key = line.trim_start().strip_prefix("# ").is_some_and(|rest| {
            let (key, behind) = rest.split_once(':').unwrap_or(("=", ""));
            let name = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
            key.trim_start().chars().all(name) && (behind.is_empty() || behind.starts_with("  ")) && key != "gauges"
        });
        if is_key { line.replacen("# ", "", 1) } else { line.to_string() }
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

/// Every shop there is beside the shipped books.
fn shops() -> Vec<(String, std::sync::Arc<Shop>)> {
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let shops = Shops::new(None);
    let mut all = vec![("shipped".to_string(), std::sync::Arc::new(Shop::shipped()))];
    for name in ["gearbox", "kestrel"] {
        let shop = shops.of(&examples.join(name).join("builds/new.yaml"));
        assert!(shop.is_sound(), "{name}");
        all.push((name.to_string(), shop));
    }
    all
}

#[test]
fn an_empty_record_has_every_key_the_books_ask_for_once() {
    for (name, shop) in shops() {
        for id in generations(&shop.book) {
            let text = printed(&shop, id);
            for (text, optional_too) in [(text.clone(), false), (with_optional_keys(&text), true)] {
                let wanted = asked_for(&shop.book, id, optional_too);
                assert!(!wanted.is_empty());
                let found: Vec<String> = empty_keys(&text).into_iter().map(|(_, path)| path).collect();
                let readings: Vec<&String> = found.iter().filter(|path| wanted.contains(*path)).collect();
                assert_eq!(readings.len(), wanted.len(), "{name} {id:?}: each reading once");
                assert_eq!(readings.into_iter().cloned().collect::<BTreeSet<_>>(), wanted);
                // What else has nothing behind its colon holds something, or is about the build.
                let all = asked_for(&shop.book, id, true);
                for path in found.iter().filter(|path| !wanted.contains(*path)) {
                    let holds = all.iter().any(|other| other.starts_with(&format!("{path}.")));
                    assert!(holds || path == "finished", "{name}: {path} is no key");
                }
            }
        }
    }
}

#[test]
fn an_empty_record_is_unmeasured_and_nothing_is_wrong_with_it() {
    for (name, shop) in shops() {
        for id in generations(&shop.book) {
            let text = printed(&shop, id);
            let head =
                format!("build: B-1\nfinished: 2026-11-20\ngeneration: {}\n", shop.book.generations.get(id).name);
            let none = check(&shop, &head);
            for text in [text.clone(), with_optional_keys(&text)] {
                let checked = check(&shop, &text);
                assert_eq!(checked.grade, Some(Grade::Unmeasured), "{name} {id:?}");
                assert_eq!(checked.record_errors, 0);
                assert_eq!(checked.build, "B-1");
                for finding in &checked.findings {
                    let expected = matches!(finding.code, Code::RowUnmeasured | Code::FinishedMissing);
                    assert!(expected, "{name} {id:?}: {}", finding.message);
                }
                assert_eq!(
                    (checked.counts, checked.skipped),
                    (none.counts, none.skipped),
                    "an empty key counts as none at all"
                );
            }
        }
    }
}

/// The parts in the order of the books, each thing once: the first line of each must rise.
#[test]
fn keys_stand_in_the_order_the_books_declare_them() {
    for (name, shop) in shops() {
        let book = &shop.book;
        for id in generations(book) {
            let keys = empty_keys(&with_optional_keys(&printed(&shop, id)));
            let root = book.parts.get(book.root().unwrap());
            let declared: Vec<&str> = root.members.iter().map(|(name, _)| &**name).collect();
            let mut printed: Vec<&str> = keys.iter().map(|(_, path)| path.split('.').next().unwrap()).collect();
            printed.dedup();
            printed.retain(|key| *key != "finished");
            let expected: Vec<&str> = declared.into_iter().filter(|name| printed.contains(name)).collect();
            assert_eq!(printed, expected, "{name} {id:?}");
        }
    }
}

#[test]
fn an_empty_record_filled_with_values_inside_every_range_is_good() {
    for (name, shop) in shops().into_iter().take(1) {
        for id in generations(&shop.book) {
            let text = printed(&shop, id);
            let words = &shop.book.generations.get(id).name;
            for (seed, text) in [(1, text.clone()), (2, text.clone()), (3, with_optional_keys(&text))] {
                let wanted = asked_for(&shop.book, id, seed == 3);
                let inside = Inside::new(&shop, id, &wanted, &text, &mut Dice::new(seed));
                let record = filled(&text, |path| inside.written(path));
                let left: Vec<String> = empty_keys(&record)
                    .into_iter()
                    .map(|(_, path)| path)
                    .filter(|path| wanted.contains(path))
                    .collect();
                assert!(left.is_empty(), "{left:?}");
                // Nothing but values was added.
                let added: usize = wanted.iter().map(|path| inside.written(path).unwrap().len() + 1).sum();
                assert_eq!(record.len(), text.len() + added);
                let checked = check(&shop, &record);
                // What is drawn at random now and then looks like two digits swapped, or is told to be of another era than
                // the one drawn beside it, and counts all the same.
                let by_chance = [Code::DigitsSwapped, Code::ValueContradicted];
                let told = checked.findings.iter().filter(|finding| !by_chance.contains(&finding.code));
                let told: Vec<&str> = told.map(|finding| &*finding.message).collect();
                assert!(told.is_empty(), "{name} {words}, seed {seed}: {told:#?}");
                assert_eq!(checked.grade, Some(Grade::Good), "{words}");
                assert_eq!(checked.counts.of(Grade::Good), checked.counts.total());
                assert!(checked.counts.total() > 80, "{words}: {} rows", checked.counts.total());
            }
        }
    }
}

#[test]
fn what_remains_of_a_half_filled_record_is_told_and_nothing_else() {
    let shop = Shop::shipped();
    for id in generations(&shop.book) {
        let text = printed(&shop, id);
        let wanted = asked_for(&shop.book, id, false);
        let inside = Inside::new(&shop, id, &wanted, &text, &mut Dice::new(4));
        // Words decide which rows apply: they are always taken, so that each row says all it lacks. So does the end play,
        // which decides whether a spacer is looked for.
        let is_word = |path: &str| !inside.is_quantity(path) || path == "end_play";
        let words = check(&shop, &filled(&text, |path| inside.written(path).filter(|_| is_word(path))));
        let needed: BTreeSet<String> = words.rulings.iter().flat_map(|ruling| ruling.missing.clone()).collect();
        assert!(needed.len() > 50, "{needed:?}");
        let mut dice = Dice::new(5);
        for _ in 0..3 {
            let taken: BTreeSet<&String> = wanted.iter().filter(|path| is_word(path) || dice.below(2) == 0).collect();
            let is_taken = |path: &str| taken.iter().any(|other| *other == path);
            let checked = check(&shop, &filled(&text, |path| inside.written(path).filter(|_| is_taken(path))));
            assert_eq!((checked.grade, checked.record_errors), (Some(Grade::Unmeasured), 0));
            let told: BTreeSet<String> = checked.rulings.iter().flat_map(|ruling| ruling.missing.clone()).collect();
            let remain: BTreeSet<String> = needed.iter().filter(|path| !is_taken(path)).cloned().collect();
            assert_eq!(told, remain);
            for finding in &checked.findings {
                assert_eq!(finding.code, Code::RowUnmeasured, "{}", finding.message);
            }
        }
    }
}
