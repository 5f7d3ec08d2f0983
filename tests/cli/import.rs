//! `trochoid import` from outside: what a table makes is judged as the same record typed by hand is, and nothing is guessed.

use super::{Papers, Ran, json::document};
use serde_json::Value;
use std::path::Path;

/// Runs the program in the repository's own folder.
fn here(arguments: &[&str]) -> Ran {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output =
        assert_cmd::Command::cargo_bin("trochoid").unwrap().current_dir(root).args(arguments).output().unwrap();
    Ran {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The readings of a record as paths and values, by a YAML reader that is not the program's own.
fn readings(record: &str) -> Vec<(String, String, Option<String>)> {
    fn walk(value: &serde_yaml::Value, path: &str, found: &mut Vec<(String, String, Option<String>)>) {
        match value {
            serde_yaml::Value::Mapping(map) if map.contains_key("value") => {
                let gauge = map.get("gauge").map(|gauge| gauge.as_str().unwrap().to_string());
                let mut values = Vec::new();
                walk(&map["value"], path, &mut values);
                found.extend(values.into_iter().map(|(path, value, _)| (path, value, gauge.clone())));
            }
            serde_yaml::Value::Mapping(map) => {
                for (key, value) in map {
                    let key = key.as_str().map_or_else(|| key.as_i64().unwrap().to_string(), str::to_string);
                    let path = if path.is_empty() { key } else { format!("{path}.{key}") };
                    walk(value, &path, found);
                }
            }
            serde_yaml::Value::Sequence(items) => items.iter().for_each(|item| walk(item, path, found)),
            serde_yaml::Value::Null => {}
            // As it is written: `no` and `012` stay words.
            scalar => {
                let text = serde_yaml::to_string(scalar).unwrap();
                found.push((path.to_string(), text.trim().trim_matches(['\'', '"']).to_string(), None));
            }
        }
    }
    let value: serde_yaml::Value = serde_yaml::from_str(record).unwrap();
    let mut found = Vec::new();
    walk(&value, "", &mut found);
    found
}

/// What is said of each ruling, its places left out.
fn rulings(document: &Value) -> Vec<Value> {
    let mut rulings = document["records"][0]["rulings"].as_array().unwrap().clone();
    for ruling in &mut rulings {
        ruling.as_object_mut().unwrap().retain(|member, _| member != "reading");
    }
    rulings
}

/// The example shop's records, taken apart into tables of both shapes, make records that are judged just as they are.
#[test]
fn a_table_of_an_example_is_judged_as_the_example_is() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["K-0141", "K-0142", "K-0150"] {
        let file = format!("examples/kestrel/builds/{name}.yaml");
        let record = std::fs::read_to_string(root.join(&file)).unwrap();
        let head = ["build", "finished", "generation"];
        let said: Vec<_> = readings(&record).into_iter().filter(|(path, ..)| !head.contains(&path.as_str())).collect();
        let said: Vec<_> = said
            .into_iter()
            .filter(|(path, ..)| !path.starts_with("gauges") && !path.starts_with("concessions") && path != "notes")
            .collect();
        assert!(said.len() > 100, "{name}: {}", said.len());
        let value = |key: &str| readings(&record).into_iter().find(|(path, ..)| path == key).unwrap().1;
        let (finished, generation) = (value("finished"), value("generation"));
        let folder = tempfile::tempdir().unwrap();
        let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
        let mut wide = [String::from("build,finished"), format!("{name},{finished}")];
        let mut long = String::from("build;finished;generation;path;value;unit;gauge\r\n");
        for (path, value, gauge) in &said {
            wide[0].push_str(&format!(",{}", quoted(path)));
            wide[1].push_str(&format!(",{}", quoted(value)));
            let gauge = gauge.clone().unwrap_or_default();
            long.push_str(&format!("{name};{finished};{generation};{path};{};;{gauge}\r\n", quoted(value)));
        }
        let gauged = said.iter().any(|(.., gauge)| gauge.is_some());
        for (shape, text) in [("wide", format!("\u{feff}{}\n", wide.join("\n"))), ("long", long)] {
            if gauged && shape == "wide" {
                continue;
            }
            let (table, to) = (folder.path().join(format!("{shape}.csv")), folder.path().join(shape));
            std::fs::create_dir(&to).unwrap();
            std::fs::write(&table, text).unwrap();
            let (table, to) = (table.to_str().unwrap().to_string(), to.to_str().unwrap().to_string());
            let books = "examples/kestrel/trochoid.yaml";
            let ran = here(&["import", &table, "-g", &generation, "--to", &to, "--books", books, "--format", "plain"]);
            assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{name} {shape}: {}", ran.out);
            let made = format!("{to}/{name}.yaml");
            let judge = |file: &str| document(&here(&["check", file, "--books", books, "--format", "json"]));
            let (by_hand, by_table) = (judge(&file), judge(&made));
            assert_eq!(by_hand["records"][0]["grade"], by_table["records"][0]["grade"], "{name}");
            let (expected, found) = (rulings(&by_hand), rulings(&by_table));
            assert!(expected.len() > 100);
            for (expected, found) in expected.iter().zip(&found) {
                // Only a shop's list of gauges beside the record would say how well it was measured.
                for member in ["path", "grade", "value", "beyond", "room", "missing", "figures"] {
                    assert_eq!(found[member], expected[member], "{name} {shape} {}", expected["path"]);
                }
            }
            assert_eq!(expected.len(), found.len());
        }
    }
}

/// What is written of the pump, with a column map, in the order of an empty record.
#[test]
fn a_column_map_says_what_headings_do_not() {
    let papers = Papers::new();
    papers.put("map.yaml", "Pumpe: build\nFertig: finished\nSpalt: { reading: slot, unit: mm, gauge: mic-1 }\nFlügel: { reading: vane, unit: mm }\nMeister: skip\nwear: { reading: wear, unit: µm }\n");
    papers.put(
        "liste.csv",
        "Pumpe;Fertig;Spalt;Flügel;Meister;wear\nP-1;2026-03-01;2,070;2,00;Anna;\nP-2;2026-03-02;2,1 mm;2;;12\n",
    );
    std::fs::create_dir(papers.path().join("builds")).unwrap();
    let ask = ["import", "liste.csv", "-g", "small", "--columns", "map.yaml", "--decimal-comma", "--to", "builds"];
    let ran = papers.run(&ask);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    let read = |name: &str| std::fs::read_to_string(papers.path().join("builds").join(name)).unwrap();
    assert_eq!(
        read("P-1.yaml"),
        "# Imported from liste.csv, line 2.\nbuild: P-1\nfinished: 2026-03-01\ngeneration: small\n\n\
         vane: 2.00 mm\nslot: { value: 2.070 mm, gauge: mic-1 }\n"
    );
    assert!(
        read("P-2.yaml").ends_with("vane: 2 mm\nslot: { value: 2.1 mm, gauge: mic-1 }\nwear: \"12 µm\"\n")
            || read("P-2.yaml").ends_with("wear: 12 µm\n")
    );
    let checked = papers.run(&["check", "builds", "--format", "plain", "--quiet"]);
    assert!(checked.out.contains("2 builds: 2 good"), "{}", checked.out);
    // The same again changes nothing; another record is not written over.
    let again = papers.run(&ask);
    assert_eq!((again.status, again.out.matches(": unchanged").count()), (0, 2), "{}", again.out);
    let kept = read("P-1.yaml").replace("2.00 mm", "2.01 mm");
    papers.put("builds/P-1.yaml", &kept);
    let held = papers.run(&ask);
    assert_eq!((held.status, read("P-1.yaml")), (2, kept.clone()));
    assert!(held.out.contains("builds/P-1.yaml: P-1, 2 values: not written: another record is there"), "{}", held.out);
    let replaced = papers.run(&[&ask[..], &["--replace"]].concat());
    assert_eq!(replaced.status, 0);
    assert_ne!(read("P-1.yaml"), kept);
    // Without the flag a comma is not taken for a point.
    let strict = papers.run(&["import", "liste.csv", "-g", "small", "--columns", "map.yaml", "--format", "plain"]);
    assert!(strict.out.contains("liste.csv:2:16: fault, cell-mangled: `2,070` has a comma"), "{}", strict.out);
    assert_eq!(strict.status, 2);
}

#[test]
fn the_map_that_is_printed_makes_an_empty_table_known() {
    let papers = Papers::new();
    let ran = papers.run(&["import", "--columns-for", "small"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert!(ran.out.ends_with("vane: { reading: vane, unit: mm }\nslot: { reading: slot, unit: mm }\n# wear: { reading: wear, unit: mm }\n"), "{}", ran.out);
    papers.put("map.yaml", &ran.out);
    papers.put("table.csv", "build,finished,vane,slot\nP-1,2026-03-01,2.00,2.07\n");
    let made = papers.run(&["import", "table.csv", "-g", "small", "--columns", "map.yaml", "--format", "json"]);
    let told = document(&made);
    assert_eq!(
        (made.status, &told["records"][0]["values"], &told["records"][0]["lines"]),
        (0, &2.into(), &serde_json::json!([2]))
    );
    // Of every shipped generation, every reading an empty record asks for is in the map, in its order.
    for generation in ["light_2mm", "carbon_6mm", "side_exhaust"] {
        let map = here(&["import", "--columns-for", generation]).out;
        let value: serde_yaml::Value = serde_yaml::from_str(&map).unwrap();
        assert!(value.as_mapping().unwrap().len() > 50, "{generation}");
        let blank = here(&["blank", generation]).out;
        let mut at = 0;
        for key in value.as_mapping().unwrap().keys().skip(2) {
            let last = key.as_str().unwrap().rsplit('.').next().unwrap();
            let found = blank[at..].find(&format!(" {last}:")).or_else(|| blank[at..].find(&format!("\n{last}:")));
            at += found.unwrap_or_else(|| panic!("{generation}: {key:?} after byte {at}"));
        }
    }
}

#[test]
fn what_is_wrong_is_said_at_its_cell_and_the_other_builds_go_on() {
    let papers = Papers::new();
    papers.put("t.csv", "\u{feff}build\tpath\tvalue\tunit\tgauge\r\n\r\nP-1\tvane\t2.00\tmm\t\r\nP-1\tslto\t2.07\tmm\t\r\nP-2\tvane\t2.00\tmm\tmic, 1\r\nP-2\tslot\t2.07\tmm\t\r\nP-2\twear\t\t\t\r\np-2\tslot\t2.07\tmm\t\r\nP-3\tvane\t2 mm\tmm\r\n");
    let ran = papers.run(&["import", "t.csv", "-g", "small", "--format", "json"]);
    let told = document(&ran);
    // A line too short may be of any build: none is taken.
    assert_eq!((ran.status, told["records"].as_array().unwrap().len()), (2, 0));
    assert_eq!(
        (&told["findings"][0]["code"], &told["findings"][0]["place"]["line"]),
        (&"line-refused".into(), &9.into())
    );
    papers.put(
        "t.csv",
        std::fs::read_to_string(papers.path().join("t.csv")).unwrap().replace("P-3\tvane\t2 mm\tmm\r\n", ""),
    );
    let ran = papers.run(&["import", "t.csv", "-g", "small", "--format", "json"]);
    let told = document(&ran);
    let findings: Vec<(&str, String)> = told["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| {
            let place = &finding["place"];
            let bytes = std::fs::read(papers.path().join(place["file"].as_str().unwrap())).unwrap();
            let at = |key: &str| usize::try_from(place[key].as_u64().unwrap()).unwrap();
            (finding["code"].as_str().unwrap(), String::from_utf8(bytes[at("start")..at("end")].to_vec()).unwrap())
        })
        .collect();
    assert_eq!(findings, [("column-unknown", "slto".to_string()), ("line-refused", "p-2".to_string())]);
    assert_eq!((ran.status, &told["refused"]), (2, &2.into()));
    papers.put(
        "t.csv",
        "build,path,value,unit\nP-1,vane,2.00 mm,um\nP-2,vane,2.00 mm,mm\nP-3,vane,unknown,mm\nP-4,vane,2.00,mm\n",
    );
    let ran = papers.run(&["import", "t.csv", "-g", "small", "--format", "plain"]);
    assert!(
        ran.out.contains("t.csv:2:10: fault, line-refused: `2.00 mm` has its own unit, and the column `unit` says um"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("3 records; no record for 1 build"), "{}", ran.out);
    papers.put("t.csv", "build,generation,vane,slot\nP-1,small,2.00 mm,2.07 mm\nP-2,large,2.00 mm,2.07 mm\nP-3,,2.00 mm,2.07 mm\nP-4,small,2.00 mm,\"2.07\nmm\"\n");
    std::fs::create_dir(papers.path().join("out")).unwrap();
    let ran = papers.run(&["import", "t.csv", "--to", "out", "--format", "plain"]);
    assert_eq!(ran.status, 2);
    for said in [
        "t.csv:3:5: fault, line-refused: there is no generation called `large`",
        "t.csv:4:1: fault, line-refused: this build has no generation",
        "t.csv:5:19: fault, cell-mangled",
        "out/P-1.yaml: P-1, 2 values: written",
        "1 record; no record for 3 builds",
    ] {
        assert!(ran.out.contains(said), "{said} in {}", ran.out);
    }
    let written: Vec<String> = std::fs::read_dir(papers.path().join("out"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(written, ["P-1.yaml"]);
}

#[test]
fn what_the_command_line_asks_for_in_vain_is_said() {
    let papers = Papers::new();
    papers.put("t.csv", "build,vane\nP-1,2 mm\n");
    papers.put("u.csv", b"build,vane\nP-\xb5,2 mm\n");
    papers.put("e.csv", "build,vane\n");
    for (arguments, said) in [
        (&["t.csv", "-g", "smal"][..], "did you mean `small`?"),
        (&["t.csv", "-g", "small", "--to", "gone"], "there is no folder gone"),
        (&["gone.csv", "-g", "small"], "path-missing"),
        (&["u.csv", "-g", "small"], "not-utf8"),
        (&["t.csv", "-g", "small", "--columns", "gone.yaml"], "gone.yaml"),
        (&["e.csv", "-g", "small"], "the table has no builds"),
        (&["t.csv", "-g", "small", "--replace"], "--to"),
        (&["--columns-for", "smal"], "did you mean `small`?"),
    ] {
        let ran = papers.run(&[&["import"], arguments].concat());
        assert_eq!(ran.status, 2, "{arguments:?}");
        assert!(format!("{}{}", ran.out, ran.err).contains(said), "{arguments:?}: {}{}", ran.out, ran.err);
    }
}

/// Whatever bytes a table has, it is read without a stop, and what is made of it binds.
#[test]
fn no_table_stops_the_program() {
    use proptest::prelude::*;
    let shop = trochoid::shop::Shop::of_sources(&[trochoid::text::Source::new("pump.rulebook", super::BOOK)]);
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let cell = prop_oneof![
        "P-[0-9]",
        "2\\.0[0-9] mm",
        "[\"',;\t\r\n =#a-z0-9µ.-]{0,8}",
        Just("build".to_string()),
        Just("vane".to_string()),
        Just("slot".to_string())
    ];
    let table = proptest::collection::vec(proptest::collection::vec(cell, 1..5), 1..6);
    runner
        .run(&(table, any::<bool>(), any::<bool>()), |(lines, head, comma)| {
            let mut text = if head { "build,vane,slot\n".to_string() } else { String::new() };
            text.push_str(&lines.iter().map(|line| line.join(",")).collect::<Vec<_>>().join("\n"));
            let source = trochoid::text::Source::new("t.csv", text);
            let ask = trochoid::import::Ask { generation: Some("small"), decimal_comma: comma, ..Default::default() };
            let made = trochoid::import::import(&shop, &source, &ask);
            for record in made.records {
                let source = trochoid::text::Source::new("r.yaml", record.text);
                let (sheet, findings) = trochoid::record::read(&source);
                prop_assert!(findings.is_empty());
                let (readings, findings) = shop.bind(&sheet.unwrap(), &source);
                prop_assert!(!findings.iter().any(trochoid::finding::Finding::is_error));
                prop_assert_eq!(readings.build, Some(record.build));
                prop_assert!(record.values > 0);
            }
            Ok(())
        })
        .unwrap();
}

#[test]
fn no_build_takes_the_place_of_a_file_that_is_no_record() {
    let papers = Papers::new();
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\ngauges: tools.yaml\n");
    papers.put("tools.yaml", "mic: { uncertainty: 2 um }\n");
    papers.put("gauges.yaml", "old: { uncertainty: 2 um }\n");
    papers.put("columns.yaml", "Build: build\n");
    let files = ["trochoid.yaml", "tools.yaml", "gauges.yaml", "columns.yaml"];
    let before: Vec<String> = files.iter().map(|file| read(&papers, file)).collect();
    // Names that differ only in capitals are one build, which is refused for that alone.
    for names in [
        &["trochoid", "gauges", "tools", "columns", "nul", "K-1.", " .", "..\\x", "K:1"][..],
        &["TROCHOID", "Gauges", "Con", "lpt1"],
    ] {
        let lines: String = names.iter().map(|name| format!("{name},2.00 mm,2.07 mm\n")).collect();
        papers.put("table.csv", format!("Build,vane,slot\n{lines}K-7,2.00 mm,2.07 mm\n"));
        let asked =
            ["import", "table.csv", "--generation", "small", "--columns", "columns.yaml", "--to", ".", "--replace"];
        let ran = papers.run(&asked);
        assert_eq!(ran.status, 2);
        let after: Vec<String> = files.iter().map(|file| read(&papers, file)).collect();
        assert_eq!(after, before, "{}", ran.out);
        assert!(papers.path().join("K-7.yaml").exists(), "{}{}", ran.out, ran.err);
    }
    // As many records as there are builds that may have one.
    let records = std::fs::read_dir(papers.path()).unwrap().map(|one| one.unwrap().file_name().into_string().unwrap());
    let mut records: Vec<String> = records.filter(|name| name.ends_with(".yaml")).collect();
    records.sort();
    assert_eq!(records, ["K-7.yaml", "columns.yaml", "gauges.yaml", "tools.yaml", "trochoid.yaml"]);
}

fn read(papers: &Papers, name: &str) -> String {
    std::fs::read_to_string(papers.path().join(name)).unwrap()
}
