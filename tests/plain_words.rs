//! Words that do not come back: phrases that nobody says aloud, in messages, help, pages, documents and rulebooks.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;

/// What is not written, and what is written instead. Small letters; found in any case.
const GONE: &[(&str, &str)] = &[
    ("worked out", "calculated"),
    ("nought", "zero"),
    ("is said twice", "is given twice"),
    ("said again here", "given again here"),
    ("said first here", "given first here"),
    ("is called `", "there is no … called `"),
    ("no book knows", "there is no … called"),
    ("mend the ", "correct the"),
    ("mend what", "correct"),
    ("until it is mended", "until it is corrected"),
    ("mostly", "usually"),
    ("spreadsheet made over", "changed"),
    ("never written over", "never overwritten"),
    ("no file is written over", "no existing file is overwritten"),
    ("written anew only", "overwritten only"),
    ("exists already and was left as it", "already exists and was left unchanged"),
    ("is there already and is as it was", "already exists and was left unchanged"),
    ("full-width letters", "full-width characters"),
    ("hidden letters", "hidden characters"),
    ("no letter of utf", "not valid UTF-8"),
    ("no day of the calendar", "not a date"),
    ("what parts the", "what separates the"),
    ("that parts them", "that separates them"),
    ("may part them", "may separate them"),
    ("a blank after", "a space after"),
    ("one blank ", "one space"),
    ("one more blank", "one more space"),
    ("two blanks", "two spaces"),
    ("blanks around", "spaces around"),
    ("blanks before", "spaces before"),
    ("put blanks", "put spaces"),
    ("a build a line", "one build per line"),
    ("a reading a line", "one reading per line"),
    ("one build a file", "one build per file"),
    ("one line a finding", "one line per finding"),
    ("one a size", "one per size"),
    ("for each kelvin", "per kelvin"),
    ("need be guessed", "you need not guess"),
    ("of which nobody", "whose … is not known"),
    ("of what nothing", "if nothing is known about"),
    ("nothing is to be said", "no faults"),
    ("not to be believed", "name what is wrong"),
    ("what is no ", "what is not a"),
    ("that is no ", "that is not a"),
    ("or is no ", "or is not a"),
    ("it is no ", "it is not a"),
    ("is no mistake", "is not a mistake"),
    ("is no measurement", "is not a measurement"),
    ("is none of the columns", "has no column"),
    ("is more than nothing", "must be above zero"),
    ("from above nothing", "above zero"),
    ("takes only as", "name what is taken"),
    ("stands behind another", "comes after another"),
    ("the using book", "the book that uses it"),
    ("largest smallest room", "the most room at the tightest row"),
    ("the papers of", "the files of"),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The phrases of a text that do not come back, each with what to write instead.
fn faults(text: &str) -> Vec<String> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let found = GONE.iter().filter(|(gone, _)| text.contains(gone));
    found.map(|(gone, instead)| format!("`{}`: write `{instead}`", gone.trim())).collect()
}

/// A page without its fenced blocks.
fn prose(text: &str) -> String {
    text.split("```").step_by(2).collect()
}

/// The string literals of Rust text, comments left out, one a line.
fn literals(text: &str) -> String {
    let code: Vec<&str> = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let code = code.join("\n").replace("\\\"", "'").replace("'\"'", "");
    code.split('"').skip(1).step_by(2).map(|literal| literal.replace("\\\n", " ") + "\n").collect()
}

/// The files below a folder whose names end in one of these.
fn files(folder: &str, endings: &[&str]) -> Vec<PathBuf> {
    let entries = walkdir::WalkDir::new(root().join(folder)).sort_by_file_name().into_iter();
    let paths = entries.map(|entry| entry.unwrap().into_path()).filter(|path| path.is_file());
    paths.filter(|path| endings.iter().any(|ending| path.to_string_lossy().ends_with(ending))).collect()
}

/// A file's name from the root of the project, and its faults line by line of what is asked of it.
fn check(paths: &[PathBuf], part: impl Fn(&str) -> String) -> Vec<String> {
    let named = |path: &PathBuf| path.strip_prefix(root()).unwrap().display().to_string();
    let of = |path: &PathBuf| {
        let said = faults(&part(&fs::read_to_string(path).unwrap()));
        said.into_iter().map(|fault| format!("{}: {fault}", named(path))).collect::<Vec<_>>()
    };
    paths.iter().flat_map(of).collect()
}

#[test]
fn no_message_page_or_book_says_what_nobody_says() {
    let mut sentences = files("src", &["wording.rs", "words.rs"]);
    let beside = files("src", &[".rs"]).into_iter().filter(|path| {
        let name = path.file_name().unwrap().to_string_lossy();
        name.starts_with("wording_") || name.starts_with("words_")
    });
    sentences.extend(beside);
    let mut pages = files("specs", &[".md"]);
    pages.extend(files("src/explain/codes", &[".md"]));
    pages.extend(["README.md", "DEVELOPERS.md"].map(|page| root().join(page)));
    let mut books = files("specs", &[".rulebook"]);
    books.extend(files("examples", &[".rulebook", ".yaml"]));
    assert!(sentences.len() >= 40 && pages.len() >= 100 && books.len() >= 40, "the files were not found");
    let mut all = check(&sentences, literals);
    all.extend(check(&pages, prose));
    all.extend(check(&books, str::to_owned));
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn no_help_says_what_nobody_says() {
    let help = |words: &[&str]| {
        let ran = Command::cargo_bin("trochoid").unwrap().args(words).arg("--help").output().unwrap();
        assert!(ran.status.success(), "{words:?}");
        String::from_utf8(ran.stdout).unwrap()
    };
    let whole = help(&[]);
    let listed = whole.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let commands: Vec<&str> = listed.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(commands.len() >= 15, "{commands:?}");
    let texts = commands.iter().map(|command| (*command, help(&[command]))).chain([("", whole.clone())]);
    let all: Vec<String> = texts
        .flat_map(|(command, text)| faults(&text).into_iter().map(move |fault| format!("{command} --help: {fault}")))
        .collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn a_phrase_that_is_gone_is_found_across_lines_and_in_capitals() {
    assert_eq!(faults("Limits are Worked\n  out from the builds.").len(), 1);
    assert_eq!(faults("Limits are calculated from the builds.").len(), 0);
    assert_eq!(prose("a\n```text\nnought\n```\nb"), "a\n\nb");
    assert_eq!(literals("// \"nought\"\nsay(\"one \\\n two\", '\"', \"three\")").matches("nought").count(), 0);
    assert_eq!(faults(&literals("say(\"a step of \\\n   nought\")")).len(), 1);
    for (gone, instead) in GONE {
        assert!(*gone == gone.to_lowercase() && !faults(&format!("{gone}x")).is_empty(), "{gone}");
        assert!(!instead.to_lowercase().contains(gone), "{gone} is written instead of itself");
    }
}
