//! What the program cannot do, said aloud, with status 2; and the rest done all the same.

use super::{BOOK, Papers};

#[test]
fn help_teaches_and_a_bare_command_is_no_success() {
    let papers = Papers::new();
    let asked = papers.run(&["check", "--help"]);
    assert_eq!(asked.status, 0);
    for said in ["trochoid check builds/ --only out", "Exit status:", "--quiet", "--books", "--threads"] {
        assert!(asked.out.contains(said), "{said}");
    }
    for bare in [&["check"][..], &[]] {
        let ran = papers.run(bare);
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains("Usage: trochoid") && ran.err.contains("Example"), "{}", ran.err);
    }
}

#[test]
fn the_nearest_word_is_suggested() {
    let papers = Papers::new();
    for (arguments, nearest) in [
        (&["chek", "builds"][..], "'check'"),
        (&["check", "builds", "--onyl", "out"], "'--only'"),
        (&["check", "builds", "--only", "unmesured"], "'unmeasured'"),
        (&["check", "builds", "--format", "jsn"], "'json'"),
    ] {
        let ran = papers.run(arguments);
        assert_eq!(ran.status, 2, "{arguments:?}");
        assert!(ran.err.contains(nearest), "{}", ran.err);
        assert!(ran.out.is_empty());
    }
}

#[test]
fn nothing_found_is_said_aloud() {
    let papers = Papers::new();
    std::fs::create_dir(papers.path().join("builds")).unwrap();
    for path in ["builds", "builds/"] {
        let ran = papers.run(&["check", path]);
        assert!(
            ran.out.contains(
                "  fault    no records below builds/ (looked for *.yaml, *.yml, *.json)\n  code     no-records\n"
            ),
            "{}",
            ran.out
        );
        assert_eq!(ran.status, 2);
    }
    let ran = papers.run(&["check", "bilds"]);
    assert!(ran.out.contains("path-missing") && !ran.out.contains("no records"), "{}", ran.out);
    assert_eq!(ran.status, 2);
}

#[test]
fn one_missing_path_does_not_stop_the_others() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.build("P-2", 20);
    let ran = papers.run(&["check", "builds/P-1.yaml", "nowhere", "builds/P-2.yaml", "--format", "plain"]);
    let at = |said: &str| ran.out.find(said).unwrap_or_else(|| panic!("{said} in\n{}", ran.out));
    assert!(at("P-1.yaml: good") < at("path-missing") && at("path-missing") < at("P-2.yaml: out"));
    assert_eq!(ran.status, 2);
}

#[test]
fn a_file_that_cannot_be_read_is_2_and_the_rest_goes_on() {
    let papers = Papers::new();
    papers.put("builds/A.yaml", [0xff, 0xfe, 0x00]);
    papers.build("P-1", 7);
    let ran = papers.run(&["check", "builds", "--quiet"]);
    assert!(ran.out.contains("not-utf8"), "{}", ran.out);
    assert!(ran.out.contains("1 build: 1 good") && ran.out.contains("1 record could not be judged"), "{}", ran.out);
    assert_eq!(ran.status, 2);
}

#[test]
fn an_error_in_a_record_fails_the_build_and_not_the_run() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", "build: P-1\ngeneration: small\nvane: 2.00\nslot: 2.07 mm\nslto: 1 mm\n");
    papers.put("builds/P-2.yaml", "build: P-2\ngeneration: smal\nvane: 2.00 mm\nslot: 2.07 mm\n");
    papers.build("P-3", 7);
    let ran = papers.run(&["check", "builds"]);
    assert!(ran.lines_of("P-1")[0].contains("2 errors in the record"), "{}", ran.out);
    assert!(ran.lines_of("P-2")[0].contains("not judged"), "{}", ran.out);
    assert!(ran.lines_of("P-3")[0].contains("good"), "{}", ran.out);
    for code in ["unit-missing", "key-unknown", "generation-unknown"] {
        assert!(ran.out.contains(code), "{code} in\n{}", ran.out);
    }
    assert_eq!(ran.status, 1, "{}", ran.out);
}

#[test]
fn a_bad_book_is_told_once_before_its_records_and_other_shops_go_on() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.put("other/trochoid.yaml", "books: [bad.rulebook]\n");
    papers.put("other/bad.rulebook", BOOK.replace("slot - vane", "slto - vane"));
    papers.put("other/Q-1.yaml", super::record("Q-1", 7));
    papers.put("other/Q-2.yaml", super::record("Q-2", 20));
    let ran = papers.run(&["check", "other", "builds"]);
    assert_eq!(ran.out.matches("name-unknown").count(), 1, "{}", ran.out);
    assert!(ran.out.find("name-unknown") < ran.out.find("\nQ-1"), "{}", ran.out);
    for name in ["Q-1", "Q-2"] {
        assert!(ran.lines_of(name)[0].contains("not judged  its rulebooks have errors"), "{}", ran.out);
    }
    assert!(ran.lines_of("P-1")[0].contains("good"), "{}", ran.out);
    assert_eq!(ran.status, 2);
    let quiet = papers.run(&["check", "other", "--quiet"]);
    assert!(quiet.out.contains("name-unknown"), "{}", quiet.out);
}

#[test]
fn books_named_on_the_command_line_judge_every_record() {
    let papers = Papers::new();
    papers.build("P-1", 12);
    papers.put("trial/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.11 mm"));
    assert_eq!(papers.run(&["check", "builds"]).status, 0);
    for books in ["trial", "trial/pump.rulebook"] {
        let ran = papers.run(&["check", "builds", "--books", books]);
        assert!(ran.lines_of("P-1")[0].contains("out"), "{}", ran.out);
        assert_eq!(ran.status, 1);
    }
    let ran = papers.run(&["check", "builds", "--books", "nowhere"]);
    assert!(ran.out.contains("books-missing"), "{}", ran.out);
    assert_eq!(ran.status, 2);
}

/// Folders of links to one another are more folders than any disk holds.
#[cfg(unix)]
#[test]
fn rulebooks_are_not_looked_for_without_end() {
    let papers = Papers::new();
    for deep in 0..7 {
        let folder = papers.path().join(format!("many/{deep}"));
        std::fs::create_dir_all(&folder).unwrap();
        for number in 0..10 {
            std::os::unix::fs::symlink(format!("../{}", deep + 1), folder.join(format!("n{number}"))).unwrap();
        }
    }
    std::fs::create_dir_all(papers.path().join("many/7")).unwrap();
    papers.put("shop/trochoid.yaml", "books: [../many/0]\n");
    papers.put("shop/P-1.yaml", super::record("P-1", 7));
    let ran = papers.run(&["check", "shop", "--format", "plain"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.out.contains(
            "rulebooks are not looked for in shop/../many/0: more than 100000 files and folders are below it"
        ) || ran
            .out
            .contains("rulebooks are not looked for in many/0: more than 100000 files and folders are below it"),
        "{}{}",
        ran.out,
        ran.err
    );
}

#[test]
fn settings_that_are_something_else_are_told_in_words_of_the_file() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    for settings in ["pumps", "[books/]", "7", "books: { a: b }", "books: [[a]]", "shop: [a]", "gauges: {}"] {
        papers.put("trochoid.yaml", settings);
        let ran = papers.run(&["check", "builds", "--format", "plain"]);
        assert_eq!(ran.status, 2, "{settings}: {}", ran.out);
        assert!(ran.out.contains("the shop's settings cannot be read: "), "{settings}: {}", ran.out);
        for word in ["Written", "OneOrMany", "struct", "enum", "variant", "invalid"] {
            assert!(!ran.out.contains(word), "{settings}: {}", ran.out);
        }
    }
}

/// Each mistake in the settings is a finding of its own, at its line and column, with the line it is on.
#[test]
fn mistakes_in_the_settings_have_their_place() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nboooks: [books/]\ngauges: { a: b }\nshelf: [parts/, [more/]]\n");
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    for line in [
        "trochoid.yaml:2:1: fault, settings-wrong: there is no setting called `boooks`\n    to do: write `books`\n",
        "trochoid.yaml:3:9: fault, settings-wrong: the shop's settings cannot be read: `gauges` is one file\n",
        "trochoid.yaml:4:17: fault, settings-wrong: the shop's settings cannot be read: `shelf` is a file or folder, or a list",
    ] {
        assert!(ran.out.contains(line), "{line} in {}", ran.out);
    }
    assert_eq!((ran.status, ran.out.matches("settings-wrong").count()), (2, 3), "{}", ran.out);
    let drawn = papers.run(&["check", "builds"]).out;
    assert!(
        drawn.contains("  where    trochoid.yaml:3:9: this value\n")
            && drawn.contains("\n           gauges: { a: b }\n"),
        "{drawn}"
    );
    // What is not YAML at all is shown where it stops to be.
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/\n");
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(
        ran.status == 2 && ran.out.contains("fault, settings-wrong: the shop's settings cannot be read: "),
        "{}",
        ran.out
    );
    assert!(ran.out.starts_with("trochoid.yaml:"), "{}", ran.out);
    // A folder of digits is a folder.
    papers.put("trochoid.yaml", "books: 2026\n");
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(ran.status == 2 && ran.out.contains("books-missing"), "{}", ran.out);
}

/// Whatever is wrong with the command line has one prefix, whoever found it.
#[test]
fn every_wrong_command_line_is_told_under_one_prefix() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    for arguments in [
        &["chek"][..],
        &["check"],
        &["check", "builds", "--onyl", "out"],
        &["check", "builds", "--format", "jsn"],
        &["check", "builds", "--width", "3"],
        &["check", "builds", "--within", "much"],
        &["check", "builds", "--having", "lot"],
        &["check", "builds", "--within", "5%", "--format", "csv"],
        &["check", "builds", "--as-of", "yesterday"],
        &["audit", "builds"],
        &["audit", "builds", "--before-rev", "HEAD"],
        &["bench", "nowhere"],
        &["blank", "smal"],
        &["blank", "small", "--only", "vanes"],
        &["blank", "small", "--output", "no/where.yaml"],
        &["completions", "abacus"],
        &["explain", "row-oot"],
        &["explain", "builds/P-1.yaml", "gap", "--as-of", "soon"],
        &["identify", "pump.widht=3"],
        &["import", "t.csv", "--to", "nowhere"],
        &["import", "t.csv", "--generation", "smal"],
        &["list", "rows"],
        &["list", "rows", "smal"],
        &["list", "books", "none"],
        &["match", "smal"],
        &["match", "small"],
        &["match", "small", "--builds", "many"],
        &["prove", "books", "--generation", "smal"],
        &["report", "builds"],
        &["trend", "gpa", "builds"],
        &["trend", "gap", "builds", "--by", "wether"],
    ] {
        let ran = papers.run(arguments);
        assert_eq!(ran.status, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        let told = ran.err.starts_with("trochoid: ") && ran.err.matches("trochoid: ").count() == 1;
        // A command alone is answered by its help.
        let helped = arguments.len() == 1 && ran.err.contains("Usage: trochoid ");
        assert!(told || helped, "{arguments:?}: {}", ran.err);
        assert!(!ran.err.contains("error: "), "{arguments:?}: {}", ran.err);
    }
}
