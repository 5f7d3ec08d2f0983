//! Another kind of rebuild, checked by the same binary with a book of its own: nothing about engines is compiled in.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

const BOOK: &str = "\
rulebook \"Gear pump\" edition 2026-03-01
use shipped \"units.rulebook\"
class finish = mirror, matt, scored
constant design_flow : cm3
part pump {
    end_float : mm
    part shaft at drive, idle {
        journal : mm, 2 readings or more
        finish  : finish
    }
    part bush at drive, idle {
        bore : mm
        derive clearance : mm = bore - smallest of shaft.journal
    }
    part gear at drive, idle {
        teeth  : number
        width  : mm
        module : mm
        derive swept : cm3 = 2 * pi * module ^ 2 * (teeth - 1) * width
    }
    derive flow_error : number = abs(mean of gear.swept - design_flow) / design_flow
}
generation two_gear \"two spur gears in a cast body\" {
    constant design_flow = 21 cm3
    pump.end_float    standard 2 to 4 thou      limit at most 0.15 mm { from common practice }
    bush.clearance    standard 0.02 to 0.06 mm  limit at most 0.10 mm { because \"Oil runs out beside a worn shaft.\" from common practice }
    shaft.finish      limit at most matt        { from common practice }
    gear.teeth        all the same across gear  { from common practice }
    pump.flow_error   limit at most 0.10        { from common practice }
}
";

const PUMP: &str = "\
generation: two_gear
end_float: 0.003 in
shaft:
  drive: { journal: [15.98 mm, 15.97 mm], finish: mirror }
  idle:  { journal: [15.98 mm, 15.98 mm], finish: matt }
bush:
  drive: { bore: 16.01 mm }
  idle:  { bore: 16.02 mm }
gear:
  drive: { teeth: 12, width: 25 mm, module: 3.5 mm }
  idle:  { teeth: 12, width: 25 mm, module: 3.5 mm }
";

fn grade(folder: &Path, name: &str, record: &str) -> (String, i32) {
    fs::write(folder.join("pump.rulebook"), BOOK).unwrap();
    fs::write(folder.join(name), record).unwrap();
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(folder).args(["check", name, "--books", "pump.rulebook", "--format", "plain"]);
    let output = command.output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn a_gear_pump_is_judged_by_its_own_book() {
    let folder = tempfile::tempdir().unwrap();
    let good = grade(folder.path(), "good.yaml", PUMP);
    assert!(good.0.starts_with("good.yaml: good"), "{}", good.0);
    assert_eq!(good.1, 0);
    let worn = grade(folder.path(), "worn.yaml", &PUMP.replace("bore: 16.01", "bore: 16.05"));
    assert!(worn.0.contains("bush drive: clearance is 0.08 mm, 0.02 mm over its standard range"), "{}", worn.0);
    assert_eq!(worn.1, 0);
    let out = grade(folder.path(), "out.yaml", &PUMP.replace("idle:  { teeth: 12", "idle:  { teeth: 11"));
    assert!(out.0.contains("gear: teeth is not the same everywhere: drive 12, idle 11"), "{}", out.0);
    assert_eq!(out.1, 1);
    let scored = grade(folder.path(), "scored.yaml", &PUMP.replace("finish: matt", "finish: scored"));
    assert!(scored.0.contains("shaft idle: finish is scored, and its limit is at most matt"), "{}", scored.0);
    let missing = grade(folder.path(), "missing.yaml", &PUMP.replace("end_float: 0.003 in\n", ""));
    assert!(missing.0.contains("pump: still to measure: end float"), "{}", missing.0);
    assert_eq!(missing.1, 1);
}

/// Words of the trade that no code may know. The name of the program is the one exception.
const WORDS: &[&str] = &[
    "rotor",
    "apex",
    "housing",
    "eccentric",
    "chamber",
    "engine",
    "piston",
    "crank",
    "compression",
    "displacement",
    "oil_seal",
    "corner_seal",
    "side_clearance",
    "spark",
    "flywheel",
];

#[test]
fn no_word_of_the_trade_is_compiled_in() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    for entry in walkdir::WalkDir::new(&source).sort_by_file_name() {
        let path = entry.unwrap().into_path();
        let name = path.strip_prefix(&source).unwrap().to_string_lossy().into_owned();
        // The door's help speaks to the user of his own work; everything behind it must not know.
        let door = [
            "cli/arguments.rs",
            "cli/blank.rs",
            "cli/explain.rs",
            "cli/identify.rs",
            "cli/import.rs",
            "cli/list.rs",
            "cli/matching.rs",
            "cli/report.rs",
            "cli/trend.rs",
        ]
        .contains(&name.as_str());
        if !name.ends_with(".rs") || name.contains("tests") || door {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let code = &text[..text.find("#[cfg(test)]\nmod tests {").unwrap_or(text.len())];
        for (number, line) in code.lines().enumerate() {
            // Comments and the examples in a help text may speak to the reader about his own work.
            let line = line.split("//").next().unwrap_or("");
            // A library's own name for a module of it.
            let line = line.replace("clap_complete::engine::", "");
            let plain: String = line.split('`').step_by(2).collect();
            for word in WORDS {
                if plain.to_lowercase().contains(word) {
                    found.push(format!("{name}:{}: {word}: {}", number + 1, line.trim()));
                }
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
