//! `-` in place of a file: what is piped in is judged, explained, planned and imported as the same text in a file is.

use super::{Papers, record};
use std::io::Write;
use std::process::{Command, Stdio};

/// What a run with something piped in printed, on either stream, and its status.
fn piped(papers: &Papers, arguments: &[&str], input: &str) -> (String, i32) {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin("trochoid"));
    command.current_dir(papers.path()).args(arguments);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Who never reads it is found out by what is printed.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    let said = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap()).concat();
    (said, output.status.code().unwrap())
}

/// A run on a file, as one on standard input would say it.
fn on_file(papers: &Papers, arguments: &[&str], file: &str) -> (String, i32) {
    let ran = papers.run(arguments);
    (format!("{}{}", ran.out, ran.err).replace(file, "standard input"), ran.status)
}

#[test]
fn every_command_that_reads_a_record_reads_it_from_a_pipe() {
    let papers = Papers::new();
    let text = record("P-1", 20);
    papers.put("P-1.yaml", &text);
    for arguments in [
        &["check", "FILE", "--format", "plain"][..],
        &["check", "FILE", "--format", "json"],
        &["explain", "FILE", "gap"],
        &["identify", "FILE"],
        &["rework", "FILE"],
        &["trend", "gap", "FILE", "--format", "plain"],
        &["audit", "FILE", "--before", "books"],
    ] {
        let with = |word: &'static str| {
            arguments.iter().map(|one| if *one == "FILE" { word } else { one }).collect::<Vec<_>>()
        };
        let (said, status) = piped(&papers, &with("-"), &text);
        let (expected, meant) = on_file(&papers, &with("P-1.yaml"), "P-1.yaml");
        assert_eq!(status, meant, "{arguments:?}: {said}");
        // Some name the path as it was given, others the text that was read.
        let same = |text: &str| text.replace("standard input", "-").split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(same(&said), same(&expected), "{arguments:?}");
    }
    let (page, status) = piped(&papers, &["report", "-"], &text);
    assert!(status == 1 && page.starts_with("<!DOCTYPE html>") && page.contains("0.20 mm"), "{page}");
}

#[test]
fn tables_and_rulebooks_are_read_from_a_pipe() {
    let papers = Papers::new();
    let table = "build,generation,vane,slot\nP-7,small,2.00 mm,2.07 mm\n";
    let (said, status) = piped(&papers, &["import", "-", "--to", "."], table);
    assert_eq!(status, 0, "{said}");
    assert_eq!(papers.run(&["check", "P-7.yaml", "--quiet"]).status, 0);
    let (said, _) = piped(&papers, &["import", "-", "--format", "plain"], "build,generation,gpa\nP-8,small,1 mm\n");
    assert!(said.contains("standard input:1:18: fault, column-unknown"), "{said}");
    let (said, status) = piped(&papers, &["prove", "-"], super::BOOK);
    assert!(status == 0 && said.contains("nothing is proved wrong"), "{said}");
    let (said, status) = piped(&papers, &["check", "-", "--books", "books"], "build: P-1\ngeneration: smal\n");
    assert!(status == 1 && said.contains("standard input:2:13"), "{said}");
}

#[test]
fn what_is_piped_in_may_be_wrong_as_a_file_may() {
    let papers = Papers::new();
    let (said, status) = piped(&papers, &["check", "-"], "");
    assert!(status != 0 && said.contains("standard input"), "{said}");
    let (said, status) = piped(&papers, &["check", "-"], &"#".repeat((1 << 20) + 1));
    assert!(status == 2 && said.contains("standard input is too large"), "{said}");
    let (said, status) = piped(&papers, &["explain", "-"], "");
    assert!(status == 2 && said.starts_with("trochoid: name the row of the record"), "{said}");
    // Twice is the same text twice.
    let (said, status) = piped(&papers, &["check", "-", "-", "--quiet"], &record("P-1", 7));
    assert!(status == 0 && said.contains("2 builds: 2 good"), "{said}");
    // In a settings file it is a file, and nothing is waited for.
    papers.put("P-1.yaml", record("P-1", 7));
    papers.put("trochoid.yaml", "books: ['-']\n");
    let (said, status) = piped(&papers, &["check", "."], super::BOOK);
    assert!(status == 2 && said.contains("books-missing"), "{said}");
}
