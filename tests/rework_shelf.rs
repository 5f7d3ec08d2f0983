//! What `trochoid rework` offers from a shelf, held to putting each part into the record by hand and judging that, on small
//! shelves drawn at random; and its documents read back.

use assert_cmd::Command;
use proptest::prelude::*;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use trochoid::judge::{Grade, GradeSet};
use trochoid::record::Record;
use trochoid::shop::{Ask, Shop, Shops};
use trochoid::text::Source;

/// A press with two rams, each as wide and as heavy as measured, in hundredths of a millimetre and in grams.
type Ram = (i64, i64);

const PRESS: &str = "rulebook \"Press\" edition 2026-01-01\nunit mm = 0.001 m\nunit g = 0.001 kg
part press {
    part ram at left, right { width : mm   mass : g }
    derive apart : g = spread of ram.mass
    derive clash : mm = largest of ram.width - smallest of ram.width
}
generation small \"an invented press\" {
    ram.width standard at most 20.00 mm limit at most 20.05 mm { from common practice }
    ram.mass limit at least 990 g { from common practice }
    press.apart limit at most 10 g { from common practice }
    press.clash limit at most 0.06 mm { from common practice }
    CUT
}
";

const CUT: &str = "rework cut : ram.width less by at most 0.03 mm { from common practice }";

fn ram() -> impl Strategy<Value = Ram> {
    (1994..2010_i64, 980..1015_i64)
}

fn body((width, mass): Ram) -> String {
    format!("width: {}.{:02} mm, mass: {mass} g", width / 100, width % 100)
}

fn build(left: Ram, right: Ram) -> String {
    let (left, right) = (body(left), body(right));
    format!("build: P-1\ngeneration: small\nram: {{ left: {{ {left} }}, right: {{ {right} }} }}\n")
}

/// A shop on disk with such a shelf.
fn shop(folder: &Path, shelf: &[Ram], operations: &str) -> std::sync::Arc<Shop> {
    fs::write(folder.join("press.rulebook"), PRESS.replace("CUT", operations)).unwrap();
    fs::write(folder.join("trochoid.yaml"), "books: [press.rulebook]\nshelf: shelf.yaml\n").unwrap();
    let mut parts = String::from("part: ram\ngeneration: small\nparts:\n");
    for (number, ram) in shelf.iter().enumerate() {
        writeln!(parts, "  - {{ tag: R-{number}, {} }}", body(*ram)).unwrap();
    }
    fs::write(folder.join("shelf.yaml"), parts).unwrap();
    Shops::new(None).of(&folder.join("build.yaml"))
}

/// What the rows of a record come to: how many are out, and its grade.
fn judged(shop: &Shop, text: &str) -> (usize, Grade) {
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: None };
    let checked = shop.check_source(&Source::new("build.yaml", text), &ask);
    (checked.counts.of(Grade::Out), checked.grade.unwrap())
}

/// Which rows of a press are out: the width and mass of each ram, then both together.
fn out(left: Ram, right: Ram) -> Vec<bool> {
    let (apart, clash) = ((left.1 - right.1).abs(), (left.0 - right.0).abs());
    vec![left.0 > 2005, right.0 > 2005, left.1 < 990, right.1 < 990, apart > 10, clash > 6]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn every_part_offered_does_what_is_said_and_none_that_helps_is_kept_back(
        left in ram(), right in ram(), shelf in proptest::collection::vec(ram(), 1..5)
    ) {
        let folder = tempfile::tempdir().unwrap();
        let shop = shop(folder.path(), &shelf, "");
        prop_assert!(shop.is_sound(), "{:?}", shop.findings());
        let (planned, _) = shop.rework_build(&Record::of(Source::new("build.yaml", build(left, right)))).unwrap();
        let before = out(left, right);
        let (are_out, _) = judged(&shop, &build(left, right));
        for exchange in &planned.exchanges {
            let part = shelf[exchange.tag.strip_prefix("R-").unwrap().parse::<usize>().unwrap()];
            let (now_left, now_right) = if exchange.path == "ram.left" { (part, right) } else { (left, part) };
            let after = out(now_left, now_right);
            prop_assert!(before.iter().zip(&after).all(|(before, after)| *before || !after), "{exchange:?}");
            // Fewer rows are out, or as many and fewer worn; and nothing is said to wait.
            let (now_out, _) = judged(&shop, &build(now_left, now_right));
            prop_assert!(now_out <= are_out && exchange.open.is_empty() && exchange.waiting == 0, "{exchange:?}");
            for mended in &exchange.mends {
                prop_assert!(mended.would_be.is_some_and(Grade::passes), "{mended:?}");
                if mended.path == "apart" {
                    let apart = format!("{} g", (now_left.1 - now_right.1).abs());
                    prop_assert_eq!(mended.value.as_deref(), Some(&*apart));
                }
            }
        }
        // A row that some single exchange puts right, with no other put out, has an offer.
        for row in (0..before.len()).filter(|row| before[*row]) {
            let helps = shelf.iter().any(|part| {
                [out(*part, right), out(left, *part)].iter().any(|after| {
                    !after[row] && before.iter().zip(after).all(|(before, after)| *before || !after)
                })
            });
            let path = ["ram.left.width", "ram.right.width", "ram.left.mass", "ram.right.mass", "apart", "clash"][row];
            let offered = planned.exchanges.iter().any(|one| one.mends.iter().any(|mended| mended.path == path));
            prop_assert_eq!(helps, offered, "{} {:?} {:?} {:?}", path, left, right, shelf);
        }
    }

    /// With an operation as well: what an exchange leaves of the plan gives the grade it promises.
    #[test]
    fn an_exchange_in_place_of_steps_makes_the_record_as_good_as_the_plan(
        left in ram(), right in ram(), shelf in proptest::collection::vec(ram(), 1..5)
    ) {
        let folder = tempfile::tempdir().unwrap();
        let shop = shop(folder.path(), &shelf, CUT);
        let (planned, _) = shop.rework_build(&Record::of(Source::new("build.yaml", build(left, right)))).unwrap();
        let plan = shop.plan(planned.found.generation).unwrap();
        let rulings = |readings| trochoid::judge::judge(&shop.book, plan, readings).rulings;
        let planned_out = rulings(&planned.found.prediction).iter().filter(|one| one.grade == Grade::Out).count();
        for exchange in &planned.exchanges {
            let exchanged_out = rulings(&exchange.prediction).iter().filter(|one| one.grade == Grade::Out).count();
            prop_assert!(exchanged_out <= planned_out, "{exchange:?}");
            prop_assert!(exchange.instead_of.iter().all(|step| (1..=planned.found.steps.len()).contains(step)));
            let mends = exchange.mends.iter().any(|mended| mended.only_so);
            prop_assert!(mends || exchange.instead_of.len() > 1, "{exchange:?}");
        }
        // Where a part by itself leaves no row out, it is offered for every row that the plan leaves out.
        let rescued = shelf.iter().any(|part| {
            [out(*part, right), out(left, *part)].iter().any(|after| !after.contains(&true))
        });
        for fault in planned.found.faults.iter().filter(|fault| fault.would_be == Some(Grade::Out)) {
            let offered = planned.exchanges.iter().any(|one| one.mends_only_so(fault.check));
            prop_assert!(!rescued || offered, "{} {:?} {:?} {:?}", fault.path, left, right, shelf);
        }
    }
}

/// What a command prints in the folder of a case, and its exit status.
fn said(case: &str, words: &[&str]) -> (String, i32) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/rework").join(case);
    let output = Command::cargo_bin("trochoid").unwrap().current_dir(folder).args(words).output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn the_list_of_parts_to_order_reads_back() {
    let (text, status) =
        said("replaced-part", &["rework", "build.yaml", "--books", "book.rulebook", "--format", "csv"]);
    assert_eq!(status, 0);
    let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let head: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(head, ["build", "tag", "record", "part", "generation", "size", "mark", "count", "places"]);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let [row] = &rows[..] else { panic!("{rows:?}") };
    let cells: Vec<&str> = row.iter().collect();
    assert_eq!(cells, ["P-7", "", "build.yaml", "bush", "small", "", "", "2", "bush.left bush.right"]);
    // The size and the mark of a set.
    let (text, _) = said("nearest-spacer", &["rework", "build.yaml", "--books", "book.rulebook", "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let row = reader.records().next().unwrap().unwrap();
    assert_eq!((&row[3], &row[5], &row[6]), ("press.spacer", "8.04 mm", "V"));
}

#[test]
fn loose_parts_and_exchanges_read_back_from_json() {
    let words = ["rework", "part.yaml", "--books", "book.rulebook", "--format", "json"];
    let (text, status) = said("loose-parts", &words);
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!((status, &document["status"]), (1, &1.into()));
    let records = document["records"].as_array().unwrap();
    let tags: Vec<&str> = records.iter().map(|record| record["part"]["tag"].as_str().unwrap()).collect();
    assert_eq!(tags, ["R-1", "R-2", "R-3", "R-5"]);
    assert_eq!(document["scrapped"][0]["tag"], "R-4");
    assert!(records.iter().all(|record| record["build"].is_null() && record["part"]["waiting"] == 1));
    assert_eq!(records[0]["steps"][0]["would_be"][0]["value"], "20.00 mm");
    assert_eq!((&records[2]["would_be"], records[2]["steps"].as_array().unwrap().len()), (&"out".into(), 0));
    let (text, _) = said("shelf-in-place-of-two-steps", &["rework", "build.yaml", "--format", "json"]);
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    let record = &document["records"][0];
    assert!(record["part"].is_null() && record["fewest"] == true && record["least"] == true);
    let [exchange] = &record["exchanges"].as_array().unwrap()[..] else { panic!("{record}") };
    assert_eq!((&exchange["tag"], &exchange["place"]), (&"R-1".into(), &"ram.left".into()));
    assert_eq!(exchange["instead_of"], serde_json::json!([1, 2]));
}

/// What the example gearbox needs, as its read-me says.
#[test]
fn the_gearbox_gets_a_shim_a_lapped_gear_and_a_new_ring() {
    let output = Command::cargo_bin("trochoid")
        .unwrap()
        .args(["rework", "examples/gearbox/builds/L-033.yaml", "--format", "json"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let steps = document["records"][0]["steps"].as_array().unwrap();
    let names: Vec<&str> = steps.iter().map(|step| step["operation"].as_str().unwrap()).collect();
    assert_eq!(names, ["fit_shim", "lap_gear", "new_ring"]);
    // A shim thicker by 0.10 mm leaves 0.10 mm less: 0.18 mm becomes 0.08 mm.
    assert_eq!(steps[0]["size"], "1.1 mm");
    assert_eq!(steps[0]["would_be"][1], serde_json::json!({ "path": "shaft.input.end_float", "value": "0.08 mm" }));
    let orders = document["records"][0]["orders"].as_array().unwrap();
    assert_eq!(orders.iter().map(|order| order["count"].as_u64().unwrap()).sum::<u64>(), 2);
}
