//! Scalars on which YAML readers differ come through as the letters written.
//!
//! Source: YAML 1.1 type repository (bool, int, float, timestamp) against YAML Ain't Markup Language, version 1.2.2,
//! section 10.3.2 (core schema). `data/yaml-scalars.yaml` lists each scalar with the value either version takes it for.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use trochoid::finding::Code;
use trochoid::record::{self, Node};
use trochoid::text::Source;

const LISTED: &str = include_str!("data/yaml-scalars.yaml");

/// Each listed scalar with what a YAML 1.1 and a YAML 1.2 reader take it for. The scalars are cut out of their lines:
/// any YAML reader might take an unquoted one for something else.
fn listed() -> Vec<(String, serde_yaml::Value, serde_yaml::Value)> {
    let items: Vec<serde_yaml::Value> = serde_yaml::from_str(LISTED).expect("the list is YAML");
    let scalars = LISTED.lines().filter_map(|line| line.strip_prefix("    scalar: "));
    let letters = scalars.map(|scalar| scalar.trim_matches('\'').to_owned());
    let listed: Vec<_> = letters
        .zip(&items)
        .map(|(scalar, item)| (scalar, item["expected"]["yaml_1_1"].clone(), item["expected"]["yaml_1_2_core"].clone()))
        .collect();
    assert_eq!(listed.len(), items.len());
    listed
}

/// The text read of a value written after `a: `, with the text underlined.
fn read(written: &str) -> (String, String) {
    let source = Source::new("engine.yaml", format!("µ: °\na: {written}\nb: 1\n"));
    let (sheet, findings) = record::read(&source);
    // What a comment cuts off is read as in any YAML, and said.
    let cut = findings.iter().filter(|finding| finding.code == Code::CommentCuts).count();
    assert_eq!(findings.len(), cut, "{written}: {findings:?}");
    assert_eq!(cut, usize::from(written.contains(" #")), "{written}");
    let sheet = sheet.expect("the record is read");
    let Some(Node::Map(map)) = sheet.root() else { panic!("a map was written") };
    let Some(Node::Scalar(scalar)) = map.get("a") else { panic!("a scalar was written after {written:?}") };
    (scalar.text().to_owned(), scalar.place().text().to_owned())
}

#[test]
fn every_listed_scalar_is_the_text_written() {
    let listed = listed();
    assert_eq!(listed.len(), 18);
    for (scalar, _, _) in &listed {
        // A blank and `#` begin a comment in both versions; the value is what stands before it.
        let written = scalar.split(" #").next().unwrap_or("");
        assert_eq!(read(scalar), (written.to_owned(), written.to_owned()), "{scalar:?}");
    }
}

#[test]
fn where_the_versions_differ_neither_is_followed() {
    let differing: Vec<_> = listed().into_iter().filter(|(_, old, new)| old != new).collect();
    assert!(differing.len() >= 10, "{differing:?}");
    for (scalar, old, new) in differing {
        let (text, _) = read(&scalar);
        for guess in [old, new] {
            let guessed = match guess {
                serde_yaml::Value::Bool(value) => value.to_string(),
                serde_yaml::Value::Number(value) => value.to_string(),
                _ => continue,
            };
            if guessed != scalar {
                assert_ne!(text, guessed, "{scalar:?} was taken for {guessed}");
            }
        }
    }
}

#[test]
fn the_list_itself_reads_as_its_lines_say() {
    let (sheet, findings) = record::read(&Source::new("yaml-scalars.yaml", LISTED));
    assert_eq!(findings, []);
    let sheet = sheet.expect("the list is read");
    let Some(Node::List(items)) = sheet.root() else { panic!("a list is listed") };
    let read: Vec<String> = items
        .items()
        .filter_map(|item| item.as_map()?.get("inputs")?.as_map()?.get("scalar")?.as_scalar())
        .map(|scalar| scalar.text().to_owned())
        .collect();
    let lines: Vec<String> = listed().into_iter().map(|(scalar, _, _)| scalar).collect();
    assert_eq!(read, lines);
}
