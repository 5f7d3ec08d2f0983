//! The example programs of the library, built and run as its readme says, and held against what the command line prints.

use std::process::{Command, Output};

fn root() -> &'static str {
    env!("CARGO_MANIFEST_DIR")
}

/// Runs an example program on some arguments.
fn example(name: &str, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO"));
    command.current_dir(root()).args(["run", "--locked", "--quiet", "--example", name, "--"]).args(arguments);
    command.output().unwrap()
}

fn program(arguments: &[&str]) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_trochoid"))
        .current_dir(root())
        .env("TROCHOID_TODAY", "2026-11-28")
        .args(arguments)
        .output()
        .unwrap();
    (output.status.code(), String::from_utf8(output.stdout).unwrap())
}

fn lines(output: &Output) -> Vec<String> {
    String::from_utf8(output.stdout.clone()).unwrap().lines().map(str::to_owned).collect()
}

/// A record of the example shop that fails, and one that passes.
const RECORDS: [&str; 2] = ["examples/kestrel/builds/K-0144.yaml", "examples/kestrel/builds/K-0141.yaml"];

#[test]
fn a_record_is_judged_as_the_command_judges_it() {
    let mut statuses = Vec::new();
    for record in RECORDS {
        let ran = example("judge_a_record", &[record]);
        let (status, plain) = program(&["check", record, "--format", "plain"]);
        assert_eq!(ran.status.code(), status, "{record}: {}", String::from_utf8_lossy(&ran.stderr));
        statuses.push(status);
        let lines = lines(&ran);
        let (_, document) = program(&["check", record, "--format", "json"]);
        let document: serde_json::Value = serde_json::from_str(&document).unwrap();
        let build = &document["records"][0];
        let rows = build["rulings"].as_array().unwrap().len();
        let head = format!("{}: {}, {rows} rows", build["build"].as_str().unwrap(), build["grade"].as_str().unwrap());
        assert_eq!(lines[0], head);
        for said in &lines[1..] {
            let said = said.split_once(": ").map_or(said.as_str(), |(_, rest)| rest);
            assert!(plain.contains(said), "{said}\n{plain}");
        }
    }
    assert_eq!(statuses, [Some(1), Some(0)], "one fails and one passes");
    assert_eq!(example("judge_a_record", &[]).status.code(), Some(2));
}

#[test]
fn every_ruling_is_read() {
    for record in RECORDS {
        let ran = example("read_the_rulings", &[record]);
        assert_eq!(ran.status.code(), Some(0));
        let (_, document) = program(&["check", record, "--format", "json"]);
        let document: serde_json::Value = serde_json::from_str(&document).unwrap();
        let rulings = document["records"][0]["rulings"].as_array().unwrap();
        let lines = lines(&ran);
        let (rows, counts) = lines.split_at(lines.len() - 6);
        assert_eq!(rows.len(), rulings.len(), "{record}");
        for (row, ruling) in rows.iter().zip(rulings) {
            let grade = row.split('\t').nth(1).unwrap();
            assert_eq!(Some(grade), ruling["grade"].as_str(), "{row}");
            let value = ruling["value"].as_str().unwrap_or("not measured");
            assert_eq!(row.split('\t').nth(2), Some(value), "{row}");
        }
        let good = rulings.iter().filter(|ruling| ruling["grade"] == "good").count();
        assert_eq!(counts[0], format!("good: {good}"), "{record}");
    }
}

#[test]
fn a_pile_is_matched_as_the_command_matches_it() {
    let ran = example("match_a_pile", &["examples/gearbox", "two_shaft_five_speed"]);
    let (status, document) =
        program(&["match", "two_shaft_five_speed", "examples/gearbox", "--best", "3", "--format", "json"]);
    assert_eq!(ran.status.code(), status, "{}", String::from_utf8_lossy(&ran.stderr));
    let document: serde_json::Value = serde_json::from_str(&document).unwrap();
    let sets = document["sets"].as_array().unwrap();
    let lines = lines(&ran);
    assert_eq!(lines.len(), sets.len() + 1);
    assert_eq!(lines.last().map(String::as_str), Some("no set is better"));
    for (line, set) in lines.iter().zip(sets) {
        assert!(line.starts_with(set["grade"].as_str().unwrap()), "{line}");
        for part in set["parts"].as_array().unwrap() {
            assert!(line.contains(part["tag"].as_str().unwrap()), "{line}: {part}");
        }
    }
}
