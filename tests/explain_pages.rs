//! The page of every code, tried: the papers that are said to earn the code do, and the mended ones earn no error at all.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use trochoid::explain::code::{Page, Paper, page, page_names};
use trochoid::finding::Code;

/// Codes whose example is told in words, since no page can hold it, each with the test that shows it.
const ELSEWHERE: &[(&str, &str, &str)] = &[
    ("file-unreadable", "a file without the right to read it", "tests/bad_input.rs"),
    ("run-interrupted", "a run that somebody breaks off", "tests/cli/faults.rs"),
    ("folder-loop", "a symbolic link", "tests/bad_input.rs"),
    ("files-skipped", "a folder of several files", "tests/bad_input.rs"),
    ("not-utf8", "bytes that are no text", "tests/bad_input.rs"),
    ("file-too-large", "a file of megabytes", "tests/bad_input.rs"),
];

/// Errors that come with a code and cannot be kept from its example, each with why.
const ALSO: &[(&str, &str, &str)] = &[
    ("concession-unsigned", "row-out", "what was to be excused stays out"),
    ("concession-ended", "row-out", "what was excused is out again"),
    ("concession-unknown", "row-out", "what was to be excused stays out"),
    ("concession-refused", "row-out", "what cannot be excused stays out"),
];

/// A longer line would not stand whole on eighty columns beside its indent.
const LONGEST_LINE: usize = 76;

/// A record that says nothing, for examples in which only the books matter.
const NO_READINGS: &str = "build: none\n";

fn pages() -> Vec<Page> {
    Code::ALL.iter().filter_map(|code| page(*code).ok()).collect()
}

/// Every finding anywhere in the JSON of a run: its code, and whether it is an error.
fn findings(of: &Value) -> Vec<(String, bool)> {
    match of {
        Value::Array(all) => all.iter().flat_map(findings).collect(),
        Value::Object(members) => match (members.get("code"), members.get("severity")) {
            (Some(code), Some(severity)) => vec![(code.as_str().unwrap().into(), severity == "error")],
            _ => members.values().flat_map(findings).collect(),
        },
        _ => Vec::new(),
    }
}

/// Puts papers into a folder, runs the program there, and gives what it found.
fn found(papers: &[&Paper]) -> Vec<(String, bool)> {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &Path, text: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    for paper in papers.iter().filter(|paper| paper.is_file()) {
        put(Path::new(&paper.name), &paper.text);
    }
    let ends_with = |paper: &&&Paper, ending: &str| paper.name.ends_with(ending);
    let settings = papers.iter().find(|paper| ends_with(paper, "trochoid.yaml"));
    let has_book = papers.iter().any(|paper| ends_with(&paper, ".rulebook"));
    let has_record = papers.iter().any(|paper| paper.name.ends_with(".yaml") && !ends_with(&paper, "trochoid.yaml"));
    let shell = papers.iter().find(|paper| paper.language == "shell");
    let mut arguments = vec!["check", "."];
    if let Some(shell) = shell {
        arguments = shell.text.split_whitespace().skip(1).collect();
    } else {
        if settings.is_none() && has_book {
            arguments.extend(["--books", "."]);
        }
        if !has_record {
            let beside = settings.map_or(Path::new(""), |paper| Path::new(&paper.name).parent().unwrap());
            put(&beside.join("none.yaml"), NO_READINGS);
        }
    }
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    let output = command.current_dir(folder.path()).args(arguments).args(["--format", "json"]).output().unwrap();
    let mut told: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| {
        panic!(
            "no JSON document: {}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        )
    });
    if !has_record && shell.is_none() {
        told["records"] = Value::Null;
    }
    findings(&told)
}

/// The papers of one side of a page, those of both sides first.
fn side<'a>(page: &'a Page, side: &'a [Paper]) -> Vec<&'a Paper> {
    page.both.iter().chain(side).collect()
}

#[test]
fn every_code_has_a_page_and_every_page_a_code() {
    let faults: Vec<String> = Code::ALL.iter().filter_map(|code| page(*code).err()).collect();
    assert!(faults.is_empty(), "write src/explain/codes/<code>.md as src/explain/code.rs says:\n{}", faults.join("\n"));
    let names: BTreeSet<&str> = Code::ALL.iter().map(|code| code.name()).collect();
    for name in page_names() {
        assert!(names.contains(name), "src/explain/codes/{name}.md: no code has that name");
    }
}

#[test]
fn the_pages_inside_the_program_are_those_of_the_folder() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/explain/codes");
    let mut on_disk = BTreeSet::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        assert_eq!(path.extension().unwrap(), "md", "{}", path.display());
        on_disk.insert(path.file_stem().unwrap().to_string_lossy().into_owned());
    }
    let inside: BTreeSet<String> = page_names().into_iter().map(String::from).collect();
    assert_eq!(inside, on_disk, "the compiler sees no new page: touch src/explain/code.rs");
}

#[test]
fn what_is_shown_as_wrong_says_the_code_and_what_is_shown_as_right_no_error() {
    let mut wrong = Vec::new();
    for page in pages() {
        let name = page.code.name();
        if ELSEWHERE.iter().any(|(code, ..)| *code == name) {
            continue;
        }
        let said = found(&side(&page, &page.wrong));
        if !said.iter().any(|(code, _)| code == name) {
            wrong.push(format!("{name}: the wrong example says {said:?}"));
        }
        let allowed = |other: &str| other == name || ALSO.iter().any(|(code, also, _)| *code == name && *also == other);
        if let Some((other, _)) = said.iter().find(|(other, is_error)| *is_error && !allowed(other)) {
            wrong.push(format!("{name}: the wrong example says {other} too"));
        }
        let said = found(&side(&page, &page.right));
        if let Some((other, _)) = said.iter().find(|(other, is_error)| *is_error || other == name) {
            wrong.push(format!("{name}: the right example says {other}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_examples_that_are_not_run_are_shown_by_another_test() {
    for (name, why, test) in ELSEWHERE {
        let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(test)).unwrap();
        assert!(
            text.contains(&format!("\"{name}\"")) || text.contains(&format!(", {name}: ")),
            "{test}: {name}, {why}"
        );
        let page = pages().into_iter().find(|page| page.code.name() == *name).expect("it has a page");
        assert!(page.wrong.iter().any(|paper| paper.language == "text"), "{name} tells in words what is on disk");
    }
}

#[test]
fn a_page_reads_well_and_fits_the_terminal() {
    let mut summaries = BTreeSet::new();
    for page in pages() {
        let name = page.code.name();
        for sentence in page.meaning.iter().chain(&page.mend) {
            assert!(sentence.ends_with('.') || sentence.ends_with('?'), "{name}: {sentence}");
            assert!(sentence.chars().next().is_some_and(|letter| !letter.is_lowercase()), "{name}: {sentence}");
        }
        assert!(page.summary.chars().count() <= 90 && !page.summary.ends_with('.'), "{name}: {}", page.summary);
        assert!(summaries.insert(page.summary.clone()), "{name}: another code has the same line");
        assert_ne!(page.wrong, page.right, "{name}");
        for paper in side(&page, &page.wrong).into_iter().chain(&page.right) {
            for line in paper.text.lines() {
                assert!(line.chars().count() <= LONGEST_LINE, "{name}: a long line: {line}");
                assert!(!line.contains('\t') || name == "yaml-unreadable", "{name}: a tab: {line}");
            }
        }
    }
    assert_eq!(summaries.len(), Code::ALL.len());
}
