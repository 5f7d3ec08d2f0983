//! What an owner asks of all builds: at the edge, of one lot, by one gauge, failing most often.

use super::Papers;

const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit degC = 1 K zero at 273.15 K
part pump {
    lot   : text, optional
    oil   : degC, optional
    teeth : number, optional
    part gear at drive, idle {
        gap  : mm
        play : mm, optional
    }
}
generation small \"an invented pump\" {
    gear.gap   limit 0.10 to 0.20 mm { from memory }
    gear.play  limit at most 0.50 mm { from memory }
    pump.teeth limit exactly 12      { from memory }
    pump.oil   limit below 90 degC   { from memory }
}
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    papers.put("gauges.yaml", "feeler-1: { uncertainty: 0.001 mm }\nfeeler-2: { uncertainty: 0.001 mm }\n");
    for (name, lot, drive, idle, more) in [
        ("P-1", "S-12", "0.15 mm", "{ value: 0.19 mm, gauge: feeler-1 }", "oil: 89 degC\nteeth: 12\n"),
        ("P-2", "S-12", "0.195 mm", "0.15 mm", ""),
        ("P-3", "S-13", "0.21 mm", "0.05 mm", ""),
        ("P-4", "S-13", "0.15 mm", "{ value: 0.22 mm, gauge: feeler-2 }", ""),
        ("P-5", "'S-12'", "0.15 mm, play: 0.46 mm", "", ""),
    ] {
        let idle = if idle.is_empty() { "{ }".to_owned() } else { format!("{{ gap: {idle} }}") };
        papers.put(
            &format!("builds/{name}.yaml"),
            format!("build: {name}\ngeneration: small\nlot: {lot}\ngear: {{ drive: {{ gap: {drive} }}, idle: {idle} }}\n{more}"),
        );
    }
    papers
}

fn builds(out: &str) -> Vec<&str> {
    out.lines().filter(|line| line.starts_with("P-")).filter_map(|line| line.split_whitespace().next()).collect()
}

#[test]
fn values_that_pass_at_the_edge_are_named_the_nearest_first() {
    let papers = shop();
    let ran = papers.run(&["check", "builds", "--quiet", "--within", "10%", "--width", "120"]);
    let edges = ran.out.split_once("\n3 values pass within 10 % of an end, the nearest first\n").unwrap().1;
    assert_eq!(
        edges,
        "  P-2: gear drive: gap is 0.195 mm, 0.005 mm inside its limit of 0.10 to 0.20 mm  [builds/P-2.yaml:4:23]\n  \
         P-5: gear drive: play is 0.46 mm, 0.04 mm inside its limit of at most 0.50 mm  [builds/P-5.yaml:4:38]\n  \
         P-1: gear idle: gap is 0.19 mm, 0.01 mm inside its limit of 0.10 to 0.20 mm  [builds/P-1.yaml:4:56]\n"
            .replace("  [", " [")
    );
    // An end of ten per cent is inside, a scale with a zero of its own and a single value have no edge.
    let ran = papers.run(&["check", "builds", "--quiet", "--within", "9.9%"]);
    assert!(ran.out.contains("\n2 values pass within 9.9 % of an end"), "{}", ran.out);
    let ran = papers.run(&["check", "builds", "--quiet", "--within", "0.05"]);
    assert!(ran.out.contains("\n1 value passes within 5 % of an end"), "{}", ran.out);
    for share in ["0%", "101%", "much", "-5%", ""] {
        assert_eq!(papers.run(&["check", "builds", &format!("--within={share}")]).status, 2, "{share}");
    }
}

#[test]
fn only_builds_of_a_lot_or_by_a_gauge_are_judged() {
    let papers = shop();
    let of_lot = papers.run(&["check", "builds", "--having", "lot=S-12"]);
    assert_eq!(builds(&of_lot.out), ["P-1", "P-2", "P-5"]);
    assert!(of_lot.out.contains("3 builds: 2 good, 1 unmeasured"), "{}", of_lot.out);
    let by_gauge = papers.run(&["check", "builds", "--gauge", "feeler-2"]);
    assert_eq!(builds(&by_gauge.out), ["P-4"]);
    let both = papers.run(&["check", "builds", "--having", "lot=S-12", "--gauge", "feeler-1", "--having", "teeth=12"]);
    assert_eq!((builds(&both.out), both.status), (vec!["P-1"], 0));
    // The status is that of the builds meant.
    assert_eq!(papers.run(&["check", "builds", "--having", "gear.idle.gap=0.22 mm"]).status, 1);
    let none = papers.run(&["check", "builds", "--having", "lot=S-99"]);
    assert_eq!((none.out.trim_end().lines().last(), none.status), (Some("no record has lot=S-99"), 0));
    for (having, said) in [("lto=S-12", "did you mean `lot`?"), ("lot", "write it as `lot=S-12`")] {
        let ran = papers.run(&["check", "builds", "--having", having]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}

#[test]
fn rows_that_fail_are_counted_the_most_often_first() {
    let papers = shop();
    let ran = papers.run(&["check", "builds", "--quiet", "--count"]);
    let counts = ran.out.split_once("\n1 row did not pass in some build, the most frequent first\n").unwrap().1;
    assert_eq!(counts, "  gear.gap: 3 out, 1 unmeasured, in 3 builds\n");
    // The counts are those of the run.
    assert!(ran.out.contains("3 out") && ran.out.contains("1 unmeasured"), "{}", ran.out);
}

#[test]
fn a_document_answers_what_is_asked_or_is_refused() {
    let papers = shop();
    let ask = |format: &[&str]| papers.run(&[&["check", "builds", "--quiet"], format].concat());
    let text = ask(&["--count", "--within", "10%", "--conversions"]).out;
    let whole = super::json::document(&ask(&["--count", "--within", "10%", "--conversions", "--format", "json"]));
    let survey = &whole["survey"];
    let values = survey["within"]["values"].as_array().unwrap();
    assert_eq!((values.len(), &survey["within"]["permille"]), (3, &100.into()));
    // The same values as on paper, in the same order, each found again among the rulings with its room.
    let mut after = 0;
    for value in values {
        let say = |member: &str| value[member].as_str().unwrap();
        let line = format!("{}: {} is {}, {} inside its", say("build"), say("subject"), say("value"), say("room"));
        after = text.find(&line).filter(|at| *at > after).unwrap_or_else(|| panic!("{line} in {text}"));
        let record = whole["records"].as_array().unwrap().iter().find(|one| one["build"] == value["build"]).unwrap();
        let rulings = record["rulings"].as_array().unwrap();
        let ruling = rulings.iter().find(|one| one["reading"] == value["place"]).unwrap();
        assert_eq!(ruling["room"], value["room"]);
        let number = |figure: &serde_json::Value| figure.as_str().map(|text| text.parse::<f64>().unwrap());
        let figures = &ruling["figures"];
        let [low, high] = [number(&figures["limit"][0]), number(&figures["limit"][1])];
        let (room, at) = (number(&figures["room"]).unwrap(), number(&figures["value"]).unwrap());
        // By the figures alone: the room is the way to the nearer end, and within a tenth of the range.
        let nearest =
            [low.map(|low| at - low), high.map(|high| high - at)].into_iter().flatten().fold(f64::MAX, f64::min);
        assert!((nearest - room).abs() < 1e-9, "{ruling}");
        let scale = low.zip(high).map_or_else(|| low.or(high).unwrap(), |(low, high)| high - low);
        assert!(room / scale <= 0.1 + 1e-9, "{ruling}");
        let permille = value["permille"].as_f64().unwrap();
        assert!(room / scale * 1000.0 <= permille + 1e-6 && room / scale * 1000.0 > permille - 1.0, "{value}");
    }
    assert_eq!(
        survey["count"],
        serde_json::json!([{ "row": "gear.gap", "builds": 3, "counts": { "good": 0, "worn": 0, "excused": 0,
            "unsettled": 0, "unmeasured": 1, "out": 3, "advisory": 0, "advisory_unmeasured": 0 } }])
    );
    assert_eq!(survey["conversions"], serde_json::json!([]));
    let some = super::json::document(&ask(&["--count", "--format", "json"]));
    assert!(some["survey"]["within"].is_null() && some["survey"]["conversions"].is_null());
    assert!(super::json::document(&ask(&["--format", "json"]))["survey"].is_null());
    for format in ["csv", "sarif", "junit"] {
        for question in ["--count", "--conversions", "--within=5%"] {
            let ran = ask(&[question, "--format", format]);
            assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{format} {question}");
            assert!(ran.err.contains(&format!("{format} has no place for --within")), "{}", ran.err);
        }
        // Which records are meant is no question of this kind.
        assert_eq!(ask(&["--having", "lot=S-12", "--format", format]).err, "");
    }
}

#[test]
fn a_row_that_rounding_in_a_conversion_would_have_decided_is_named() {
    let papers = shop();
    papers.put("books/pump.rulebook", BOOK.replace("unit mm = 0.001 m\n", "unit mm = 0.001 m\nunit in = 25.4 mm\n"));
    // 0.0079 in is 0.20066 mm: over 0.20 mm, and on paper, to two decimals, at it. 0.0078 in is 0.19812 mm either way inside.
    for (name, gap) in [("I-1", "0.0079 in"), ("I-2", "0.0078 in"), ("I-3", "0.2007 mm"), ("I-4", "'0.0079 in'")] {
        papers.put(
            &format!("inches/{name}.yaml"),
            format!(
                "build: {name}\ngeneration: small\ngear: {{ drive: {{ gap: {gap} }}, idle: {{ gap: 0.15 mm }} }}\n"
            ),
        );
    }
    let ran = papers.run(&["check", "inches", "--quiet", "--conversions", "--width", "120"]);
    let named = ran.out.split_once("\n2 verdicts would change if their values were converted and rounded\n");
    let line = |name: &str, column: usize| {
        format!(
            "  {name}: gear.drive.gap is 0.0079 in: out; converted to mm and rounded to 2 decimals, it would be 0.20 mm: good\n    \
             [inches/{name}.yaml:3:{column}]\n"
        )
    };
    assert_eq!(named.unwrap().1, line("I-1", 23) + &line("I-4", 24));
    // By the exact values the verdicts stand.
    assert!(ran.out.contains("3 of 4 records fail"), "{}", ran.out);
    let none = papers.run(&["check", "builds", "--quiet", "--conversions"]);
    assert!(none.out.contains("\nno verdict would change if values were converted and rounded\n"), "{}", none.out);
}

/// Ranges printed in mm, in thousandths, in both, as a calculation; a gap of two readings and a relief of two.
const PRINTED: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.000001 m
unit in = 25.4 mm
unit thou = 0.001 in
constant size : mm
part pump {
    land   : mm
    tip    : mm
    bore   : mm
    vane   : mm
    paired : mm, optional
    sized  : mm, optional
    derive relief : mm = land - tip
    derive gap    : mm = bore - vane
}
generation small \"an invented pump\" {
    constant size = 3 mm                                             { from memory }
    pump.relief  standard 5 thou ± 1 thou                            { from memory }
    pump.gap     limit at least 0.10 mm                              { from memory }
    pump.paired  limit at most 0.10 mm also at most 0.0039 in        { from memory }
    pump.sized   limit at most size / 3                              { from memory }
}
";

/// The paths `--conversions` names for a record.
fn converted(record: &str) -> Vec<String> {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("pump.rulebook", PRINTED);
    papers.put("b.yaml", format!("build: B\ngeneration: small\n{record}\n"));
    let ran = papers.run(&["check", "b.yaml", "--books", "pump.rulebook", "--conversions", "--format", "json"]);
    let document = super::json::document(&ran);
    assert_eq!(document["records"][0]["record_errors"], 0, "{}", ran.out);
    let rows = document["survey"]["conversions"].as_array().unwrap().clone();
    rows.iter()
        .map(|row| format!("{} {} {}", row["path"], row["on_paper"], row["grade_on_paper"]).replace('"', ""))
        .collect()
}

#[test]
fn decimals_are_those_of_the_unit_a_range_is_printed_in() {
    let good = "bore: 30.20 mm\nvane: 30.00 mm";
    let inches = "land: 3.1434 in\ntip: 3.1384 in";
    // Inches beside thousandths, and micrometres beside millimetres, are no conversion.
    assert_eq!(converted(&format!("{inches}\n{good}")), [""; 0]);
    assert_eq!(converted(&format!("{inches}\nbore: 30104 um\nvane: 30000 um")), [""; 0]);
    // 0.164 mm is 6.46 thousandths: out, and on paper 6.
    assert_eq!(converted(&format!("land: 80.000 mm\ntip: 79.836 mm\n{good}")), ["relief 6 thou good"]);
    // Both in inches: 0.0038 in is 0.0965 mm; what is calculated is converted once.
    assert_eq!(converted(&format!("{inches}\nbore: 1.1838 in\nvane: 1.1800 in")), ["gap 0.10 mm good"]);
    // One in inches: 1.1850 in is 30.099 mm, on paper 30.10 mm.
    assert_eq!(converted(&format!("{inches}\nbore: 1.1850 in\nvane: 30.00 mm")), ["gap 0.10 mm good"]);
    assert_eq!(converted(&format!("{inches}\nbore: 1.1860 in\nvane: 30.00 mm")), [""; 0]);
    // A printed pair is read in the unit of the reading, and a calculated range is printed nowhere.
    assert_eq!(converted(&format!("{inches}\n{good}\npaired: 0.0041 in\nsized: 0.04 in")), [""; 0]);
}

#[test]
fn no_verdict_of_the_example_shop_rests_on_a_conversion() {
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(["check", "examples/kestrel", "--quiet", "--conversions"]);
    let out = String::from_utf8(command.output().unwrap().stdout).unwrap();
    assert!(out.ends_with("\nno verdict would change if values were converted and rounded\n"), "{out}");
}
