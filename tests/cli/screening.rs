//! Readings that cannot be, in the commands that compare builds: `audit`, `trend` and `identify` take them as not measured, and
//! count those that somebody confirms.

use super::{Papers, json::document};
use serde_json::Value;

/// An invented pump, whose gears are told apart by their width.
const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    part gear at drive, idle {
        width : mm
    }
}
generation small \"20 mm gears\" {
    plausible gear.width 19 to 21 mm      { from common practice }
    telltale  gear.width 19.5 to 20.5 mm  { from common practice }
    gear.width limit at least 19.9 mm     { from common practice }
}
generation large \"25 mm gears\" {
    plausible gear.width 24 to 26 mm      { from common practice }
    telltale  gear.width 24.5 to 25.5 mm  { from common practice }
    gear.width limit at least 24.9 mm     { from common practice }
}
";

/// A shop with a build for each width of a drive gear, beside an idle gear of 20 mm.
fn shop(drive: &[&str]) -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    for (number, width) in drive.iter().enumerate() {
        let record = format!(
            "build: P-{number}\nfinished: 2026-05-0{}\ngeneration: small\n\
             gear: {{ drive: {{ width: {width} }}, idle: {{ width: 20.00 mm }} }}\n",
            number + 1
        );
        papers.put(&format!("builds/P-{number}.yaml"), record);
    }
    papers
}

const SLIP: &str = "199.9 mm";
const CONFIRMED: &str = "{ value: 199.9 mm, confirmed: J. Doe }";

#[test]
fn an_audit_judges_by_each_edition_only_what_can_be_by_it() {
    let papers = shop(&["19.95 mm", SLIP, CONFIRMED]);
    let without: String =
        BOOK.lines().filter(|line| !line.contains("plausible")).map(|line| format!("{line}\n")).collect();
    papers.put("before/pump.rulebook", without);
    let audit = document(&papers.run(&["audit", "builds", "--before", "before", "--format", "json"]));
    let moved = audit["builds"].as_array().unwrap().iter();
    let moved: Vec<[&str; 3]> =
        moved.map(|one| ["build", "before", "after"].map(|of| one[of].as_str().unwrap())).collect();
    assert_eq!(moved, [["P-1", "good", "unmeasured"]], "what somebody confirms counts in both");
    let ran = papers.run(&["audit", "builds", "--before", "before"]);
    assert_eq!(ran.status, 1);
    assert!(ran.out.starts_with("fails now  P-1: good before, unmeasured after"), "{}", ran.out);
    // By the same rules nothing moves.
    let ran = papers.run(&["audit", "builds", "--before", "books"]);
    assert_eq!(ran.status, 0, "{}", ran.out);
}

#[test]
fn a_chart_leaves_out_what_cannot_be() {
    let papers = shop(&["19.95 mm", SLIP, "19.97 mm", CONFIRMED]);
    let chart = |path: &str| document(&papers.run(&["trend", path, "builds", "--format", "json"]))["charts"][0].clone();
    let points = |chart: &Value| -> Vec<(String, String)> {
        let points = chart["points"].as_array().unwrap().iter();
        points.map(|one| (one["build"].as_str().unwrap().into(), one["value"].as_str().unwrap().into())).collect()
    };
    let drive = points(&chart("gear.drive.width"));
    let expected = [("P-0", "19.95"), ("P-2", "19.97"), ("P-3", "199.9")];
    assert_eq!(drive, expected.map(|(build, value)| (build.to_owned(), value.to_owned())));
    assert_eq!(points(&chart("gear.idle.width")).len(), 4, "the other gear of that build is charted");
}

#[test]
fn only_what_no_generation_can_have_is_no_evidence() {
    // What another generation can have tells the two apart, also in a record that states the wrong one.
    let papers = shop(&[SLIP, "25.00 mm", CONFIRMED]);
    let machine = |name: &str| {
        let ran = papers.run(&["identify", &format!("builds/{name}.yaml"), "--format", "json"]);
        document(&ran)["machines"][0].clone()
    };
    let seen = |machine: &Value| -> Vec<String> {
        machine["seen"].as_array().unwrap().iter().map(|one| one["value"].as_str().unwrap().to_owned()).collect()
    };
    let slip = machine("P-0");
    assert_eq!(seen(&slip), ["20.00 mm"]);
    assert_eq!(seen(&machine("P-1")), ["25.00 mm", "20.00 mm"]);
    assert_eq!(seen(&machine("P-2")), ["199.9 mm", "20.00 mm"]);
    let ran = papers.run(&["identify", "builds/P-0.yaml"]);
    assert!(
        ran.out.contains("reading-implausible") || ran.err.contains("reading-implausible"),
        "{}{}",
        ran.out,
        ran.err
    );
}
