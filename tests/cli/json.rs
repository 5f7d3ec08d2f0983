//! `check --format json`: read again by a JSON reader, its places looked up in the files.

use super::{Papers, Ran};
use serde_json::Value;

pub(super) fn document(ran: &Ran) -> Value {
    serde_json::from_str(&ran.out).unwrap_or_else(|error| panic!("{error} in\n{}", ran.out))
}

#[test]
fn one_document_with_every_record_and_numbers_that_agree() {
    let papers = Papers::new();
    for number in 0..40 {
        papers.build(&format!("P-{number:02}"), 5 + number % 16);
    }
    let ran = papers.run(&["check", "builds", "--format", "json", "--only", "out"]);
    let document = document(&ran);
    let records = document["records"].as_array().unwrap();
    assert_eq!(records.len(), 40);
    let sum = |field: &dyn Fn(&Value) -> u64| records.iter().map(field).sum::<u64>();
    for grade in ["good", "worn", "out"] {
        let builds = records.iter().filter(|record| record["grade"] == grade).count();
        assert!(builds > 0, "{grade}");
        assert_eq!(document["summary"]["builds"][grade], builds);
        assert_eq!(document["summary"]["rows"][grade], sum(&|record| record["counts"][grade].as_u64().unwrap()));
    }
    for record in records {
        let findings = record["findings"].as_array().unwrap();
        assert_eq!(findings.len(), usize::from(record["grade"] == "out"), "{record}");
        // Rulings of other grades are counted only.
        let rulings = record["rulings"].as_array().unwrap();
        assert_eq!(rulings.len(), usize::from(record["grade"] == "out"), "{record}");
        assert!(rulings.iter().all(|ruling| ruling["grade"] == "out"));
        assert_eq!(record["passes"], record["grade"] != "out");
    }
    assert_eq!(document["summary"]["status"], 1);
    assert_eq!(ran.status, 1);
    assert_eq!(document["shops"][0]["name"], "Lapwing Pumps");
    assert_eq!(document["shops"].as_array().unwrap().len(), 1);
}

#[test]
fn places_lead_to_the_text() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", "\u{feff}build: µ\r\ngeneration: small\r\nvane: 2.00 mm\r\nslot:\t2200 µm\r\n");
    let document = document(&papers.run(&["check", "builds", "--format", "json"]));
    let finding = &document["records"][0]["findings"][0];
    let because = finding["because"].as_array().unwrap();
    let texts: Vec<String> = std::iter::once(&finding["place"])
        .chain(because)
        .map(|place| {
            let bytes = std::fs::read(papers.path().join(place["file"].as_str().unwrap())).unwrap();
            let at = |key: &str| usize::try_from(place[key].as_u64().unwrap()).unwrap();
            let text = String::from_utf8(bytes).unwrap();
            let line = text.lines().nth(at("line") - 1).unwrap().trim_start_matches('\u{feff}').to_string();
            let said = text.get(at("start")..at("end")).unwrap().to_string();
            let counted: String = line.chars().skip(at("column") - 1).take(said.chars().count()).collect();
            assert_eq!(counted, said, "line and column agree with the bytes");
            said
        })
        .collect();
    assert!(texts.contains(&"2200 µm".to_string()), "{texts:?}");
    assert!(texts.iter().any(|text| text.contains("at most 0.15 mm")), "{texts:?}");
    let ruling = &document["records"][0]["rulings"][0];
    assert_eq!((&ruling["path"], &ruling["beyond"]), (&Value::from("gap"), &Value::from("0.05 mm over")));
    assert_eq!(ruling["remedy"], "Fit a thicker vane.");
}

#[test]
fn what_a_value_is_rounded_to_stands_beside_it() {
    let papers = Papers::new();
    let case = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/judge/row-out--rounded");
    let book = case.join("book.rulebook");
    papers.put("builds/L-1.yaml", std::fs::read_to_string(case.join("build.yaml")).unwrap());
    let document = document(&papers.run(&["check", "builds", "--books", book.to_str().unwrap(), "--format", "json"]));
    let rulings = document["records"][0]["rulings"].as_array().unwrap();
    let gap = rulings.iter().find(|ruling| ruling["path"] == "gap").unwrap();
    assert_eq!((&gap["value"], &gap["rounded"]), (&Value::from("0.094 mm"), &Value::from("0.09 mm")));
    assert_eq!(gap["beyond"], "0.01 mm under");
    assert!(rulings.iter().filter(|ruling| ruling["path"] != "gap").all(|ruling| ruling["rounded"].is_null()));
}

#[test]
fn troubles_are_in_the_document_too() {
    let papers = Papers::new();
    papers.put("builds/A.yaml", [0xff]);
    papers.put("bad/trochoid.yaml", "books: [none.rulebook]\n");
    papers.put("bad/B.yaml", "build: B\n");
    let ran = papers.run(&["check", "builds", "nowhere", "bad", "--format", "json"]);
    let document = document(&ran);
    assert_eq!(document["records"][0]["readable"], false);
    assert_eq!(document["records"][0]["findings"][0]["code"], "not-utf8");
    assert_eq!(document["records"][1]["sound"], false);
    assert_eq!(document["paths"][0]["code"], "path-missing");
    assert_eq!(document["shops"][1]["findings"][0]["code"], "books-missing");
    assert_eq!(document["summary"]["status"], 2);
    assert_eq!(ran.status, 2);
    let nothing = papers.run(&["check", "nowhere", "--format", "json"]);
    assert_eq!(super::json::document(&nothing)["records"], Value::Array(Vec::new()));
}
