//! `check --format sarif`: held to the published schema, and read again with the files beside it: each region is found by
//! its lines and columns, counted here in UTF-16 code units.

use super::{Papers, Ran, json::document};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// The schema of OASIS SARIF 2.1.0 Plus Errata 01, from
/// <https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json>.
const SCHEMA: &str = include_str!("../outside/schemas/sarif-2.1.0-errata01.json");

/// What is wrong with a document by the schema.
fn faults(document: &Value) -> Vec<String> {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    let validator = jsonschema::options().should_validate_formats(true).build(&schema).unwrap();
    validator.iter_errors(document).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

fn valid(ran: &Ran) -> Value {
    let document = document(ran);
    assert_eq!(faults(&document), Vec::<String>::new(), "{}", ran.out);
    assert_eq!(document["version"], "2.1.0");
    document
}

fn results(document: &Value) -> &Vec<Value> {
    document["runs"][0]["results"].as_array().unwrap()
}

/// Every location and related location of a result.
fn locations(result: &Value) -> Vec<&Value> {
    ["locations", "relatedLocations"].iter().filter_map(|key| result[key].as_array()).flatten().collect()
}

fn decoded(uri: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = uri.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits = [rest.next().unwrap(), rest.next().unwrap()];
            bytes.push(u8::from_str_radix(std::str::from_utf8(&digits).unwrap(), 16).unwrap());
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).unwrap()
}

/// The text of a region by its lines and columns, and by its bytes.
fn texts(folder: &Path, location: &Value) -> (String, String) {
    let at = &location["physicalLocation"];
    let bytes = std::fs::read(folder.join(decoded(at["artifactLocation"]["uri"].as_str().unwrap()))).unwrap();
    let number = |key: &str| usize::try_from(at["region"][key].as_u64().unwrap()).unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    let units: Vec<u16> = text.trim_start_matches('\u{feff}').encode_utf16().collect();
    let newline = u16::from(b'\n');
    let lines: Vec<&[u16]> = units.split_inclusive(|unit| *unit == newline).collect();
    let offset =
        |line: usize, column: usize| lines[..line - 1].iter().map(|line| line.len()).sum::<usize>() + column - 1;
    let start = offset(number("startLine"), number("startColumn"));
    let end = offset(number("endLine"), number("endColumn"));
    let by_bytes = &bytes[number("byteOffset")..number("byteOffset") + number("byteLength")];
    (String::from_utf16(&units[start..end]).unwrap(), String::from_utf8(by_bytes.to_vec()).unwrap())
}

#[test]
fn the_schema_refuses_what_is_no_sarif() {
    assert!(!faults(&serde_json::json!({ "version": "2.1.0" })).is_empty());
    let run = |level: &str| {
        let result = serde_json::json!({ "message": { "text": "a" }, "level": level });
        let tool = serde_json::json!({ "driver": { "name": "a" } });
        serde_json::json!({ "version": "2.1.0", "runs": [{ "tool": tool, "results": [result] }] })
    };
    assert!(faults(&run("error")).is_empty());
    assert_eq!(faults(&run("fatal")).len(), 1);
}

#[test]
fn every_region_is_the_text_the_finding_underlines() {
    let papers = Papers::new();
    let mark = "\u{feff}build: µ # 🔧°\r\ngeneration: small\r\n";
    papers.put("builds/K µ#1.yaml", format!("{mark}{{ note: '🔧🔧 22 °C', vane: 2.00 mm,\tslot: \"2200 µm\" }}\r\n"));
    papers.put("builds/P-1.yaml", format!("{mark}vane: 2.00 mm\r\nslot:\t2200 µm # 🔧\r\n"));
    papers.put("builds/P-2.yaml", "build: '🔧'\ngeneration: { 🔧: small }\nvan: 2 mm\n'🔧 µ°': 3 mm\nslot: 2\n");
    papers.put("builds/P-3.yaml", "build: P-3\ngeneration: small\nvane: [2 mm, 🔧]\n");
    let sarif = valid(&papers.run(&["check", "builds", "--format", "sarif"]));
    let whole = document(&papers.run(&["check", "builds", "--format", "json"]));
    let findings: Vec<&Value> =
        whole["records"].as_array().unwrap().iter().flat_map(|record| record["findings"].as_array().unwrap()).collect();
    assert_eq!(sarif["runs"][0]["columnKind"], "utf16CodeUnits");
    assert_eq!(results(&sarif).len(), findings.len());
    let mut seen = BTreeSet::new();
    for (result, finding) in results(&sarif).iter().zip(findings) {
        assert_eq!(result["ruleId"], finding["code"]);
        assert_eq!(result["level"], finding["severity"]);
        assert_eq!(
            result["message"]["text"].as_str().unwrap().replace("{{", "{").replace("}}", "}"),
            finding["message"]
        );
        let because = finding["because"].as_array().unwrap();
        let places: Vec<&Value> =
            std::iter::once(&finding["place"]).filter(|place| !place.is_null()).chain(because).collect();
        let regions: Vec<&Value> = locations(result)
            .into_iter()
            .filter(|location| !location["physicalLocation"]["region"].is_null())
            .collect();
        assert_eq!(regions.len(), places.len(), "{result}");
        for (location, place) in regions.into_iter().zip(places) {
            // What is underlined, by the bytes that the JSON says.
            let bytes = std::fs::read(papers.path().join(place["file"].as_str().unwrap())).unwrap();
            let at = |key: &str| usize::try_from(place[key].as_u64().unwrap()).unwrap();
            let underlined = String::from_utf8(bytes[at("start")..at("end")].to_vec()).unwrap();
            assert_eq!(texts(papers.path(), location), (underlined.clone(), underlined.clone()), "{location}");
            assert_eq!(location["physicalLocation"]["region"]["snippet"]["text"], underlined.as_str());
            assert_eq!(location["message"]["text"], place["label"]);
            seen.insert(underlined);
        }
    }
    assert!(seen.contains("2200 µm") && seen.contains("at most 0.15 mm"), "{seen:?}");
    assert!(seen.iter().any(|text| text.contains('🔧')), "{seen:?}");
}

#[test]
fn every_rule_used_is_explained_and_no_other() {
    let papers = Papers::new();
    papers.build("P-1", 20);
    papers.build("P-2", 12);
    papers.build("P-3", 7);
    papers.put("builds/P-4.yaml", "build: P-4\ngeneration: small\nvane: 2\n");
    let ran = papers.run(&["check", "builds", "nowhere", "--format", "sarif"]);
    let document = valid(&ran);
    let rules = document["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    let name = |value: &Value| value.as_str().unwrap().to_string();
    let named: Vec<String> = rules.iter().map(|rule| name(&rule["id"])).collect();
    let used: BTreeSet<String> = results(&document).iter().map(|result| name(&result["ruleId"])).collect();
    assert_eq!(named.iter().cloned().collect::<BTreeSet<String>>(), used);
    assert_eq!(named.len(), used.len());
    for code in ["row-out", "row-worn", "path-missing", "unit-missing"] {
        assert!(used.contains(code), "{code} in {used:?}");
    }
    for rule in rules {
        // What `explain` says of the code, read from what it prints.
        let page: Value =
            serde_json::from_str(&papers.run(&["explain", rule["id"].as_str().unwrap(), "--format", "json"]).out)
                .unwrap();
        assert_eq!(name(&rule["shortDescription"]["text"]), name(&page["summary"]).replace('`', ""));
        let mend: Vec<&str> = page["mend"].as_array().unwrap().iter().map(|text| text.as_str().unwrap()).collect();
        assert_eq!(
            name(&rule["help"]["text"]),
            mend.join("\n\n").replace('`', "").replace('{', "{{").replace('}', "}}")
        );
        assert_eq!(rule["defaultConfiguration"]["level"], page["severity"]);
    }
    let out = results(&document).iter().find(|result| result["ruleId"] == "row-out").unwrap();
    assert_eq!(out["properties"]["remedy"], "Fit a thicker vane.");
    assert_eq!(out["properties"]["caution"], "Drain the pump first.");
    assert_eq!(out["properties"]["build"], "P-1");
    let invocation = &document["runs"][0]["invocations"][0];
    assert_eq!((&invocation["exitCode"], &invocation["executionSuccessful"]), (&Value::from(2), &Value::from(false)));
    assert_eq!(ran.status, 2);
}

/// Code and fingerprint of every result, in order.
fn fingerprints(ran: &Ran) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap().to_string();
    results(&valid(ran))
        .iter()
        .map(|result| (text(&result["ruleId"]), text(&result["partialFingerprints"]["trochoid/v1"])))
        .collect()
}

#[test]
fn fingerprints_stay_when_lines_move_and_numbers_change() {
    let papers = Papers::new();
    let run = |papers: &Papers| fingerprints(&papers.run(&["check", "builds", "--format", "sarif"]));
    papers
        .put("builds/a.yaml", "build: P-1\ngeneration: small\nvane: 2.00 mm\nslot: 2.20 mm\nwear: 0.3 mm\nvan: 1 mm\n");
    let before = run(&papers);
    assert_eq!(before.len(), 3, "{before:?}");
    let apart: BTreeSet<&String> = before.iter().map(|(_, print)| print).collect();
    assert_eq!(apart.len(), 3, "each has its own");
    assert_eq!(run(&papers), before, "a second run says the same");
    // Other lines, other numbers, another file name, another book around the row.
    std::fs::remove_file(papers.path().join("builds/a.yaml")).unwrap();
    papers.put(
        "builds/b.yaml",
        "# measured again\n\nbuild: P-1\ngeneration: small\nslot: 2.30 mm\nvane: 2.01 mm\n\nwear: 0.4 mm\nvan: 1 mm\n",
    );
    papers.put("books/pump.rulebook", format!("# more\n\n{}", super::BOOK.replace("A wide gap", "A wider gap")));
    let sorted = |mut prints: Vec<(String, String)>| {
        prints.sort();
        prints
    };
    assert_eq!(sorted(run(&papers)), sorted(before.clone()));
    // Another build is another result.
    papers
        .put("builds/b.yaml", "build: P-2\ngeneration: small\nvane: 2.00 mm\nslot: 2.20 mm\nwear: 0.3 mm\nvan: 1 mm\n");
    assert!(run(&papers).iter().all(|print| !before.contains(print)));
}

#[test]
fn any_number_of_records_and_threads_is_one_valid_document() {
    let papers = Papers::new();
    papers.put("builds/keep.txt", "");
    let nothing = valid(&papers.run(&["check", "builds", "--format", "sarif"]));
    assert_eq!(results(&nothing)[0]["ruleId"], "no-records");
    papers.build("P-00", 7);
    let good = papers.run(&["check", "builds", "--format", "sarif"]);
    assert!(results(&valid(&good)).is_empty());
    assert_eq!(good.status, 0);
    for number in 1..150 {
        papers.build(&format!("P-{number:03}"), 5 + number % 16);
    }
    let one = papers.run(&["check", "builds", "--format", "sarif", "--threads", "1", "--quiet"]);
    let three = papers.run(&["check", "builds", "--format", "sarif", "--threads", "3"]);
    assert_eq!(one.out, three.out);
    let whole = document(&papers.run(&["check", "builds", "--format", "json"]));
    let rows = &whole["summary"]["rows"];
    let of = |code: &str| results(&valid(&one)).iter().filter(|result| result["ruleId"] == code).count();
    assert_eq!((Value::from(of("row-out")), Value::from(of("row-worn"))), (rows["out"].clone(), rows["worn"].clone()));
    assert!(of("row-out") > 0 && of("row-worn") > 0);
    assert_eq!(one.status, 1);
}

#[test]
fn books_with_errors_and_files_that_cannot_be_read_are_results() {
    let papers = Papers::new();
    papers.put("builds/A.yaml", [0xff]);
    papers.put("bad/trochoid.yaml", "books: [none.rulebook]\n");
    papers.put("bad/B.yaml", "build: B\n");
    let ran = papers.run(&["check", "builds", "bad", "--format", "sarif"]);
    let document = valid(&ran);
    let codes: Vec<&Value> = results(&document).iter().map(|result| &result["ruleId"]).collect();
    assert_eq!(codes, ["not-utf8", "books-missing"]);
    let artifact = &results(&document)[0]["locations"][0]["physicalLocation"]["artifactLocation"];
    assert_eq!(artifact["uri"], "builds/A.yaml");
    assert_eq!(ran.status, 2);
}

#[test]
fn shipped_books_are_relative_to_what_lies_inside_the_program() {
    let papers = Papers(tempfile::tempdir().unwrap());
    let record = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let record = record.to_str().unwrap();
    let document =
        valid(&papers.run(&["check", record, "--books", &format!("{record}/kestrel/books"), "--format", "sarif"]));
    let run = &document["runs"][0];
    assert!(results(&document).len() > 5);
    let shipped: Vec<String> = results(&document)
        .iter()
        .flat_map(locations)
        .map(|location| &location["physicalLocation"]["artifactLocation"])
        .filter(|artifact| artifact["uriBaseId"] == "SHIPPED")
        .map(|artifact| artifact["uri"].as_str().unwrap().to_string())
        .collect();
    assert!(!shipped.is_empty());
    for book in shipped {
        let specs = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
        assert!(specs.join(&book).is_file(), "{book}");
    }
    assert!(run["originalUriBaseIds"]["SHIPPED"].is_object());
}
