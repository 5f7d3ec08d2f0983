//! `trochoid trend --study` and `--subgroups`, and `list gauges`, from outside: what they print of a small shop's records, and
//! what they refuse.

use super::Papers;
use crate::outside::published_study;
use serde_json::Value;

const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part pump {
    part gear at drive, idle {
        width : mm, 1 reading or more
        measured_by : text, optional
    }
}
generation small \"an invented pump\" { each of gear.width limit at most 30 mm { from common practice } }
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    papers
}

fn list(widths: &[String]) -> String {
    widths.iter().map(|width| format!("{width} mm")).collect::<Vec<_>>().join(", ")
}

/// One record by one person: the driving gear of one pump.
fn record(build: &str, day: usize, person: &str, widths: &[String]) -> String {
    let by = if person.is_empty() { String::new() } else { format!(", measured_by: {person}") };
    format!(
        "build: '{build}'\nfinished: 2026-05-{day:02}\ngeneration: small\ngear:\n  drive: {{ width: [{}]{by} }}\n",
        list(widths)
    )
}

/// The published study as records: 20 mm and a reading each, since a width is never below zero.
fn published() -> Papers {
    let papers = shop();
    for (person, parts) in ["A", "B", "C"].iter().zip(published_study()) {
        for (part, trials) in parts.iter().enumerate() {
            let widths: Vec<String> = trials
                .iter()
                .map(|trial| (trial.midpoint() + trochoid::quantity::Number::from_integer(20)).to_decimal(2))
                .collect();
            let name = format!("G-{:02}", part + 1);
            papers.put(&format!("study/{person}-{name}.yaml"), record(&name, part + 1, person, &widths));
        }
    }
    papers
}

const ASKED: [&str; 6] = ["trend", "gear.width", "study", "--by", "measured_by", "--study"];

#[test]
fn the_published_study_is_read_from_records_and_told_in_words() {
    let papers = published();
    let ran = papers.run(&ASKED.into_iter().chain(["--width", "100"]).collect::<Vec<_>>());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 100), "{}", ran.out);
    let folded = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "gauge study by gear.measured_by: A, B and C measured 10 parts 3 times each (90 readings)",
        "the same person again (repeatability)      0.20 mm                  3.4 %",
        "some people with some parts                   none                  0.0 %",
        "measuring in all                           0.30 mm                  7.8 %",
        "one part and another                       1.04 mm                 92.2 %",
        "A  mean 20.19 mm  0.19 mm above the mean of all",
        "C  mean 19.75 mm  0.26 mm below the mean of all",
        "measuring has 27.9 % of the whole deviation: 10 to 30 % may do",
        "4 kinds of part can be told apart",
        "F = 0.434 with 18 and 60 degrees of freedom, p = 0.974",
    ] {
        assert!(folded(&ran.out).contains(&folded(said)), "{said}:\n{}", ran.out);
    }
    let ran = papers.run(&ASKED.into_iter().chain(["--format", "json"]).collect::<Vec<_>>());
    let document: Value = serde_json::from_str(&ran.out).unwrap();
    let study = &document["study"];
    assert_eq!((&study["categories"], &study["pooled"], &study["repeats"]), (&4.into(), &true.into(), &3.into()));
    let measuring: f64 = study["deviations"]["measuring"].as_str().unwrap().parse().unwrap();
    assert!((measuring - 0.302_371_522).abs() < 1e-9, "{measuring}");
    let ran = papers.run(&ASKED.into_iter().chain(["--format", "csv"]).collect::<Vec<_>>());
    assert!(ran.status == 0 && ran.err.starts_with("left out:\n  - 30 values not measured"), "{}", ran.err);
    let rows: Vec<Vec<&str>> =
        ran.out.trim_start_matches('\u{feff}').lines().map(|line| line.split(',').collect()).collect();
    let wide = rows[0].len();
    assert!(wide == 9 && rows.iter().all(|row| row.len() == wide), "{}", ran.out);
    let cell = |source: &str, name: &str, column: &str| {
        let at = rows[0].iter().position(|head| *head == column).unwrap();
        rows.iter().find(|row| (row[0], row[1]) == (source, name)).unwrap()[at].to_owned()
    };
    // The same figures as in JSON, which are those published.
    assert_eq!(cell("measuring", "", "deviation"), study["deviations"]["measuring"].as_str().unwrap());
    assert_eq!(cell("person", "", "sum_of_squares"), study["between_people"]["sum_of_squares"].as_str().unwrap());
    assert_eq!(
        cell("repeatability", "", "degrees_of_freedom"),
        study["between_repeats"]["degrees_of_freedom"].to_string()
    );
    assert_eq!((cell("measuring", "", "share"), cell("part", "", "share")), ("7.8 %".to_owned(), "92.2 %".to_owned()));
    assert_eq!(cell("mean", "C", "value"), study["people"][2]["mean"].as_str().unwrap());
    assert_eq!(cell("categories", "", "value"), "4");
}

#[test]
fn what_is_no_study_says_what_is_missing() {
    let papers = shop();
    let widths = |all: &[&str]| all.iter().map(|one| (*one).to_owned()).collect::<Vec<String>>();
    let two = widths(&["20.00", "20.01"]);
    let says = |papers: &Papers, what: &str| {
        let ran = papers.run(&ASKED);
        assert_eq!(ran.status, 2, "{}", ran.out);
        let folded = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(folded.contains(what), "{what}:\n{}", ran.out);
        let ran = papers.run(&ASKED.into_iter().chain(["--format", "csv"]).collect::<Vec<_>>());
        assert!(ran.status == 2 && ran.err.contains(what) && ran.out.lines().count() == 1, "{}{}", ran.err, ran.out);
    };
    papers.put("study/a1.yaml", record("P-1", 1, "Wren", &two));
    says(&papers, "only Wren measured; it takes two at least");
    papers.put("study/b1.yaml", record("P-1", 1, "Finch", &two));
    says(&papers, "only P-1 was measured; it takes two parts at least");
    papers.put("study/a2.yaml", record("P-2", 1, "Wren", &two));
    says(&papers, "here 2 times; too few: Finch P-2 (0)");
    papers.put("study/b2.yaml", record("P-2", 1, "", &two));
    says(&papers, "no study: P-2 does not say who measured it");
    papers.put("study/b2.yaml", record("P-2", 1, "Finch", &two));
    assert_eq!(papers.run(&ASKED).status, 0);
    for (name, build, person) in
        [("a1", "P-1", "Wren"), ("b1", "P-1", "Finch"), ("a2", "P-2", "Wren"), ("b2", "P-2", "Finch")]
    {
        papers.put(&format!("study/{name}.yaml"), record(build, 1, person, &widths(&["20.00"])));
    }
    says(&papers, "everybody measured each part once");
    // It takes --by, and is no chart of its own.
    let ran = papers.run(&["trend", "gear.width", "study", "--study"]);
    assert!(ran.status == 2 && ran.err.contains("--by"), "{}", ran.err);
}

#[test]
fn means_and_ranges_are_charted_with_their_constants() {
    let papers = shop();
    for day in 1..=12 {
        let base = if day == 9 { 2050 } else { 2000 + (day * 7) % 5 };
        let spread = if day == 4 { 30 } else { 2 };
        let width = |hundredths: usize| format!("{}.{:02}", hundredths / 100, hundredths % 100);
        let widths = [width(base), width(base + 1), width(base + spread)];
        papers.put(&format!("builds/P-{day:02}.yaml"), record(&format!("P-{day:02}"), day, "", &widths));
    }
    papers.put("builds/P-13.yaml", record("P-13", 13, "", &["20.00".to_owned()]));
    let ran = papers.run(&["trend", "gear.drive.width", "builds", "--subgroups", "--width", "100"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    for said in [
        "gear.drive.width: 12 groups of 3 values",
        "left out, with another number of values: P-13 (1)",
        "(A2 = 1.023)",
        "(D3 = 0, D4 = 2.575)",
        "(mean range over d2 = 1.693)",
        "P-09: its mean of 20.510 mm is above the upper limit",
        "P-04: its range of 0.300 mm is above the upper limit",
    ] {
        assert!(ran.out.contains(said), "{said}:\n{}", ran.out);
    }
    // One value each is no group.
    let ran = papers.run(&["trend", "gear.drive.width", "builds/P-13.yaml", "--subgroups"]);
    assert!(ran.out.contains("means and ranges take 2 to 10 values"), "{}", ran.out);
}

#[test]
fn how_far_a_gauge_moved_between_calibrations_is_listed() {
    let papers = shop();
    papers.put(
        "gauges.yaml",
        "mic-1:\n  - { uncertainty: 2 um, error: 4 um, resolution: 1 um, calibrated: 2026-01-12, due: 2027-01-12 }\n  \
         - { uncertainty: 2 um, error: 1 um, calibrated: 2025-01-10 }\nwrench-1: { uncertainty: 4 % }\n",
    );
    let ran = papers.run(&["list", "gauges", "--width", "100"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    let folded = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "mic-1 uncertainty 0.0020 mm, resolution 0.0010 mm, error 0.0040 mm, calibrated 2026-01-12, due 2027-01-12",
        "2025-01-10 to 2026-01-12: error +0.0010 mm to +0.0040 mm, moved by +0.0030 mm; uncertainty as before; more than its uncertainty",
        "wrench-1 uncertainty 4 % of the reading (k = 2)",
    ] {
        assert!(folded.contains(said), "{said}:\n{folded}");
    }
    let ran = papers.run(&["list", "gauges", "mic-1"]);
    assert_eq!(ran.status, 2);
}
