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
    std::fs::write(folder.path().join("P-6.yaml"), "build: P-6\n").unwrap();
    let (status, said) = run(&["match", "small", "--write", "P-6.yaml"]);
    assert!(status == 2 && said.contains("already exists"), "{said}");
    assert_eq!(std::fs::read_to_string(folder.path().join("P-6.yaml")).unwrap(), "build: P-6\n");
    assert_eq!(run(&["match", "small", "--write", "P-7.yaml"]), (0, "P-7.yaml: written\n".to_owned()));
    let written = std::fs::read_to_string(folder.path().join("P-7.yaml")).unwrap();
    assert_eq!(written, "build: P-7\ngeneration: small\nparts:\n  gear.drive: G-3\n  gear.idle: G-1\n");
    assert_eq!(run(&["check", "P-7.yaml"]).0, 0);
}

#[test]
fn a_part_that_an_open_build_takes_is_not_offered_again() {
    let folder = shop(&shelf(&[(15, 8, Some(1)), (14, 9, Some(2)), (18, 9, Some(1))]));
    let open = "build: P-7\ngeneration: small\nparts: { gear.idle: G-1 }\n";
    std::fs::create_dir(folder.path().join("builds")).unwrap();
    std::fs::write(folder.path().join("builds/P-7.yaml"), open).unwrap();
    let (_, text, error) = said(folder.path(), &["match", "small"]);
    assert!(text.contains("taken by P-7"), "{text}{error}");
    let (document, _) = ran(folder.path(), &["match", "small", "--format", "json"]);
    let tags = document["sets"].to_string() + &document["nearest"].to_string();
    assert!(tags.contains("G-2") && !tags.contains("G-1"), "{document}");
    // The build itself keeps it, and a build that is finished may have given it back.
    let (_, text, error) = said(folder.path(), &["match", "small", "--build", "builds/P-7.yaml"]);
    assert!(text.contains("in this build already"), "{text}{error}");
    std::fs::write(folder.path().join("builds/P-7.yaml"), format!("{open}finished: 2026-01-05\n")).unwrap();
    let (document, _) = ran(folder.path(), &["match", "small", "--format", "json"]);
    assert!(document["sets"].to_string().contains("G-1"), "{document}");
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
    let (_, text, error) = said(folder.path(), &["audit", "shelf.yaml", "--before", "pump.rulebook"]);
    let all = text + &error;
    assert!(all.contains("this file is about a loose part") && !all.contains("no reading or part"), "{all}");
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

#[test]
fn what_cannot_be_together_is_said_with_its_rows() {
    // Each gear passes alone; any two are further apart in mass than 3 g.
    let folder = shop(&shelf(&[(15, 4, None), (15, 11, None), (15, 18, None)]));
    let (status, text, _) = said(folder.path(), &["match", "small"]);
    assert_eq!(status, 1);
    assert!(text.contains("gear.drive: 3 of 3 pass alone\n  gear.idle: 3 of 3 pass alone\n"), "{text}");
    let words = "no part for gear.drive goes with any part for gear.idle: mass_gap, its limit of at most 3 g refuses all 6 pairs";
    let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flowing.contains(words), "{text}");
    let (document, _) = ran(folder.path(), &["match", "small", "--format", "json"]);
    let conflict = &document["conflict"];
    assert_eq!(conflict["places"][0], serde_json::json!({ "place": "gear.drive", "parts": 3 }));
    assert_eq!(conflict["sets"], 6);
    let row = serde_json::json!({ "path": "mass_gap", "range": "its limit of at most 3 g", "refused": 6 });
    assert_eq!(conflict["rows"], serde_json::json!([row]));
    // No gear can drive: light, or too wide. The idle gear has nothing to do with it.
    std::fs::write(folder.path().join("shelf.yaml"), shelf(&[(15, 2, None), (30, 5, None), (15, 3, None)])).unwrap();
    let (_, text, _) = said(folder.path(), &["match", "small"]);
    let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flowing.contains("no part for gear.drive passes alone: each choice is refused by one of these rows"),
        "{text}"
    );
    assert!(flowing.contains("gear.drive.mass, its limit of at least 100 g refuses 2 of 3"), "{text}");
    assert!(flowing.contains("gear.drive.width, its limit of 19.9 to 20.1 mm refuses 1 of 3"), "{text}");
    // One gear is not two.
    std::fs::write(folder.path().join("shelf.yaml"), shelf(&[(15, 8, None)])).unwrap();
    let (_, text, _) = said(folder.path(), &["match", "small"]);
    assert!(text.contains("there are not enough parts for gear.drive and gear.idle"), "{text}");
}

/// A gear's width has to be between twice and three times its own bore, or four times the other's.
const CALCULATED: &str = "rulebook \"An invented gear pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    part gear at drive, idle {
        width : mm
        bore  : mm
    }
    derive most : mm = 4 * smallest of gear.bore
}
generation small \"20 mm gears\" {
    gear.width standard 2 * gear.bore to 3 * gear.bore limit at most 9 * gear.bore
    gear.bore  limit at most most
}
";

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_range_with_calculated_ends_has_the_room_of_the_verdict(
        gears in prop::collection::vec((10_i64..=120, 10_i64..=40), 2),
    ) {
        let lines = gears.iter().enumerate().map(|(number, (width, bore))| {
            format!("  - {{ tag: G-{number}, width: 0.{width:03} mm, bore: 0.{bore:03} mm }}\n")
        });
        let folder = shop(&format!("part: gear\ngeneration: small\nparts:\n{}", lines.collect::<String>()));
        std::fs::write(folder.path().join("pump.rulebook"), CALCULATED).unwrap();
        let (document, status) = ran(folder.path(), &["match", "small", "--format", "json"]);
        let goes = gears.iter().all(|(width, bore)| *width <= 9 * bore)
            && gears.iter().all(|(_, bore)| gears.iter().all(|(_, other)| *bore <= 4 * other));
        prop_assert_eq!(status, i32::from(!goes));
        if !goes {
            return Ok(());
        }
        let smallest = gears.iter().map(|(_, bore)| 4 * bore).min().unwrap();
        let room = |(width, bore): &(i64, i64)| {
            let steps = |of: i64, size: i64| (of * 1_000_000_000 + size / 2) / size;
            let inside = (width - 2 * bore).min(3 * bore - width);
            [if inside < 0 { 0 } else { steps(inside, *bore) }, steps(smallest - bore, smallest)]
        };
        let least = gears.iter().flat_map(room).min().unwrap() / 1_000_000;
        prop_assert_eq!(document["sets"][0]["least_room"].as_i64().unwrap(), least);
    }
}

/// The most pairs of some gears, and of these the least sum of their gaps, in halves of a gram, by trying every way to pair.
fn every_pairing(open: &[usize], gap: &dyn Fn(usize, usize) -> Option<i64>) -> (usize, i64) {
    let Some((one, rest)) = open.split_first() else { return (0, 0) };
    rest.iter().fold(every_pairing(rest, gap), |best, other| {
        let Some(cost) = gap(*one, *other) else { return best };
        let rest: Vec<usize> = rest.iter().copied().filter(|part| part != other).collect();
        let (count, sum) = every_pairing(&rest, gap);
        let found = (count + 1, sum + cost);
        if (found.0, -found.1) > (best.0, -best.1) { found } else { best }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn no_pairing_of_a_pile_leaves_less(
        gears in prop::collection::vec((0_i64..=24, 3_i64..=14, prop::option::of(0_u8..5)), 2..=8),
    ) {
        let folder = shop(&shelf(&gears));
        let pairs = every_pair(folder.path(), gears.len());
        let gap = |one: usize, other: usize| {
            let is = |tags: &[String; 2], first: usize, second: usize| {
                *tags == [format!("G-{}", first + 1), format!("G-{}", second + 1)]
            };
            let goes = |(tags, [out, _, _]): &([String; 2], [u64; 3])| {
                *out == 0 && (is(tags, one, other) || is(tags, other, one))
            };
            pairs.iter().any(goes).then(|| (gears[one].1 - gears[other].1).abs())
        };
        let all: Vec<usize> = (0..gears.len()).collect();
        let (count, least) = every_pairing(&all, &gap);
        let (document, status) = ran(folder.path(), &["match", "small", "--least", "mass_gap", "--format", "json"]);
        prop_assert_eq!(status, i32::from(count == 0));
        let sets = document["sets"].as_array().unwrap();
        prop_assert_eq!(sets.len(), count);
        let mut used: Vec<String> = sets.iter().flat_map(tags).collect();
        used.sort_unstable();
        used.dedup();
        prop_assert_eq!(used.len(), 2 * count, "each gear is in one pair");
        // In halves of a gram.
        let halves = |text: &Value| -> i64 {
            let number = text.as_str().unwrap().trim_end_matches(" g");
            let (whole, half) = number.split_once('.').unwrap_or((number, ""));
            2 * whole.parse::<i64>().unwrap() + i64::from(half == "5")
        };
        let each: i64 = sets.iter().map(|set| halves(&set["values"][0]["value"])).sum();
        if count > 0 {
            prop_assert_eq!((halves(&document["least"]["sum"]), each), (least, least));
        }
        for set in sets {
            let at = |tag: String| tag.trim_start_matches("G-").parse::<usize>().unwrap() - 1;
            let [one, other] = tags(set).map(at);
            prop_assert!(gap(one, other).is_some(), "check refuses no pair of it");
        }
    }
}

#[test]
fn a_pile_is_paired_by_what_is_known_of_it() {
    let mut gears = shelf(&[(15, 8, None), (15, 12, None), (15, 9, None), (15, 12, None)]);
    gears.push_str("  - { tag: G-9, width: 20.00 mm }\n");
    let folder = shop(&gears);
    let (status, text, _) = said(folder.path(), &["match", "small", "--least", "mass_gap", "--show", "step"]);
    let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(status, 0, "{text}");
    assert!(
        flowing.contains("gear.drive G-3, gear.idle G-1") && flowing.contains("gear.drive G-2, gear.idle G-4"),
        "{text}"
    );
    assert!(flowing.contains("mass_gap 0.5 g") && flowing.contains("mass_gap 0 g"), "{text}");
    assert!(flowing.contains("step needs gear.drive.mark and gear.idle.mark"), "{text}");
    assert!(flowing.contains("G-9 mass_gap needs its mass"), "{text}");
    let last =
        "2 sets, as many as there can be: mass_gap comes to 0.5 g in all, and no other choice of as many comes to less";
    assert!(flowing.ends_with(last), "{text}");
    // One pair only: the two of one mass.
    let (_, text, _) = said(folder.path(), &["match", "small", "--least", "mass_gap", "--builds", "1"]);
    assert!(text.contains("gear.drive G-2, gear.idle G-4") && text.contains("mass_gap comes to 0 g in all"), "{text}");
    assert_eq!(said(folder.path(), &["match", "small", "--least", "mass_gap", "--builds", "3"]).0, 1);
    for (arguments, words) in [
        (&["--least", "gear.mass"][..], "one machine has several values of `gear.mass`"),
        (&["--least", "mas_gap"], "did you mean `mass_gap`"),
        (&["--least", "mass_gap", "--best", "2"], "--best shows sets to choose from, and --least sets"),
        (&["--builds", "2", "--best", "2"], "--best shows sets to choose from, and --builds sets to be built at once"),
        (&["--builds", "2", "--write", "P-1.yaml"], "--write writes one build's record"),
        (&["--builds", "2", "--build", "P-1.yaml"], "--build fills what one record leaves open"),
    ] {
        let (status, _, said) = said(folder.path(), &[&["match", "small"][..], arguments].concat());
        assert!(status == 2 && said.contains(words), "{arguments:?}: {said}");
    }
}

/// Two or three gears in a row: the same maker, a condition on the duty, a guard band, a range with calculated ends.
const TRAIN: &str = "rulebook \"An invented gear train\" edition 2026-03-01
unit mm = 0.001 m
unit g  = 0.001 kg
choice duties = street, race
choice makers = own, bought
part train {
    duty : duties
    part gear at drive, POSITIONSidle {
        width : mm
        mass  : g
        maker : makers
    }
    derive mass_gap : g  = spread of gear.mass
    derive widest   : mm = largest of gear.width
    derive most     : mm = 1.002 * smallest of gear.width
}
generation small \"20 mm gears\" {
    gear.width      standard 19.95 to 20.05 mm limit 19.9 to 20.1 mm
    train.widest    limit at most most
    gear.maker      all the same across gear
    train.mass_gap  standard at most 3 g limit at most 6 g where duty is street
    train.mass_gap  limit at most 2 g where duty is race
    gear.mass       standard at most 104 g advisory where duty is race
}
house \"Lapwing Trains\" { judge by guard band }
";

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn every_train_that_passes_check_is_found_and_neither_files_nor_threads_change_the_answer(
        gears in prop::collection::vec((0_i64..=20, 0_i64..=9, prop::bool::weighted(0.7), any::<bool>()), 3..=4),
        (three, race) in any::<(bool, bool)>(),
        turn in 0_usize..4,
    ) {
        let folder = tempfile::tempdir().unwrap();
        let put = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        };
        let positions: &[&str] = if three { &["drive", "middle", "idle"] } else { &["drive", "idle"] };
        put("train.rulebook", &TRAIN.replace("POSITIONS", if three { "middle, " } else { "" }));
        put("gauges.yaml", "mic: { uncertainty: 0.008 mm }\n");
        put("trochoid.yaml", "books: train.rulebook\nshelf: shelf/\n");
        let gear = |number: usize| {
            let (width, mass, own, gauged) = gears[number];
            let gauge = if gauged { ", gauge: mic" } else { "" };
            let width = 1990 + width;
            format!(
                "  - {{ tag: G-{number}, width: {{ value: {}.{:02} mm{gauge} }}, mass: 10{mass} g, maker: {} }}\n",
                width / 100,
                width % 100,
                if own { "own" } else { "bought" }
            )
        };
        let head = "part: gear\ngeneration: small\nparts:\n";
        put("shelf/all.yaml", &format!("{head}{}", (0..gears.len()).map(gear).collect::<String>()));
        let duty = if race { "race" } else { "street" };
        let given = format!("duty={duty}");
        let asked = ["match", "small", "--given", &given, "--best", "1000", "--format", "json"];
        let (document, _) = ran(folder.path(), &asked);
        prop_assert_eq!(&document["proved"], true);
        // Every set in every order, judged as a build.
        let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
        for _ in positions {
            let longer = |order: &Vec<usize>| -> Vec<Vec<usize>> {
                let open = (0..gears.len()).filter(|gear| !order.contains(gear));
                open.map(|gear| order.iter().copied().chain([gear]).collect()).collect()
            };
            orders = orders.iter().flat_map(longer).collect();
        }
        for order in &orders {
            let name = order.iter().map(usize::to_string).collect::<Vec<_>>().join("-");
            let parts: Vec<String> =
                positions.iter().zip(order).map(|(at, gear)| format!("gear.{at}: G-{gear}")).collect();
            put(
                &format!("builds/T-{name}.yaml"),
                &format!("build: T-{name}\nfinished: 2026-05-01\ngeneration: small\nduty: {duty}\nparts: {{ {} }}\n", parts.join(", ")),
            );
        }
        let (checked, _) = ran(folder.path(), &["check", "builds", "--format", "json", "--today", "2026-05-02"]);
        let mut passing: Vec<(String, [u64; 2])> = Vec::new();
        for record in checked["records"].as_array().unwrap() {
            let count = |name: &str| record["counts"][name].as_u64().unwrap();
            prop_assert_eq!(count("unmeasured"), 0);
            if count("out") + count("unsettled") == 0 {
                let name = record["build"].as_str().unwrap().trim_start_matches("T-").to_owned();
                passing.push((name, [count("worn"), count("advisory")]));
            }
        }
        let sets = document["sets"].as_array().unwrap();
        prop_assert_eq!(sets.len(), passing.len());
        let mut before = [0, 0];
        for set in sets {
            let tags: Vec<&str> =
                set["parts"].as_array().unwrap().iter().map(|part| part["tag"].as_str().unwrap().trim_start_matches("G-")).collect();
            let found = passing.iter().find(|(name, _)| *name == tags.join("-")).expect("no set that check refuses");
            let counts = [set["worn"].as_u64().unwrap(), set["advisory"].as_u64().unwrap()];
            prop_assert_eq!(counts, found.1);
            prop_assert!(before <= counts);
            before = counts;
        }
        // The same parts in other files and folders, read by one thread.
        std::fs::remove_file(folder.path().join("shelf/all.yaml")).unwrap();
        for number in 0..gears.len() {
            let name = format!("shelf/{}/{}.yaml", ["z", "a", "m", "b"][(number + turn) % 4], 9 - number);
            put(&name, &format!("{head}{}", gear(number)));
        }
        let output = Command::cargo_bin("trochoid")
            .unwrap()
            .current_dir(folder.path())
            .env("RAYON_NUM_THREADS", "1")
            .args(asked)
            .output()
            .unwrap();
        let again: Value = serde_json::from_slice(&output.stdout).unwrap();
        prop_assert_eq!(again, document);
    }
}

/// Two gears that miss each other by little, and a book that says what may be done about it.
#[test]
fn the_nearest_miss_says_what_would_put_it_right() {
    let folder = shop(
        "part: gear\ngeneration: small\nparts:\n  - { tag: G-1, width: 20.00 mm, mass: 104 g }\n  - { tag: G-2, width: 20.00 mm, mass: 109 g }\n",
    );
    let book = BOOK.replace("    pump.step       limit", "    rework lighten : gear.mass less by at most 5 g { caution \"Balance again.\" from memory }\n    pump.step       limit");
    std::fs::write(folder.path().join("pump.rulebook"), book).unwrap();
    let (status, text, error) = said(folder.path(), &["match", "small"]);
    assert_eq!(status, 1, "{error}");
    let (_, planned) =
        text.split_once("the nearest miss: G-2 with G-1 is out").unwrap_or_else(|| panic!("{text}{error}"));
    assert!(planned.contains("lighten: gear.drive.mass 5 g less, it would be 104.00 g"), "{text}");
    assert!(planned.contains("caution: Balance again."), "{text}");
    // Nothing is written, and where nothing may be done nothing is said.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
    std::fs::write(folder.path().join("pump.rulebook"), BOOK).unwrap();
    let (_, text, _) = said(folder.path(), &["match", "small"]);
    assert!(text.contains("the nearest miss\n") && !text.contains("the nearest miss:"), "{text}");
}

/// What a build has already stays as it is written, comments and all, and what it lacks is added.
#[test]
fn the_parts_are_added_to_a_record_and_nothing_else_of_it_changes() {
    let folder = shop(&shelf(&[(15, 8, Some(1)), (14, 9, Some(2)), (18, 9, Some(1))]));
    let put = |text: &str| std::fs::write(folder.path().join("old.yaml"), text).unwrap();
    let written = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    put("# Pump of the old mill.\nbuild: P-8\ngeneration: small  # by eye\n\nnotes: { by: M }\n");
    let (status, _, error) = said(folder.path(), &["match", "small", "--build", "old.yaml", "--write", "new.yaml"]);
    assert_eq!(status, 0, "{error}");
    assert_eq!(
        written("new.yaml"),
        "# Pump of the old mill.\nbuild: P-8\ngeneration: small  # by eye\nparts:\n  gear.drive: G-3\n  gear.idle: G-1\n\nnotes: { by: M }\n"
    );
    // The place that is taken is kept, and the other is filled.
    put("build: P-8\ngeneration: small\nparts: { gear.idle: G-2 }  # the matched one\n");
    let (status, _, error) = said(folder.path(), &["match", "small", "--build", "old.yaml", "--write", "more.yaml"]);
    assert_eq!(status, 0, "{error}");
    assert_eq!(
        written("more.yaml"),
        "build: P-8\ngeneration: small\nparts: { gear.idle: G-2, gear.drive: G-3 }  # the matched one\n"
    );
    put("build: &name P-8\ngeneration: small\nparts: &taken { gear.idle: G-2 }\n");
    let (status, _, error) = said(folder.path(), &["match", "small", "--build", "old.yaml", "--write", "none.yaml"]);
    assert!(status == 2 && error.contains("the parts cannot be added"), "{error}");
    assert!(!folder.path().join("none.yaml").exists());
}
