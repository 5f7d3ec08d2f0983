//! What is explained is what is judged: every row of every example record worked out again from the books' own text;
//! and the printed arithmetic read line by line, its numbers reckoned by hand.

use assert_cmd::Command;
use std::path::{Path, PathBuf};
use trochoid::book::Origin;
use trochoid::disk::{MOST_RECORD_BYTES, read_source, records_below};
use trochoid::explain::explain_row;
use trochoid::judge::{Grade, judge};
use trochoid::record;
use trochoid::shop::Shops;

fn examples() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    ["kestrel/builds", "gearbox/builds"].iter().flat_map(|folder| records_below(&root.join(folder)).0).collect()
}

#[test]
fn every_verdict_of_every_example_is_worked_out_again_to_the_same_value_and_grade() {
    let shops = Shops::new(None);
    let (mut compared, mut excused, mut unapplied) = (0, 0, 0);
    for path in examples() {
        let shop = shops.of(&path);
        let source = read_source(&path, MOST_RECORD_BYTES).unwrap();
        let (sheet, _) = record::read(&source);
        let (readings, _) = shop.bind(&sheet.unwrap(), &source);
        let plan = shop.plan(readings.generation.unwrap()).unwrap();
        let verdict = judge(&shop.book, plan, &readings);
        let mut asked: Vec<&str> = plan.checks.iter().map(|check| &*check.row.path).collect();
        asked.sort_unstable();
        asked.dedup();
        let mut explained = Vec::new();
        for row in asked {
            explained.extend(explain_row(&shop.book, plan, &readings, row).unwrap().verdicts);
        }
        for ruling in &verdict.rulings {
            let said = explained
                .iter()
                .find(|said| said.check == ruling.check && said.reading == ruling.reading)
                .unwrap_or_else(|| panic!("{}: check {} is not explained", path.display(), ruling.check));
            let name = format!("{} {}", path.display(), said.path);
            assert_eq!(said.worked, ruling.value, "{name}");
            assert_eq!(said.grade, Some(ruling.grade), "{name}");
            if ruling.grade == Grade::Excused {
                excused += 1;
                assert_ne!(said.worked_grade, Some(Grade::Good), "{name}");
            } else {
                assert_eq!(said.worked_grade, Some(ruling.grade), "{name}");
            }
            compared += 1;
        }
        for said in explained.iter().filter(|said| said.grade.is_none()) {
            assert!(verdict.rulings.iter().all(|ruling| ruling.check != said.check), "{}", said.path);
            assert_eq!(said.worked_grade, None, "{}", said.path);
            unapplied += 1;
        }
    }
    assert!(compared > 1000 && excused > 0 && unapplied > 0, "{compared} {excused} {unapplied}");
}

#[test]
fn every_value_is_explained_whether_or_not_a_row_judges_it() {
    let shops = Shops::new(None);
    let (mut judged, mut unjudged, mut derived) = (0, 0, 0);
    for path in examples().into_iter().step_by(9) {
        let shop = shops.of(&path);
        let source = read_source(&path, MOST_RECORD_BYTES).unwrap();
        let (sheet, _) = record::read(&source);
        let (readings, _) = shop.bind(&sheet.unwrap(), &source);
        let plan = shop.plan(readings.generation.unwrap()).unwrap();
        let generation = shop.book.generations.get(plan.generation);
        for (id, characteristic) in shop.book.characteristics.entries() {
            let Some(positions) = shop.book.instances(characteristic.part, generation).into_iter().next() else {
                continue;
            };
            let name = shop.book.path(id, &positions, None);
            let said = explain_row(&shop.book, plan, &readings, &name)
                .unwrap_or_else(|finding| panic!("{}: {name}: {finding:?}", path.display()));
            if trochoid::explain::checks(&shop.book, plan, &name).is_empty() {
                for verdict in &said.verdicts {
                    unjudged += 1;
                    assert_eq!(verdict.grade, None, "{name}");
                    let last = &verdict.blocks.last().unwrap().title;
                    let value = last.strip_suffix(": no row judges it").unwrap();
                    // The judge's value stands in the last line; the steps before were worked out from the book's own text.
                    if matches!(characteristic.origin, Origin::Derived(_)) && verdict.worked.is_some() {
                        derived += 1;
                        let lines = verdict.blocks.iter().flat_map(|block| &block.lines);
                        let result = value.strip_prefix(&*verdict.path).unwrap();
                        let ends = |text: &str| text.starts_with(&verdict.path) && text.ends_with(result);
                        assert!(lines.into_iter().any(|line| ends(&line.text)), "{last}: {:?}", verdict.blocks);
                    }
                }
            } else {
                judged += said.verdicts.len();
            }
        }
    }
    assert!(judged > 100 && unjudged > 50 && derived > 5, "{judged} {unjudged} {derived}");
}

fn explained(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("trochoid")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("explain")
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// Asserts that the lines stand in the text in this order, places left out.
fn holds(text: &str, wanted: &[&str]) {
    let mut lines = text.lines().map(|line| line.split("   [").next().unwrap().trim());
    for line in wanted {
        assert!(lines.any(|other| other == *line), "no line (here or later) `{line}` in\n{text}");
    }
}

const K_0143: &str = "examples/kestrel/builds/K-0143.yaml";

#[test]
fn a_derived_value_from_inches_can_be_done_again_on_paper() {
    // By hand, 1 in = 25.4 mm: 3.1504 × 25.4 = 80.02016; 3.1441 × 25.4 = 79.86014; the difference is 0.16002.
    let (status, text, _) = explained(&[K_0143, "rotor.front.side_clearance"]);
    assert_eq!(status, 0);
    holds(
        &text,
        &[
            "housing.front.width.plug_side: 3.1504 in = 80.02016 mm, with mic-75-100",
            "rotor.front.width (reading 2): 3.1441 in = 79.86014 mm",
            "rotor.front.side_clearance = housing.width.plug_side - largest of width",
            "= 80.02016 mm - largest of (79.84998 mm, 79.86014 mm)",
            "largest of (79.84998 mm, 79.86014 mm) = 79.86014 mm",
            "80.02016 mm - 79.86014 mm = 0.16002 mm",
            "limit at least 0.10 mm",
            "0.16002 mm - 0.1 mm = 0.06002 mm: inside its lower bound",
            "declared by generation family",
            "replaced by generation boosted_2mm",
            "rotor.front.side_clearance = 0.16002 mm: good",
        ],
    );
    assert!(text.contains("[examples/kestrel/builds/K-0143.yaml:27]"), "{text}");
    assert!(!text.contains("rotor.rear"), "only the front rotor was asked for:\n{text}");
}

#[test]
fn letters_of_a_class_are_counted_in_steps() {
    let (_, text, _) = explained(&[K_0143, "letter_gap"]);
    holds(
        &text,
        &[
            "rotor.front.weight_class: A",
            "rotor.rear.weight_class: C",
            "spread of (A, C) = 2",
            "2 - 1 = 1: over its upper bound",
            "letter_gap = 2: out",
        ],
    );
}

#[test]
fn positions_that_must_agree_are_laid_side_by_side() {
    let (_, text, _) = explained(&[K_0143, "rotor.casting"]);
    holds(&text, &["all the same across rotor", "early, late: not all the same", "rotor.casting: out"]);
}

#[test]
fn what_was_not_measured_is_said_and_its_bounds_still_shown() {
    let (_, text, _) = explained(&["examples/kestrel/builds/K-0145.yaml", "letter_gap"]);
    holds(
        &text,
        &["rotor.rear.weight_class: unknown: it could not be read", "limit at most 1", "letter_gap: unmeasured"],
    );
}

#[test]
fn a_concession_is_told_with_what_it_excuses() {
    let (_, text, _) = explained(&["examples/kestrel/builds/K-0146.yaml", "rotor.front.side_clearance"]);
    holds(
        &text,
        &[
            "80.01 mm - 79.93 mm = 0.08 mm",
            "0.1 mm - 0.08 mm = 0.02 mm: under its lower bound",
            "rotor.front.side_clearance = 0.08 mm: excused",
        ],
    );
    assert!(text.contains("concession: excused by shop foreman, until 2026-12-31"), "{text}");
}

#[test]
fn means_that_do_not_end_are_marked() {
    // By hand: (760 + 760 + 770) / 3 = 763 1/3; 770 less that is 6 2/3.
    let (_, text, _) = explained(&[K_0143, "compression_gap"]);
    holds(&text, &["mean of (760 kPa, 760 kPa, 770 kPa) ≈ 763.33333 kPa", "compression_gap ≈ 6.6666667 kPa"]);
}

/// An invented rulebook for an invented pump.
const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit in, \"″\" = 25.4 mm
formula diagonal(a: mm, b: mm) : mm = sqrt(a^2 + b^2)
constant spare : mm
part pump {
    duty : choice street, race
    part vane at left, right {
        long : mm, 1 readings or more
        wide : mm
        derive across : mm = diagonal(largest of long, wide) + spare
    }
}
generation small \"an invented pump\" {
    constant spare = 0.125 in
    vane.across limit 4 +/- 0.5 mm where duty is race { from memory \"x\" }
    vane.across limit at most 4 mm where duty is street { from memory \"x\" }
    each of vane.long standard at most wide + 0.3 mm { from memory \"x\" }
    spread of vane.long limit at most 0.05 mm { from memory \"x\" }
}
";

const RECORD: &str = "\
build: P-1
generation: small
duty: race
vane:
  left: { long: [1 mm, 0.99 mm], wide: 1 mm }
  right: { long: [0.04 in, 1.02 mm], wide: 0.7 mm }
";

fn pump(row: &str, record: &str) -> (i32, String, String) {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("pump.rulebook");
    let file = folder.path().join("p.yaml");
    std::fs::write(&book, BOOK).unwrap();
    std::fs::write(&file, record).unwrap();
    explained(&[file.to_str().unwrap(), row, "--books", book.to_str().unwrap()])
}

#[test]
fn a_formula_is_followed_inside_and_its_root_bounded() {
    // √2 = 1.41421356…; an eighth of an inch is 3.175 mm.
    let (status, text, _) = pump("vane.left.across", RECORD);
    assert_eq!(status, 0);
    holds(
        &text,
        &[
            "spare is 3.175 mm, a constant of this generation",
            "= diagonal(largest of (1 mm, 0.99 mm), 1 mm) + 3.175 mm",
            "diagonal(a = 1 mm, b = 1 mm) is sqrt(a^2 + b^2)",
            "= sqrt((1 mm)^2 + (1 mm)^2)",
            "1 mm² + 1 mm² = 2 mm²",
            "sqrt(2 mm²) ≈ 1.4142136 mm (± less than 10^-48 mm)",
            "≈1.4142136 mm + 3.175 mm ≈ 4.5892136 mm",
            "race (duty) is race: yes",
            "the row applies",
            "4 mm + 0.5 mm = 4.5 mm",
            "≈4.5892136 mm - 4.5 mm ≈ 0.089213562 mm: over its upper bound",
            "vane.left.across ≈ 4.5892136 mm: out",
            "race (duty) is street: no",
            "vane.left.across: does not apply",
        ],
    );
}

#[test]
fn each_reading_and_what_is_collected_are_told_apart() {
    // 0.04 in = 1.016 mm, over 0.7 mm + 0.3 mm by 0.016 mm.
    let (_, text, _) = pump("vane.right.long", RECORD);
    holds(
        &text,
        &[
            "1.016 mm - 1 mm = 0.016 mm: over its upper bound",
            "vane.right.long = 1.016 mm: out",
            "vane.right.long = 1.02 mm: out",
            "spread of (1.016 mm, 1.02 mm) = 0.004 mm",
        ],
    );
    let (_, text, _) = pump("spread of vane.right.long", RECORD);
    assert!(!text.contains("at most wide"), "{text}");
}

#[test]
fn a_path_nothing_judges_and_a_record_without_generation_are_refused() {
    let (status, text, said) = explained(&[K_0143, "rotor.front.side_clearnce"]);
    assert_eq!((status, text.as_str()), (2, ""));
    assert!(said.contains("did you mean rotor.front.side_clearance?"), "{said}");
    let (status, _, said) = explained(&[K_0143, "rotor.front.side"]);
    assert_eq!(status, 2);
    assert!(said.contains("rotor.front.side.gear.corner_seal.1.protrusion"), "{said}");
    let (status, text, said) = pump("vane.across", "build: P-2\nduty: race\n");
    assert_eq!((status, text.as_str()), (1, ""));
    assert!(said.contains("generation"), "{said}");
}

#[test]
fn json_has_every_line_of_the_text() {
    let (_, text, _) = explained(&[K_0143, "letter_gap"]);
    let (status, document, _) = explained(&[K_0143, "letter_gap", "--format", "json"]);
    assert_eq!(status, 0);
    let document: serde_json::Value = serde_json::from_str(&document).unwrap();
    let blocks = document["verdicts"][0]["blocks"].as_array().unwrap();
    assert_eq!(document["verdicts"][0]["grade"], "out");
    let mut lines = 0;
    for block in blocks {
        for line in block["lines"].as_array().unwrap() {
            assert!(text.contains(line["text"].as_str().unwrap()), "{line}");
            lines += 1;
        }
    }
    assert!(lines > 8, "{lines}");
}

/// Rounding worked out by explaining and by judging, for many readings around ends and ties, on a scale with a zero of its
/// own too; what each comes to is reckoned here in whole hundredths and tenths.
#[test]
fn what_a_row_rounds_to_is_worked_out_to_the_same_grade() {
    let book = "rulebook \"Rounding\" edition 2026-03-01
        unit mm = 0.001 m
        unit degC = 1 K zero at 273.15 K
        part pump {
            gap  : mm
            heat : degC
        }
        generation g \"rounding\" {
            pump.gap  standard 0.12 to 0.21 mm limit above 0.10 mm rounded to 0.02 mm { from memory }
            pump.heat limit at most 80 degC rounded to 1 K { from memory }
        }";
    let shop = trochoid::shop::Shop::of_sources(&[trochoid::text::Source::new("book.rulebook", book)]);
    assert!(shop.findings().is_empty(), "{:?}", shop.findings());
    let mut grades = std::collections::BTreeSet::new();
    for thousandths in 80..240_i64 {
        let record = format!("generation: g\ngap: 0.{thousandths:03} mm\nheat: 80.{} degC\n", thousandths % 10);
        let source = trochoid::text::Source::new("build.yaml", record);
        let (sheet, _) = record::read(&source);
        let (readings, _) = trochoid::bind::bind(&shop.book, &sheet.unwrap(), &source);
        let plan = shop.plan(readings.generation.unwrap()).unwrap();
        let verdict = judge(&shop.book, plan, &readings);
        // To even multiples of 20 thousandths: the nearest, and of two as near the one whose number of steps is even.
        let nearest = (0..20).min_by_key(|steps| ((thousandths - steps * 20).abs(), steps % 2)).unwrap() * 20;
        let gap = match nearest {
            120..=210 => Grade::Good,
            101.. => Grade::Worn,
            _ => Grade::Out,
        };
        let heat = if thousandths % 10 <= 5 { Grade::Good } else { Grade::Out };
        for (row, expected) in [("gap", gap), ("heat", heat)] {
            let said = explain_row(&shop.book, plan, &readings, row).unwrap().verdicts.remove(0);
            let ruling = verdict.rulings.iter().find(|ruling| ruling.check == said.check).unwrap();
            assert_eq!((ruling.grade, said.worked_grade), (expected, Some(expected)), "{row} of {}", source.text());
            assert_eq!(said.worked, ruling.value, "what is worked out is the value before rounding");
            grades.insert(expected.word());
        }
    }
    assert_eq!(grades.into_iter().collect::<Vec<_>>(), ["good", "out", "worn"]);
}

#[test]
fn rounding_is_shown_between_the_two_multiples() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/judge");
    let explained = |case: &str| {
        let folder = folder.join(case);
        let (build, book) = (folder.join("build.yaml"), folder.join("book.rulebook"));
        explained(&[build.to_str().unwrap(), "gap", "--books", book.to_str().unwrap()]).1
    };
    holds(
        &explained("all-good--rounded"),
        &[
            "rounded to 0.01 mm: 0.10 mm",
            "0.095 mm lies between 0.09 mm and 0.10 mm, halfway: 0.10 mm is the even multiple",
            "limit 0.10 to 0.21 mm",
            "0.1 mm - 0.1 mm = 0 mm: inside its lower bound",
        ],
    );
    holds(
        &explained("row-out--rounded"),
        &["rounded to 0.01 mm: 0.09 mm", "0.094 mm lies between 0.09 mm and 0.10 mm, nearer to 0.09 mm"],
    );
}

/// The root of two times itself is two, which no digits of the root can show: whether it rounds up or down from a tie is not
/// decided, and is said only where it matters.
#[test]
fn a_tie_that_no_digits_decide_is_unsettled() {
    let book = "rulebook \"Roots\" edition 2026-03-01
        unit mm = 0.001 m
        part pump {
            face : mm2
            derive side : mm = sqrt(face) * sqrt(face) / 1 mm
        }
        generation g \"roots\" {
            pump.side limit at most 2 mm rounded to 4 mm { from memory }
        }
        generation h \"wide\" {
            pump.side limit at most 5 mm rounded to 4 mm { from memory }
        }";
    let shop = trochoid::shop::Shop::of_sources(&[trochoid::text::Source::new("book.rulebook", book)]);
    assert!(shop.findings().is_empty(), "{:?}", shop.findings());
    for (generation, expected) in [("g", Grade::Unsettled), ("h", Grade::Good)] {
        let source = trochoid::text::Source::new("build.yaml", format!("generation: {generation}\nface: 2 mm2\n"));
        let (sheet, _) = record::read(&source);
        let (readings, _) = trochoid::bind::bind(&shop.book, &sheet.unwrap(), &source);
        let plan = shop.plan(readings.generation.unwrap()).unwrap();
        let verdict = judge(&shop.book, plan, &readings);
        let said = explain_row(&shop.book, plan, &readings, "side").unwrap().verdicts.remove(0);
        assert_eq!((verdict.grade, said.worked_grade), (expected, Some(expected)), "{generation}");
    }
}

#[test]
fn a_reading_taken_warm_is_brought_to_20_degrees_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put(
        "pump.rulebook",
        "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um, \"µm\" = 0.001 mm
unit degC = 1 K zero at 273.15 K
unit \"um/m/K\" = 0.000001 / (1 K)
part pump {
    expansion 20 um/m/K ± 1.5 um/m/K { from common practice }
    bore : mm
    journal : mm
    derive gap : mm = bore - journal
}
generation small \"an invented pump\" {
    pump.gap limit at most 0.1 mm { from common practice }
}
",
    );
    put("trochoid.yaml", "books: pump.rulebook\n");
    put(
        "gauges.yaml",
        "bore-1: { uncertainty: 3 um, resolution: 1 um, expansion: 10 um/m/K ± 1 um/m/K, due: 2027-01-12 }\n",
    );
    put(
        "P-1.yaml",
        "build: P-1
generation: small
bore: { value: 80.00 mm, gauge: bore-1, at: 30 ± 1 degC, gauge_at: 25 degC, uncertainty: 5 um, note: from the washer }
journal: { value: 79.95 mm, at: 10 degC }
",
    );
    let record = folder.path().join("P-1.yaml");
    let (_, text, errors) = explained(&[record.to_str().unwrap(), "gap"]);
    assert_eq!(errors, "");
    // By hand: 80 × 1.00005 / 1.0002 = 79.98800240, 12.0 µm less; 79.95 / 0.9998 = 79.96599320, 16.0 µm more;
    // 79.98800240 - 79.96599320 = 0.02200920 (0.0220092009 without rounding first).
    holds(
        &text,
        &[
            "bore: 80.00 mm, with bore-1",
            "measured at 30 ± 1 degC, the gauge at 25 degC",
            "brought to 20 °C: 80 mm × (1 + 10 µm/(m·K) × 5 K) / (1 + 20 µm/(m·K) × 10 K) ≈ 79.988002 mm, 12.0 µm less",
            "own uncertainty 0.005 mm (k = 2)",
            "bore-1: uncertainty 0.003 mm (k = 2), resolution 0.001 mm, due 2027-01-12",
            "note: from the washer",
            "journal: 79.95 mm",
            "measured at 10 degC",
            "brought to 20 °C: 79.95 mm / (1 + 20 µm/(m·K) × -10 K) ≈ 79.965993 mm, 16.0 µm more",
            "≈79.988002 mm - ≈79.965993 mm ≈ 0.022009201 mm",
        ],
    );
}
