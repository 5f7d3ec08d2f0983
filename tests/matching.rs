//! `match` against trying every pair of a shelf by hand: each is written as a build and judged by `check`.

use assert_cmd::Command;
use proptest::prelude::*;
use serde_json::Value;
use std::path::Path;

const BOOK: &str = "rulebook \"An invented gear pump\" edition 2026-03-01
unit mm = 0.001 m
unit g  = 0.001 kg
class letter = A, B, C, D, E
part pump {
    part gear at drive, idle {
        width : mm
        mass  : g
        mark  : letter, optional
    }
    derive mass_gap : g = spread of gear.mass
    derive step     : number = spread of gear.mark
}
generation small \"20 mm gears\" {
    gear.width      standard 19.95 to 20.05 mm limit 19.9 to 20.1 mm
    gear.drive.mass limit at least 100 g
    pump.mass_gap   standard at most 1 g limit at most 3 g
    pump.step       limit at most 1
    gear.mass       standard at most 104 g advisory
}
";

fn ran(folder: &Path, arguments: &[&str]) -> (Value, i32) {
    let output = Command::cargo_bin("trochoid").unwrap().current_dir(folder).args(arguments).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    let document = serde_json::from_str(&text).unwrap_or_else(|_| panic!("{arguments:?}: {text}{error}"));
    (document, output.status.code().unwrap())
}

/// Gears: width in hundredths of a millimetre over 19.85, mass in halves of a gram over 98, a letter or none.
fn shelf(gears: &[(i64, i64, Option<u8>)]) -> String {
    let lines = gears.iter().enumerate().map(|(number, (width, mass, letter))| {
        let letter = letter.map(|at| format!(", mark: {}", char::from(b'A' + at))).unwrap_or_default();
        let (width, mass) = (1985 + width, 980 + mass * 5);
        let tens = (width / 100, width % 100, mass / 10, mass % 10);
        format!(
            "  - {{ tag: G-{}, width: {}.{:02} mm, mass: {}.{} g{letter} }}\n",
            number + 1,
            tens.0,
            tens.1,
            tens.2,
            tens.3
        )
    });
    format!("part: gear\ngeneration: small\nparts:\n{}", lines.collect::<String>())
}

fn shop(shelf: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("pump.rulebook"), BOOK).unwrap();
    std::fs::write(folder.path().join("trochoid.yaml"), "books: pump.rulebook\nshelf: shelf.yaml\n").unwrap();
    std::fs::write(folder.path().join("shelf.yaml"), shelf).unwrap();
    folder
}

/// What `check` says of every ordered pair: its tags, and how many rows are out, worn, and advisory and not good.
fn every_pair(folder: &Path, gears: usize) -> Vec<([String; 2], [u64; 3])> {
    let builds = folder.join("builds");
    std::fs::create_dir(&builds).unwrap();
    for drive in 1..=gears {
        for idle in (1..=gears).filter(|idle| *idle != drive) {
            let text = format!(
                "build: P-{drive}-{idle}\nfinished: 2026-05-01\ngeneration: small\nparts: {{ gear.drive: G-{drive}, gear.idle: G-{idle} }}\n"
            );
            std::fs::write(builds.join(format!("P-{drive}-{idle}.yaml")), text).unwrap();
        }
    }
    let (document, _) = ran(folder, &["check", "builds", "--format", "json", "--today", "2026-05-02"]);
    let of = |record: &Value| {
        let count = |name: &str| record["counts"][name].as_u64().unwrap();
        let name = record["build"].as_str().unwrap().trim_start_matches("P-").to_owned();
        let (drive, idle) = name.split_once('-').unwrap();
        ([format!("G-{drive}"), format!("G-{idle}")], [count("out"), count("worn"), count("advisory")])
    };
    document["records"].as_array().unwrap().iter().map(of).collect()
}

fn tags(set: &Value) -> [String; 2] {
    [0, 1].map(|at| set["parts"][at]["tag"].as_str().unwrap().to_owned())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn every_pair_that_passes_check_is_found_and_in_order(
        gears in prop::collection::vec((0_i64..=30, 0_i64..=16, prop::option::of(0_u8..5)), 2..=5),
    ) {
        let folder = shop(&shelf(&gears));
        let (document, status) = ran(folder.path(), &["match", "small", "--best", "1000", "--format", "json"]);
        prop_assert_eq!(&document["proved"], true);
        let mut pairs = every_pair(folder.path(), gears.len());
        pairs.retain(|(_, [out, _, _])| *out == 0);
        let sets = document["sets"].as_array().unwrap();
        prop_assert_eq!(status, i32::from(pairs.is_empty()));
        prop_assert_eq!(sets.len(), pairs.len());
        let mut before = [0, 0];
        for set in sets {
            let found = pairs.iter().find(|(tags_of, _)| *tags_of == tags(set));
            let [_, worn, advisory] = found.expect("no set that check refuses").1;
            prop_assert_eq!([set["worn"].as_u64().unwrap(), set["advisory"].as_u64().unwrap()], [worn, advisory]);
            prop_assert!(before <= [worn, advisory], "fewest worn first, then fewest unverified");
            before = [worn, advisory];
        }
    }

    #[test]
    fn one_more_part_never_makes_the_best_set_worse_and_order_never_changes_it(
        gears in prop::collection::vec((0_i64..=30, 0_i64..=16, prop::option::of(0_u8..5)), 3..=6),
    ) {
        let best = |text: &str| {
            let folder = shop(text);
            let (document, _) = ran(folder.path(), &["match", "small", "--format", "json"]);
            document["sets"].as_array().unwrap().first().cloned()
        };
        let all = shelf(&gears);
        let whole = best(&all);
        let fewer = best(&shelf(&gears[..gears.len() - 1]));
        let cost = |set: &Value| {
            let least = set["least_room"].as_i64().unwrap();
            (set["worn"].as_u64().unwrap(), set["advisory"].as_u64().unwrap(), -least)
        };
        if let Some(fewer) = &fewer {
            prop_assert!(cost(whole.as_ref().unwrap()) <= cost(fewer));
        }
        let (head, lines) = all.split_once("parts:\n").unwrap();
        let mut turned: Vec<&str> = lines.lines().collect();
        turned.reverse();
        prop_assert_eq!(best(&format!("{head}parts:\n{}\n", turned.join("\n"))), whole);
    }
}

#[test]
fn the_best_set_is_written_as_a_build_and_no_file_is_written_over() {
    let folder = shop(&shelf(&[(15, 8, Some(1)), (14, 9, Some(2)), (18, 9, Some(1))]));
    let run = |arguments: &[&str]| {
        let output = Command::cargo_bin("trochoid").unwrap().current_dir(&folder).args(arguments).output().unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    assert_eq!(run(&["match", "small", "--write", "P-7.yaml"]), (0, String::new()));
    let written = std::fs::read_to_string(folder.path().join("P-7.yaml")).unwrap();
    assert_eq!(written, "build: P-7\ngeneration: small\nparts:\n  gear.drive: G-3\n  gear.idle: G-1\n");
    assert_eq!(run(&["check", "P-7.yaml"]).0, 0);
    let (status, said) = run(&["match", "small", "--without", "G-3", "--write", "P-7.yaml"]);
    assert!(status == 2 && said.contains("exists already"), "{said}");
    assert_eq!(std::fs::read_to_string(folder.path().join("P-7.yaml")).unwrap(), written);
}

#[test]
fn what_is_wrong_with_the_shelf_is_said_and_the_rest_is_searched() {
    let folder = shop(&shelf(&[(15, 8, None), (14, 9, None)]));
    let run = |arguments: &[&str]| {
        let output = Command::cargo_bin("trochoid").unwrap().current_dir(&folder).args(arguments).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        (output.status.code().unwrap(), text, String::from_utf8(output.stderr).unwrap())
    };
    std::fs::create_dir(folder.path().join("more")).unwrap();
    std::fs::write(folder.path().join("more/broken.yaml"), "part: gear\ntag: [\n").unwrap();
    std::fs::write(folder.path().join("more/twice.yaml"), "part: gear\ntag: G-1\nmass: 1 g\n").unwrap();
    std::fs::write(folder.path().join("trochoid.yaml"), "books: pump.rulebook\nshelf: [shelf.yaml, more/, gone/]\n")
        .unwrap();
    let (status, text, said) = run(&["match", "small"]);
    assert_eq!(status, 0);
    assert!(text.contains("gear.drive G-2, gear.idle G-1"), "{text}");
    assert!(text.contains("more/broken.yaml") && text.contains("may be incomplete"), "{text}");
    assert!(said.contains("tag-twice") && said.contains("yaml-unreadable") && said.contains("gone"), "{said}");
    for (arguments, words) in [
        (&["match", "smal"][..], "did you mean `small`"),
        (&["match", "small", "--only", "gaer"], "did you mean `gear`"),
        (&["match", "small", "--with", "G-9"], "no part that can be taken has the tag G-9"),
        (&["match", "small", "--with", "G-1", "--without", "G-1"], "not to be taken"),
        (&["match", "small", "--given", "dutty=race"], "no reading called `dutty`"),
        (&["match", "small", "--builds", "many"], "a number, or `all`"),
    ] {
        let (status, _, said) = run(arguments);
        assert!(status == 2 && said.contains(words), "{arguments:?}: {said}");
    }
    std::fs::write(folder.path().join("trochoid.yaml"), "books: pump.rulebook\n").unwrap();
    let (status, _, said) = run(&["match", "small"]);
    assert!(status == 2 && said.contains("has no shelf"), "{said}");
}

#[test]
fn two_builds_that_are_not_finished_cannot_have_one_part() {
    let folder = shop(&shelf(&[(15, 8, None), (14, 9, None)]));
    for name in ["P-1", "P-2"] {
        let text = format!("build: {name}\ngeneration: small\nparts: {{ gear.drive: G-1, gear.idle: G-2 }}\n");
        std::fs::write(folder.path().join(format!("{name}.yaml")), text).unwrap();
    }
    let output =
        Command::cargo_bin("trochoid").unwrap().current_dir(&folder).args(["check", "P-1.yaml", "P-2.yaml"]).output();
    let text = String::from_utf8(output.unwrap().stdout).unwrap();
    assert_eq!(text.matches("is in two builds that are not finished: P-1 and P-2").count(), 2, "{text}");
}

/// What the program says in a folder: its status, standard output and standard error.
fn said(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("trochoid").unwrap().current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn a_part_whose_readings_rule_its_generation_out_is_not_taken() {
    let folder = shop(&shelf(&[(15, 8, None), (14, 9, None)]));
    let book = BOOK.replace(
        "generation small \"20 mm gears\" {",
        "generation small \"20 mm gears\" {\n    telltale gear.width 19 to 21 mm",
    );
    std::fs::write(folder.path().join("pump.rulebook"), book).unwrap();
    let wide = "  - { tag: G-3, width: 25.00 mm, mass: 103.0 g }\n";
    std::fs::write(folder.path().join("shelf.yaml"), shelf(&[(15, 8, None), (14, 9, None)]) + wide).unwrap();
    let (status, text, _) = said(folder.path(), &["match", "small"]);
    assert_eq!(status, 0);
    assert!(text.contains("what was measured rules this generation out  G-3"), "{text}");
    let (status, text, _) = said(folder.path(), &["identify", "shelf.yaml"]);
    assert!(status == 1 && text.contains("G-1: ") && text.contains("G-3: "), "{status} {text}");
}

#[test]
fn a_shelf_that_is_half_the_disk_is_not_read_and_no_time_is_too_long_to_say() {
    let folder = shop("");
    let many = folder.path().join("many");
    std::fs::create_dir(&many).unwrap();
    for number in 0..100_050 {
        std::fs::write(many.join(format!("{number}.txt")), "").unwrap();
    }
    std::fs::write(folder.path().join("trochoid.yaml"), "books: pump.rulebook\nshelf: many/\n").unwrap();
    let (status, _, error) = said(folder.path(), &["match", "small"]);
    assert!(status == 2 && error.contains("there is nothing to choose"), "{error}");
    std::fs::write(folder.path().join("P-1.yaml"), "build: P-1\ngeneration: small\nparts: { gear.drive: G-1 }\n")
        .unwrap();
    let (_, text, _) = said(folder.path(), &["check", "P-1.yaml"]);
    assert!(text.contains("file-unreadable") && text.contains("many"), "{text}");
    let (status, _, error) = said(folder.path(), &["match", "small", "--seconds", "18446744073709551615"]);
    assert!(status == 2 && !error.contains("panicked") && error.contains("--seconds"), "{error}");
}

#[test]
fn a_command_for_builds_says_that_a_file_is_about_loose_parts() {
    let folder = shop(&shelf(&[(15, 8, None)]));
    for arguments in
        [&["explain", "shelf.yaml", "gear.width"][..], &["audit", "shelf.yaml", "--before", "pump.rulebook"]]
    {
        let (_, text, error) = said(folder.path(), arguments);
        let all = text + &error;
        assert!(all.contains("this file is about a loose part") && !all.contains("no reading or part"), "{all}");
    }
}

#[test]
fn what_is_kept_is_not_used_when_the_shelf_changed() {
    let folder = shop(&shelf(&[(15, 8, None), (14, 9, None)]));
    let build = "build: P-1\nfinished: 2026-05-01\ngeneration: small\nparts: { gear.drive: G-1, gear.idle: G-2 }\n";
    std::fs::write(folder.path().join("P-1.yaml"), build).unwrap();
    std::fs::write(folder.path().join("before.rulebook"), BOOK).unwrap();
    let grades = || {
        let asked = ["audit", "P-1.yaml", "--before", "before.rulebook", "--cache", "kept", "--format", "json"];
        let (document, _) = ran(folder.path(), &asked);
        document.to_string()
    };
    let good = grades();
    assert_eq!(grades(), good);
    std::fs::write(folder.path().join("shelf.yaml"), shelf(&[(15, 8, None), (50, 9, None)])).unwrap();
    assert_ne!(grades(), good, "G-2 is out now");
    let checked = || said(folder.path(), &["check", "P-1.yaml", "--cache", "kept"]).0;
    assert_eq!(checked(), 1);
    std::fs::write(folder.path().join("shelf.yaml"), shelf(&[(15, 8, None), (14, 9, None)])).unwrap();
    assert_eq!(checked(), 0);
}

#[test]
fn a_loose_part_is_measured_on_a_day_and_not_finished() {
    let folder = shop("part: gear\ngeneration: small\ntag: G-1\nwidth: 20.00 mm\nmass: 103 g\nmeasured: 2026-05-03\n");
    let (status, text, _) = said(folder.path(), &["check", "shelf.yaml", "--today", "2026-05-02"]);
    assert!(status == 1 && text.contains("the part cannot have been measured on 2026-05-03"), "{text}");
    let book =
        BOOK.to_owned() + "house \"H\" { for small from 2026-06-01 { tighten gear.width limit 19.92 to 20.08 mm } }\n";
    std::fs::write(folder.path().join("pump.rulebook"), book).unwrap();
    std::fs::write(
        folder.path().join("shelf.yaml"),
        "part: gear\ngeneration: small\ntag: G-1\nwidth: 20.00 mm\nmass: 103 g\n",
    )
    .unwrap();
    let (_, text, _) = said(folder.path(), &["check", "shelf.yaml"]);
    assert!(text.contains("add `measured: YEAR-MONTH-DAY`") && !text.contains("`finished"), "{text}");
}
