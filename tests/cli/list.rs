//! `list`: every name there is, by the shipped books and by a shop's own, as text and as a document.

use super::Papers;
use serde_json::Value;

/// A folder with no books: the shipped ones count.
fn shipped() -> Papers {
    Papers(tempfile::tempdir().unwrap())
}

fn document(papers: &Papers, arguments: &[&str]) -> Value {
    let ran = papers.run(&[arguments, &["--format", "json"]].concat());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{arguments:?}");
    serde_json::from_str(&ran.out).unwrap()
}

fn names(list: &Value, member: &str) -> Vec<String> {
    list.as_array().unwrap().iter().map(|one| one[member].as_str().unwrap().to_string()).collect()
}

#[test]
fn every_name_of_the_books_is_listed() {
    let papers = shipped();
    let shop = trochoid::shop::Shop::shipped();
    let book = &shop.book;
    let overview = document(&papers, &["list"]);
    let own: Vec<String> = book.generations.iter().map(|one| one.name.to_string()).collect();
    assert_eq!(names(&overview["generations"], "name"), own);
    assert_eq!(names(&overview["parts"], "path").len(), book.parts.len());
    assert_eq!(names(&overview["books"], "file").len(), book.titles.len());
    assert!(overview["readings"].is_null() && overview["rows"].is_null() && overview["units"].is_null());
    let readings = document(&papers, &["list", "readings"]);
    let own: Vec<String> = book.characteristics.entries().map(|(id, _)| book.path(id, &[], None)).collect();
    assert_eq!(names(&readings["readings"], "path"), own);
    let units = document(&papers, &["list", "units"]);
    let mut listed = names(&units["units"], "symbol");
    for unit in units["units"].as_array().unwrap() {
        listed.extend(unit["also"].as_array().unwrap().iter().map(|name| name.as_str().unwrap().to_string()));
    }
    for name in book.units.names() {
        assert!(listed.iter().any(|one| one == name), "{name}");
    }
    for generation in book.generations.iter() {
        let rows = document(&papers, &["list", "rows", &generation.name]);
        assert_eq!(rows["rows"].as_array().unwrap().len(), generation.rows.len(), "{}", generation.name);
    }
}

#[test]
fn a_blank_asks_for_what_is_listed() {
    let papers = shipped();
    let readings = document(&papers, &["list", "readings", "rotors"]);
    let listed = readings["readings"].as_array().unwrap();
    let blank = papers.run(&["blank", "light_2mm", "--only", "rotors"]).out;
    let mut asked = 0;
    for one in listed.iter().filter(|one| one["formula"].is_null()) {
        let path = one["path"].as_str().unwrap();
        assert!(path.starts_with("rotor."), "{path}");
        let key = format!("{}:", path.rsplit('.').next().unwrap());
        let optional = one["optional"].as_bool().unwrap();
        let stands = |line: &str| line.trim_start() == key || line.trim_start().starts_with(&format!("{key} "));
        assert!(optional || blank.lines().any(stands), "{path}");
        asked += 1;
    }
    assert!(asked > 50, "{asked}");
}

#[test]
fn text_keeps_to_its_width_and_says_what_the_document_says() {
    let papers = shipped();
    for what in [&["list"][..], &["list", "readings", "rotor"], &["list", "rows", "light_2mm"], &["list", "units"]] {
        for width in ["60", "100"] {
            let ran = papers.run(&[what, &["--width", width]].concat());
            assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{what:?}");
            let most: usize = width.parse().unwrap();
            for line in ran.out.lines() {
                // A name or a word with no blank in it is never cut.
                let one_word = line.trim_start().split(' ').filter(|word| !word.is_empty()).count() <= 1;
                assert!(line.chars().count() <= most || one_word, "{what:?} at {width}: {line}");
            }
        }
    }
    let text = papers.run(&["list", "readings", "rotor", "--width", "1000"]).out;
    let width = text.lines().find(|line| line.starts_with("rotor.width ")).unwrap();
    assert!(width.contains("mm, 2 readings or more. ") && width.contains("micrometer"), "{width}");
    let clearance = text.lines().find(|line| line.starts_with("rotor.side_clearance ")).unwrap();
    assert!(clearance.contains("calculated: housing.width.plug_side - largest of width"), "{clearance}");
}

#[test]
fn a_shipped_book_is_printed_as_it_is() {
    let papers = shipped();
    for name in ["units.rulebook", "units"] {
        assert_eq!(papers.run(&["list", "books", name]).out, include_str!("../../specs/units.rulebook"));
    }
    papers.put("books/pump.rulebook", super::BOOK);
    assert_eq!(papers.run(&["list", "books", "pump", "--books", "books"]).out, super::BOOK);
    // A shop that uses no shipped book can read one all the same.
    let ran = papers.run(&["list", "books", "units", "--books", "books"]);
    assert_eq!(ran.out, include_str!("../../specs/units.rulebook"));
    let generations = papers.run(&["list", "generations", "--books", "books"]).out;
    assert!(generations.starts_with("small  an invented pump; "), "{generations}");
}

#[test]
fn gauges_say_with_which_others_they_are_correlated() {
    let papers = shipped();
    let list =
        "mic-1: { uncertainty: 2 um, resolution: 1 um }\nmic-2: { uncertainty: 2.4 um, correlated: { mic-1: 0.6 } }\n";
    papers.put("gauges.yaml", list);
    let text = papers.run(&["list", "gauges"]).out;
    assert!(text.contains("mic-2  uncertainty 0.0024 mm, correlated with mic-1 (0.6)\n"), "{text}");
    let gauges = document(&papers, &["list", "gauges"]);
    assert_eq!(gauges["gauges"][1]["correlated"], serde_json::json!(["mic-1 (0.6)"]));
    assert_eq!(gauges["gauges"][0]["correlated"], serde_json::json!([]));
}

#[test]
fn what_there_is_not_is_refused_with_the_nearest() {
    let papers = shipped();
    for (arguments, said) in [
        (&["list", "rows", "ligt_2mm"][..], "did you mean `light_2mm`"),
        (&["list", "rows"], "name a generation: any_reading, any_work, family"),
        (&["list", "readings", "roto"], "did you mean `rotor`"),
        (&["list", "books", "nothing"], "there is no rulebook called `nothing`"),
        (&["list", "units", "mm"], "`list units` prints them all"),
    ] {
        let ran = papers.run(arguments);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{arguments:?}");
        assert!(ran.err.contains(said), "{arguments:?}: {}", ran.err);
    }
}
