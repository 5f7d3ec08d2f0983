//! `check --only`: the rows of the grades named and no others, in every format; advisory rows where they are asked for.

use super::Papers;
use super::json::document;
use serde_json::Value;

/// A gap that is out by a row that binds, and worn by one; a play and a lift that only advisory rows judge.
const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    gap  : mm
    face : mm
    play : mm
    lift : mm
    bow  : mm
}
generation small \"an invented pump\" {
    pump.gap  limit at most 0.20 mm                             { from memory }
    pump.face standard at most 0.10 mm   limit at most 0.20 mm  { from memory }
    pump.play limit at most 0.50 mm   advisory                  { from memory }
    pump.lift standard at most 1.0 mm   limit at most 2.0 mm   advisory { from memory }
    pump.bow  limit at most 0.05 mm                             { from memory }
}
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("pump.rulebook", BOOK);
    papers.put(
        "builds/P-1.yaml",
        "build: P-1\ngeneration: small\ngap: 0.30 mm\nface: 0.15 mm\nplay: 0.60 mm\nlift: 1.5 mm\n",
    );
    papers
}

/// The word of `--only`, and the rows it shows.
const SHOWN: [(&str, &[&str]); 6] = [
    ("out", &["gap"]),
    ("worn", &["face"]),
    ("unmeasured", &["bow"]),
    ("advisory", &["lift", "play"]),
    ("worn,advisory", &["face", "lift", "play"]),
    ("out,worn,unmeasured", &["bow", "face", "gap"]),
];

fn run(papers: &Papers, only: &str, format: &str) -> String {
    let ran = papers.run(&["check", "builds", "--books", "pump.rulebook", "--only", only, "--format", format]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""), "{only} {format}: {}", ran.out);
    ran.out
}

fn sorted(mut rows: Vec<String>) -> Vec<String> {
    rows.sort_unstable();
    rows.dedup();
    rows
}

fn paths(rulings: &Value) -> Vec<String> {
    let path = |ruling: &Value| ruling["path"].as_str().unwrap().to_owned();
    sorted(rulings.as_array().unwrap().iter().map(path).collect())
}

#[test]
fn only_the_grades_named_are_shown_and_advisory_rows_where_asked_for() {
    let papers = shop();
    for (only, shown) in SHOWN {
        for format in ["graphic", "plain"] {
            let out = run(&papers, only, format);
            for row in ["gap", "face", "play", "lift", "bow"] {
                let begins =
                    |line: &&str| ["  fault", "  warning", "    pump "].iter().any(|word| line.starts_with(word));
                let said = out.lines().filter(|line| line.contains("row-") || begins(line)).any(|line| {
                    line.contains(&format!(": {row} ")) || line.contains(&format!(" {row} is ")) || line.ends_with(row)
                });
                assert_eq!(said, shown.contains(&row), "{only} {format} {row}:\n{out}");
            }
            // All are counted whatever is shown.
            assert!(out.contains("5 rows: 1 worn, 1 unmeasured, 1 out"), "{out}");
        }
    }
}

#[test]
fn documents_have_the_same_rows() {
    let papers = shop();
    for (only, shown) in SHOWN {
        let whole = papers.run(&["check", "builds", "--books", "pump.rulebook", "--only", only, "--format", "json"]);
        let record = document(&whole)["records"][0].clone();
        assert_eq!(paths(&record["rulings"]), shown, "{only}");
        assert_eq!(record["findings"].as_array().unwrap().len(), shown.len(), "{only}: {record}");
        assert_eq!((&record["counts"]["out"], &record["counts"]["advisory"]), (&1.into(), &2.into()));
        assert_eq!(record["to_measure"].as_array().unwrap().len(), usize::from(shown.contains(&"bow")));
        let lines = run(&papers, only, "jsonl");
        let line = lines.lines().find(|line| line.contains("\"rulings\"")).unwrap();
        assert_eq!(paths(&serde_json::from_str::<Value>(line).unwrap()["rulings"]), shown, "{only}");
        let table = run(&papers, only, "csv");
        let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
        let column = reader.headers().unwrap().iter().position(|name| name == "path").unwrap();
        let rows = reader.records().map(|row| row.unwrap()[column].to_owned()).collect();
        assert_eq!(sorted(rows), shown, "{only}");
        let sarif: Value = serde_json::from_str(&run(&papers, only, "sarif")).unwrap();
        assert_eq!(sarif["runs"][0]["results"].as_array().unwrap().len(), shown.len(), "{only}");
        // The totals of JUnit XML are of its test cases, so it has them all.
        assert_eq!(run(&papers, only, "junit").matches("<testcase ").count(), 5, "{only}");
    }
    let none = papers.run(&["check", "builds", "--books", "pump.rulebook", "--only", "bad"]);
    assert_eq!(none.status, 2);
    assert!(none.err.contains("advisory"), "{}", none.err);
}

#[test]
fn general_cautions_stand_once_a_run_and_in_short() {
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(["check", "examples/kestrel", "--only", "out"]);
    let out = String::from_utf8(command.output().unwrap().stdout).unwrap();
    let cautions: Vec<&str> = out.lines().filter(|line| line.starts_with("caution: ")).collect();
    assert_eq!(cautions.len(), 1, "{cautions:?}");
    let (_, said) = out.rsplit_once("\ncaution: ").unwrap();
    let folded = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(folded.contains("measure again before anything is cut."), "{folded}");
    assert!(folded.ends_with("In full: `trochoid blank GENERATION`."), "{folded}");
    assert!(!folded.contains("A pass does not prove"), "{folded}");
    // The whole of it is on the sheet to be filled in.
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    let blank = String::from_utf8(command.args(["blank", "light_2mm"]).output().unwrap().stdout).unwrap();
    let bare = blank.lines().map(|line| line.trim_start_matches(['#', ' '])).collect::<Vec<_>>().join(" ");
    assert!(bare.contains("A pass does not prove that an engine is good"), "{bare}");
}
