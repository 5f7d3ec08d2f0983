//! What is kept comes out as it went in or not at all, whatever happens to the file.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use proptest::prelude::*;
use rusqlite::Connection;

fn key(number: u32) -> Key {
    Key::of([number.to_le_bytes().as_slice()])
}

/// What is kept under a key here.
fn value(number: u32) -> Vec<u8> {
    format!("value {number} ").repeat(1 + number as usize % 90).into_bytes()
}

fn filled(path: &Path, numbers: std::ops::Range<u32>) {
    let cache = Cache::open(path, 1).unwrap();
    numbers.for_each(|number| cache.put(key(number), &value(number)));
}

#[test]
fn keys_tell_parts_apart_by_what_they_are_and_by_where_they_are_cut() {
    let parts: [&[&[u8]]; 6] = [&[b"ab", b"c"], &[b"a", b"bc"], &[b"abc"], &[b"abc", b""], &[b"", b"abc"], &[]];
    for (at, one) in parts.iter().enumerate() {
        for (other_at, other) in parts.iter().enumerate() {
            let same = Key::of(one.iter().copied()) == Key::of(other.iter().copied());
            assert_eq!(same, at == other_at, "{one:?} {other:?}");
        }
    }
}

#[test]
fn what_is_kept_is_there_in_the_next_run_and_what_is_not_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.cache");
    filled(&path, 0..500);
    let cache = Cache::open(&path, 3).unwrap();
    for number in 0..500 {
        assert_eq!(cache.get(&key(number)), Some(value(number)));
    }
    assert_eq!((cache.get(&key(500)), cache.found()), (None, 500));
    cache.put(key(7), b"other");
    cache.settle();
    assert_eq!(cache.get(&key(7)).as_deref(), Some(b"other".as_slice()));
    assert!(cache.notes().is_empty());
}

#[test]
fn an_entry_is_told_by_its_whole_key() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.cache");
    filled(&path, 0..1);
    // The same place in the table, another key.
    let table = Connection::open(&path).unwrap();
    let sealed = key(1).seal(&lz4_flex::compress_prepend_size(b"another"));
    table.execute("UPDATE entry SET sealed = ?1", [sealed]).unwrap();
    drop(table);
    assert_eq!(Cache::open(&path, 1).unwrap().get(&key(0)), None);
}

#[test]
fn a_file_that_is_something_else_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("K-1.yaml");
    let text = "build: K-1\n".repeat(200);
    std::fs::write(&path, &text).unwrap();
    let said = Cache::open(&path, 2).unwrap_err();
    assert!(said.contains("it holds something else"), "{said}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    let other = folder.path().join("other.db");
    let table = Connection::open(&other).unwrap();
    table
        .execute_batch("CREATE TABLE entry (place INTEGER PRIMARY KEY, sealed BLOB); INSERT INTO entry VALUES (1, 2)")
        .unwrap();
    drop(table);
    let before = std::fs::read(&other).unwrap();
    let said = Cache::open(&other, 1).unwrap_err();
    assert!(said.contains("was left as it is"), "{said}");
    assert_eq!(std::fs::read(&other).unwrap(), before);
    assert!(Cache::open(&folder.path().join("missing/a.cache"), 1).unwrap_err().contains("is not used"));
    assert!(Cache::open(folder.path(), 1).unwrap_err().contains("is not used"));
}

#[test]
fn a_full_file_is_emptied_and_an_emptied_one_is_not_emptied_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.cache");
    filled(&path, 0..2000);
    let entries = |table: &Table| (0..2000).filter(|number| table.get(&key(*number)).unwrap().is_some()).count();
    assert_eq!(entries(&Table::open(&path, 1 << 20).unwrap()), 2000);
    assert_eq!(entries(&Table::open(&path, 1 << 10).unwrap()), 0);
    filled(&path, 0..3);
    assert_eq!(entries(&Table::open(&path, 1 << 20).unwrap()), 3);
}

#[test]
fn several_runs_make_one_file_at_once() {
    let folder = tempfile::tempdir().unwrap();
    for file in 0..30 {
        let path = folder.path().join(format!("{file}.cache"));
        let together = std::sync::Barrier::new(6);
        std::thread::scope(|scope| {
            for _ in 0..6 {
                scope.spawn(|| {
                    together.wait();
                    assert!(Table::open(&path, 1 << 20).is_ok());
                });
            }
        });
    }
}

#[test]
fn several_runs_share_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.cache");
    std::thread::scope(|scope| {
        for thread in 0..6_u32 {
            let path = &path;
            scope.spawn(move || {
                let cache = Cache::open(path, 2).unwrap();
                for number in 0..300 {
                    let number = (number + thread * 50) % 300;
                    let found = cache.get(&key(number));
                    assert!(found.is_none() || found == Some(value(number)));
                    cache.put(key(number), &value(number));
                    if number % 40 == thread {
                        cache.settle();
                    }
                }
                cache.settle();
                assert!(cache.notes().is_empty(), "{:?}", cache.notes());
            });
        }
    });
    let cache = Cache::open(&path, 1).unwrap();
    assert!((0..300).all(|number| cache.get(&key(number)) == Some(value(number))));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// Bytes changed, a piece cut off, zeros in the middle: nothing comes out that did not go in.
    #[test]
    fn a_spoilt_file_gives_what_was_kept_or_nothing(
        spots in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..60),
        cut in prop::option::of(any::<prop::sample::Index>()),
        hole in prop::option::of((any::<prop::sample::Index>(), 1_usize..9000)),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.cache");
        filled(&path, 0..200);
        let mut bytes = std::fs::read(&path).unwrap();
        for (at, byte) in spots {
            let at = at.index(bytes.len());
            bytes[at] ^= byte;
        }
        if let Some((at, length)) = hole {
            let at = at.index(bytes.len());
            let end = (at + length).min(bytes.len());
            bytes[at..end].fill(0);
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        std::fs::write(&path, &bytes).unwrap();
        match Cache::open(&path, 2) {
            Ok(cache) => {
                for number in 0..200 {
                    let found = cache.get(&key(number));
                    prop_assert!(found.is_none() || found == Some(value(number)), "{number}");
                }
                // And whatever it makes of it, it goes on.
                cache.put(key(1000), b"more");
                cache.settle();
                let found = cache.get(&key(1000));
                prop_assert!(found.is_none() || found.as_deref() == Some(b"more".as_slice()));
            }
            Err(said) => prop_assert!(said.contains("is not used"), "{}", said),
        }
    }
}
