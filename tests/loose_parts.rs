//! Loose parts in every command that takes them: written out, labelled, printed empty, imported, charted.

use assert_cmd::Command;
use serde_json::Value;
use std::path::Path;

/// A pump of two gears: the drive gear must be heavy, the idle one may be light; `small` and `large` differ in width.
const BOOK: &str = "rulebook \"An invented gear pump\" edition 2026-03-01
unit mm = 0.001 m
unit g  = 0.001 kg
class letter = A, B, C
part pump {
    duty : choice street, race
    part gear at drive, idle {
        width : mm, 1 reading or more
        mass  : g
        mark  : letter, optional
        part tooth at 1, 2 {
            height : mm
        }
    }
    derive mass_gap : g = spread of gear.mass
}
generation small \"20 mm gears\" {
    each of gear.width   limit 19.9 to 20.1 mm { because \"Too wide it binds in its housing.\" }
    smallest of gear.width limit at least 19.8 mm where pump.duty is race
    gear.drive.mass      limit at least 100 g
    gear.idle.mass       limit at least 90 g
    gear.tooth.height    limit 4.9 to 5.1 mm
    pump.mass_gap        limit at most 3 g
    telltale gear.width  19 to 21 mm
}
generation large \"30 mm gears\" {
    each of gear.width  limit 29.9 to 30.1 mm
    gear.tooth.height limit 6.9 to 7.1 mm
    telltale gear.width 29 to 31 mm
}
";

const GEARS: &str = "part: gear
measured: 2026-05-01
parts:
  - { tag: G-1, generation: small, width: [20.00 mm, 20.02 mm], mass: 101 g }
  - { tag: G-2, generation: small, width: 20.00 mm, mass: 95 g }
  - { tag: G-3, generation: small, width: 20.30 mm, mass: 80 g }
  - { tag: G-4, width: 30.00 mm, mass: 95 g }
  - { tag: G-5, mass: 95 g }
  - { tag: G-6, generation: small, width: 20.00 mm, mass: 95 g, state: { scrapped: 2026-04-01, because: \"a tooth is chipped\" } }
";

fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("pump.rulebook", BOOK);
    write("trochoid.yaml", "shop: Invented Pumps\nbooks: pump.rulebook\nshelf: gears.yaml\n");
    write("gears.yaml", GEARS);
    folder
}

fn ran(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let mut command = Command::cargo_bin("trochoid").unwrap();
    let output = command.current_dir(folder).env("TROCHOID_TODAY", "2026-06-01").args(arguments).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr), output.status.code().unwrap())
}

#[test]
fn a_row_of_a_loose_part_is_written_out() {
    let shop = shop();
    let (text, error, status) = ran(shop.path(), &["explain", "gears.yaml", "width", "--tag", "G-3"]);
    assert_eq!((error.as_str(), status), ("", 0), "{text}");
    assert!(text.starts_with("G-3, generation small: 20 mm gears\n\ngear.width\n"), "{text}");
    assert!(text.contains("gear.width = 20.3 mm: out"), "{text}");
    // Where the row differs by position, each is written out as what it is.
    let (text, _, status) = ran(shop.path(), &["explain", "gears.yaml", "gear.mass", "--tag", "G-2"]);
    assert_eq!(status, 0);
    let lines: Vec<&str> = text.lines().filter(|line| line.starts_with("gear.mass")).collect();
    assert_eq!(lines, ["gear.mass, as drive", "gear.mass, as idle"], "{text}");
    assert!(text.contains("gear.mass = 95 g: out") && text.contains("gear.mass = 95 g: good"), "{text}");
    let (text, _, _) = ran(shop.path(), &["explain", "gears.yaml", "gear.idle.mass", "--tag", "G-2"]);
    assert!(text.contains("= 95 g: good") && !text.contains("95 g: out"), "{text}");
}

#[test]
fn what_cannot_be_written_out_of_a_loose_part_says_why() {
    let shop = shop();
    for (arguments, said) in [
        (
            &["explain", "gears.yaml", "width"][..],
            "gears.yaml has 6 parts: say which is meant\n    to do: write `--tag` with one of G-1, G-2, G-3, G-4, G-5, G-6",
        ),
        (
            &["explain", "gears.yaml", "width", "--tag", "G-33"],
            "there is no part tagged `G-33` in gears.yaml\n    to do: write `--tag G-3`",
        ),
        (
            &["explain", "gears.yaml", "pump.mass_gap", "--tag", "G-1"],
            "`pump.mass_gap` cannot be judged on the part alone: another gear must be measured too",
        ),
        (
            &["explain", "gears.yaml", "gear.front.width", "--tag", "G-1"],
            "gear.front.width: no row of generation small judges it",
        ),
        (
            &["explain", "gears.yaml", "width", "--tag", "G-1", "--given", "dutty=race"],
            "there is no reading called `dutty`",
        ),
    ] {
        let (text, error, status) = ran(shop.path(), arguments);
        assert!(error.contains(said), "{arguments:?}: {text}{error}");
        assert!(status > 0, "{arguments:?}");
    }
}

#[test]
fn what_is_given_of_the_machine_decides_which_rows_apply() {
    let shop = shop();
    let row = "smallest of gear.width";
    for (duty, said) in [("race", "the row applies"), ("street", "the row does not apply")] {
        let given = format!("duty={duty}");
        let (text, error, _) = ran(shop.path(), &["explain", "gears.yaml", row, "--tag", "G-1", "--given", &given]);
        assert!(text.contains(said), "{text}{error}");
    }
}

#[test]
fn an_explanation_of_a_part_is_a_document_with_its_tag() {
    let shop = shop();
    let (text, _, _) = ran(shop.path(), &["explain", "gears.yaml", "mass", "--tag", "G-2", "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["build"], Value::Null);
    assert_eq!(document["part"], serde_json::json!({ "part": "gear", "tag": "G-2" }));
    let taken_as: Vec<&Value> = document["verdicts"].as_array().unwrap().iter().map(|one| &one["as"]).collect();
    assert_eq!(taken_as, ["drive", "idle"]);
}

#[test]
fn each_part_has_a_label_with_what_the_man_who_takes_it_must_know() {
    let shop = shop();
    let (page, error, status) = ran(shop.path(), &["report", "gears.yaml"]);
    assert_eq!((error.as_str(), status), ("", 1), "{page}");
    assert_eq!(page.matches("<section class=\"label").count(), 6);
    let label = |tag: &str| {
        let at = page.find(&format!("<bdi>{tag}</bdi>")).unwrap();
        let from = page[..at].rfind("<section").unwrap();
        page[from..].split("</section>").next().unwrap().to_owned()
    };
    for (tag, said) in [
        ("G-1", &["gear of small", "good", "mass gap for another gear", "2026-05-01", "Invented Pumps"][..]),
        ("G-3", &["label fails", "out", "width is 20.30 mm, 0.2 mm over its limit"]),
        ("G-4", &["gear of large"]),
        ("G-6", &["label fails", "scrapped", "2026-04-01: a tooth is chipped"]),
    ] {
        for words in said {
            assert!(label(tag).contains(words), "{tag} {words}: {}", label(tag));
        }
    }
}

#[test]
fn a_folder_of_builds_and_parts_is_one_set_of_pages() {
    let shop = shop();
    std::fs::write(shop.path().join("P-1.yaml"), "build: P-1\nfinished: 2026-05-01\ngeneration: small\nduty: street\n")
        .unwrap();
    let (_, error, status) = ran(shop.path(), &["report", ".", "--to", "pages"]);
    assert_eq!(status, 1, "{error}");
    let index = std::fs::read_to_string(shop.path().join("pages/index.html")).unwrap();
    let (builds, parts) = index.split_once("<h3>Loose parts</h3>").unwrap();
    assert!(builds.contains("<bdi>P-1</bdi>") && !builds.contains("<bdi>G-1</bdi>"));
    for tag in ["G-1", "G-6"] {
        assert!(parts.contains(&format!("<a href=\"./gears.html\"><bdi>{tag}</bdi>")), "{parts}");
    }
    assert!(shop.path().join("pages/gears.html").exists() && shop.path().join("pages/P-1.html").exists());
}

#[test]
fn an_empty_record_of_a_part_asks_for_what_the_part_has() {
    let shop = shop();
    let (text, error, status) =
        ran(shop.path(), &["blank", "gear", "--generation", "small", "--tag", "G-9", "--measured", "2026-05-02"]);
    assert_eq!((error.as_str(), status), ("", 0));
    for line in ["part: gear", "tag: G-9", "measured: 2026-05-02", "generation: small"] {
        assert!(text.lines().any(|one| one == line), "{line}: {text}");
    }
    assert!(text.contains("drive: limit at least 100 g") && text.contains("idle: limit at least 90 g"), "{text}");
    assert!(!text.contains("mass_gap"), "{text}");
    // Of a generation nobody knows, each range says whose it is.
    let (text, _, _) = ran(shop.path(), &["blank", "gear"]);
    assert!(text.contains("small: each: limit 19.9 to 20.1 mm"), "{text}");
    assert!(text.contains("# generation:"), "{text}");
    for (arguments, said) in [
        (&["blank", "geer", "--tag", "G-9"][..], "there is no part called `geer`; did you mean `gear`?"),
        (&["blank", "gear", "--generation", "smal"], "there is no generation called `smal`"),
    ] {
        let (_, error, status) = ran(shop.path(), arguments);
        assert!(error.contains(said), "{error}");
        assert_eq!(status, 2);
    }
}

/// A line of an empty record, with the key of a reading that may be left out taken out of its comment.
fn with_optional(line: &str) -> String {
    let indent = line.len() - line.trim_start().len();
    let key = line.trim_start().strip_prefix("# ").filter(|rest| {
        rest.split_once(':').is_some_and(|(key, after)| {
            !matches!(key, "state" | "gauges" | "generation")
                && !key.trim_start().contains(' ')
                && (after.trim().is_empty() || after.trim_start().starts_with('#'))
        })
    });
    format!("{}{}\n", &line[..indent], key.unwrap_or(&line[indent..]))
}

/// Every part of the shipped books, as every generation and as none: what is printed is read again without a mistake.
#[test]
fn every_empty_record_of_a_shipped_part_is_read_again() {
    let shop = trochoid::shop::Shop::shipped();
    let book = &shop.book;
    let mut read = 0;
    for part in book.parts.ids().skip(1) {
        let generations = book.generations.ids().filter(|id| shop.plan(*id).is_some()).map(Some);
        for generation in generations.chain([None]) {
            let places = shop.places_of(part, generation);
            let blank = trochoid::blank::blank_part(book, part, None, &places);
            if blank.is_empty() {
                continue;
            }
            let head = trochoid::report::blank::Head { build: Some("X-1"), finished: None };
            let text = trochoid::report::blank::write(&blank, &head);
            // Every reading that may be left out is asked for as well.
            let all = text.lines().map(with_optional);
            for text in [text.clone(), all.collect()] {
                let source = trochoid::text::Source::new("blank.yaml", text.clone());
                let record = trochoid::record::Record::of(source);
                assert!(record.findings.is_empty(), "{:?}\n{text}", record.findings);
                let mistakes: Vec<_> =
                    shop.mistakes_of_parts(&record).into_iter().filter(|one| one.is_error()).collect();
                assert!(mistakes.is_empty(), "{mistakes:?}\n{text}");
                read += 1;
            }
        }
    }
    assert!(read > 100, "{read}");
}

const TABLE: &str = "tag,measured,generation,width,width,mass,tooth.1.height
G-21,2026-05-01,small,20.00 mm,20.01 mm,101 g,5.0 mm
G-22,2026-05-01,,30.00 mm,,95 g,
";

#[test]
fn a_table_of_parts_becomes_a_record_of_each() {
    let shop = shop();
    std::fs::write(shop.path().join("table.csv"), TABLE).unwrap();
    std::fs::create_dir(shop.path().join("to")).unwrap();
    let (text, error, status) = ran(shop.path(), &["import", "table.csv", "--part", "gear", "--to", "to"]);
    assert_eq!((error.as_str(), status), ("", 0), "{text}");
    let first = std::fs::read_to_string(shop.path().join("to/G-21.yaml")).unwrap();
    assert_eq!(
        first,
        "# Imported from table.csv, line 2.\npart: gear\ntag: G-21\nmeasured: 2026-05-01\ngeneration: small\n\n\
         width: [20.00 mm, 20.01 mm]\nmass: 101 g\n\ntooth:\n  1:\n    height: 5.0 mm\n"
    );
    let second = std::fs::read_to_string(shop.path().join("to/G-22.yaml")).unwrap();
    assert!(!second.contains("generation") && second.contains("width: 30.00 mm"), "{second}");
    let (text, _, _) = ran(shop.path(), &["check", "to", "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["records"][1]["generation"], "large", "{text}");
}

#[test]
fn what_is_wrong_with_a_table_of_parts_is_said_of_parts() {
    let shop = shop();
    std::fs::create_dir(shop.path().join("to")).unwrap();
    for (table, said) in [
        ("width,mass\n20 mm,1 g\n", "there is no column for the tag"),
        ("tag,mass\nG-1,1 g\nG-1,2 g\n", "part G-1: another line is about a part of that tag"),
        ("tag,mass\n,1 g\n", "this line does not say its tag"),
        ("tag,mas\nG-1,1 g\n", "there is no reading called `mas`"),
        ("tag,mass,generation\nG-1,,small\n", "part G-1: it has no readings"),
        ("tag,mass,generation\nG-1,1 mm,small\n", "mm"),
        ("tag,path,value\nG-1,mas,1 g\n", "there is no reading of the part called `mas`"),
    ] {
        std::fs::write(shop.path().join("table.csv"), table).unwrap();
        let (text, error, status) =
            ran(shop.path(), &["import", "table.csv", "--part", "gear", "--to", "to", "--format", "plain"]);
        assert_eq!(status, 2, "{text}{error}");
        assert!(text.contains(said) && !text.contains("build"), "{said}: {text}{error}");
        assert_eq!(std::fs::read_dir(shop.path().join("to")).unwrap().count(), 0);
    }
    let (text, _, _) = ran(shop.path(), &["import", "--part", "gear", "--columns-for", "small"]);
    assert!(text.contains("tag: tag\nmeasured: measured\nwidth: { reading: width, unit: mm }"), "{text}");
}

#[test]
fn loose_parts_stand_on_a_chart_by_the_day_they_were_measured() {
    let shop = shop();
    let (text, error, status) = ran(shop.path(), &["trend", "gear.mass", "gears.yaml", "--format", "json"]);
    assert_eq!(status, 0, "{error}");
    let document: Value = serde_json::from_str(&text).unwrap();
    let chart = &document["charts"][0];
    assert_eq!(chart["path"], "gear.mass");
    let names: Vec<&Value> = chart["points"].as_array().unwrap().iter().map(|point| &point["build"]).collect();
    assert_eq!(names, ["G-1", "G-2", "G-3", "G-4", "G-6"]);
    assert_eq!(document["left_out"]["open_generation"], serde_json::json!(["G-5"]));
    let (text, _, _) = ran(shop.path(), &["trend", "gear.mass", "gears.yaml"]);
    assert!(text.starts_with("gear.mass over 5 parts, 2026-05-01\n"), "{text}");
    // What belongs to no loose part is looked for in builds alone.
    let (_, error, status) = ran(shop.path(), &["trend", "pump.mass_gap", "gears.yaml"]);
    assert_eq!(status, 2, "{error}");
}

#[test]
fn an_audit_leaves_files_of_loose_parts_out_and_says_so() {
    let shop = shop();
    let build = "build: P-1\nfinished: 2026-05-01\ngeneration: small\nduty: street\nparts: { gear.drive: G-1, gear.idle: G-2 }\n";
    std::fs::write(shop.path().join("P-1.yaml"), build).unwrap();
    std::fs::write(shop.path().join("before.rulebook"), BOOK.replace("at least 100 g", "at least 102 g")).unwrap();
    let (text, error, status) = ran(shop.path(), &["audit", ".", "--before", "before.rulebook", "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap();
    assert_eq!((&document["loose"], status), (&serde_json::json!(1), 0), "{text}{error}");
    // What a build takes from the shelf is audited with it, by both rules.
    assert_eq!(document["moves"]["newly passes"], 1, "{text}");
    let (text, _, _) = ran(shop.path(), &["audit", ".", "--before", "before.rulebook"]);
    assert!(text.contains("1 file of loose parts was left out"), "{text}");
    let (text, _, status) = ran(shop.path(), &["audit", "gears.yaml", "--before", "before.rulebook"]);
    assert!(text.contains("this file is about a loose part") && status == 2, "{text}");
    assert!(!text.contains("is a map of places"), "{text}");
}

/// A shop in which G-1 was in two builds before, and the pump with serial number 77 came back.
fn with_history() -> tempfile::TempDir {
    let shop = shop();
    let write = |name: &str, text: &str| std::fs::write(shop.path().join(name), text).unwrap();
    let book = BOOK.replace("    duty :", "    serial : text, optional\n    duty :");
    write("pump.rulebook", &book);
    write(
        "gears.yaml",
        "part: gear\ntag: G-1\nmeasured: 2026-05-01\ngeneration: small\nwidth: [19.95 mm, 19.97 mm]\nmass: 101 g\ntooth: { 1: { height: 4.92 mm } }\n",
    );
    write(
        "P-1.yaml",
        "build: P-1\nfinished: 2024-03-01\ngeneration: small\nserial: 77\nparts: { gear.drive: G-1 }\n\
         gear: { drive: { width: [20.02 mm, 20.04 mm], mass: 101 g, tooth: { 1: { height: 5.00 mm } } }, idle: { mass: 99 g } }\n",
    );
    write(
        "P-2.yaml",
        "build: P-2\nfinished: 2025-03-01\ngeneration: small\nserial: 78\nparts: { gear.idle: G-1 }\n\
         gear: { idle: { width: [20.00 mm, 20.00 mm] } }\n",
    );
    write(
        "P-3.yaml",
        "build: P-3\nfinished: 2026-03-01\ngeneration: small\nserial: 77\ngear: { idle: { mass: 97 g }, drive: { mass: 101 g } }\n",
    );
    shop
}

#[test]
fn the_history_of_a_part_is_every_build_it_was_in_and_what_wore() {
    let shop = with_history();
    let (text, error, _) = ran(shop.path(), &["check", "gears.yaml", "--history", "--format", "plain"]);
    let history = text.split("history of ").nth(1).unwrap_or_else(|| panic!("{text}{error}"));
    assert_eq!(
        history,
        "G-1 (gear)\n\
        \x20 2024-03-01  P-1, gear.drive  unmeasured  P-1.yaml\n\
        \x20 2025-03-01  P-2, gear.idle   unmeasured  P-2.yaml\n\
        \x20 2026-05-01  by itself        unmeasured  gears.yaml\n\
        \x20 gear.width: 20.02 mm and 20.04 mm, then 20.00 mm and 20.00 mm, then 19.95 mm\n\
        \x20   and 19.97 mm: 0.07 mm less; 0.05 mm left to its limit of 19.9 to 20.1 mm\n\
        \x20 gear.tooth.1.height: 5.00 mm, then 4.92 mm: 0.08 mm less; 0.02 mm left to\n\
        \x20   its limit of 4.9 to 5.1 mm\n\
        \x20 1 value is as it was\n"
    );
}

#[test]
fn the_history_of_an_engine_is_every_build_of_its_serial_number() {
    let shop = with_history();
    let (text, error, _) = ran(shop.path(), &["check", "P-3.yaml", "--history", "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap_or_else(|_| panic!("{text}{error}"));
    let history = &document["survey"]["history"][0];
    assert_eq!(history["of"], "77");
    let builds: Vec<&Value> = history["occasions"].as_array().unwrap().iter().map(|one| &one["build"]).collect();
    assert_eq!(builds, ["P-1", "P-3"]);
    let changes = history["changes"].as_array().unwrap();
    let changed: Vec<(&str, &str)> =
        changes.iter().map(|one| (one["path"].as_str().unwrap(), one["by"].as_str().unwrap())).collect();
    assert_eq!(changed, [("gear.idle.mass", "2 g less"), ("mass_gap", "2 g more")]);
    assert_eq!(changes[1]["beyond"], "1 g over");
    // Nothing is said twice, and of a pump that was here once nothing.
    let (text, _, _) = ran(shop.path(), &["check", ".", "--history", "--format", "plain"]);
    assert_eq!(text.matches("history of serial number 77").count(), 1, "{text}");
    assert!(!text.contains("serial number 78"), "{text}");
    let (text, _, _) = ran(shop.path(), &["check", "P-2.yaml", "--history", "--format", "plain"]);
    assert!(text.contains("no history: no other build of this shop has such a tag or serial number"), "{text}");
}

#[test]
fn a_verdict_sheet_rests_on_the_parts_it_takes_too() {
    let shop = with_history();
    let sign = ["check", "P-1.yaml", "--sheets", "signed", "--signed", "2026-06-01"];
    ran(shop.path(), &sign);
    let sheet = std::fs::read_to_string(shop.path().join("signed/P-1.verdict.json")).unwrap();
    let sheet: Value = serde_json::from_str(&sheet).unwrap();
    assert_eq!(sheet["parts"][0]["file"], "gears.yaml");
    // Of the part only what the build did not measure again counts, and a file that changed is named.
    let gears = std::fs::read_to_string(shop.path().join("gears.yaml")).unwrap();
    std::fs::write(shop.path().join("gears.yaml"), gears.replace("4.92 mm", "4.80 mm")).unwrap();
    let (text, error, _) = ran(shop.path(), &["audit", "P-1.yaml", "--sheets", "signed", "--format", "json"]);
    let document: Value = serde_json::from_str(&text).unwrap_or_else(|_| panic!("{text}{error}"));
    assert_eq!(document["fates"]["fails as before"], 1, "{text}");
    std::fs::write(
        shop.path().join("gears.yaml"),
        gears.replace("height: 4.92 mm } }", "height: 4.92 mm }, 2: { height: 4.80 mm } }"),
    )
    .unwrap();
    let (text, _, _) = ran(shop.path(), &["audit", "P-1.yaml", "--sheets", "signed"]);
    assert!(text.contains("changed since it was signed off: parts"), "{text}");
}
