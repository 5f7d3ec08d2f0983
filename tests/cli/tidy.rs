//! `trochoid tidy`, from outside: files rewritten whole or not at all, diffs, exit statuses.

use super::Papers;
use assert_cmd::Command;

const UNTIDY: &str = "rulebook \"A\"   edition 2026-03-01\nclass letter=A,B\n";
const TIDY: &str = "rulebook \"A\" edition 2026-03-01\nclass letter = A, B\n";
const WRONG: &str = "rulebook \"A\"   edition 2026-03-01\nclas letter=A,B\n";

fn papers() -> Papers {
    Papers(tempfile::tempdir().unwrap())
}

fn read(papers: &Papers, name: &str) -> String {
    std::fs::read_to_string(papers.path().join(name)).unwrap()
}

#[test]
fn books_below_a_folder_are_rewritten_and_one_with_errors_is_left_as_it_is() {
    let papers = papers();
    papers.put("books/a.rulebook", UNTIDY);
    papers.put("books/b/wrong.rulebook", WRONG);
    papers.put("books/c.rulebook", UNTIDY.replace('\n', "\r\n"));
    papers.put("books/d.rulebook", TIDY);
    papers.put("books/notes.txt", UNTIDY);
    let ran = papers.run(&["tidy", "books"]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert_eq!(ran.out, "books/a.rulebook: tidied\nbooks/c.rulebook: tidied\n");
    assert!(ran.err.contains("word-unexpected") && ran.err.contains("wrong.rulebook:2:1"), "{}", ran.err);
    for tidied in ["books/a.rulebook", "books/c.rulebook", "books/d.rulebook"] {
        assert_eq!(read(&papers, tidied), TIDY);
    }
    assert_eq!(read(&papers, "books/b/wrong.rulebook"), WRONG);
    assert_eq!(read(&papers, "books/notes.txt"), UNTIDY);
    let names =
        walkdir::WalkDir::new(papers.path()).into_iter().filter(|entry| entry.as_ref().unwrap().file_type().is_file());
    assert_eq!(names.count(), 5, "something was left behind");
    assert_eq!(papers.run(&["tidy", "books/a.rulebook"]).out, "");
}

#[test]
fn a_check_shows_the_difference_and_changes_nothing() {
    let papers = papers();
    papers.put("a.rulebook", UNTIDY);
    papers.put("b.rulebook", TIDY);
    let ran = papers.run(&["tidy", "--check", "a.rulebook", "b.rulebook"]);
    assert_eq!(ran.status, 1);
    assert_eq!(
        ran.out,
        "--- a.rulebook\n+++ a.rulebook (tidy)\n@@ -1,2 +1,2 @@\n-rulebook \"A\"   edition 2026-03-01\n-class letter=A,B\n\
         +rulebook \"A\" edition 2026-03-01\n+class letter = A, B\n"
    );
    assert_eq!(read(&papers, "a.rulebook"), UNTIDY);
    let ran = papers.run(&["tidy", "--check", "b.rulebook"]);
    assert_eq!((ran.status, ran.out.as_str(), ran.err.as_str()), (0, "", ""));
    papers.put("wrong.rulebook", WRONG);
    assert_eq!(papers.run(&["tidy", "--check", "."]).status, 2);
}

#[test]
fn standard_input_is_tidied_to_standard_output() {
    let run = |arguments: &[&str], text: &[u8]| {
        let output =
            Command::cargo_bin("trochoid").unwrap().arg("tidy").args(arguments).write_stdin(text).output().unwrap();
        let (out, err) = (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
        (output.status.code().unwrap(), out, err)
    };
    assert_eq!(run(&["-"], UNTIDY.as_bytes()), (0, TIDY.to_owned(), String::new()));
    let (status, out, _) = run(&["-", "--check"], UNTIDY.as_bytes());
    assert!(status == 1 && out.starts_with("--- standard input\n"), "{out}");
    let (status, out, err) = run(&["-"], WRONG.as_bytes());
    assert!(status == 2 && out.is_empty() && err.contains("standard input:2:1"), "{out}{err}");
    let (status, out, err) = run(&["-"], b"rulebook \"\xb5\"");
    assert!(status == 2 && out.is_empty() && err.contains("not UTF-8"), "{err}");
}

#[test]
fn a_file_that_may_not_be_written_is_said_and_the_others_are_done() {
    let papers = papers();
    papers.put("a.rulebook", UNTIDY);
    papers.put("b.rulebook", UNTIDY);
    let path = papers.path().join("a.rulebook");
    let mut permissions = std::fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&path, permissions).unwrap();
    let ran = papers.run(&["tidy", "."]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("a.rulebook cannot be written and was left unchanged: no permission"), "{}", ran.err);
    assert_eq!(read(&papers, "a.rulebook"), UNTIDY);
    assert_eq!(read(&papers, "b.rulebook"), TIDY);
}

#[test]
fn paths_with_no_rulebook_are_said() {
    let papers = papers();
    papers.put("empty/notes.txt", "x");
    let ran = papers.run(&["tidy", "empty", "missing.rulebook"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("no rulebooks below empty/") && ran.err.contains("missing.rulebook"), "{}", ran.err);
    assert_eq!(papers.run(&["tidy"]).status, 2);
}

#[test]
fn the_shipped_and_the_example_books_are_tidy() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let papers = papers();
    let specs = root.join("specs").display().to_string();
    let examples = root.join("examples").display().to_string();
    let ran = papers.run(&["tidy", "--check", &specs, &examples]);
    assert_eq!((ran.status, ran.out.as_str(), ran.err.as_str()), (0, "", ""));
}
