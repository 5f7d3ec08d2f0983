//! A cache rewritten by somebody who may write it, every entry sealed as it should be: what makes no sense is said and not used,
//! and nothing in it ends a run.

use super::{BOOK, Papers};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rusqlite::Connection;
use sha2::{Digest, Sha256};

const KEY: usize = 32;
const SEAL: usize = 16;

fn shop() -> Papers {
    let papers = Papers::new();
    for (name, gap) in [("P-1", 7), ("P-2", 14), ("P-3", 16)] {
        papers.build(name, gap);
    }
    papers.put("before/pump.rulebook", BOOK);
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    papers
}

const RUNS: [&[&str]; 2] = [
    &["check", "builds", "--cache", "shop.cache", "--format", "plain"],
    &["audit", "builds", "--before", "before", "--cache", "shop.cache"],
];

/// The entries of the file, each by its place with its key and what it says.
fn entries(papers: &Papers) -> Vec<(i64, Vec<u8>, Vec<u8>)> {
    let table = Connection::open(papers.path().join("shop.cache")).unwrap();
    let mut asked = table.prepare("SELECT place, sealed FROM entry ORDER BY place").unwrap();
    let rows = asked.query_map([], |row| Ok((row.get(0)?, row.get::<_, Vec<u8>>(1)?))).unwrap();
    rows.map(|row| {
        let (place, sealed) = row.unwrap();
        let text = lz4_flex::decompress_size_prepended(&sealed[KEY + SEAL..]).unwrap();
        (place, sealed[..KEY].to_vec(), text)
    })
    .collect()
}

/// Writes an entry as one who knows how they are sealed.
fn forge(table: &Connection, place: i64, key: &[u8], packed: &[u8]) {
    let seal = Sha256::new().chain_update(key).chain_update(packed).finalize();
    let sealed = [key, &seal[..SEAL], packed].concat();
    table.execute("INSERT OR REPLACE INTO entry VALUES (?1, ?2)", rusqlite::params![place, sealed]).unwrap();
}

/// Both runs end by themselves and say nothing of a panic.
fn run(papers: &Papers, what: &str) -> Vec<super::Ran> {
    let ran: Vec<_> = RUNS.iter().map(|arguments| papers.run(arguments)).collect();
    for one in &ran {
        assert!((0..=2).contains(&one.status), "{what}: {}", one.err);
        assert!(!one.err.contains("panicked"), "{what}: {}", one.err);
    }
    ran
}

#[test]
fn entries_that_make_no_sense_are_said_and_not_used() {
    let papers = shop();
    let honest = run(&papers, "without");
    let kept = entries(&papers);
    assert!(kept.len() >= 6, "{}", kept.len());
    let many = (u64::MAX / 2).to_string();
    let lies: [(&str, Vec<u8>); 9] = [
        ("nothing", Vec::new()),
        ("noise", vec![0xff; 400]),
        ("no such grade", b"good splendid 3".to_vec()),
        ("more than there are", format!("good good {many}").into_bytes()),
        ("a map of everything", vec![3, 0, 0, 20, 0, 1]),
        ("a map with no end", vec![5, 0, 0, 20, 0xff, 0xff, 0xff, 0xff, 0x0f, 2, 0, 1]),
        ("lists in lists", [&[0xd0, 0x0f][..], &[2, 0, 2, 2, 2].repeat(404), &[0, 1]].concat()),
        // A text, whether it stands apart, nineteen numbers that would run over when they are added up, and no codes.
        (
            "a page of more than there are",
            [&[1, b'x', 0][..], &[0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1].repeat(19), &[0]].concat(),
        ),
        ("a build of another kind", br#"{"build":"x","before":"good","after":"out","same":1,"moves":[7]}"#.to_vec()),
    ];
    for (what, lie) in &lies {
        let table = Connection::open(papers.path().join("shop.cache")).unwrap();
        kept.iter().for_each(|(place, key, _)| forge(&table, *place, key, &lz4_flex::compress_prepend_size(lie)));
        drop(table);
        for (ran, honest) in run(&papers, what).iter().zip(&honest) {
            assert_eq!((&ran.out, ran.status), (&honest.out, honest.status), "{what}");
            assert!(ran.err.contains("damaged and"), "{what}: {}", ran.err);
        }
    }
    // What says it is larger than any entry, or than its bytes could be.
    for size in [u32::MAX, 60 << 20] {
        let table = Connection::open(papers.path().join("shop.cache")).unwrap();
        let packed = [&size.to_le_bytes()[..], &[0; 8]].concat();
        kept.iter().for_each(|(place, key, _)| forge(&table, *place, key, &packed));
        drop(table);
        assert!(run(&papers, "a size").iter().all(|ran| ran.err.contains("damaged and")));
    }
    // What a place in a book is not.
    let table = Connection::open(papers.path().join("shop.cache")).unwrap();
    let mut moved = 0;
    for (place, key, text) in &kept {
        let Ok(text) = String::from_utf8(text.clone()) else { continue };
        let Some(at) = text.find("pump.rulebook\",") else { continue };
        let (head, rest) = text.split_at(at + "pump.rulebook\",".len());
        let rest = &rest[rest.find(']').unwrap()..];
        forge(&table, *place, key, &lz4_flex::compress_prepend_size(format!("{head}4000000000,17{rest}").as_bytes()));
        moved += 1;
    }
    drop(table);
    assert!(moved > 0);
    let ran = run(&papers, "a place");
    assert_eq!(ran[1].out, honest[1].out);
    assert!(ran[1].err.contains("damaged and"), "{}", ran[1].err);
}

#[test]
fn no_change_to_an_entry_ends_a_run() {
    let papers = shop();
    run(&papers, "without");
    let kept = entries(&papers);
    let mut chance = ChaCha8Rng::seed_from_u64(23);
    for round in 0..10 {
        let table = Connection::open(papers.path().join("shop.cache")).unwrap();
        for (place, key, text) in &kept {
            // In every third round there are no pages, so that records are taken from what was read of them.
            if round % 3 == 0 && text.windows(4).any(|piece| piece == b"vane") {
                table.execute("DELETE FROM entry WHERE place = ?1", [place]).unwrap();
                continue;
            }
            let mut text = text.clone();
            for _ in 0..chance.random_range(1..4) {
                let at = chance.random_range(0..=text.len());
                match chance.random_range(0..4) {
                    0 if at < text.len() => text[at] = chance.next_u32() as u8,
                    1 if at < text.len() => text[at] ^= 1 << chance.random_range(0..8),
                    2 => text.truncate(at),
                    _ => text.splice(at..at, [0xff, 0xff, 0xff, 0xff, 0x0f]).for_each(drop),
                }
            }
            forge(&table, *place, key, &lz4_flex::compress_prepend_size(&text));
        }
        drop(table);
        run(&papers, &format!("round {round}"));
    }
}

#[test]
fn a_table_that_is_something_else_is_not_asked() {
    let papers = shop();
    let honest = run(&papers, "without");
    let endless = "WITH RECURSIVE n(place) AS (VALUES (1) UNION ALL SELECT place + 1 FROM n) SELECT place, x'00' AS sealed FROM n";
    for change in [
        format!("DROP TABLE entry; CREATE VIEW entry AS {endless}"),
        "CREATE TRIGGER more AFTER INSERT ON entry BEGIN DELETE FROM entry; END".to_owned(),
        "DROP TABLE entry; CREATE TABLE entry (place INTEGER PRIMARY KEY, sealed TEXT)".to_owned(),
        "DROP TABLE entry".to_owned(),
    ] {
        let table = Connection::open(papers.path().join("shop.cache")).unwrap();
        table.execute_batch(&change).unwrap();
        drop(table);
        for (ran, honest) in run(&papers, &change).iter().zip(&honest) {
            assert_eq!((&ran.out, ran.status), (&honest.out, honest.status), "{change}");
            assert!(ran.err.contains("is not used"), "{change}: {}", ran.err);
        }
        std::fs::remove_file(papers.path().join("shop.cache")).unwrap();
        run(&papers, "anew");
    }
    // Entries of another kind than bytes.
    for value in ["7", "'text'", "zeroblob(0)"] {
        let table = Connection::open(papers.path().join("shop.cache")).unwrap();
        table.execute(&format!("UPDATE entry SET sealed = {value}"), []).unwrap();
        drop(table);
        for (ran, honest) in run(&papers, value).iter().zip(&honest) {
            assert_eq!((&ran.out, ran.status), (&honest.out, honest.status), "{value}");
            assert!(ran.err.contains("shop.cache"), "{value}: {}", ran.err);
        }
        std::fs::remove_file(papers.path().join("shop.cache")).unwrap();
        run(&papers, "anew");
    }
}
