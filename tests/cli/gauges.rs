//! A shop's own list of gauges: where it is looked for, what is said of it and how often, and that it is never a build.

use super::Papers;

const LIST: &str = "feeler-1: { uncertainty: 5 um, calibrated: 2026-01-12, due: 2027-01-12 }\n";

/// A build measured with a gauge.
fn build(name: &str, gauge: &str) -> String {
    format!(
        "build: {name}\nfinished: 2026-05-02\ngeneration: small\nvane: 8.00 mm\nslot: {{ value: 8.08 mm, gauge: {gauge} }}\n"
    )
}

/// The lines that say a code.
fn lines<'a>(out: &'a str, code: &str) -> Vec<&'a str> {
    out.lines().filter(|line| line.contains(&format!(", {code}: "))).collect()
}

const PLAIN: [&str; 4] = ["check", "builds", "--format", "plain"];

#[test]
fn the_nearest_list_in_or_above_the_folder_is_the_shops() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", build("P-1", "feeler-1"));
    papers.put("builds/van/P-2.yaml", build("P-2", "feeler-1"));
    assert_eq!(lines(&papers.run(&PLAIN).out, "gauge-unknown").len(), 2, "no list yet");
    papers.put("gauges.yaml", LIST);
    let ran = papers.run(&PLAIN);
    assert_eq!((lines(&ran.out, "gauge-unknown").len(), ran.status), (0, 0), "{}", ran.out);
    // A nearer one stands alone: it does not add to the one above.
    papers.put("builds/van/gauges.yml", "feeler-2: { uncertainty: 5 um }\n");
    let ran = papers.run(&PLAIN);
    let [line] = lines(&ran.out, "gauge-unknown")[..] else { panic!("{}", ran.out) };
    assert!(line.starts_with("builds/van/P-2.yaml:5:"), "{line}");
    assert!(line.contains("neither the record nor the shop lists a gauge `feeler-1`"), "{line}");
    assert!(ran.out.contains("did you mean `feeler-2`?"), "{}", ran.out);
    // Two builds, and no list taken for one.
    assert!(ran.out.contains("\n2 builds: 2 good\n"), "{}", ran.out);
}

#[test]
fn a_list_belongs_to_measuring_and_not_to_the_books() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", build("P-1", "feeler-1"));
    papers.put("gauges.yaml", LIST);
    papers.put("shop/instruments.yaml", "feeler-1: { uncertainty: 5 um, due: 2026-05-01 }\n");
    let books = [&PLAIN[..], &["--books", "books/pump.rulebook"]].concat();
    assert_eq!(lines(&papers.run(&books).out, "gauge-unknown").len(), 0);
    // What the settings name goes before what is found by its name, whoever names the books.
    papers.put("trochoid.yaml", "books: [books/]\ngauges: shop/instruments.yaml\n");
    for arguments in [&PLAIN[..], &books] {
        let ran = papers.run(arguments);
        let [line] = lines(&ran.out, "gauge-overdue")[..] else { panic!("{}", ran.out) };
        assert!(line.starts_with("builds/P-1.yaml:5:16: warning"), "{line}");
        assert!(ran.out.contains("\n    shop/instruments.yaml:1:37: due here\n"), "{}", ran.out);
        assert_eq!(ran.status, 0, "{}", ran.out);
    }
    // The arithmetic of one verdict says what the reading was taken with.
    let ran = papers.run(&["explain", "builds/P-1.yaml", "gap"]);
    assert!(ran.out.contains("feeler-1: uncertainty 0.005 mm (k = 2), due 2026-05-01"), "{}", ran.out);
}

#[test]
fn a_list_of_another_name_among_the_builds_is_no_build() {
    let papers = Papers::new();
    papers.put("trochoid.yaml", "books: [books/]\ngauges: builds/instruments.yaml\n");
    papers.put("builds/P-1.yaml", build("P-1", "feeler-1"));
    papers.put("builds/instruments.yaml", LIST);
    for path in ["builds", "./builds/", "."] {
        let ran = papers.run(&["check", path, "--format", "plain"]);
        assert!(ran.out.contains("\n1 build: 1 good\n") && ran.status == 0, "{path}: {}", ran.out);
    }
    // Asked for by its name it is taken as what is asked for.
    let ran = papers.run(&["check", "builds/instruments.yaml", "--format", "plain"]);
    assert!(lines(&ran.out, "generation-missing").len() == 1, "{}", ran.out);
}

#[test]
fn mistakes_of_a_list_are_said_once_a_run_and_the_builds_are_judged() {
    let papers = Papers::new();
    for number in 1..=20 {
        papers.put(&format!("builds/{}/P-{number}.yaml", number % 3), build(&format!("P-{number}"), "feeler-1"));
    }
    papers.put("gauges.yaml", "feeler-1: { uncertainty: 5 um }\nmic-1: { uncertainty: 2, resoluton: 1 um }\n");
    for threads in ["1", "4"] {
        let ran = papers.run(&[&PLAIN[..], &["--threads", threads]].concat());
        let [unit] = lines(&ran.out, "unit-missing")[..] else { panic!("{}", ran.out) };
        assert!(unit.starts_with("gauges.yaml:2:23: fault, "), "{unit}");
        assert_eq!(lines(&ran.out, "key-unknown").len(), 1, "{}", ran.out);
        assert!(ran.out.contains("\n20 builds: 20 good\n"), "{}", ran.out);
        assert_eq!(ran.status, 2, "not everything could be done");
    }
    // Two shops with the same list, each with books of its own.
    papers.put("builds/1/trochoid.yaml", "books: ../../books/\n");
    let ran = papers.run(&PLAIN);
    assert_eq!(lines(&ran.out, "unit-missing").len(), 1, "{}", ran.out);
    let json = papers.run(&["check", "builds", "--format", "json"]);
    let told: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(told["paths"].as_array().unwrap().len(), 2, "{}", told["paths"]);
}

#[test]
fn a_list_that_cannot_be_read_is_one_mistake() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", build("P-1", "feeler-1"));
    papers.put("builds/P-2.yaml", build("P-2", "feeler-1"));
    for (list, code) in [
        (b"feeler-1: { uncertainty: 5 \xb5m }\n".as_slice(), "not-utf8"),
        (b"feeler-1: { uncertainty: 5 um\nother: { }\n", "yaml-unreadable"),
        (b"[feeler-1]\n", "shape-wrong"),
        (b"feeler-1: { uncertainty: 5 um }\nfeeler-1: { uncertainty: 4 um }\n", "key-twice"),
    ] {
        papers.put("gauges.yaml", list);
        let ran = papers.run(&PLAIN);
        assert_eq!(lines(&ran.out, code).len(), 1, "{code}: {}", ran.out);
        assert_eq!(lines(&ran.out, "gauge-unknown").len(), 0, "{code}: {}", ran.out);
        assert!(ran.out.contains("\n2 builds: 2 good\n"), "{code}: {}", ran.out);
        assert_eq!(ran.status, 2, "{code}");
    }
    // A list with nothing on it yet is no mistake; what is named by a reading is not on it.
    for list in ["", "# none yet\n"] {
        papers.put("gauges.yaml", list);
        let ran = papers.run(&PLAIN);
        assert_eq!((lines(&ran.out, "gauge-unknown").len(), ran.status), (2, 0), "{}", ran.out);
    }
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\ngauges: instruments.yaml\n");
    let ran = papers.run(&PLAIN);
    let [line] = lines(&ran.out, "settings-wrong")[..] else { panic!("{}", ran.out) };
    assert!(line.starts_with("trochoid.yaml:3:1: fault, "), "{line}");
    assert!(line.ends_with("no list of gauges at instruments.yaml"), "{line}");
    assert!(ran.out.contains("\n2 builds: 2 good\n") && ran.status == 2, "{}", ran.out);
}

#[test]
fn a_reading_brought_to_20_degrees_is_told_as_taken_and_as_judged() {
    let papers = Papers::new();
    let book = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit degC = 1 K zero at 273.15 K
unit \"um/m/K\" = 0.000001 / (1 K)
part pump {
    expansion 21.5 um/m/K ± 1.5 um/m/K { from common practice }
    bore : mm
    each_ : mm, optional, 2 readings or more
}
generation small \"an invented pump\" {
    pump.bore limit at most 80.00 mm { from common practice }
    each of pump.each_ limit 0.10 to 0.20 mm { from common practice }
}
";
    papers.put("books/pump.rulebook", book);
    let check = |body: &str| {
        papers.put("builds/P-1.yaml", format!("build: P-1\ngeneration: small\n{body}"));
        papers.run(&PLAIN).out
    };
    // By hand: 80.02 / (1 + 21.5 × 10 / 10^6) = 80.02 / 1.000215 = 80.00279940; taken cold it is larger.
    let out = check("bore: { value: 80.02 mm, at: 30 degC }\n");
    let said = "bore is 80.02 mm at 30 degC, 80.0028 mm at 20 degC, 0.0028 mm over its limit of at most 80.00 mm";
    assert!(out.contains(said), "{out}");
    // 80.01 mm warm is 79.9928 mm: good; as taken it would be out.
    assert!(check("bore: { value: 80.01 mm, at: 30 degC }\n").contains("\n1 build: 1 good\n"));
    assert!(check("bore: 80.01 mm\n").contains("\n1 build: 1 out\n"));
    // A slip is still read off what was written.
    let out = check("bore: { value: 79.00 mm, at: 30 degC }\neach_: { value: [1.5 mm, 0.15 mm], at: 30 degC }\n");
    assert!(out.contains("1.5 mm reads like 0.15 mm with its decimal point moved"), "{out}");
    assert!(out.contains("reading 1 is 1.5 mm at 30 degC, 1.4997 mm at 20 degC"), "{out}");
}
