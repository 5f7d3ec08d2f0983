//! Whether two gauges, or two people, agree: `trend --by gauge` and by free words, held to another library's comparison.

use super::Papers;
use serde_json::Value;

/// An invented book for an invented pump.
const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    measured_by : text, optional
    part gear at drive, idle {
        width : mm, 1 reading or more
        derive clearance : mm = cover.depth - largest of width
    }
    part cover at drive, idle { depth : mm }
}
generation small \"an invented pump\" { smallest of gear.width limit above 0 mm { from common practice } }
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    papers.put("gauges.yaml", "mic-1: { uncertainty: 0.001 mm }\nmic-2: { uncertainty: 0.001 mm }\n");
    papers
}

fn record(number: usize, more: &str) -> String {
    format!("build: P-{number:02}\nfinished: 2026-03-{:02}\ngeneration: small\n{more}", 1 + number % 28)
}

fn groups(papers: &Papers, arguments: &[&str]) -> Value {
    let ran = papers.run(&[&["trend"], arguments, &["builds", "--format", "json"]].concat());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    let document: Value = serde_json::from_str(&ran.out).unwrap();
    document["charts"][0]["groups"].clone()
}

fn figure(value: &Value) -> f64 {
    value.as_str().map_or_else(|| value.as_f64().unwrap(), |text| text.parse().unwrap())
}

/// How many values a group has, and their mean.
fn group(groups: &Value, name: &str) -> (u64, f64) {
    let all = groups["groups"].as_array().unwrap();
    let one = all.iter().find(|group| group["name"] == name).unwrap_or_else(|| panic!("{name} in {groups}"));
    (one["count"].as_u64().unwrap(), figure(&one["mean"]))
}

#[test]
fn two_gauges_and_two_people_compare_as_another_library_has_it() {
    let library: Value = serde_json::from_str(include_str!("../outside/data/statistics_library.json")).unwrap();
    let entry = &library["welch"][0];
    let papers = shop();
    let mut number = 0;
    let sides = [("first", "mic-1", "Anna Invented"), ("second", "mic-2", "'Ben, Invented'")];
    for (side, gauge, who) in sides {
        for value in entry[side].as_array().unwrap() {
            number += 1;
            let value = value.as_str().unwrap();
            let more = format!(
                "measured_by: {who}\ngear: {{ drive: {{ width: {{ value: {value} mm, gauge: {gauge} }} }} }}\n\
                 cover: {{ drive: {{ depth: {{ value: 30 mm, gauge: mic-1 }} }} }}\n"
            );
            papers.put(&format!("builds/P-{number:02}.yaml"), record(number, &more));
        }
    }
    let (first, second) = (entry["first"].as_array().unwrap().len(), entry["second"].as_array().unwrap().len());
    for (by, names) in [("gauge", ["mic-1", "mic-2"]), ("measured_by", ["Anna Invented", "Ben, Invented"])] {
        let found = groups(&papers, &["gear.drive.width", "--by", by]);
        assert_eq!(group(&found, names[0]).0, first as u64);
        assert_eq!(group(&found, names[1]).0, second as u64);
        let pair = &found["pairs"][0];
        for (ours, theirs) in [("t", "t"), ("degrees_of_freedom", "freedom"), ("p", "p")] {
            let (found, expected) = (figure(&pair[ours]), figure(&entry[theirs]));
            assert!((found - expected).abs() <= 1e-8 * expected.abs(), "{by} {ours}: {found} for {expected}");
        }
    }
    // What is worked out from readings by two gauges is of neither of them alone.
    let derived = groups(&papers, &["gear.drive.clearance", "--by", "gauge"]);
    assert_eq!((group(&derived, "mic-1").0, group(&derived, "mic-1 and mic-2").0), (first as u64, second as u64));
    let drawn = papers.run(&["trend", "gear.drive.width", "builds", "--by", "gauge", "--short"]);
    assert!(drawn.out.contains("  by gauge:\n    mic-1  12 builds  mean "), "{}", drawn.out);
}

#[test]
fn one_part_measured_by_both_is_a_value_for_each() {
    let papers = shop();
    for (number, values) in [
        (
            1,
            "[{ value: 20.00 mm, gauge: mic-1 }, { value: 20.02 mm, gauge: mic-1 }, { value: 20.05 mm, gauge: mic-2 }]",
        ),
        (2, "[{ value: 20.01 mm, gauge: mic-1 }, { value: 20.04 mm, gauge: mic-2 }, 20.03 mm]"),
        (3, "{ value: [20.02 mm, 20.04 mm], gauge: mic-2 }"),
        (4, "20.03 mm"),
    ] {
        papers.put(
            &format!("builds/{number}.yaml"),
            record(number, &format!("gear: {{ drive: {{ width: {values} }} }}\n")),
        );
    }
    let found = groups(&papers, &["gear.drive.width", "--by", "gauge"]);
    let near = |(count, mean): (u64, f64), expected: (u64, f64)| {
        assert!(count == expected.0 && (mean - expected.1).abs() < 1e-9, "{count} {mean} for {expected:?}");
    };
    // By mic-1 the means are 20.01 and 20.01, by mic-2 20.05, 20.04 and 20.03; two values say no gauge.
    near(group(&found, "mic-1"), (2, 20.01));
    near(group(&found, "mic-2"), (3, 20.04));
    assert_eq!(found["ungrouped"], 2);
    assert!((figure(&found["pairs"][0]["difference"]) - 0.03).abs() < 1e-9);
    // With a word there is one value, by the gauge of the reading that is picked.
    let largest = groups(&papers, &["largest of gear.drive.width", "--by", "gauge"]);
    assert_eq!((group(&largest, "mic-2").0, largest["ungrouped"].as_u64()), (3, Some(1)));
}

#[test]
fn a_reading_of_that_name_is_meant_first() {
    let papers = shop();
    papers.put("books/pump.rulebook", BOOK.replace("measured_by : text", "gauge : choice old, new"));
    for (number, which) in [(1, "old"), (2, "new")] {
        let more = format!("gauge: {which}\ngear: {{ drive: {{ width: {{ value: 20 mm, gauge: mic-1 }} }} }}\n");
        papers.put(&format!("builds/{number}.yaml"), record(number, &more));
    }
    let found = groups(&papers, &["gear.drive.width", "--by", "gauge"]);
    let names: Vec<&Value> = found["groups"].as_array().unwrap().iter().map(|group| &group["name"]).collect();
    assert_eq!(names, ["old", "new"]);
}
