//! `trochoid prove` from outside: its exit status, its document, and what it refuses.

use super::{BOOK, Papers};
use serde_json::Value;

/// The pump's book with ranges for what its gap is made of.
fn with_ranges(vane: &str) -> String {
    BOOK.replace(
        "    pump.wear  limit",
        &format!("    pump.vane  standard {vane} {{ from sheet }}\n    pump.slot  standard 2.06 to 2.09 mm {{ from sheet }}\n    pump.wear  limit"),
    )
}

#[test]
fn the_status_says_whether_something_is_proved_wrong() {
    let papers = Papers::new();
    for (vane, status, said) in [
        ("1.99 to 2.00 mm", 0, "nothing is proved wrong"),
        ("1.90 to 2.00 mm", 0, "note[stack-up-wider]: pump.gap: all parts as new still allow 0.06 to 0.19 mm"),
        ("1.50 to 1.60 mm", 1, "error[stack-up-impossible]: pump.gap: no set of good parts can meet its standard"),
        ("2.00 to 1.99 mm", 2, "error[range-empty]"),
    ] {
        papers.put("books/pump.rulebook", with_ranges(vane));
        for books in ["books", "books/pump.rulebook"] {
            let ran = papers.run(&["prove", books, "--format", "plain"]);
            assert_eq!(ran.status, status, "{vane}: {}{}", ran.out, ran.err);
            assert!(ran.out.contains(said), "{vane}: {}", ran.out);
        }
    }
}

#[test]
fn without_books_the_shipped_ones_are_proved() {
    let papers = Papers::new();
    let ran = papers.run(&["prove"]);
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("nothing is proved wrong"), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 90), "{}", ran.out);
}

#[test]
fn one_generation_is_told_reading_by_reading() {
    let papers = Papers::new();
    papers.put("pump.rulebook", with_ranges("1.90 to 2.00 mm"));
    let ran = papers.run(&["prove", "pump.rulebook", "--generation", "small"]);
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    for said in ["readings with a row of their own: 3", "pump.gap: as new 0.06 to 0.19 mm, wider than 0.05 to 0.10 mm"]
    {
        assert!(ran.out.contains(said), "{}", ran.out);
    }
    let ran = papers.run(&["prove", "pump.rulebook", "--generation", "smal"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("did you mean `small`?"), "{}", ran.err);
}

#[test]
fn the_document_has_everything_and_its_places_lead_to_the_text() {
    let papers = Papers::new();
    let book = with_ranges("1.90 to 2.00 mm");
    papers.put("pump.rulebook", &book);
    let ran = papers.run(&["prove", "pump.rulebook", "--format", "json"]);
    let document: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((&document["format"], &document["status"]), (&"trochoid prove".into(), &0.into()));
    let generation = &document["generations"][0];
    assert_eq!((&generation["name"], &generation["rows"]), (&"small".into(), &4.into()));
    assert_eq!(generation["provenance"]["sources"][0]["rows"], 4);
    let stack_up = &generation["stack_ups"][0];
    assert_eq!(stack_up["path"], "pump.gap");
    assert_eq!((&stack_up["reaches"], &stack_up["exact"]), (&"0.06 to 0.19 mm".into(), &true.into()));
    assert_eq!((&stack_up["outcome"], &stack_up["allowed"]), (&"wider".into(), &"0.05 to 0.10 mm".into()));
    let readings = generation["readings"].as_array().unwrap();
    assert_eq!(readings.len(), 3);
    for reading in readings {
        let place = &reading["place"];
        let (start, end) = (place["start"].as_u64().unwrap() as usize, place["end"].as_u64().unwrap() as usize);
        assert_eq!(reading["path"], format!("pump.{}", &book[start..end]));
    }
    let finding = &document["findings"][0];
    let (start, end) = (&finding["place"]["start"], &finding["place"]["end"]);
    assert_eq!(&book[start.as_u64().unwrap() as usize..end.as_u64().unwrap() as usize], "0.05 to 0.10 mm");
}
