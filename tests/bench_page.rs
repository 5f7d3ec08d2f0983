//! The page of one record at the bench, without a browser: every example build entered value by value, and what must never be
//! written.

use serde_json::{Value, json};
use std::path::Path;
use trochoid::bench::{Answer, Asked, Method, Workshop, answer};
use trochoid::quantity::Date;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn copied(folder: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry.unwrap();
        let place = to.join(entry.path().strip_prefix(folder).unwrap());
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(place).unwrap();
        } else {
            std::fs::copy(entry.path(), place).unwrap();
        }
    }
}

fn workshop(folder: &Path) -> Workshop {
    Workshop::new(folder, None, false, || Date::parse("2026-11-28"))
}

fn post(workshop: &Workshop, to: &str, value: &Value) -> (u16, Value) {
    let Answer { status, body, .. } =
        answer(workshop, &Asked::new(Method::Post, to, value.to_string().into_bytes()).unwrap());
    (status, serde_json::from_slice(&body).unwrap())
}

fn value(record: &str, key: &str, item: usize, was: &str, text: &str) -> Value {
    json!({ "record": record, "wish": { "value": { "key": key, "item": item, "was": was, "text": text } } })
}

/// The builds that differ most: slips, readings taken warm with gauges, another generation, concessions. In a browser every
/// build is entered: `pages_at_the_bench`.
const ENTERED: [&str; 4] = ["K-0144", "K-0146", "K-0157", "K-0158"];

#[test]
fn builds_entered_value_by_value_is_judged_as_the_file() {
    use trochoid::record::Record;
    use trochoid::text::Source;
    use trochoid::worksheet::worksheet;
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let today = Date::parse("2026-11-28");
    let (mut builds, mut rows) = (0, 0);
    for record in shop.records().iter().filter(|record| ENTERED.iter().any(|name| record.name.contains(name))) {
        let books = shop.shops().of(&record.path);
        let text = std::fs::read_to_string(&record.path).unwrap();
        let original = Record::of(Source::new("original", text));
        let Some(sheet) = worksheet(&books, &original, None, today) else { panic!("{}", record.name) };
        // The head as it is, everything else one value after another.
        let head: String = head_of(original.source.text());
        std::fs::write(&record.path, &head).unwrap();
        for (_, field) in sheet.fields() {
            for (item, one) in field.held.items.iter().enumerate() {
                let mut wish = value(&record.name, &field.key, item, "", &one.text);
                wish["wish"]["value"]["says"] = json!(one.says);
                wish["all_the_same"] = json!(true);
                let (status, said) = post(&shop, "/keep", &wish);
                let could_be_read = field.findings.iter().all(|finding| {
                    let name = finding.code.name();
                    !finding.is_error() || name.starts_with("reading") || name == "generation-contradicted"
                });
                assert_eq!(status == 200, could_be_read, "{} {}: {said}", record.name, field.key);
            }
        }
        for told in &sheet.concessions {
            let [row, because, by, until] = told;
            let wish = json!({ "record": record.name, "wish": { "concession": { "row": row, "because": because, "by": by, "until": until } } });
            let (status, said) = post(&shop, "/keep", &wish);
            assert_eq!(status, 200, "{} {row}: {said}", record.name);
        }
        let entered = Record::of(Source::new("original", std::fs::read_to_string(&record.path).unwrap()));
        let again = worksheet(&books, &entered, None, today).unwrap();
        let grades = |sheet: &trochoid::worksheet::Worksheet| -> Vec<(String, String, Option<String>)> {
            let lines = sheet.sections.iter().flat_map(|section| &section.lines);
            let told = lines.flat_map(|line| match line {
                trochoid::worksheet::Line::Reading(reading) => {
                    reading.fields.iter().flat_map(|field| field.told.clone()).chain(reading.told.clone()).collect()
                }
                trochoid::worksheet::Line::Derived(derived) => derived.told.clone(),
            });
            let told = told.chain(sheet.together.clone());
            told.map(|told| (told.path, told.grade.word().to_owned(), told.message)).collect()
        };
        assert_eq!(grades(&sheet), grades(&again), "{}", record.name);
        assert_eq!(sheet.checked.grade, again.checked.grade, "{}", record.name);
        assert_eq!(sheet.checked.counts, again.checked.counts, "{}", record.name);
        builds += 1;
        rows += grades(&sheet).len();
    }
    assert!(builds == ENTERED.len() && rows > 400, "{builds} builds, {rows} rows");
}

/// What stands at the top of a record before its readings.
fn head_of(text: &str) -> String {
    const HEADS: [&str; 5] = ["build:", "finished:", "generation:", "gauges:", "notes:"];
    let mut head = String::new();
    let mut inside = false;
    for line in text.lines() {
        let top = !line.starts_with([' ', '#', '-']) && !line.is_empty();
        if top {
            inside = HEADS.iter().any(|key| line.starts_with(key));
        }
        if inside || line.starts_with('#') {
            head.push_str(line);
            head.push('\n');
        }
    }
    head
}

/// A pump with a list of readings and a note. Invented.
fn pump(folder: &Path, record: &str) -> Workshop {
    let book = "rulebook \"Gear pump\" edition 2026-03-01\n\
        unit mm = 0.001 m\nunit g = 0.001 kg\nsource sheet \"Works sheet\"\n\
        part pump {\n    bore : mm, 2 readings or more\n    gap at inlet, outlet : mm\n    mass : g\n    part gear at left, right {\n        tooth : mm\n    }\n}\n\
        generation small \"small pump\" {\n    smallest of pump.bore limit at least 10 mm { from sheet \"1\" }\n}\n";
    std::fs::create_dir_all(folder.join("builds")).unwrap();
    std::fs::write(folder.join("pump.rulebook"), book).unwrap();
    let gauges = "gauges:\n  bore-1: { uncertainty: 3 um, calibrated: 2026-01-02, due: 2027-01-02 }\n";
    std::fs::write(folder.join("gauges.yaml"), gauges).unwrap();
    std::fs::write(folder.join("trochoid.yaml"), "books: [pump.rulebook]\n").unwrap();
    std::fs::write(folder.join("builds/P-1.yaml"), record).unwrap();
    let shop = workshop(folder);
    assert!(shop.shop().is_sound(), "{:?}", shop.shop().findings());
    shop
}

const PUMP: &str = "# Invented.\nbuild: P-1\nfinished: 2026-05-08\ngeneration: small\n";

#[test]
fn each_wish_changes_what_it_names_and_nothing_else() {
    let papers = tempfile::tempdir().unwrap();
    let shop = pump(papers.path(), PUMP);
    let file = papers.path().join("builds/P-1.yaml");
    let gauge = json!([["gauge", "bore-1"]]);
    let steps: [(&str, usize, &str, &str, Option<&Value>, u16, &str); 17] = [
        ("bore", 0, "", "10.04 mm", Some(&gauge), 200, "bore: { value: 10.04 mm, gauge: bore-1 }\n"),
        // The same gauge for both, then none for the second one.
        ("bore", 1, "", "10.05 mm", Some(&gauge), 200, "bore: { value: [10.04 mm, 10.05 mm], gauge: bore-1 }\n"),
        (
            "bore",
            1,
            "10.05 mm",
            "10.05 mm",
            Some(&json!([])),
            200,
            "bore: [{ value: 10.04 mm, gauge: bore-1 }, 10.05 mm]\n",
        ),
        // Nothing where nothing is.
        ("bore", 2, "", "", None, 200, "bore: [{ value: 10.04 mm, gauge: bore-1 }, 10.05 mm]\n"),
        ("bore", 2, "", "", Some(&gauge), 200, "bore: [{ value: 10.04 mm, gauge: bore-1 }, 10.05 mm]\n"),
        (
            "bore",
            2,
            "",
            "10.06 mm",
            Some(&gauge),
            200,
            "bore: [{ value: 10.04 mm, gauge: bore-1 }, 10.05 mm, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        (
            "bore",
            1,
            "10.05 mm",
            "",
            None,
            200,
            "bore: [{ value: 10.04 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        (
            "bore",
            0,
            "10.04 mm",
            "10.03 mm",
            None,
            200,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        // Somebody else was here.
        (
            "bore",
            0,
            "10.04 mm",
            "10.02 mm",
            None,
            409,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        // What cannot be read, and what is not there.
        (
            "bore",
            0,
            "10.03 mm",
            "10.02 kg",
            None,
            422,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        (
            "bore",
            0,
            "10.03 mm",
            "10.02",
            None,
            422,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        (
            "bored",
            0,
            "",
            "1 mm",
            None,
            422,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\n",
        ),
        (
            "gear.right.tooth",
            0,
            "",
            "3 mm",
            None,
            200,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\ngear:\n  right:\n    tooth: 3 mm\n",
        ),
        (
            "gear.left.tooth",
            0,
            "",
            "unknown",
            Some(&json!([["note", "worn: see photo"]])),
            200,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }, { value: 10.06 mm, gauge: bore-1 }]\ngear:\n  left:\n    tooth: { value: unknown, note: \"worn: see photo\" }\n  right:\n    tooth: 3 mm\n",
        ),
        (
            "bore",
            1,
            "10.06 mm",
            "",
            None,
            200,
            "bore: [{ value: 10.03 mm, gauge: bore-1 }]\ngear:\n  left:\n    tooth: { value: unknown, note: \"worn: see photo\" }\n  right:\n    tooth: 3 mm\n",
        ),
        (
            "bore",
            0,
            "10.03 mm",
            "",
            None,
            200,
            "bore:\ngear:\n  left:\n    tooth: { value: unknown, note: \"worn: see photo\" }\n  right:\n    tooth: 3 mm\n",
        ),
        (
            "gap.outlet",
            0,
            "",
            "2 mm",
            None,
            200,
            "bore:\ngap:\n  outlet: 2 mm\ngear:\n  left:\n    tooth: { value: unknown, note: \"worn: see photo\" }\n  right:\n    tooth: 3 mm\n",
        ),
    ];
    for (key, item, was, text, says, status, expected) in steps {
        let mut wish = value("builds/P-1.yaml", key, item, was, text);
        if let Some(says) = says {
            wish["wish"]["value"]["says"] = says.clone();
        }
        let (graded, _) = post(&shop, "/grade", &wish);
        let (got, said) = post(&shop, "/keep", &wish);
        assert_eq!((graded, got), (status, status), "{key} {item} {text}: {said}");
        assert_eq!(said["kept"], status == 200);
        assert_eq!(std::fs::read_to_string(&file).unwrap(), format!("{PUMP}{expected}"), "{key} {item} {text}");
    }
}
