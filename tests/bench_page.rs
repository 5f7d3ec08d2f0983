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
