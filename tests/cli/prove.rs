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
        ("1.90 to 2.00 mm", 0, "note, stack-up-wider: pump.gap: all parts as new still allow 0.06 to 0.19 mm"),
        ("1.50 to 1.60 mm", 1, "fault, stack-up-impossible: pump.gap: no set of good parts can meet its standard"),
        ("2.00 to 1.99 mm", 2, "fault, range-empty"),
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

/// Readings by path as a record: `gear.drive.width` is nested three deep.
fn record_of(generation: &str, readings: &[Value]) -> String {
    let mut root = serde_json::Map::new();
    root.insert("generation".into(), generation.into());
    for reading in readings {
        let keys: Vec<&str> = reading["path"].as_str().unwrap().split('.').collect();
        let (last, before) = keys.split_last().unwrap();
        let mut here = &mut root;
        for key in before {
            here = here.entry(*key).or_insert_with(|| Value::Object(serde_json::Map::new())).as_object_mut().unwrap();
        }
        let values = reading["values"].as_array().unwrap();
        here.insert((*last).into(), if let [one] = values.as_slice() { one.clone() } else { values.clone().into() });
    }
    // A record may be JSON, being YAML.
    serde_json::to_string(&root).unwrap()
}

#[test]
fn parts_that_are_shown_are_refused_when_they_are_checked() {
    let cases = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/prove");
    let sources = [
        (Some("stack-up-wider"), 2),
        (Some("stack-up-wider--rounded"), 2),
        (Some("nothing-wrong--pump-rebuild"), 0),
        (None, 8),
    ];
    for (case, least) in sources {
        let papers = Papers::new();
        let books = case.map(|case| std::fs::read_to_string(format!("{cases}/{case}/book.rulebook")).unwrap());
        let mut prove = vec!["prove", "--format", "json"];
        let mut check = vec!["check", "build.yaml", "--format", "json", "--books"];
        let from = if let Some(book) = books {
            papers.put("book.rulebook", book);
            "book.rulebook"
        } else {
            concat!(env!("CARGO_MANIFEST_DIR"), "/specs")
        };
        prove.insert(1, from);
        check.push(from);
        let ran = papers.run(&prove);
        let document: Value = serde_json::from_str(&ran.out).unwrap();
        let mut shown = 0;
        for generation in document["generations"].as_array().unwrap() {
            for stack_up in generation["stack_ups"].as_array().unwrap() {
                let witnesses = stack_up["witnesses"].as_array().unwrap();
                assert_eq!(witnesses.is_empty(), stack_up["outcome"] != "wider", "{stack_up}");
                for witness in witnesses {
                    shown += 1;
                    let readings = witness["readings"].as_array().unwrap();
                    papers.put("build.yaml", record_of(generation["name"].as_str().unwrap(), readings));
                    let ran = papers.run(&check);
                    let document: Value = serde_json::from_str(&ran.out).unwrap();
                    let rulings = document["records"][0]["rulings"].as_array().unwrap();
                    let refused = rulings.iter().any(|ruling| {
                        ruling["path"] == witness["path"]
                            && ruling["value"] == witness["value"]
                            && ruling["grade"]
                                .as_str()
                                .is_some_and(|grade| grade.ends_with("out") || grade.ends_with("worn"))
                    });
                    assert!(refused, "{witness}: {}", ran.out);
                    for reading in readings {
                        let path = reading["path"].as_str().unwrap();
                        let on_it = |ruling: &&Value| ruling["path"] == path;
                        for ruling in rulings.iter().filter(on_it) {
                            assert_eq!(ruling["grade"], "good", "{ruling}");
                        }
                    }
                }
            }
        }
        assert!(shown >= least, "{case:?}: {shown}");
    }
}
