//! `check` for people: grades, drawings, counts, order, quiet, colours.

use super::{Papers, record};

#[test]
fn every_grade_has_its_status() {
    for (gap, grade, status) in [(5, "good", 0), (10, "good", 0), (11, "worn", 0), (15, "worn", 0), (16, "out", 1)] {
        let papers = Papers::new();
        papers.build("P-1", gap);
        let ran = papers.run(&["check", "builds"]);
        let line = ran.lines_of("P-1")[0];
        assert_eq!(line.split_whitespace().nth(2), Some(grade), "{line}");
        assert_eq!(ran.status, status, "{}", ran.out);
    }
    let papers = Papers::new();
    papers.put("builds/a.yaml", "build: P-2\ngeneration: small\nvane: 2.00 mm\n");
    let ran = papers.run(&["check", "builds/a.yaml"]);
    assert!(ran.lines_of("P-2")[0].contains("unmeasured"), "{}", ran.out);
    assert_eq!(ran.status, 1);
    papers.put(
        "builds/a.yaml",
        format!(
            "{}concessions:\n  - {{ row: gap, because: spare pump, by: foreman, until: 2027-01-01 }}\n",
            record("P-3", 20).replace("generation", "finished: 2026-05-01\ngeneration")
        ),
    );
    let ran = papers.run(&["check", "builds/a.yaml"]);
    assert!(ran.lines_of("P-3")[0].contains("excused"), "{}", ran.out);
    assert_eq!(ran.status, 0);
}

#[test]
fn a_failing_row_shows_the_reading_the_row_and_the_mend() {
    let papers = Papers::new();
    papers.build("P-1", 20);
    let ran = papers.run(&["check", "builds"]);
    for said in [
        "row-out",
        "builds/P-1.yaml:3:7",
        "books/pump.rulebook:12:",
        "slot: 2.20 mm",
        "limit at most 0.15 mm",
        "because  A wide gap lets the vane tilt.",
        "remedy   Fit a thicker vane.",
        "caution  Drain the pump first.",
        "source   Invented bench sheet, 2026, line 4",
        "1 build: 1 out",
        "the build fails",
        "cannot be put back",
    ] {
        assert!(ran.out.contains(said), "{said} in\n{}", ran.out);
    }
    assert!(!ran.out.contains('\u{1b}'), "no colour in a pipe");
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    assert!(ran.err.is_empty(), "{}", ran.err);
}

#[test]
fn good_builds_are_counted_and_nobody_is_cautioned() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.build("P-2", 12);
    let ran = papers.run(&["check", "."]);
    assert!(ran.out.contains("2 builds: 1 good, 1 worn\n2 rows: 1 good, 1 worn, 2 skipped\nevery build passes\n"));
    assert!(!ran.out.contains("cannot be put back"));
    assert_eq!(ran.status, 0);
}

#[test]
fn only_draws_what_is_asked_for_and_counts_the_rest() {
    let papers = Papers::new();
    papers.build("P-1", 12);
    papers.build("P-2", 20);
    let ran = papers.run(&["check", "builds", "--only", "out"]);
    assert_eq!(ran.out.matches("row-out").count(), 1);
    assert!(!ran.out.contains("row-worn"));
    assert!(ran.out.contains("2 builds: 1 worn, 1 out"));
    let both = papers.run(&["check", "builds", "--only", "out,worn"]);
    assert_eq!((both.out.matches("row-out").count(), both.out.matches("row-worn").count()), (1, 1));
    assert_eq!((ran.status, both.status), (1, 1));
}

#[test]
fn quiet_names_the_builds_that_fail_and_sums_up() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.build("P-2", 12);
    papers.build("P-3", 20);
    let ran = papers.run(&["check", "builds", "--quiet"]);
    assert!(ran.lines_of("P-1").is_empty() && ran.lines_of("P-2").is_empty());
    assert_eq!(ran.lines_of("P-3").len(), 1);
    assert!(!ran.out.contains("row-out") && !ran.out.contains("caution"));
    assert!(ran.out.contains("1 of 3 records fails"), "{}", ran.out);
    assert_eq!(ran.status, 1);
}

#[test]
fn plain_lines_begin_with_their_place() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", "\u{feff}build: µ-1\r\ngeneration: small\r\nvane: 2.00 mm\r\nslot: 2200 µm\r\n");
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert_eq!(ran.lines_of("builds/P-1.yaml: out: µ-1, 1 row: 1 out, 1 skipped").len(), 1, "{}", ran.out);
    assert_eq!(ran.lines_of("builds/P-1.yaml:3:7: fault, row-out: ").len(), 1, "{}", ran.out);
    assert!(ran.out.contains("\n    remedy: Fit a thicker vane.\n"));
    assert_eq!(ran.status, 1);
}

#[test]
fn the_order_is_that_of_the_paths_with_any_number_of_threads() {
    let papers = Papers::new();
    for number in 0..300 {
        papers.build(&format!("P-{number:03}"), 5 + number % 16);
    }
    let one = papers.run(&["check", "builds", "--threads", "1"]);
    let names: Vec<&str> = one.lines_of("P-").iter().filter_map(|line| line.split_whitespace().next()).collect();
    let expected: Vec<String> = (0..300).map(|number| format!("P-{number:03}")).collect();
    assert_eq!(names, expected);
    for threads in ["2", "7"] {
        let many = papers.run(&["check", "builds", "--threads", threads]);
        assert!(many.out == one.out, "{threads} threads print something else");
    }
    let turned = papers.run(&["check", "builds/P-007.yaml", "builds/P-003.yaml"]);
    let names: Vec<&str> = turned.lines_of("P-").iter().filter_map(|line| line.split_whitespace().next()).collect();
    assert_eq!(names, ["P-007", "P-003"]);
}

#[test]
fn colour_comes_when_it_is_asked_for() {
    let papers = Papers::new();
    papers.build("P-1", 20);
    assert!(papers.run(&["check", "builds", "--colour", "always"]).out.contains("\u{1b}["));
    assert!(papers.run(&["check", "builds", "--color", "always"]).out.contains("\u{1b}["));
    assert!(!papers.run(&["check", "builds", "--colour", "never"]).out.contains('\u{1b}'));
    assert!(!papers.run(&["check", "builds"]).out.contains('\u{1b}'));
}

#[test]
fn width_is_kept_to() {
    let papers = Papers::new();
    papers.build("P-1", 20);
    let widest = |ran: &str| ran.lines().map(|line| line.chars().count()).max().unwrap_or(0);
    let narrow = papers.run(&["check", "builds/P-1.yaml", "--only", "out", "--width", "60"]);
    let drawn: Vec<&str> = narrow.out.lines().filter(|line| !line.starts_with("P-1")).collect();
    assert!(widest(&drawn.join("\n")) <= 60, "{}", narrow.out);
    let wide = papers.run(&["check", "builds/P-1.yaml", "--width", "110"]);
    assert!((81..=110).contains(&widest(&wide.out)), "{}", wide.out);
}

#[test]
fn a_hostile_record_steers_no_terminal() {
    let papers = Papers::new();
    papers.put(
        "builds/P-1.yaml",
        "build: \"P\\e[2J\\u009b1m\\u202e\"\ngeneration: small\n\"va\\ene\": 2 mm\nvane: \"2.00\\e]0;x\\a mm\"\nslot: 3 \u{85}mm\nodd\u{202e}: 1\n",
    );
    papers.put("builds/P-2.yaml", "build: \u{1b}[31mx\u{7}\n");
    for format in ["graphic", "plain", "json"] {
        let ran = papers.run(&["check", "builds", "--format", format]);
        let steering =
            |letter: char| (letter.is_control() && letter != '\n') || ('\u{202a}'..='\u{202e}').contains(&letter);
        assert!(!ran.out.contains(steering), "{format}: {:?}", ran.out);
        assert!(ran.status > 0);
    }
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_is_no_panic() {
    use std::io::Read;
    use std::process::{Command, Stdio};
    let papers = Papers::new();
    for number in 0..600 {
        papers.build(&format!("P-{number}"), 20);
    }
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("trochoid"))
        .args(["check", "builds"])
        .current_dir(papers.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 10];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(141));
}

#[test]
fn rules_of_another_day_may_be_asked_for() {
    let papers = Papers::new();
    papers.build("P-1", 9);
    papers.put(
        "books/house.rulebook",
        "rulebook \"House\" edition 2026-06-01\nuse \"pump.rulebook\"\nhouse \"Lapwing Pumps\" {\n    for small from 2026-06-01 { tighten pump.gap standard 0.05 to 0.08 mm limit at most 0.085 mm }\n}\n",
    );
    let before = papers.run(&["check", "builds", "--as-of", "2026-05-31", "--format", "json"]);
    let after = papers.run(&["check", "builds", "--as-of", "2026-06-01", "--format", "json"]);
    assert_eq!((before.status, after.status), (0, 1), "{}\n{}", before.out, after.out);
    let who = "\"words\":\"tightened by Lapwing Pumps from 2026-06-01\"";
    assert!(after.out.contains(who) && !before.out.contains(who), "{}", after.out);
    let wrong = papers.run(&["check", "builds", "--as-of", "1.6.2026"]);
    assert_eq!(wrong.status, 2);
    assert!(wrong.err.contains("YEAR-MONTH-DAY"), "{}", wrong.err);
}
