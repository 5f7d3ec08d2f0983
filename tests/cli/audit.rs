//! `trochoid audit` from outside: which builds of a small shop move when its rules do, by folder and by revision, and what is
//! refused.

use super::{BOOK, Papers};
use assert_cmd::Command;
use serde_json::Value;

/// The pump's book with a narrower limit for the gap, and the wear asked for in every build.
fn narrower() -> String {
    BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm").replace("wear : mm, optional", "wear : mm")
}

/// A shop whose builds are good, worn near the limit, worn and well inside, and out.
fn shop() -> Papers {
    let papers = Papers::new();
    for (name, gap) in [("P-1", 7), ("P-2", 14), ("P-3", 11), ("P-4", 16)] {
        papers.build(name, gap);
    }
    papers.put("before/pump.rulebook", BOOK);
    papers
}

fn git(papers: &Papers, arguments: &[&str]) {
    let who = ["-c", "user.name=Bench", "-c", "user.email=bench@example.invalid", "-c", "commit.gpgsign=false"];
    let mut command = Command::new("git");
    command.current_dir(papers.path()).args(who).args(arguments).assert().success();
}

fn document(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn the_same_rules_move_nothing() {
    let papers = shop();
    let ran = papers.run(&["audit", "builds", "--before", "before"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert_eq!(
        ran.out,
        "4 builds: 1 fails as before, 3 unmoved\nrulings: 4 as they were\nno build that passed under before fails now\n"
    );
}

#[test]
fn who_fails_now_is_said_first_with_both_ranges_and_margins() {
    let papers = shop();
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    let ran = papers.run(&["audit", "builds", "--before", "before", "--width", "100"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    let expected = "\
fails now  P-2: worn before, out after, small  [builds/P-2.yaml]
  newly fails: gap is 0.14 mm
    before  worn; standard 0.05 to 0.10 mm, limit at most 0.15 mm; 0.04 mm over its standard; 0.01
            mm inside its limit [before/pump.rulebook:12:5]
    after   out; standard 0.05 to 0.10 mm, limit at most 0.12 mm; 0.02 mm over its limit
            [books/pump.rulebook:12:5]
    because: A wide gap lets the vane tilt.
    remedy: Fit a thicker vane.
    caution: Drain the pump first.

fails otherwise  P-4: out before, out after, small  [builds/P-4.yaml]
  still fails: gap is 0.16 mm
    before  out; standard 0.05 to 0.10 mm, limit at most 0.15 mm; 0.01 mm over its limit
            [before/pump.rulebook:12:5]
    after   out; standard 0.05 to 0.10 mm, limit at most 0.12 mm; 0.04 mm over its limit
            [books/pump.rulebook:12:5]

4 builds: 1 fails now, 1 fails otherwise, 2 unmoved
rulings: 1 newly fails, 1 still fails, 2 as they were
1 build that passed under before fails now
";
    assert_eq!(ran.out, expected);
    // Turned round, it passes.
    let back = papers.run(&["audit", "builds", "--before", "books", "--after", "before"]);
    assert_eq!(back.status, 0);
    assert!(back.out.contains("passes now  P-2: out before, worn after"), "{}", back.out);
}

#[test]
fn what_is_newly_asked_for_is_told_with_what_was_not_measured() {
    let papers = shop();
    papers.put("books/pump.rulebook", narrower());
    let ran = papers.run(&["audit", "builds", "--before", "before", "--format", "json"]);
    let document = document(&ran.out);
    assert_eq!((ran.status, document["status"].as_u64()), (1, Some(1)));
    let builds = document["builds"].as_array().unwrap();
    let fates: Vec<_> =
        builds.iter().map(|one| (one["build"].as_str().unwrap(), one["fate"].as_str().unwrap())).collect();
    // Out before unmeasured, then by name.
    assert_eq!(fates, [("P-2", "fails now"), ("P-1", "fails now"), ("P-3", "fails now"), ("P-4", "fails otherwise")]);
    let kinds = |build: &Value| -> Vec<String> {
        build["moves"].as_array().unwrap().iter().map(|one| one["kind"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(kinds(&builds[0]), ["newly fails", "newly asked"]);
    assert_eq!(kinds(&builds[1]), ["newly asked"]);
    assert!(builds[1]["moves"][0]["before"].is_null());
    // Counts agree with what is listed.
    for (kind, count) in document["moves"].as_object().unwrap() {
        let listed = builds.iter().flat_map(kinds).filter(|one| one == kind).count();
        assert_eq!(count.as_u64(), Some(listed as u64), "{kind}");
    }
    // The place of a rule is that rule.
    let row = &builds[0]["moves"][0]["after"]["place"];
    assert_eq!(builds[0]["moves"][0]["after"]["row"], "books/pump.rulebook:12:5");
    let book = std::fs::read_to_string(papers.path().join(row["file"].as_str().unwrap())).unwrap();
    let (start, end) = (row["start"].as_u64().unwrap() as usize, row["end"].as_u64().unwrap() as usize);
    assert!(book[start..end].starts_with("pump.gap   standard"), "{}", &book[start..end]);
}

#[test]
fn an_audit_agrees_with_two_checks() {
    let papers = shop();
    papers.put("books/pump.rulebook", narrower());
    let audit = document(&papers.run(&["audit", "builds", "--before", "before", "--format", "json"]).out);
    for (books, side) in [("before", "before"), ("books", "after")] {
        let check = document(&papers.run(&["check", "builds", "--books", books, "--format", "json"]).out);
        for record in check["records"].as_array().unwrap() {
            let build = audit["builds"].as_array().unwrap().iter().find(|one| one["build"] == record["build"]).unwrap();
            assert_eq!(build[side], record["grade"], "{} by {books}", record["build"]);
        }
    }
}

#[test]
fn the_books_of_an_earlier_revision_are_brought_by_git() {
    let papers = shop();
    git(&papers, &["init", "-q", "."]);
    git(&papers, &["add", "-A"]);
    git(&papers, &["commit", "-q", "-m", "first"]);
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    let ran = papers.run(&["audit", "builds", "--before-rev", "HEAD", "--width", "120"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    assert!(ran.out.contains("[HEAD:books/pump.rulebook:12:5]"), "{}", ran.out);
    assert!(ran.out.ends_with("1 build that passed under the books at HEAD fails now\n"), "{}", ran.out);
    let by_folder = papers.run(&["audit", "builds", "--before", "before", "--width", "120"]);
    assert_eq!(
        ran.out.replace("HEAD:books/", "before/").replace("the books at HEAD", "before"),
        by_folder.out,
        "however they are brought"
    );
    // The revision lies elsewhere each time: what moved is found anew, and a cache does not grow by it.
    let entries: Vec<usize> = (0..2)
        .map(|_| {
            let kept =
                papers.run(&["audit", "builds", "--before-rev", "HEAD", "--width", "120", "--cache", "shop.cache"]);
            assert_eq!((kept.status, kept.err.as_str(), &kept.out), (1, "", &ran.out));
            trochoid::cache::Cache::open(&papers.path().join("shop.cache"), 1).unwrap().len()
        })
        .collect();
    assert!(entries[0] > 0 && entries[0] == entries[1], "{entries:?}");
    // Nothing is left behind, and nothing was changed.
    git(&papers, &["diff", "--quiet", "HEAD", "--", "builds", "before"]);
    for (revision, said) in [
        ("gone", "git has no revision `gone` here"),
        ("--output=x", "git has no revision"),
        ("", "git has no revision"),
    ] {
        let ran = papers.run(&["audit", "builds", &format!("--before-rev={revision}")]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{revision}");
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    // Before the shop had books.
    std::fs::remove_file(papers.path().join("trochoid.yaml")).unwrap();
    git(&papers, &["add", "-A"]);
    git(&papers, &["commit", "-q", "-m", "second"]);
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    let ran = papers.run(&["audit", "builds", "--before-rev", "HEAD"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err.contains("at HEAD there was no trochoid.yaml; name the books with `--before BOOKS`"),
        "{}",
        ran.err
    );
}

#[test]
fn dates_can_be_left_out_of_it() {
    let papers = shop();
    let rows = "house \"Lapwing Pumps\" {\n    for small from 2026-06-01 {\n        \
                tighten pump.gap standard 0.05 to 0.10 mm limit at most 0.12 mm { because \"It tilted.\" }\n    }\n}\n";
    papers.put("books/house.rulebook", format!("rulebook \"House\" edition 2026-06-01\nuse \"pump.rulebook\"\n{rows}"));
    let record = std::fs::read_to_string(papers.path().join("builds/P-2.yaml")).unwrap();
    papers.put("builds/P-2.yaml", format!("finished: 2026-05-01\n{record}"));
    let dated = papers.run(&["audit", "builds/P-2.yaml", "--before", "before"]);
    assert_eq!(dated.status, 0, "finished before the rule: {}{}", dated.out, dated.err);
    let ever = papers.run(&["audit", "builds/P-2.yaml", "--before", "before", "--ignore-dates"]);
    assert_eq!(ever.status, 1);
    assert!(ever.out.contains("fails now  P-2"), "{}", ever.out);
    let as_of = papers.run(&["audit", "builds/P-2.yaml", "--before", "before", "--as-of", "2026-06-01"]);
    assert_eq!(as_of.out, ever.out);
}

#[test]
fn every_ruling_that_differs_can_be_shown() {
    let papers = shop();
    papers.put("books/pump.rulebook", format!("# a line more\n{}", BOOK.replace("at most 0.15", "at most 0.12")));
    let ran = papers.run(&["audit", "builds/P-2.yaml", "--before", "before", "--diff"]);
    let lines: Vec<&str> = ran.out.lines().filter(|line| line.starts_with(['-', '+', '@'])).collect();
    assert_eq!(lines.len(), 5, "{}", ran.out);
    assert_eq!(lines[..2], ["--- before", "+++ after"]);
    assert!(lines[3].starts_with("-gap 0.14 mm: worn; ") && lines[4].starts_with("+gap 0.14 mm: out; "), "{lines:?}");
}

#[test]
fn what_cannot_be_judged_by_both_is_said_and_ends_in_two() {
    let papers = shop();
    papers.put("builds/bad.yaml", "build: [\n");
    papers.put("builds/other.yaml", "build: P-9\ngeneration: large\n");
    let ran = papers.run(&["audit", "builds", "--before", "before"]);
    assert_eq!(ran.status, 2);
    assert_eq!(ran.lines_of("not judged").len(), 2, "{}", ran.out);
    assert!(ran.out.contains("4 builds") || ran.out.contains("6 builds: 2 not judged"), "{}", ran.out);
    // Books with errors are said once, and no record is blamed for them.
    papers.put("before/pump.rulebook", BOOK.replace("0.05 to", "0.05 two"));
    let ran = papers.run(&["audit", "builds", "--before", "before"]);
    assert_eq!((ran.status, ran.err.matches("fault, ").count()), (2, 1), "{}", ran.err);
    assert!(ran.lines_of("not judged").is_empty(), "{}", ran.out);
    for arguments in [&["audit", "builds"][..], &["audit"], &["audit", "gone", "--before", "books"]] {
        assert_eq!(papers.run(arguments).status, 2, "{arguments:?}");
    }
}
