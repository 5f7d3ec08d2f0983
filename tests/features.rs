//! What a build has and lacks, whatever features it is made with: `cargo test --no-default-features --test features`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop at the first surprise")]

use std::path::Path;
use std::process::{Command, Output};

/// The feature, whether this build has it, what is asked for, a help, and a word of it.
type Brought = (&'static str, bool, &'static [&'static str], &'static [&'static str], &'static str);

/// A feature with whether this build has it, and what it brings: words that begin a command line, and the words that stand for it in
/// a help.
const BROUGHT: &[Brought] = &[
    ("pages", cfg!(feature = "pages"), &["bench"], &["--help"], "  bench "),
    ("pages", cfg!(feature = "pages"), &["report"], &["--help"], "  report "),
    ("pages", cfg!(feature = "pages"), &["blank", "light_2mm", "--format", "html"], &["blank", "--help"], "- html:"),
    ("pages", cfg!(feature = "pages"), &["blank", "light_2mm", "--paper=a4"], &["blank", "--help"], "--paper"),
    ("editor", cfg!(feature = "editor"), &["language-server"], &["--help"], "  language-server "),
    ("cache", cfg!(feature = "cache"), &["check", "builds", "--cache", "x"], &["check", "--help"], "--cache"),
    ("cache", cfg!(feature = "cache"), &["audit", "builds", "--cache=x"], &["audit", "--help"], "--cache"),
];

/// The program that is looked at: this build's, or one built otherwise that `TROCHOID_PROGRAM` names.
fn program() -> std::ffi::OsString {
    std::env::var_os("TROCHOID_PROGRAM").unwrap_or_else(|| env!("CARGO_BIN_EXE_trochoid").into())
}

/// Whether that program has a feature: as this build, or as `TROCHOID_FEATURES` says of the other.
fn has(feature: &str, is_here: bool) -> bool {
    match std::env::var("TROCHOID_FEATURES") {
        Ok(features) => features.split_whitespace().any(|one| one == feature),
        Err(_) => is_here,
    }
}

fn run(arguments: &[&str]) -> Output {
    let mut command = Command::new(program());
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("TROCHOID_TODAY", "2026-11-28")
        .args(arguments)
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

#[test]
fn help_has_what_is_there_and_what_is_not_is_said() {
    for (feature, is_here, asked, help, word) in BROUGHT {
        let is_here = has(feature, *is_here);
        let helped = run(help);
        assert_eq!(helped.status.code(), Some(0), "{help:?}");
        assert_eq!(text(&helped.stdout).contains(word), is_here, "{help:?}: {word}");
        if !is_here {
            let ran = run(asked);
            let said = text(&ran.stderr);
            assert_eq!(ran.status.code(), Some(2), "{asked:?}: {said}");
            let end = format!("is not in this build: build it with the feature `{feature}`\n");
            assert!(said.starts_with("trochoid: `") && said.ends_with(&end) && said.lines().count() == 1, "{said}");
        }
    }
    // A word that no build knows is not said to be missing.
    let ran = run(&["benches"]);
    assert!(ran.status.code() == Some(2) && !text(&ran.stderr).contains("not in this build"), "{ran:?}");
}

#[test]
fn examples_of_the_help_are_of_this_build() {
    let ran = run(&["--help"]);
    let help = text(&ran.stdout);
    let pages = has("pages", cfg!(feature = "pages"));
    assert_eq!(help.contains("trochoid bench "), pages, "{help}");
    assert_eq!(help.contains("trochoid report "), pages, "{help}");
    assert!(help.contains("trochoid check builds/"), "{help}");
}

/// The example records judged with and without any feature: the same status, and as many rows of each grade.
#[test]
fn a_build_judges_as_every_build_does() {
    for (record, status, counts) in
        [("K-0144.yaml", 1, "252 rows: 249 good, 3 out"), ("K-0141.yaml", 0, "233 rows: 233 good")]
    {
        let path = Path::new("examples/kestrel/builds").join(record);
        let ran = run(&["check", path.to_str().unwrap()]);
        let said = text(&ran.stdout);
        assert_eq!(ran.status.code(), Some(status), "{record}: {said}");
        assert!(said.contains(counts), "{record}: {said}");
    }
}
