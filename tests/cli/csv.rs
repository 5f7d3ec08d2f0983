//! The table of a check from outside: read back by another library, counted against the document, and harmless in a spreadsheet.

use super::{Papers, examples};
use serde_json::Value;
use std::collections::BTreeMap;

/// The rows of a table, each by the names of its columns.
fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    // Spreadsheets know UTF-8 by its mark; lines end as RFC 4180 has them.
    let plain = text.strip_prefix('\u{feff}').expect("a byte order mark");
    assert!(plain.ends_with("\r\n") && plain.lines().count() == plain.matches("\r\n").count());
    let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(plain.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

#[test]
fn every_ruling_of_the_document_has_its_row() {
    let (table, document): (_, Value) = (rows(&examples("csv")), serde_json::from_str(&examples("json")).unwrap());
    let rulings: Vec<(&Value, &Value)> = document["records"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|record| record["rulings"].as_array().unwrap().iter().map(move |ruling| (record, ruling)))
        .collect();
    assert!(rulings.len() > 4000);
    assert_eq!(table.len(), rulings.len());
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let (mut outside, mut numbers) = (0, 0);
    for (row, (record, ruling)) in table.iter().zip(rulings) {
        for (column, value) in [
            ("file", &record["file"]),
            ("build", if record["build"].is_null() { &record["part"]["tag"] } else { &record["build"] }),
            ("build_grade", &record["grade"]),
            ("path", &ruling["path"]),
            ("grade", &ruling["grade"]),
            ("limit", &ruling["limit"]),
            ("source", &ruling["source"]),
        ] {
            assert_eq!(row[column], text(value), "{column} of {row:?}");
        }
        // What is outside is outside by the figures alone.
        let number = |column: &str| row[column].parse::<f64>().ok();
        if let (Some(value), "out") = (number("value"), row["grade"].trim_start_matches("advisory ")) {
            let tier = if row["limit"].is_empty() { "standard" } else { "limit" };
            let (low, high) = (number(&format!("{tier}_low")), number(&format!("{tier}_high")));
            let (below, above) = (low.is_some_and(|low| value <= low), high.is_some_and(|high| value >= high));
            assert!(below || above, "{row:?}");
            let by = number("beyond").unwrap();
            let end = if row["side"] == "under" { low } else { high }.unwrap();
            assert!(((value - end).abs() - by).abs() < 1e-9, "{row:?}");
            outside += 1;
        }
        if let (Some(value), Some(room), "good") = (number("value"), number("room"), row["grade"].as_str()) {
            let ends = [number("limit_low"), number("limit_high"), number("standard_low"), number("standard_high")];
            assert!(ends.into_iter().flatten().any(|end| ((value - end).abs() - room).abs() < 1e-9), "{row:?}");
            numbers += 1;
        }
    }
    assert!(outside > 10 && numbers > 1000, "{outside} {numbers}");
}

#[test]
fn no_name_becomes_a_formula() {
    let papers = Papers::new();
    let names = ["=1+1", "+1", "-cmd|' /C calc'!A0", "@sum(a)", "  =2", "\\t=3", "a,b \\\"c\\\"", "K-1"];
    for (number, name) in names.iter().enumerate() {
        let record = format!("build: \"{name}\"\ngeneration: small\nvane: 2.00 mm\nslot: 2.07 mm\n");
        papers.put(&format!("builds/{number}.yaml"), record);
    }
    let ran = papers.run(&["check", "builds", "--format", "csv"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let builds: Vec<String> = rows(&ran.out).into_iter().map(|row| row["build"].clone()).collect();
    assert_eq!(builds.len(), names.len());
    for build in &builds {
        assert!(!build.trim_start().starts_with(['=', '-', '@', '\t']), "{build}");
    }
    // Numbers stay numbers, and what is harmless stays as it is.
    assert_eq!(builds[7], "K-1");
    assert_eq!(builds[6], "a,b \"c\"");
    assert_eq!(rows(&ran.out)[0]["value"], "0.07");
}

#[test]
fn no_build_is_lost_and_what_has_no_row_is_said() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.put("builds/bad.yaml", "build: [\n");
    papers.put("builds/other.yaml", "build: P-9\ngeneration: large\n");
    let ran = papers.run(&["check", "builds", "gone", "--format", "csv"]);
    assert_eq!(ran.status, 2);
    let table = rows(&ran.out);
    let grades: Vec<(&str, &str)> =
        table.iter().map(|row| (row["build"].as_str(), row["build_grade"].as_str())).collect();
    assert_eq!(grades, [("P-1", "good"), ("bad", "not judged"), ("P-9", "not judged")]);
    assert!(ran.err.contains("gone"), "{}", ran.err);
    // Rows come in one order, with any number of threads.
    let one = papers.run(&["check", "builds", "--format", "csv", "--threads", "1"]).out;
    assert_eq!(papers.run(&["check", "builds", "--format", "csv", "--threads", "4"]).out, one);
}

#[test]
fn gauges_uncertainty_and_what_is_compared_have_their_columns() {
    let papers = Papers::new();
    papers.put(
        "books/pump.rulebook",
        super::BOOK.replace(
            "pump.gap   standard 0.05 to 0.10 mm   limit at most 0.15 mm",
            "pump.gap standard 0.05 to 0.10 mm limit at most 0.15 mm rounded to 0.01 mm",
        ),
    );
    papers.put("gauges.yaml", "mic: { uncertainty: 3 um }\nbore: { uncertainty: 4 um }\n");
    papers.put(
        "builds/P-1.yaml",
        "build: P-1\ngeneration: small\nvane: { value: 2.000 mm, gauge: mic }\nslot: { value: 2.104 mm, gauge: bore }\n",
    );
    let ran = papers.run(&["check", "builds", "--format", "csv"]);
    let row = &rows(&ran.out)[0];
    // 2.104 − 2.000 = 0.104 mm, compared as 0.10 mm; √(3² + 4²) = 5 µm, k = 2 in both.
    for (column, said) in [("value", "0.104"), ("rounded", "0.1"), ("grade", "good"), ("unit", "mm")] {
        assert_eq!(row[column], said, "{column}: {}", ran.out);
    }
    let mut gauges: Vec<&str> = row["gauges"].split("; ").collect();
    gauges.sort_unstable();
    assert_eq!(gauges, ["bore", "mic"]);
    assert!(row["uncertainty"].starts_with("0.0050"), "{}", row["uncertainty"]);
}

/// Whoever counts the grades of a table or of a document has the numbers of the summary: advisory rows are told apart by the word.
#[test]
fn counting_a_grade_counts_what_binds() {
    let document: Value = serde_json::from_str(&super::examples("json")).unwrap();
    let table = super::examples("csv");
    let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(|row| row.unwrap()).collect();
    let rulings: Vec<&Value> = document["records"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|record| record["rulings"].as_array().unwrap())
        .collect();
    let counts = &document["summary"]["rows"];
    for grade in ["out", "worn", "excused", "unsettled", "unmeasured", "good"] {
        let in_table = rows.iter().filter(|row| row["grade"] == grade).count();
        let in_document = rulings.iter().filter(|ruling| ruling["grade"] == grade).count();
        assert_eq!((in_table as u64, in_document), (counts[grade].as_u64().unwrap(), in_table), "{grade}: {counts}");
    }
    let advisory = rows.iter().filter(|row| row["grade"].starts_with("advisory ")).count() as u64;
    assert!(advisory > 0);
    assert_eq!(advisory, counts["advisory"].as_u64().unwrap() + counts["advisory_unmeasured"].as_u64().unwrap());
    for row in &rows {
        let says = row["grade"].starts_with("advisory ");
        assert_eq!(says, row["advisory"] == "yes" && row["grade"] != "good", "{row:?}");
    }
}
