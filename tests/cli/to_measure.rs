//! What is still to be measured of a half-filled record: a line a part, in place of a finding a row.

use super::Papers;
use super::json::document;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit g = 0.001 kg
choice duty = shop, field
part pump {
    duty : choice shop, field
    tilt : mm, optional
    part gear at drive, idle {
        width  : mm
        mass   : g
        marked : yes/no
        part tooth at 1 to 3 {
            height at a, b : mm
            chipped : yes/no
        }
        derive room : mm = 20 mm - width
    }
    part cover {
        flatness : mm
        bow at a, b, c : mm
        side_bow : mm
    }
}
generation small \"an invented pump\" {
    gear.room      limit at least 0.05 mm                        { from memory }
    gear.mass      limit at most 300 g where duty is field       { from memory }
    gear.marked    limit yes                                     { from memory }
    smallest of tooth.height  limit at least 5 mm                { from memory }
    tooth.chipped  limit no                                      { from memory }
    cover.flatness limit at most 0.05 mm                         { from memory }
    largest of cover.bow  limit at most 0.05 mm                  { from memory }
    cover.side_bow limit at most 0.05 mm   advisory              { from memory }
    pump.tilt      limit at most 1 mm                            { from memory }
}
";

fn shop(record: &str) -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("pump.rulebook", BOOK.replace("choice duty = shop, field\n", ""));
    papers.put("builds/P-1.yaml", format!("build: P-1\ngeneration: small\n{record}"));
    papers
}

fn check(papers: &Papers, more: &[&str]) -> super::Ran {
    papers.run(&[&["check", "builds", "--books", "pump.rulebook"], more].concat())
}

/// Half a gear, an unknown cover.
const HALF: &str = "\
gear:
  drive:
    width: 19.9 mm
    tooth: { 1: { height: { a: 5.1 mm, b: 5.2 mm }, chipped: no }, 2: { height: { a: 5.1 mm }, chipped: no } }
cover:
  flatness: { value: unknown, note: the plate is away }
  bow: { a: 0.01 mm, c: 0.02 mm }
";

#[test]
fn a_half_filled_record_gets_one_line_a_part() {
    let papers = shop(HALF);
    let ran = check(&papers, &[]);
    assert_eq!(ran.status, 1);
    let list = ran.out.split_once('\n').unwrap().1.split_once("\n\n1 build: ").unwrap().0;
    assert_eq!(
        list,
        "\x20 fault    still to measure: 20 readings
    pump        duty
    gear drive  mass, marked, 3 of 6 tooth heights, tooth 3 chipped
    gear idle   width, mass, marked, 6 tooth heights, tooth chipped at all 3
    cover       bow at b
  to do    measure these and write them down; write `unknown` for one that
           cannot be read. `--all` shows each row that waits for them
  code     row-unmeasured

  fault    written as unknown: 1 reading
    cover       flatness (the plate is away) [builds/P-1.yaml:8:13]
  to do    find another way to measure it; without it the build passes only with
           a concession
  code     row-unmeasured

  warning  needed only by unverified rows: 1 reading
    cover       side bow
  to do    the build can pass without these
  code     row-unmeasured"
    );
    // A derived value is never asked for.
    assert!(!ran.out.contains("room"), "{}", ran.out);
    let narrow = check(&papers, &["--width", "40"]);
    assert!(
        narrow.out.contains("\n    gear drive: mass, marked, 3 of 6\n      tooth heights, tooth 3 chipped\n"),
        "{}",
        narrow.out
    );
    let plain = check(&papers, &["--format", "plain"]);
    let line = "builds/P-1.yaml: fault, row-unmeasured: cover: written as unknown: flatness (the plate is away) [builds/P-1.yaml:8:13]\n";
    assert!(plain.out.contains(line), "{}", plain.out);
    let all = check(&papers, &["--all"]);
    assert!(all.out.contains("gear room cannot be judged") || all.out.contains("room cannot be judged"), "{}", all.out);
    assert!(!all.out.contains("still to measure"), "{}", all.out);
}

/// Whether a row lacks a reading, be it advisory or not.
fn is_unmeasured(grade: &Value) -> bool {
    grade == "unmeasured" || grade == "advisory unmeasured"
}

#[test]
fn the_document_has_the_list_and_every_row() {
    let papers = shop(HALF);
    let whole = document(&check(&papers, &["--format", "json"]));
    let record = &whole["records"][0];
    let rulings = record["rulings"].as_array().unwrap();
    let unmeasured: Vec<&Value> = rulings.iter().filter(|ruling| is_unmeasured(&ruling["grade"])).collect();
    let counts = &record["counts"];
    let count = |of: &str| counts[of].as_u64().unwrap();
    assert_eq!(unmeasured.len() as u64, count("unmeasured") + count("advisory_unmeasured"));
    assert_eq!((count("advisory"), &record["unverified"]), (0, &Value::Array(Vec::new())));
    // Each reading that a row lacks is in the list, and the list has no others but those a missing duty decides about.
    let lacking: BTreeSet<&str> = unmeasured
        .iter()
        .flat_map(|ruling| ruling["missing"].as_array().unwrap())
        .map(|path| path.as_str().unwrap())
        .collect();
    let listed = |wanted: &str| -> u64 {
        let lines = record["to_measure"].as_array().unwrap().iter().filter(|line| line["wanted"] == wanted);
        lines.flat_map(|line| line["readings"].as_array().unwrap()).map(|one| one["missing"].as_u64().unwrap()).sum()
    };
    // Both masses wait for the duty.
    assert_eq!(listed("missing") + listed("unknown") + listed("advice"), lacking.len() as u64 + 2, "{lacking:?}");
    assert_eq!((listed("unknown"), listed("advice")), (1, 1));
    let drive = record["to_measure"].as_array().unwrap().iter().find(|line| line["part"] == "gear.drive").unwrap();
    let heights = drive["readings"].as_array().unwrap().iter().find(|one| one["name"] == "tooth height").unwrap();
    assert_eq!((&heights["missing"], &heights["of"]), (&3.into(), &6.into()));
}

/// Other programs get no list: the table has each row with what it lacks, SARIF each characteristic with how many positions.
#[test]
fn tables_and_sarif_tell_each_row_that_lacks_a_reading() {
    let papers = shop(HALF);
    let whole = document(&check(&papers, &["--format", "json"]));
    let rulings = whole["records"][0]["rulings"].as_array().unwrap();
    let unmeasured: Vec<&Value> = rulings.iter().filter(|ruling| is_unmeasured(&ruling["grade"])).collect();
    assert!(unmeasured.len() > 12, "{unmeasured:?}");

    let table = check(&papers, &["--format", "csv"]).out;
    let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(|row| row.unwrap()).collect();
    let rows: Vec<_> = rows.iter().filter(|row| row["grade"].ends_with("unmeasured")).collect();
    assert_eq!(rows.len(), unmeasured.len());
    for (row, ruling) in rows.iter().zip(&unmeasured) {
        assert_eq!(row["path"], ruling["path"].as_str().unwrap());
        let missing: Vec<&str> =
            ruling["missing"].as_array().unwrap().iter().map(|one| one.as_str().unwrap()).collect();
        assert!(!missing.is_empty(), "{ruling}");
        assert_eq!(row["missing"], missing.join("; "));
    }

    let sarif = document(&check(&papers, &["--format", "sarif"]));
    let results = sarif["runs"][0]["results"].as_array().unwrap().iter();
    let results: Vec<&Value> = results.filter(|result| result["ruleId"] == "row-unmeasured").collect();
    let positions = |result: &Value| -> usize {
        let text = result["message"]["text"].as_str().unwrap();
        let many = text.split_once(" at ").and_then(|(_, rest)| rest.split_once(" positions"));
        many.map_or(1, |(number, _)| number.parse().unwrap())
    };
    assert_eq!(results.iter().map(|result| positions(result)).sum::<usize>(), unmeasured.len());
    let levels = |level: &str| results.iter().filter(|result| result["level"] == level).count();
    assert_eq!((levels("error"), levels("warning")), (results.len() - 1, 1), "only the side bow is advice");
}

#[test]
fn a_few_missing_readings_are_named_and_what_has_an_error_is_not_among_them() {
    let whole = "\
duty: shop
gear:
  drive: &gear
    width: 19.9 mm
    mass: 280 g
    marked: yes
    tooth:
      1: { height: { a: 5.1 mm, b: 5.2 mm }, chipped: no }
      2: { height: { a: 5.1 mm, b: 5.2 mm }, chipped: no }
      3: { height: { a: 5.1 mm, b: 5.2 mm }, chipped: no }
  idle: *gear
cover: { flatness: 0.01 mm, bow: { a: 0.01 mm, b: 0.02 mm, c: 0.02 mm }, side_bow: 0.01 mm }
";
    let good = check(&shop(whole), &[]);
    assert_eq!(good.status, 0, "{}", good.out);
    assert!(!good.out.contains("measure"), "{}", good.out);
    let one =
        check(&shop(&whole.replacen("2: { height: { a: 5.1 mm, b: 5.2 mm }", "2: { height: { a: 5.1 mm }", 1)), &[]);
    assert!(
        one.out.contains("\n    gear drive  tooth 2 height at b\n    gear idle   tooth 2 height at b\n"),
        "{}",
        one.out
    );
    // What cannot be read as a number is said where it stands.
    let wrong = check(&shop(&whole.replacen("mass: 280 g", "mass: much", 1)), &[]);
    assert!(!wrong.out.contains("still to measure") && wrong.out.contains("`much`"), "{}", wrong.out);
}

/// The first line of a run: the build, its grade and what it rests on.
fn headline(record: &str) -> String {
    let ran = check(&shop(record), &[]);
    ran.out.lines().next().unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn an_unverified_row_nobody_measured_is_not_called_not_good() {
    let empty = headline("duty: shop\n");
    assert_eq!(empty, "P-1 builds/P-1.yaml unmeasured 19 rows: 18 unmeasured, 1 skipped");
    let judged = headline("duty: shop\ncover: { side_bow: 0.09 mm }\n");
    assert!(judged.ends_with("; 1 unverified row is not good"), "{judged}");
    let whole = check(&shop("duty: shop\n"), &[]).out;
    assert!(whole.contains(" unmeasured, 1 unverified not measured, 1 skipped\n"), "{whole}");
}

#[test]
fn the_build_sheet_shows_the_same_list() {
    let papers = shop(HALF);
    let ran = papers.run(&["report", "builds/P-1.yaml", "--books", "pump.rulebook"]);
    assert!(ran.err.is_empty(), "{}", ran.err);
    let page = std::fs::read_dir(papers.path()).unwrap().map(|entry| entry.unwrap().path());
    let page = page
        .filter(|path| path.extension().is_some_and(|ending| ending == "html"))
        .map(|path| std::fs::read_to_string(path).unwrap());
    let page = page.chain([ran.out]).find(|page| page.contains("<html")).unwrap();
    let html = scraper::Html::parse_document(&page);
    let select = |selector: &str| -> Vec<String> {
        let selector = scraper::Selector::parse(selector).unwrap();
        html.select(&selector).map(|one| one.text().collect::<String>()).collect()
    };
    let parts = select("section[aria-labelledby=missing] dt");
    assert_eq!(parts, ["pump", "gear drive", "gear idle", "cover", "cover", "cover"]);
    let words = select("section[aria-labelledby=missing] dd");
    assert_eq!(words[1], "mass, marked, 3 of 6 tooth heights, tooth 3 chipped");
    assert_eq!(words[4], "flatness (the plate is away) [builds/P-1.yaml:8:13]");
}
