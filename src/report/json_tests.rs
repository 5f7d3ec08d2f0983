//! Reads the JSON again with a JSON reader, and looks up its places in the text.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

use super::*;
use crate::finding::{Code, NoteKind};
use crate::report::{CheckFormat, Look, Paper, Stream};
use crate::text::{Source, Span};

const PAPER: Paper = Paper { format: CheckFormat::Json, look: Look::PLAIN, quiet: false };

fn build(name: &str, text: &str) -> Checked {
    let source = Source::new(format!("{name}.yaml"), text);
    let at = text.find("70 µm").unwrap();
    let finding = Finding::new(Code::RowOut, "seal\u{1b}[2J 1: bow is 70 µm")
        .at(source.place(Span::new(at, at + 6)), "measured here")
        .note(NoteKind::Remedy, "fit another");
    let mut counts = Counts::default();
    counts.count(Grade::Out);
    counts.count(Grade::Good);
    Checked {
        file: source.name().to_string(),
        build: name.to_string(),
        generation: Some("third".to_string()),
        finished: crate::quantity::Date::parse("2026-04-18"),
        finished_place: None,
        grade: Some(Grade::Out),
        counts,
        skipped: 1,
        unverified: Vec::new(),
        contradicted: false,
        record_errors: 0,
        unreadable: false,
        findings: vec![finding],
        rulings: Vec::new(),
        part: None,
        to_measure: Vec::new(),
    }
}

fn document(builds: &[Checked]) -> (String, Value) {
    let mut out = Vec::new();
    let mut roll = Stream::begin(PAPER, &mut out).unwrap();
    for build in builds {
        roll.page(&PAPER.page(build)).unwrap();
    }
    roll.end().unwrap();
    let text = String::from_utf8(out).unwrap();
    let value = serde_json::from_str(&text).unwrap();
    (text, value)
}

#[test]
fn a_run_of_any_length_is_one_document() {
    for length in 0..4 {
        let builds: Vec<Checked> = (0..length).map(|number| build(&format!("K-{number}"), "bow: 70 µm")).collect();
        let (_, value) = document(&builds);
        assert_eq!(value["records"].as_array().unwrap().len(), length);
        assert_eq!(value["summary"]["records"], length);
        assert_eq!(value["summary"]["rows"]["out"], length);
        assert_eq!(value["summary"]["builds"]["out"], length);
        assert_eq!(value["summary"]["status"], i32::from(length > 0));
    }
}

#[test]
fn places_are_where_the_text_is() {
    let text = "\u{feff}note: µ°\r\nbow:\t70 µm\r\n";
    let (_, value) = document(&[build("K-1", text)]);
    let place = &value["records"][0]["findings"][0]["place"];
    let bytes = |key: &str| usize::try_from(place[key].as_u64().unwrap()).unwrap();
    assert_eq!(text.get(bytes("start")..bytes("end")).unwrap(), "70 µm");
    let line = text.lines().nth(bytes("line") - 1).unwrap();
    let letters = bytes("end_column") - bytes("column");
    assert_eq!(line.chars().skip(bytes("column") - 1).take(letters).collect::<String>(), "70 µm");
    assert_eq!(place["label"], "measured here");
    assert_eq!(value["records"][0]["finished"], "2026-04-18");
}

#[test]
fn the_document_may_be_printed_and_loses_nothing() {
    let (text, value) = document(&[build("K-\u{9b}1\u{e0041}\u{7f}", "bow: 70 µm")]);
    assert!(!text.chars().any(|letter| letter != '\n' && is_hidden(letter)), "{text:?}");
    assert_eq!(value["records"][0]["build"], "K-\u{9b}1\u{e0041}\u{7f}");
    assert_eq!(value["records"][0]["findings"][0]["message"], "seal\u{1b}[2J 1: bow is 70 µm");
}
