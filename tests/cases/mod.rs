//! Every situation with its papers and what the program prints about them, side by side. `TROCHOID_BLESS=1` rewrites the
//! expectations; each changed one is read before it is committed.

use assert_cmd::Command;
use similar::TextDiff;
use std::fs;
use std::path::{Path, PathBuf};
use trochoid::shop::Shop;
use trochoid::text::Source;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

/// The folders of the situations, `<room>/<situation>`.
fn situations() -> Vec<PathBuf> {
    let mut found = Vec::new();
    for room in fs::read_dir(root()).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_dir()) {
        found.extend(fs::read_dir(&room).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_dir()));
    }
    found.sort();
    found
}

/// What the program prints in a situation's folder, and its exit status.
fn said(folder: &Path) -> String {
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(folder);
    // What a folder asks for besides, word by word.
    if let Ok(words) = fs::read_to_string(folder.join("command.txt")) {
        command.args(words.split_whitespace());
    // What is proved needs no record.
    } else if folder.parent().is_some_and(|room| room.ends_with("prove")) {
        command.args(["prove", "book.rulebook"]);
    } else if folder.parent().is_some_and(|room| room.ends_with("import")) {
        command.args(["import", "table.csv", "--generation", "small", "--books", "book.rulebook"]);
        if folder.join("columns.yaml").exists() {
            command.args(["--columns", "columns.yaml"]);
        }
    } else {
        // A file of loose parts, or the record of a build.
        command.args(["check", if folder.join("part.yaml").exists() { "part.yaml" } else { "build.yaml" }]);
        if let Ok(given) = fs::read_to_string(folder.join("given.txt")) {
            command.args(["--given", given.trim()]);
        }
        if folder.join("book.rulebook").exists() {
            command.args(["--books", "book.rulebook"]);
        }
    }
    command.args(["--width", "80", "--colour", "never"]);
    let output = command.output().unwrap();
    let err = String::from_utf8(output.stderr).unwrap();
    assert!(!err.contains("panicked"), "{}: {err}", folder.display());
    let out = String::from_utf8(output.stdout).unwrap();
    let plain: Vec<&str> = out.lines().map(str::trim_end).collect();
    format!("{}\n{err}exit status {}\n", plain.join("\n"), output.status.code().unwrap())
}

#[test]
fn every_situation_is_told_as_expected() {
    let bless = std::env::var_os("TROCHOID_BLESS").is_some();
    let mut wrong = Vec::new();
    let situations = situations();
    assert!(situations.len() >= 380, "only {} situations", situations.len());
    for folder in situations {
        let said = said(&folder);
        let file = folder.join("expect.txt");
        if bless {
            fs::write(&file, &said).unwrap();
            continue;
        }
        let expected = fs::read_to_string(&file).unwrap_or_default();
        if said != expected {
            let difference =
                TextDiff::from_lines(&expected, &said).unified_diff().header("expected", "said").to_string();
            wrong.push(format!("{}\n{difference}", folder.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Whether a finding with this code is drawn, or said in a line.
fn says(said: &str, code: &str) -> bool {
    said.lines().any(|line| line == format!("  code     {code}") || line.contains(&format!(", {code}: ")))
}

/// A snapshot can bless a mistake: every situation is named after a code, or after what it shows, and a code must be said.
#[test]
fn every_situation_named_after_a_code_says_that_code_where_the_papers_point() {
    let mut wrong = Vec::new();
    for folder in situations() {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let expected = fs::read_to_string(folder.join("expect.txt")).unwrap_or_default();
        let code = trochoid::finding::Code::ALL
            .iter()
            .map(|code| code.name())
            .filter(|code| name == *code || name.starts_with(&format!("{code}--")))
            .max_by_key(|code| code.len());
        if let Some(code) = code.filter(|code| !says(&expected, code)) {
            wrong.push(format!("{} does not say {code}", folder.display()));
        }
        // Papers mark the text that must be underlined with a comment `#! TEXT` on the line above it.
        for paper in ["book.rulebook", "build.yaml", "part.yaml"] {
            let Ok(text) = fs::read_to_string(folder.join(paper)) else { continue };
            let lines: Vec<&str> = text.lines().collect();
            for (at, line) in lines.iter().enumerate() {
                let Some(marked) = line.trim().strip_prefix("#! ") else { continue };
                let column = lines[at + 1].find(marked).expect("the marked text stands on the next line");
                let column = lines[at + 1][..column].chars().count() + 1;
                let place = format!("{paper}:{}:{column}", at + 2);
                if !expected.lines().any(|line| {
                    line.ends_with(&place)
                        || line.contains(&format!("{place}: "))
                        || line.contains(&format!("[{place}]"))
                }) {
                    wrong.push(format!("{}: nothing is said at {place}", folder.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is in order is not remarked on, whatever was blessed.
#[test]
fn books_with_nothing_wrong_are_told_so() {
    let folders = situations().into_iter().filter(|folder| {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        folder.parent().is_some_and(|room| room.ends_with("prove")) && name.starts_with("nothing-wrong")
    });
    let said: Vec<(PathBuf, String)> = folders.map(|folder| (folder.clone(), said(&folder))).collect();
    assert!(said.len() >= 4, "only {} of them", said.len());
    for (folder, said) in said {
        assert!(said.ends_with("\nnothing is proved wrong\nexit status 0\n"), "{}: {said}", folder.display());
    }
}

/// What the help says was done to the book beside it: where it is a mend, it mends.
#[test]
fn every_mended_book_has_nothing_left_to_mend() {
    let mut wrong = Vec::new();
    let mut mended = 0;
    for folder in situations() {
        let Ok(text) = fs::read_to_string(folder.join("mended.rulebook")) else { continue };
        mended += 1;
        let spoilt = fs::read_to_string(folder.join("book.rulebook")).unwrap();
        let plain: Vec<&str> = spoilt.lines().filter(|line| !line.trim().starts_with("#! ")).collect();
        assert_ne!(plain, text.lines().collect::<Vec<_>>(), "{}: nothing was mended", folder.display());
        let shop = Shop::of_sources(&[Source::new("mended.rulebook", text)]);
        for finding in shop.findings() {
            wrong.push(format!("{}: {}: {}", folder.display(), finding.code.name(), finding.message));
        }
    }
    assert!(mended >= 213, "only {mended} mended books");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Codes that no folder of papers can show, each with the test that does.
const ELSEWHERE: &[(&str, &str)] = &[
    ("file-unreadable", "tests/bad_input.rs"),
    ("path-missing", "tests/cli/refusals.rs"),
    ("folder-loop", "tests/bad_input.rs"),
    ("no-records", "tests/cli/refusals.rs"),
    ("run-interrupted", "tests/cli/faults.rs"),
    ("files-skipped", "tests/bad_input.rs"),
    ("not-utf8", "tests/bad_input.rs"),
    ("file-too-large", "tests/bad_input.rs"),
    ("settings-wrong", "tests/bad_input.rs"),
    ("books-missing", "tests/bad_input.rs"),
    ("use-missing", "tests/bad_input.rs"),
    ("use-circle", "tests/bad_input.rs"),
    ("use-outside", "tests/bad_input.rs"),
    ("nesting-too-deep", "tests/bad_input.rs"),
    ("record-too-deep", "tests/bad_input.rs"),
    ("alias-too-large", "tests/bad_input.rs"),
    ("record-empty", "tests/bad_input.rs"),
    ("book-too-complex", "tests/bad_input.rs"),
];

#[test]
fn every_code_has_a_case() {
    let names: Vec<String> =
        situations().iter().map(|folder| folder.file_name().unwrap().to_string_lossy().into_owned()).collect();
    for code in trochoid::finding::Code::ALL {
        let name = code.name();
        let here = names.iter().any(|situation| situation == name || situation.starts_with(&format!("{name}--")));
        let there = ELSEWHERE.iter().find(|(code, _)| *code == name).is_some_and(|(_, test)| {
            let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(test)).unwrap_or_default();
            let split = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/mod.rs")).unwrap();
            text.contains(name) || split.contains(name)
        });
        assert!(here || there, "{name} has no case");
    }
}
