//! With a cache the program says what it says without one, whatever was kept before and whatever befell the file.

use super::{BOOK, Papers, Ran, record};
use proptest::prelude::*;

/// The same question without a cache and with one: the same answer, word for word.
fn same(papers: &Papers, arguments: &[&str]) -> (Ran, Ran) {
    let without = papers.run(arguments);
    let with = papers.run(&[arguments, &["--cache", "shop.cache"]].concat());
    assert_eq!(with.out, without.out, "{arguments:?}");
    assert_eq!(with.status, without.status, "{arguments:?}: {}", with.err);
    (without, with)
}

/// What may be done to a shop between two runs.
#[derive(Clone, Debug)]
enum Change {
    /// A build measured again, or for the first time.
    Build(u8, u32),
    /// A record that has something wrong with it.
    Spoilt(u8),
    /// A record under another name.
    Moved(u8, u8),
    /// The row's limit.
    Limit(u32),
    /// The row's limit from a day on.
    Dated(u32),
    /// What the row says when it fails.
    Because(u8),
    /// The gauges of the shop.
    Gauges(u8),
    /// The cache removed.
    Removed,
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        4 => (0..5_u8, 3..20_u32).prop_map(|(build, gap)| Change::Build(build, gap)),
        1 => (0..5_u8).prop_map(Change::Spoilt),
        1 => (0..5_u8, 0..5_u8).prop_map(|(from, to)| Change::Moved(from, to)),
        2 => (10..20_u32).prop_map(Change::Limit),
        1 => (10..20_u32).prop_map(Change::Dated),
        1 => (0..9_u8).prop_map(Change::Because),
        1 => (0..3_u8).prop_map(Change::Gauges),
        1 => Just(Change::Removed),
    ]
}

/// Every way of asking whose answer differs.
const QUESTIONS: [&[&str]; 12] = [
    &["check", "builds"],
    &["check", "builds", "--quiet"],
    &["check", "builds", "--width", "60"],
    &["check", "builds", "--colour", "always"],
    &["check", "builds", "--only", "worn"],
    &["check", "builds", "--format", "plain"],
    &["check", "builds", "--format", "json"],
    &["check", "builds", "--format", "sarif"],
    &["check", "builds", "--as-of", "2026-04-01"],
    &["check", "./builds", "--format", "plain"],
    &["audit", "builds", "--before", "old"],
    &["audit", "builds", "--before", "old", "--ignore-dates", "--format", "json"],
];

fn carry_out(papers: &Papers, change: &Change) {
    let name = |build: &u8| format!("builds/P-{build}.yaml");
    let finished = |text: String| text.replacen("generation", "finished: 2026-05-02\ngeneration", 1);
    match change {
        Change::Build(build, gap) => papers.put(&name(build), finished(record(&format!("P-{build}"), *gap))),
        Change::Spoilt(build) => papers.put(&name(build), "build: P\ngeneration: small\nvane: 2.00\n slot: [\n"),
        Change::Moved(from, to) => drop(std::fs::rename(papers.path().join(name(from)), papers.path().join(name(to)))),
        Change::Limit(limit) => {
            papers.put("books/pump.rulebook", BOOK.replace("most 0.15", &format!("most 0.{limit:02}")));
        }
        Change::Dated(limit) => papers.put(
            "books/pump.rulebook",
            BOOK.replace("limit at most 0.15 mm {", &format!("limit at most 0.{limit:02} mm from 2026-04-15 {{")),
        ),
        Change::Because(words) => {
            papers.put("books/pump.rulebook", BOOK.replace("tilt.", &format!("tilt by {words} degrees.")));
        }
        Change::Gauges(which) => papers.put(
            "gauges.yaml",
            format!("gauges:\n  mic-{which}: {{ uncertainty: {} um, resolution: 1 um }}\n", which + 1),
        ),
        Change::Removed => ["shop.cache", "shop.cache-wal", "shop.cache-shm"]
            .iter()
            .for_each(|file| drop(std::fs::remove_file(papers.path().join(file)))),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_was_kept_is_what_would_be_worked_out(
        steps in prop::collection::vec((change(), prop::sample::select(&QUESTIONS[..])), 6..14),
    ) {
        let papers = Papers::new();
        papers.put("old/pump.rulebook", BOOK.replace("most 0.15", "most 0.12"));
        papers.build("P-0", 7);
        for (change, question) in steps {
            carry_out(&papers, &change);
            let (_, with) = same(&papers, question);
            prop_assert!(!with.err.contains("cache"), "{}", with.err);
        }
    }
}

#[test]
fn a_second_run_takes_everything_from_the_cache() {
    let papers = Papers::new();
    (0..30).for_each(|number| papers.build(&format!("P-{number:02}"), 4 + number % 14));
    papers.run(&["check", "builds", "--cache", "shop.cache"]);
    // Written before, or the second run could not be told from the first.
    let cache = trochoid::cache::Cache::open(&papers.path().join("shop.cache"), 1).unwrap();
    let entries = |cache: &trochoid::cache::Cache| cache.len();
    let first = entries(&cache);
    assert_eq!(first, 60, "a sheet and a page for each record");
    same(&papers, &["check", "builds"]);
    assert_eq!(entries(&cache), first, "nothing was worked out anew");
    papers.build("P-03", 9);
    same(&papers, &["check", "builds"]);
    assert_eq!(entries(&cache), first + 2, "only the record that changed was read again");
    papers.put("old/pump.rulebook", BOOK.replace("most 0.15", "most 0.14"));
    same(&papers, &["audit", "builds", "--before", "old"]);
    let moved = papers.run(&["audit", "builds", "--before", "old", "--format", "json"]);
    let moved: serde_json::Value = serde_json::from_str(&moved.out).unwrap();
    let moved = moved["builds"].as_array().unwrap().len();
    assert!(moved > 0 && moved < 30);
    let audited = entries(&cache);
    assert_eq!(audited, first + 2 + 30, "no record was read again, and what moved is kept beside what did not");
    same(&papers, &["audit", "builds", "--before", "old"]);
    same(&papers, &["audit", "builds", "--before", "old", "--format", "json"]);
    assert_eq!(entries(&cache), audited, "nothing was worked out anew");
    // Moves say where the rules lie: elsewhere they are found again.
    papers.put("older/pump.rulebook", BOOK.replace("most 0.15", "most 0.14"));
    same(&papers, &["audit", "builds", "--before", "older"]);
    assert_eq!(entries(&cache), audited + moved, "what did not move is the same wherever the rules lie");
}

#[test]
fn the_example_shop_is_judged_alike() {
    let kestrel = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/kestrel");
    let papers = Papers::new();
    for question in [&["check", kestrel][..], &["check", kestrel, "--format", "sarif"], &["check", kestrel, "--count"]]
    {
        same(&papers, question);
        same(&papers, question);
    }
    let older = concat!(env!("CARGO_MANIFEST_DIR"), "/specs");
    let audit = ["audit", kestrel, "--before", older];
    let (first, _) = same(&papers, &audit);
    assert!(first.out.contains("builds:"), "{}", first.out);
    same(&papers, &audit);
}

#[test]
fn a_spoilt_cache_is_named_and_costs_nothing_but_time() {
    let papers = Papers::new();
    (0..40).for_each(|number| papers.build(&format!("P-{number:02}"), 4 + number % 14));
    let question = ["check", "builds"];
    same(&papers, &question);
    let path = papers.path().join("shop.cache");
    let whole = std::fs::read(&path).unwrap();
    let spoil = |bytes: &[u8]| {
        std::fs::write(&path, bytes).unwrap();
        same(&papers, &question).1.err
    };
    // One letter of an entry.
    let table = rusqlite::Connection::open(&path).unwrap();
    let (place, mut sealed): (i64, Vec<u8>) = table
        .query_row("SELECT place, sealed FROM entry ORDER BY length(sealed) DESC", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .unwrap();
    // The longest is a page.
    *sealed.last_mut().unwrap() ^= 1;
    table.execute("UPDATE entry SET sealed = ?2 WHERE place = ?1", rusqlite::params![place, sealed]).unwrap();
    drop(table);
    let said = same(&papers, &question).1.err;
    assert!(said.contains("1 entry is damaged") && said.contains("nothing is lost"), "{said}");
    // The entry was written again.
    assert_eq!(same(&papers, &question).1.err, "");
    // The table itself.
    let mut bytes = whole.clone();
    let middle = bytes.len() / 2;
    bytes[4096..middle].fill(0x5a);
    assert!(spoil(&bytes).contains("is not used"), "a table that is none");
    let said = spoil(b"gauges: of somebody else\n");
    assert!(said.contains("it holds something else, and was left as it is"), "{said}");
    assert_eq!(std::fs::read(&path).unwrap(), b"gauges: of somebody else\n");
    let said = same(&papers, &["check", "builds", "--quiet"]).1.err;
    assert_eq!(said.lines().count(), 1, "{said}");
}
