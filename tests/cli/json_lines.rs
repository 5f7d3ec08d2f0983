//! `check --format jsonl`: the lines say what the one document says, in its order, and a stream that is cut off has whole lines.

use super::{Papers, json::document};
use serde_json::Value;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::process::{Command, Stdio};
use trochoid::judge::GradeSet;
use trochoid::report::{CheckFormat, Look, Paper, Stream};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

fn lines(text: &str) -> Vec<Value> {
    assert!(text.ends_with('\n'));
    text.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"))).collect()
}

fn of_kind(lines: &[Value], kind: &str) -> Vec<Value> {
    let mut some: Vec<Value> =
        lines.iter().filter(|line| line["format"] == format!("trochoid check {kind}")).cloned().collect();
    for line in &mut some {
        let members = line.as_object_mut().unwrap();
        assert_eq!(members.remove("version"), Some(2.into()));
        members.remove("format");
    }
    some
}

#[test]
fn the_lines_say_what_the_document_says() {
    let papers = Papers::new();
    for number in 0..30 {
        papers.build(&format!("P-{number:02}"), 5 + number % 16);
    }
    papers.put("builds/P-40.yaml", "build: \"a\\nb\\r\\u2028c\"\n");
    papers.put("bad/trochoid.yaml", "books: [none.rulebook]\n");
    papers.put("bad/B.yaml", "build: B\n");
    let asked = ["check", "builds", "gone", "bad", "--within", "30%", "--count", "--format"];
    let ran = papers.run(&[&asked[..], &["jsonl"]].concat());
    let whole = document(&papers.run(&[&asked[..], &["json"]].concat()));
    let lines = lines(&ran.out);
    for (kind, member) in [("record", "records"), ("shop", "shops"), ("finding", "paths")] {
        assert_eq!(Value::from(of_kind(&lines, kind)), whole[member], "{kind}");
    }
    assert_eq!(of_kind(&lines, "survey"), [whole["survey"].clone()]);
    assert!(whole["survey"]["within"]["values"].as_array().unwrap().len() > 1);
    assert_eq!(of_kind(&lines, "summary"), [whole["summary"].clone()]);
    assert_eq!(lines.last().unwrap()["format"], "trochoid check summary");
    assert_eq!(lines[0]["format"], "trochoid check shop");
    assert_eq!((ran.status, ran.err.as_str()), (2, ""));
    // Without a question there is no line for its answer.
    let plain = papers.run(&["check", "builds", "--format", "jsonl"]);
    assert!(!plain.out.contains("trochoid check survey"));
}

#[test]
fn a_record_is_on_its_way_before_the_last_one_is_read() {
    let papers = Papers::new();
    for number in 0..1500 {
        papers.build(&format!("P-{number:04}"), 5 + number % 16);
    }
    for taken in [1, 2, 40] {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("trochoid"))
            .current_dir(papers.path())
            .args(["check", "builds", "--format", "jsonl", "--threads", "1"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut reader = BufReader::new(child.stdout.take().unwrap());
        for _ in 0..taken {
            let mut line = String::new();
            reader.read_line(&mut line).unwrap();
            assert!(line.ends_with('\n'));
            serde_json::from_str::<Value>(&line).unwrap();
        }
        // The reader goes away: 1,500 lines are more than the pipe holds.
        drop(reader);
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(141));
        assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    }
}

/// What it is given, write by write.
#[derive(Default)]
struct Pieces(Vec<String>);

impl Write for &mut Pieces {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.push(String::from_utf8(bytes.to_vec()).unwrap());
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn every_line_is_handed_on_whole() {
    let shop = Shop::of_sources(&[Source::new("pump.rulebook", super::BOOK)]);
    assert!(shop.is_sound());
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };
    let paper = Paper { format: CheckFormat::JsonLines, look: Look::PLAIN, quiet: false };
    let mut pieces = Pieces::default();
    let mut roll = Stream::begin(paper, BufWriter::with_capacity(1 << 16, &mut pieces)).unwrap();
    roll.shop(&shop).unwrap();
    for number in 0..300 {
        let record = super::record(&format!("P-{number}"), 5 + number % 16);
        // One line is longer than everything that is held before it is handed on.
        let long = if number == 150 { "x".repeat(100_000) } else { String::new() };
        let source = Source::new(format!("P-{number}{long}.yaml"), record);
        roll.page(&paper.page(&shop.check_source(&source, &ask))).unwrap();
    }
    roll.end().unwrap();
    assert!(pieces.0.len() > 5);
    let cut = pieces.0.iter().position(|piece| !piece.ends_with('\n'));
    assert_eq!(cut, None);
    assert_eq!(lines(&pieces.0.concat()).len(), 302, "a shop, 300 records and a summary");
}
