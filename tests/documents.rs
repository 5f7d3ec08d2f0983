//! Every JSON document the program writes is as the shipped schema (JSON Schema 2020-12) says, and the schema says all of it.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

fn schema() -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/documents.schema.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// What a run in the repository's own folder prints, whatever its status.
fn text(arguments: &[&str]) -> String {
    let output = assert_cmd::Command::cargo_bin("trochoid")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .write_stdin("")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

fn document(arguments: &[&str]) -> Value {
    let text = text(arguments);
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}: {text}"))
}

/// The lines a run prints, each with what the schema calls it.
fn lines(arguments: &[&str]) -> Vec<(&'static str, Value)> {
    let text = text(arguments);
    text.lines()
        .map(|line| {
            let document: Value = serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
            let kinds = ["record", "shop", "finding", "survey", "summary"];
            let lines = ["record_line", "shop_line", "finding_line", "survey_line", "summary_line"];
            let kind = document["format"].as_str().unwrap().trim_start_matches("trochoid check ");
            (lines[kinds.iter().position(|one| *one == kind).unwrap()], document)
        })
        .collect()
}

/// Every kind of document, made once.
fn documents() -> Vec<(&'static str, Value)> {
    static ONCE: std::sync::OnceLock<Vec<(&'static str, Value)>> = std::sync::OnceLock::new();
    ONCE.get_or_init(made).clone()
}

/// Every kind of document, from the example shops, and from papers with every kind of mistake.
fn made() -> Vec<(&'static str, Value)> {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let book = "rulebook \"An invented pump\" edition 2026-03-01\nunit mm = 0.001 m\nunit in = 25.4 mm\npart pump { gap : mm }\n\
                generation small \"20 mm gears\" { pump.gap standard 0.05 to 0.10 mm limit at most LIMIT mm { from memory } }\n\
                house \"Lapwing Pumps\" { judge by guard band }\n";
    put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    put("gauges.yaml", "feeler: { uncertainty: 0.004 mm }\n");
    put("books/pump.rulebook", &book.replace("LIMIT", "0.15"));
    let before = put("before/pump.rulebook", &book.replace("LIMIT", "0.20"));
    put("builds/P-1.yaml", "build: P-1\ngeneration: small\ngap: { value: 0.149 mm, gauge: feeler }\n");
    put("builds/P-2.yaml", "build: P-2\nfinished: 2026-05-01\ngeneration: small\ngap: 0.18 mm\n");
    put("builds/P-3.yaml", "generation: large\ngap: two\n");
    put("builds/P-4.yaml", "build: [\n");
    // 0.15037 mm, and on paper 0.15 mm.
    put("builds/P-5.yaml", "build: P-5\nfinished: 2026-05-01\ngeneration: small\ngap: 0.00592 in\n");
    // Two values whose straight-line budget is not good enough: a square at nought, and a root that not every draw has.
    let bent = put(
        "bent.rulebook",
        "rulebook \"A bent value\" edition 2026-03-01\npart pump {\n    a : number, may be negative\n    derive square : number = a ^ 2\n    \
         derive power : number = (a + 1) ^ 2\n    derive root : number = sqrt(a)\n}\ngeneration small \"bent\" {\n    \
         pump.square limit at most 9 { from memory }\n    pump.root limit at most 9 { from memory }\n}\n",
    );
    let bent_record = put("bent.yaml", "generation: small\na: { value: 0, uncertainty: 0.2 }\n");
    let builds = folder.path().join("builds").to_str().unwrap().to_owned();
    let signed = folder.path().join("signed").to_str().unwrap().to_owned();
    let mut all = vec![
        ("check", document(&["check", "examples", "--format", "json"])),
        ("check", document(&["check", "examples", "--format", "json", "--within", "5%", "--conversions", "--count"])),
        ("check", document(&["check", &builds, "gone", "--format", "json"])),
        ("check", document(&["check", &builds, "--books", "LICENSE", "--format", "json"])),
        ("identify", document(&["identify", "examples/kestrel/builds", "--format", "json"])),
        (
            "identify",
            document(&["identify", "rotor.front.pocket=cast", "rotor.rear.pocket=machined", "--format", "json"]),
        ),
        ("identify", document(&["identify", "housing.width=75 mm", "--format", "json"])),
        ("audit", document(&["audit", &builds, "--before", &before, "--format", "json"])),
        (
            "audit",
            document(&[
                "audit",
                "examples/kestrel/builds",
                "--before",
                "examples/kestrel/books",
                "--ignore-dates",
                "--format",
                "json",
            ]),
        ),
    ];
    for part in ["list", "scrapped", "as-one-position-only"] {
        let folder = format!("tests/cases/part/{part}");
        let (part, book) = (format!("{folder}/part.yaml"), format!("{folder}/book.rulebook"));
        all.push(("check", document(&["check", &part, "--books", &book, "--format", "json"])));
        all.extend(lines(&["check", &part, "--books", &book, "--format", "jsonl"]));
    }
    for asked in [
        "--only rotor --best 2",
        "--only rotor --with R-014",
        "--only rotor --builds 2",
        "--only rotor --least mass_gap --show pair_grade",
    ] {
        let words = ["match", "light_2mm", "examples/kestrel", "--format", "json"];
        all.push(("match", document(&words.into_iter().chain(asked.split(' ')).collect::<Vec<_>>())));
    }
    let mean = "trend rotor.side_clearance examples/kestrel/builds --by rotor.casting --format json";
    let gauges = "trend housing.width examples/kestrel/builds --by gauge --format json";
    for (kind, asked) in [
        ("trend", mean),
        ("trend", gauges),
        ("trend", "trend rotor.side_clearance examples/kestrel/builds --risk --format json"),
        ("prove", "prove specs --format json"),
        ("prove", "prove examples/kestrel/books --format json"),
        ("explain", "explain examples/kestrel/builds/K-0142.yaml rotor.side_clearance --format json"),
        ("explain", "explain examples/kestrel/shelf/rotors.yaml tip_relief --tag R-001 --format json"),
        (
            "explain",
            "explain tests/cases/part/as-one-position-only/part.yaml mass --books tests/cases/part/as-one-position-only/book.rulebook --format json",
        ),
        ("trend", "trend rotor.mass examples/kestrel/shelf --format json"),
        ("explain_code", "explain row-out --format json"),
        ("explain_list", "explain --list --format json"),
        ("rework", "rework examples/kestrel/builds --format json"),
        ("rework", "rework examples/kestrel/shelf --format json"),
        ("rework", "rework examples/gearbox/builds --format json"),
        ("rework", "rework tests/cases/rework/shelf-in-place-of-two-steps/build.yaml --format json"),
        ("rework", "rework tests/cases/rework/take-from-the-shelf/build.yaml --format json"),
        ("list", "list --format json"),
        ("list", "list readings --format json"),
        ("list", "list rows light_2mm --format json"),
        ("list", "list units --format json"),
        ("list", "list books parts.rulebook --format json"),
    ] {
        all.push((kind, document(&asked.split(' ').collect::<Vec<_>>())));
    }
    all.push(("prove", document(&["prove", folder.path().join("books").to_str().unwrap(), "--format", "json"])));
    all.push(("trend", document(&["trend", "gap", &builds, "--format", "json"])));
    for row in ["square", "power", "root"] {
        all.push(("explain", document(&["explain", &bent_record, row, "--books", &bent, "--format", "json"])));
    }
    all.extend(study());
    all.extend(lines(&["check", &builds, "gone", "--format", "jsonl", "--within=1%", "--conversions", "--count"]));
    let table = put("table.csv", "build,gap\nP-7,0.12 mm\nP-8,0.12\n");
    let small = put("books/pump.rulebook", &book.replace("LIMIT", "0.15"));
    all.push(("import", document(&["import", &table, "-g", "small", "--books", &small, "--format", "json"])));
    // An engine that came back, and a part that was in it.
    put(
        "again/pump.rulebook",
        "rulebook \"Pumps\" edition 2026-03-01\nunit mm = 0.001 m\npart pump { serial : text, optional\n part gear at front, rear { width : mm } }\n\
         generation small \"20 mm gears\" { gear.width standard 19.95 to 20.05 mm limit 19.9 to 20.1 mm }\n",
    );
    put("again/trochoid.yaml", "books: pump.rulebook\nshelf: gears.yaml\n");
    put("again/gears.yaml", "part: gear\ntag: G-1\nmeasured: 2026-05-01\ngeneration: small\nwidth: 19.95 mm\n");
    for (number, serial, width) in [(1, 7, "20.00 mm"), (2, 7, "19.92 mm"), (3, 8, "20.00 mm"), (4, 8, "19.80 mm")] {
        let record = format!(
            "build: A-{number}\nfinished: 2025-0{number}-01\ngeneration: small\nserial: {serial}\nparts: {{ gear.front: G-1 }}\n\
             gear: {{ front: {{ width: 20.00 mm }}, rear: {{ width: {width} }} }}\n"
        );
        put(&format!("again/A-{number}.yaml"), &record);
    }
    // Two parts that do not go together, and what would put that right.
    put(
        "apart/pump.rulebook",
        "rulebook \"Pumps\" edition 2026-03-01\nunit mm = 0.001 m\npart pump { part gear at front, rear { width : mm }\n\
         derive gap : mm = spread of gear.width }\ngeneration small \"20 mm gears\" { gear.width limit 19.9 to 20.1 mm\n\
         pump.gap limit at most 0.05 mm\nrework grind : gear.width less by at most 0.10 mm { from memory } }\n",
    );
    put("apart/trochoid.yaml", "books: pump.rulebook\nshelf: gears.yaml\n");
    put(
        "apart/gears.yaml",
        "part: gear\nmeasured: 2026-05-01\ngeneration: small\nparts: [{ tag: G-1, width: 19.95 mm }, { tag: G-2, width: 20.08 mm }]\n",
    );
    let apart = folder.path().join("apart").to_str().unwrap().to_owned();
    all.push(("match", document(&["match", "small", &apart, "--format", "json"])));
    let again = folder.path().join("again").to_str().unwrap().to_owned();
    all.push(("check", document(&["check", &again, "--history", "--format", "json"])));
    let table = put("parts.csv", "tag,generation,mass,weight_class\nR-7,light_2mm,4.35 kg,C\nR-8,light_2mm,4.35,C\n");
    all.push(("import", document(&["import", &table, "--part", "rotor", "--books", "specs", "--format", "json"])));
    document(&["check", &builds, "--sheets", &signed, "--format", "json"]);
    put("books/pump.rulebook", &book.replace("LIMIT", "0.10"));
    all.push(("audit", document(&["audit", &builds, "--sheets", &signed, "--format", "json"])));
    for name in ["P-1", "P-2"] {
        let sheet = std::fs::read_to_string(folder.path().join(format!("signed/{name}.verdict.json"))).unwrap();
        all.push(("verdict_sheet", serde_json::from_str(&sheet).unwrap()));
    }
    all
}

#[test]
fn every_document_is_as_the_schema_says() {
    let schema = schema();
    jsonschema::draft202012::meta::validate(&schema).unwrap();
    for (kind, document) in documents() {
        // Held to its own kind, so that a mistake is told where it is.
        let mut own = schema.clone();
        own["anyOf"] = serde_json::json!([{ "$ref": format!("#/$defs/{kind}") }]);
        for schema in [&own, &schema] {
            let validator = jsonschema::draft202012::new(schema).unwrap();
            let wrong: Vec<String> =
                validator.iter_errors(&document).map(|error| format!("{}: {error}", error.instance_path())).collect();
            assert!(wrong.is_empty(), "{kind}: {:#?}", &wrong[..wrong.len().min(5)]);
        }
    }
}

#[test]
fn a_document_that_is_not_as_the_schema_says_is_refused() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    let (_, document) = documents().remove(2);
    assert!(validator.is_valid(&document));
    for (pointer, wrong) in [
        ("/records/0/grade", Value::from("fine")),
        ("/records/0/counts/good", Value::from(-1)),
        ("/records/0/rulings/0/room", Value::from(1)),
        ("/records/0/rulings/0/figures/limit/1", Value::from("0.1 mm")),
        ("/survey", Value::from(1)),
        ("/records/0/rulings/0/row/line", Value::from(0)),
        ("/records/0/rulings/0/uncertainty/rule", Value::Null),
        ("/summary/status", Value::from(3)),
        ("/format", Value::from("trochoid")),
        ("/records", Value::Null),
    ] {
        let mut changed = document.clone();
        *changed.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")) = wrong;
        assert!(!validator.is_valid(&changed), "{pointer}");
    }
}

/// A gauge study of two people and three parts, whole and with a reading too few; groups of two readings; and gauges.
fn study() -> Vec<(&'static str, Value)> {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: String| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    put("trochoid.yaml", "books: [books/]\n".into());
    put(
        "books/pump.rulebook",
        "rulebook \"Pump\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\npart pump {\n    width : mm, 1 reading or more\n    measured_by : text\n}\n\
         generation small \"an invented pump\" {\n    each of pump.width limit at most 30 mm\n}\n"
            .into(),
    );
    put("gauges.yaml", "mic: [{ uncertainty: 2 um, error: 1 um, calibrated: 2025-01-10 }, { uncertainty: 2 um, error: 4 um, calibrated: 2026-01-12, due: 2027-01-12, resolution: 1 um }]\n".into());
    for (person, off) in [("Wren", 0), ("Finch", 3)] {
        for part in 0..3 {
            let (one, other) = (2000 + 10 * part + off, 2001 + 10 * part - off);
            let width = |hundredths: i32| format!("{}.{:02} mm", hundredths / 100, hundredths % 100);
            put(
                &format!("study/{person}-{part}.yaml"),
                format!(
                    "build: P-{part}\nfinished: 2026-05-0{}\ngeneration: small\nmeasured_by: {person}\nwidth: [{}, {}]\n",
                    part + 1,
                    width(one),
                    width(other)
                ),
            );
        }
    }
    let study = folder.path().join("study").to_str().unwrap().to_owned();
    let asked = |more: &[&str]| {
        let words = ["trend", "pump.width", &study, "--format", "json"];
        document(&words.into_iter().chain(more.iter().copied()).collect::<Vec<_>>())
    };
    let mut all = vec![("trend", asked(&["--by", "measured_by", "--study"])), ("trend", asked(&["--subgroups"]))];
    put(
        "study/Wren-9.yaml",
        "build: P-0\nfinished: 2026-05-01\ngeneration: small\nmeasured_by: Wren\nwidth: 20.00 mm\n".into(),
    );
    all.push(("trend", asked(&["--by", "measured_by", "--study"])));
    all.push(("trend", asked(&["--subgroups"])));
    let output = assert_cmd::Command::cargo_bin("trochoid")
        .unwrap()
        .current_dir(folder.path())
        .args(["list", "gauges", "--format", "json"])
        .output()
        .unwrap();
    all.push(("list", serde_json::from_slice(&output.stdout).unwrap()));
    all
}

/// The schema lets members be added, so that old readers need not mind; but what is written today it names.
#[test]
fn the_schema_names_every_member_and_every_member_it_names_is_written() {
    let schema = schema();
    let (mut written, mut named) = (BTreeSet::new(), BTreeSet::new());
    for (kind, document) in documents() {
        follow(&schema, &schema["$defs"][kind], &document, &mut written);
    }
    members(&schema, &mut named);
    let not_written: Vec<_> = named.difference(&written).collect();
    assert!(not_written.is_empty(), "named and never written here: {not_written:?}");
}

/// Notes the members of a value, each of which its schema must name.
fn follow(root: &Value, schema: &Value, value: &Value, written: &mut BTreeSet<String>) {
    if let Some(name) = schema["$ref"].as_str() {
        return follow(root, &root["$defs"][name.rsplit('/').next().unwrap()], value, written);
    }
    if let Some(either) = schema["anyOf"].as_array().filter(|_| !value.is_null()) {
        return follow(root, &either[0], value, written);
    }
    if let Some(all) = schema["allOf"].as_array() {
        let mut merged = serde_json::json!({ "properties": {} });
        for part in all {
            let part = part["$ref"].as_str().map_or(part, |name| &root["$defs"][name.rsplit('/').next().unwrap()]);
            let own = part["properties"].as_object().unwrap().clone();
            merged["properties"].as_object_mut().unwrap().extend(own);
        }
        return follow(root, &merged, value, written);
    }
    match value {
        Value::Object(map) => {
            for (member, value) in map {
                match schema["properties"].get(member) {
                    Some(schema) => {
                        written.insert(member.clone());
                        follow(root, schema, value, written);
                    }
                    None => assert!(schema.get("additionalProperties").is_some(), "{member} is not named"),
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|item| follow(root, &schema["items"], item, written)),
        _ => {}
    }
}

/// Every member that a schema names.
fn members(schema: &Value, named: &mut BTreeSet<String>) {
    match schema {
        Value::Object(map) => {
            for (key, value) in map {
                if key == "properties" {
                    named.extend(value.as_object().unwrap().keys().cloned());
                }
                members(value, named);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| members(item, named)),
        _ => {}
    }
}
