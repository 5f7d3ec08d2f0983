//! Verdict sheets from outside: written by `check --sheets`, held to by `audit --sheets`; what they rest on, what was altered,
//! and what is not overwritten.

use super::{BOOK, Papers, Ran};
use serde_json::Value;
use trochoid::audit::{Digested, Signed};
use trochoid::text::Source;

const SIGN: [&str; 6] = ["check", "builds", "--sheets", "signed", "--signed", "2026-06-01"];

fn shop() -> Papers {
    let papers = Papers::new();
    for (name, gap) in [("P-1", 7), ("P-2", 14), ("spring/P-4", 16)] {
        papers.build(name, gap);
    }
    papers
}

fn read(papers: &Papers, name: &str) -> String {
    std::fs::read_to_string(papers.path().join(name)).unwrap()
}

fn audit(papers: &Papers) -> (Ran, Value) {
    let ran = papers.run(&["audit", "builds", "--sheets", "signed", "--format", "json"]);
    let document = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    (ran, document)
}

fn changed(document: &Value, build: &str) -> Vec<String> {
    let build = document["builds"].as_array().unwrap().iter().find(|one| one["build"] == build).unwrap();
    build["changed"].as_array().unwrap().iter().map(|one| one.as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_digest_is_that_of_the_standards_example() {
    // FIPS 180-4, Secure Hash Standard, 2015; the example of SHA-256 for the message "abc" in NIST's Examples with Intermediate
    // Values.
    let digested = Digested::new(&Source::new("abc.yaml", "abc"));
    assert_eq!(digested.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

#[test]
fn a_sheet_says_all_a_verdict_rests_on() {
    let papers = shop();
    papers.put("gauges.yaml", "mic: { uncertainty: 2 um }\n");
    let ran = papers.run(&SIGN);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""), "as without sheets");
    let text = read(&papers, "signed/P-2.verdict.json");
    let sheet: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        (&sheet["build"], &sheet["grade"], &sheet["written"]),
        (&"P-2".into(), &"worn".into(), &"2026-06-01".into())
    );
    assert_eq!(sheet["version"], env!("CARGO_PKG_VERSION"));
    for (file, digested) in [
        ("builds/P-2.yaml", &sheet["record"]),
        ("books/pump.rulebook", &sheet["books"][0]),
        ("gauges.yaml", &sheet["gauges"]),
    ] {
        assert_eq!(digested["file"], file);
        assert_eq!(digested["sha256"], Digested::new(&Source::new("x", read(&papers, file))).sha256, "{file}");
    }
    let ruling = &sheet["rulings"][0];
    assert_eq!(
        (&ruling["key"], &ruling["value"], &ruling["room"]),
        (&"gap".into(), &"0.14 mm".into(), &"0.01 mm".into())
    );
    assert_eq!(ruling["limit"], "at most 0.15 mm");
    assert_eq!(ruling["source"], "Invented bench sheet, 2026, line 4");
    // Folders stay apart.
    assert!(papers.path().join("signed/spring/P-4.verdict.json").exists());
    // What is read back is what was written.
    assert_eq!(Signed::read(&text).unwrap().write(), text);
}

#[test]
fn nothing_changed_is_said_to_have_changed() {
    let papers = shop();
    papers.run(&SIGN);
    let ran = papers.run(&["audit", "builds", "--sheets", "signed"]);
    assert_eq!(
        (ran.status, ran.out.as_str()),
        (
            0,
            "3 builds: 1 fails as before, 2 unmoved\nrulings: 3 as they were\nno build that passed under signed fails now\n"
        )
    );
}

#[test]
fn what_moved_is_said_with_whether_record_books_or_gauges_did() {
    let papers = shop();
    papers.run(&SIGN);
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    let (ran, document) = audit(&papers);
    assert_eq!(ran.status, 1);
    assert_eq!(changed(&document, "P-2"), ["books"]);
    let moved = &document["builds"][0]["moves"][0];
    assert_eq!((&moved["kind"], &moved["before"]["limit"]), (&"newly fails".into(), &"at most 0.15 mm".into()));
    assert_eq!(moved["after"]["beyond"], "0.02 mm over");
    let text = papers.run(&["audit", "builds", "--sheets", "signed"]).out;
    assert!(text.contains("  changed since it was signed off: books\n"), "{text}");
    // A reading written over, by the old rules.
    papers.put("books/pump.rulebook", BOOK);
    papers.build("P-1", 17);
    papers.put("gauges.yaml", "mic: { uncertainty: 2 um }\n");
    let (ran, document) = audit(&papers);
    assert_eq!((ran.status, changed(&document, "P-1")), (1, vec!["record".to_owned(), "gauges".to_owned()]));
    assert_eq!(document["builds"].as_array().unwrap().len(), 1, "what says the same moved nowhere");
}

#[test]
fn a_sheet_written_by_another_version_says_so() {
    let papers = shop();
    papers.run(&SIGN);
    let mut signed = Signed::read(&read(&papers, "signed/P-1.verdict.json")).unwrap();
    signed.version = "0.0.1".to_owned();
    signed.grade = trochoid::judge::Grade::Worn;
    papers.put("signed/P-1.verdict.json", signed.write());
    let (_, document) = audit(&papers);
    assert_eq!(changed(&document, "P-1"), ["program"]);
}

#[test]
fn a_verdict_that_says_something_else_is_not_overwritten_unasked() {
    let papers = shop();
    papers.run(&SIGN);
    let before = read(&papers, "signed/P-2.verdict.json");
    // The same verdict, on another day and by a book with a remark more: it stays as it was signed.
    papers.put("books/pump.rulebook", format!("# a remark\n{BOOK}"));
    let ran = papers.run(&["check", "builds", "--sheets", "signed", "--signed", "2026-07-01"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    assert_eq!(read(&papers, "signed/P-2.verdict.json"), before);
    // Another verdict.
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    let ran = papers.run(&SIGN);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("signed/P-2.verdict.json says something else and was left unchanged"), "{}", ran.err);
    assert!(ran.err.ends_with("trochoid: 3 verdict sheets were not written\n"), "{}", ran.err);
    assert_eq!(read(&papers, "signed/P-2.verdict.json"), before);
    let mut replace = SIGN.to_vec();
    replace.push("--replace");
    let ran = papers.run(&replace);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    assert!(read(&papers, "signed/P-2.verdict.json").contains("at most 0.12 mm"));
    assert_eq!(audit(&papers).1["builds"].as_array().unwrap().len(), 0);
}

#[test]
fn a_sheet_that_was_altered_is_not_believed() {
    let papers = shop();
    papers.run(&SIGN);
    let whole = read(&papers, "signed/P-2.verdict.json");
    // Any value changed by hand, wherever it stands.
    for (was, altered) in [
        ("\"grade\": \"worn\"", "\"grade\": \"good\""),
        ("0.14 mm", "0.10 mm"),
        ("2026-06-01", "2026-05-01"),
        ("at most 0.15 mm", "at most 0.25 mm"),
    ] {
        assert!(whole.contains(was), "{was}");
        papers.put("signed/P-2.verdict.json", whole.replace(was, altered));
        let (ran, document) = audit(&papers);
        assert_eq!(ran.status, 2, "{altered}");
        assert!(ran.err.contains("signed/P-2.verdict.json was changed after it was written"), "{}", ran.err);
        assert_eq!(document["fates"]["not judged"], 1);
        // Nor is it written over.
        let ran = papers.run(&SIGN);
        assert_eq!(ran.status, 2);
        assert_eq!(read(&papers, "signed/P-2.verdict.json"), whole.replace(was, altered));
    }
    for (text, said) in
        [("", "is not a verdict sheet"), ("{}", "is not a verdict sheet"), ("[1", "is not a verdict sheet")]
    {
        papers.put("signed/P-2.verdict.json", text);
        let (ran, _) = audit(&papers);
        assert!(ran.status == 2 && ran.err.contains(said), "{text}: {}", ran.err);
    }
    std::fs::remove_file(papers.path().join("signed/P-2.verdict.json")).unwrap();
    let (ran, _) = audit(&papers);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err.contains("builds/P-2.yaml has no verdict sheet (looked for signed/P-2.verdict.json)"),
        "{}",
        ran.err
    );
}

#[test]
fn sheets_beside_the_builds_are_no_builds_and_what_cannot_be_judged_gets_none() {
    let papers = shop();
    papers.put("builds/bad.yaml", "build: P-9\ngeneration: large\n");
    let ran = papers.run(&["check", "builds", "--sheets", "builds", "--signed", "2026-06-01"]);
    assert_eq!(ran.status, 1);
    assert!(papers.path().join("builds/P-1.verdict.json").exists());
    assert!(!papers.path().join("builds/bad.verdict.json").exists());
    let again = papers.run(&["check", "builds", "--sheets", "builds", "--signed", "2026-06-01"]);
    assert_eq!((again.out, again.status), (ran.out, 1));
    // A folder that cannot be made is said, and no part of a sheet is left.
    papers.put("taken", "a file\n");
    let ran = papers.run(&["check", "builds/P-1.yaml", "--sheets", "taken", "--signed", "2026-06-01"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("taken/P-1.verdict.json cannot be written"), "{}", ran.err);
    assert_eq!(read(&papers, "taken"), "a file\n");
}

#[test]
fn a_sheet_that_would_be_of_two_records_is_of_neither() {
    let papers = Papers::new();
    papers.put("a/P-1.yaml", super::record("P-1", 7));
    papers.put("b/P-1.yaml", super::record("P-1", 14));
    papers.put("a/P-2.yaml", super::record("P-2", 7));
    papers.put("a/P-2.yml", super::record("P-2", 14));
    papers.put("a/P-3.yaml", super::record("P-3", 8));
    papers.put("signed/P-1.verdict.json", "as it was");
    for replace in [&[][..], &["--replace"]] {
        let ran = papers.run(&[&["check", "a", "b", "--sheets", "signed", "--signed", "2026-06-01"], replace].concat());
        assert_eq!(ran.status, 2);
        for said in [
            "signed/P-1.verdict.json would be the sheet of both a/P-1.yaml and b/P-1.yaml, so neither is written",
            "signed/P-2.verdict.json would be the sheet of both a/P-2.yaml and a/P-2.yml, so neither is written",
            "4 verdict sheets were not written",
        ] {
            assert!(ran.err.contains(said), "{}", ran.err);
        }
        assert_eq!(read(&papers, "signed/P-1.verdict.json"), "as it was");
        assert!(!papers.path().join("signed/P-2.verdict.json").exists());
        assert!(papers.path().join("signed/P-3.verdict.json").exists());
    }
    // One record named twice is one record; and an audit takes no sheet for that of two.
    let ran =
        papers.run(&["check", "a/P-3.yaml", "./a/P-3.yaml", "a/../a", "--sheets", "again", "--signed", "2026-06-01"]);
    assert!(papers.path().join("again/P-3.verdict.json").exists(), "{}", ran.err);
    let ran = papers.run(&["audit", "a", "b", "--sheets", "signed"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("would be the sheet of both a/P-1.yaml and b/P-1.yaml"), "{}", ran.err);
}
