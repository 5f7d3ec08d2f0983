//! The page of one record at the bench, without a browser: every example build entered value by value, and what must never be
//! written.

use serde_json::{Value, json};
use std::path::Path;
use trochoid::bench::{Answer, Asked, Method, Workshop, answer};
use trochoid::quantity::Date;

pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A folder with all that is in it.
pub(crate) fn copied(folder: &Path, to: &Path) {
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

pub(crate) fn workshop(folder: &Path) -> Workshop {
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

/// A build with concessions. In a browser the others are entered too: `browser_at_the_bench_enters_every_build_by_keyboard`.
const ENTERED: [&str; 1] = ["K-0146"];

#[test]
fn a_build_entered_value_by_value_is_judged_as_the_file() {
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
        let Some(sheet) = worksheet(&books, &original, None, today, None) else { panic!("{}", record.name) };
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
        let again = worksheet(&books, &entered, None, today, None).unwrap();
        let grades = |sheet: &trochoid::worksheet::Worksheet| -> Vec<(String, String, Option<String>)> {
            let lines = sheet.sections.iter().flat_map(|section| &section.lines);
            let told = lines.flat_map(|line| match line {
                trochoid::worksheet::Line::Reading(reading) => {
                    reading.fields.iter().flat_map(|field| field.told.clone()).chain(reading.told.clone()).collect()
                }
                trochoid::worksheet::Line::Derived(derived) => derived.told.clone(),
            });
            let told = told.chain(sheet.together.clone());
            told.map(|told| (told.path.clone(), told.grade.word().to_owned(), told.message.clone())).collect()
        };
        assert_eq!(grades(&sheet), grades(&again), "{}", record.name);
        assert_eq!(sheet.checked.grade, again.checked.grade, "{}", record.name);
        assert_eq!(sheet.checked.counts, again.checked.counts, "{}", record.name);
        builds += 1;
        rows += grades(&sheet).len();
    }
    assert!(builds == ENTERED.len() && rows > 150, "{builds} builds, {rows} rows");
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

/// The way, which value, what was there, what is wanted with what beside it, the status, and the readings afterwards.
type Step<'a> = (&'a str, usize, &'a str, &'a str, Option<&'a Value>, u16, &'a str);

#[test]
fn each_wish_changes_what_it_names_and_nothing_else() {
    let papers = tempfile::tempdir().unwrap();
    let shop = pump(papers.path(), PUMP);
    let file = papers.path().join("builds/P-1.yaml");
    let gauge = json!([["gauge", "bore-1"]]);
    let steps: [Step<'_>; 17] = [
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

/// Numbers without chance.
pub(crate) struct Draw(pub(crate) u64);

impl Draw {
    pub(crate) fn of(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % most
    }
}

#[test]
fn whatever_is_entered_on_any_page_the_file_has_that_and_nothing_else_changed() {
    use trochoid::record::Record;
    use trochoid::text::Source;
    use trochoid::worksheet::worksheet;
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let today = Date::parse("2026-11-28");
    let records: Vec<_> = shop.records().iter().filter(|record| record.name.starts_with("builds/")).cloned().collect();
    let mut draw = Draw(19);
    let mut kept = 0;
    for _ in 0..60 {
        let record = &records[draw.of(records.len())];
        let books = shop.shops().of(&record.path);
        let before = std::fs::read_to_string(&record.path).unwrap();
        let sheet = worksheet(&books, &Record::of(Source::new("r", before.clone())), None, today, None).unwrap();
        let all: Vec<_> = sheet.fields().filter(|(_, field)| !field.held.is_unusual()).collect();
        let (line, field) = all[draw.of(all.len())];
        let item = draw.of(field.held.items.len() + 1);
        let was = field.held.items.get(item).map_or(String::new(), |item| item.text.clone());
        let text = match &line.entry {
            trochoid::worksheet::EntryKind::Number(units) => {
                let unit = units.first().map_or(String::new(), |unit| format!(" {unit}"));
                format!("{}.{:02}{unit}", draw.of(90), draw.of(100))
            }
            trochoid::worksheet::EntryKind::OneOf(words) => words[draw.of(words.len())].clone(),
            trochoid::worksheet::EntryKind::Words => "as found: # 3".into(),
        };
        let text = if draw.of(6) == 0 { String::new() } else { text };
        let mut wish = value(&record.name, &field.key, item, &was, &text);
        wish["all_the_same"] = json!(true);
        let (status, said) = post(&shop, "/keep", &wish);
        let after = std::fs::read_to_string(&record.path).unwrap();
        if status != 200 {
            assert_eq!(before, after, "{} {}: {said}", record.name, field.key);
            continue;
        }
        kept += 1;
        let again = worksheet(&books, &Record::of(Source::new("r", after.clone())), None, today, None).unwrap();
        let texts = |field: &trochoid::worksheet::Field| -> Vec<(String, Vec<(String, String)>)> {
            field.held.items.iter().map(|item| (item.text.clone(), item.says.clone())).collect()
        };
        let mut model = texts(field);
        match (item < model.len(), text.is_empty()) {
            (true, true) => drop(model.remove(item)),
            (true, false) => model[item].0.clone_from(&text),
            (false, false) => model.push((text.clone(), Vec::new())),
            (false, true) => {}
        }
        assert_eq!(texts(again.field(&field.key).unwrap()), model, "{} {} {item} {text}", record.name, field.key);
        for (_, other) in sheet.fields().filter(|(_, other)| other.key != field.key) {
            let now = again.field(&other.key).unwrap();
            assert_eq!(texts(now), texts(other), "{}: {} with {}", record.name, other.key, field.key);
        }
        // Of the text, the lines of that value at most.
        let diff = similar::TextDiff::from_lines(&before, &after);
        let gone: Vec<_> =
            diff.iter_all_changes().filter(|change| change.tag() == similar::ChangeTag::Delete).collect();
        assert!(gone.len() <= 1, "{} {}: {gone:?}", record.name, field.key);
    }
    assert!(kept > 25, "{kept} kept");
}

#[test]
fn what_cannot_be_is_asked_about_and_what_somebody_confirms_is_written_with_the_name() {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let file = papers.path().join("builds/K-0145.yaml");
    let before = std::fs::read_to_string(&file).unwrap();
    let was = "0.060 mm";
    let mut wish = value("builds/K-0145.yaml", "end_play", 0, was, "61 mm");
    let (status, said) = post(&shop, "/keep", &wish);
    assert_eq!((status, &said["reason"]), (422, &json!("implausible")), "{said}");
    let why = said["why"].as_str().unwrap();
    assert!(why.starts_with("end play cannot be 61 mm: the plausible range is 0 to 0.8 mm"), "{why}");
    assert!(!why.contains('`'), "what to do stands on buttons: {why}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
    wish["wish"]["value"]["says"] = json!([["gauge", "dial-1"], ["confirmed", "J. Doe"]]);
    let (status, said) = post(&shop, "/keep", &wish);
    assert_eq!(status, 200, "{said}");
    let after = std::fs::read_to_string(&file).unwrap();
    let expected = before.replace(
        "end_play: { value: 0.060 mm, gauge: dial-1 }",
        "end_play: { value: 61 mm, gauge: dial-1, confirmed: J. Doe }",
    );
    assert_eq!(after, expected);
}

#[test]
fn a_concession_is_signed_by_a_person_or_not_written() {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let file = papers.path().join("builds/K-0144.yaml");
    let before = std::fs::read_to_string(&file).unwrap();
    let concede = |row: &str, because: &str, by: &str, until: &str| {
        let told = json!({ "row": row, "because": because, "by": by, "until": until });
        post(&shop, "/keep", &json!({ "record": "builds/K-0144.yaml", "wish": { "concession": told } }))
    };
    for (row, because, by, until, words) in [
        ("", "agreed", "foreman", "", "say which row is let through"),
        ("housing.front.chipping", " ", "foreman", "", "say why it is let through"),
        ("housing.front.chipping", "agreed", "", "", "say who signs"),
        ("housing.front.chiping", "agreed", "foreman", "", "chiping"),
        ("housing.front.chipping", "agreed", "foreman", "tomorrow", "tomorrow"),
    ] {
        let (status, said) = concede(row, because, by, until);
        assert_eq!(status, 422, "{said}");
        assert!(said["why"].as_str().unwrap().contains(words), "{said}");
        assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
    }
    let (status, said) =
        concede("rotor.front.apex_seal.3.slot_clearance", "agreed with the owner", "foreman", "2026-12-31");
    assert_eq!(status, 200, "{said}");
    let after = std::fs::read_to_string(&file).unwrap();
    let added = "concessions: [{ row: rotor.front.apex_seal.3.slot_clearance, because: agreed with the owner, by: foreman, until: 2026-12-31 }]\n";
    assert!(after.contains(added), "{after}");
    assert_eq!(after.replace(added, ""), before);
    assert!(said["concessions"].as_str().unwrap().contains("agreed with the owner"));
}

/// The smallest picture there is: one grey point (W3C PNG, third edition, 11.2 and 11.3).
const PICTURE: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55\0\0\0\nIDAT\x78\x9c\x63\x60\0\0\0\x02\0\x01\x48\xaf\xa4\x71\0\0\0\0IEND\xae\x42\x60\x82";

#[test]
fn a_photograph_is_kept_beside_the_record_and_shown_if_the_record_names_it() {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let send = |target: &str, bytes: &[u8]| {
        let answer = answer(&shop, &Asked::new(Method::Post, target, bytes.to_vec()).unwrap());
        (answer.status, serde_json::from_slice::<Value>(&answer.body).unwrap())
    };
    let show = |target: &str| answer(&shop, &Asked::new(Method::Get, target, Vec::new()).unwrap());
    let to = "/photo?record=builds/K-0145.yaml&key=end_play";
    for not in [&b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>"[..], b"<html>", b"", b"MZ", b"\x89PNG\r\n\x1a\n"] {
        assert_eq!(send(to, not).0, 415);
    }
    assert_eq!(send("/photo?record=builds/../trochoid.yaml&key=end_play", PICTURE).0, 404);
    assert_eq!(send("/photo?record=builds/K-0145.yaml&key=../../x", PICTURE).0, 404);
    let (status, said) = send(to, PICTURE);
    assert_eq!((status, &said["photo"]), (200, &json!("K-0145-photos/end_play-1.png")), "{said}");
    assert_eq!(std::fs::read(papers.path().join("builds/K-0145-photos/end_play-1.png")).unwrap(), PICTURE);
    // A second one does not take its place.
    assert_eq!(send(to, PICTURE).1["photo"], "K-0145-photos/end_play-2.png");
    // It is shown once the record names it, and no other file is.
    let file = "/photo/builds/K-0145.yaml?file=K-0145-photos/end_play-1.png";
    assert_eq!(show(file).status, 404);
    let mut wish = value("builds/K-0145.yaml", "end_play", 0, "0.060 mm", "0.060 mm");
    wish["wish"]["value"]["says"] = json!([["gauge", "dial-1"], ["photo", "K-0145-photos/end_play-1.png"]]);
    assert_eq!(post(&shop, "/keep", &wish).0, 200);
    let shown = show(file);
    assert_eq!((shown.status, shown.kind.media_type(), shown.body.as_slice()), (200, "image/png", PICTURE));
    wish["wish"]["value"]["says"] = json!([["photo", "../trochoid.yaml"]]);
    assert_eq!(post(&shop, "/keep", &wish).0, 200);
    assert_eq!(show("/photo/builds/K-0145.yaml?file=../trochoid.yaml").status, 404);
    // Nothing is read from it: the verdict is the same.
    assert_eq!(
        shop.shop().check(&papers.path().join("builds/K-0145.yaml"), &trochoid::shop::Ask::default()).record_errors,
        0
    );
}

#[test]
fn for_reading_only_nothing_is_written_and_everything_is_graded() {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = Workshop::new(papers.path(), None, true, || Date::parse("2026-11-28"));
    let before = std::fs::read_to_string(papers.path().join("builds/K-0145.yaml")).unwrap();
    let wish = value("builds/K-0145.yaml", "end_play", 0, "0.060 mm", "0.07 mm");
    assert_eq!(post(&shop, "/grade", &wish).0, 200);
    assert_eq!(post(&shop, "/keep", &wish).0, 403);
    let photo = Asked::new(Method::Post, "/photo?record=builds/K-0145.yaml&key=end_play", PICTURE.to_vec()).unwrap();
    assert_eq!(answer(&shop, &photo).status, 403);
    assert_eq!(std::fs::read_to_string(papers.path().join("builds/K-0145.yaml")).unwrap(), before);
    let page = answer(&shop, &Asked::new(Method::Get, "/build/builds/K-0145.yaml", Vec::new()).unwrap());
    assert!(String::from_utf8(page.body).unwrap().contains("data-shut"));
}

#[test]
fn a_page_hears_what_changed_and_everything_if_it_is_behind() {
    use trochoid::bench::Watching;
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), papers.path());
    let shop = workshop(papers.path());
    let page = answer(&shop, &Asked::new(Method::Get, "/build/builds/K-0145.yaml", Vec::new()).unwrap());
    let page = String::from_utf8(page.body).unwrap();
    let version = page.split("data-version=\"").nth(1).unwrap().split('"').next().unwrap();
    let watch = |version: &str| {
        let target = format!("/events?record=builds/K-0145.yaml&version={version}");
        Watching::new(&shop, &Asked::new(Method::Get, &target, Vec::new()).unwrap()).unwrap()
    };
    let told =
        |watching: &mut Watching| -> Option<Value> { Some(serde_json::from_str(&watching.next(&shop)?).unwrap()) };
    let count = |said: &Value, of: &str| said[of].as_object().unwrap().len();
    let (mut up_to_date, mut behind) = (watch(version), watch("1"));
    assert_eq!(told(&mut up_to_date), None);
    let all = told(&mut behind).unwrap();
    assert!(count(&all, "fields") > 200 && count(&all, "verdicts") > 300 && all["head"].is_string(), "{all}");
    assert_eq!(told(&mut behind), None);
    let wish = value("builds/K-0145.yaml", "end_play", 0, "0.060 mm", "0.061 mm");
    assert_eq!(post(&shop, "/keep", &wish).0, 200);
    for watching in [&mut up_to_date, &mut behind] {
        let said = told(watching).unwrap();
        assert_eq!(said["fields"]["end_play"][0]["text"], "0.061 mm");
        assert!(count(&said, "fields") == 1 && count(&said, "verdicts") < 20, "{said}");
    }
}

#[test]
fn what_a_record_says_about_itself_is_changed_as_it_is_written_or_not_at_all() {
    let papers = tempfile::tempdir().unwrap();
    let shop = pump(papers.path(), PUMP);
    let file = papers.path().join("builds/P-1.yaml");
    let head = |record: &str, key: &str, was: &str, text: &str, tag: Option<&str>| {
        let wish =
            json!({ "record": record, "tag": tag, "wish": { "head": { "key": key, "was": was, "text": text } } });
        post(&shop, "/keep", &wish)
    };
    assert_eq!(head("builds/P-1.yaml", "finished", "2026-05-08", "2026-05-09", None).0, 200);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), PUMP.replace("05-08", "05-09"));
    assert_eq!(head("builds/P-1.yaml", "finished", "2026-05-08", "2026-05-10", None).0, 409);
    assert_eq!(head("builds/P-1.yaml", "finished", "2026-05-09", "next week", None).0, 422);
    // A part of a list, why it is scrapped, and notes in a list stay as somebody wrote them.
    let parts = "part: gear\ngeneration: small\nparts:\n  - { tag: G-1, tooth: 3 mm, state: { scrapped: 2026-05-01, because: cracked } }\n  - { tag: G-2, tooth: 3 mm, notes: [one, two] }\n";
    std::fs::create_dir_all(papers.path().join("shelf")).unwrap();
    let shelf = papers.path().join("shelf/gears.yaml");
    std::fs::write(&shelf, parts).unwrap();
    shop.look_again();
    assert_eq!(head("shelf/gears.yaml", "state", "", "in stock", Some("G-1")).0, 422);
    assert_eq!(head("shelf/gears.yaml", "notes", "one; two", "three", Some("G-2")).0, 422);
    assert_eq!(std::fs::read_to_string(&shelf).unwrap(), parts);
    assert_eq!(head("shelf/gears.yaml", "state", "", "reserved for P-1", Some("G-2")).0, 200);
    let mut wish = value("shelf/gears.yaml", "tooth", 0, "3 mm", "3.1 mm");
    wish["tag"] = json!("G-1");
    assert_eq!(post(&shop, "/keep", &wish).0, 200);
    let expected = parts.replace("tag: G-2, tooth", "tag: G-2, state: reserved for P-1, tooth").replacen(
        "tooth: 3 mm",
        "tooth: 3.1 mm",
        1,
    );
    assert_eq!(std::fs::read_to_string(&shelf).unwrap(), expected);
}

#[cfg(unix)]
#[test]
fn no_link_in_a_shops_folder_is_a_way_to_a_file_elsewhere() {
    let (papers, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let shop = pump(papers.path(), PUMP);
    let target = elsewhere.path().join("P-2.yaml");
    std::fs::write(&target, PUMP.replace("P-1", "P-2")).unwrap();
    std::os::unix::fs::symlink(&target, papers.path().join("builds/P-2.yaml")).unwrap();
    std::os::unix::fs::symlink(elsewhere.path(), papers.path().join("builds/P-1-photos")).unwrap();
    std::fs::write(elsewhere.path().join("secret.png"), PICTURE).unwrap();
    shop.look_again();
    let (status, said) = post(&shop, "/keep", &value("builds/P-2.yaml", "gap.inlet", 0, "", "2 mm"));
    assert_eq!((status, &said["kept"]), (422, &json!(false)), "{said}");
    assert_eq!(std::fs::read_to_string(&target).unwrap(), PUMP.replace("P-1", "P-2"));
    let photo = Asked::new(Method::Post, "/photo?record=builds/P-1.yaml&key=gap.inlet", PICTURE.to_vec()).unwrap();
    assert_eq!(answer(&shop, &photo).status, 422);
    let mut wish = value("builds/P-1.yaml", "gap.inlet", 0, "", "2 mm");
    wish["wish"]["value"]["says"] = json!([["photo", "P-1-photos/secret.png"]]);
    assert_eq!(post(&shop, "/keep", &wish).0, 200);
    let shown = Asked::new(Method::Get, "/photo/builds/P-1.yaml?file=P-1-photos/secret.png", Vec::new()).unwrap();
    assert_eq!(answer(&shop, &shown).status, 404);
    assert_eq!(std::fs::read_dir(elsewhere.path()).unwrap().count(), 2, "nothing was written there");
}
