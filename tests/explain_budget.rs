//! The uncertainty budget that `explain` prints: its parts add up, and its numbers are those reckoned by hand.

use assert_cmd::Command;
use std::path::{Path, PathBuf};
use trochoid::disk::{MOST_RECORD_BYTES, read_source, records_below};
use trochoid::judge::uncertainty::budget;
use trochoid::quantity::Value;
use trochoid::record;
use trochoid::shop::Shops;

/// An invented pump with a warm, repeated reading, one that states its own uncertainty, and two by one gauge.
const BOOK: &str = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um, \"µm\" = 0.001 mm
unit cm3 = 0.000001 m3
unit degC = 1 K zero at 273.15 K
unit \"um/m/K\" = 0.000001 / (1 K)
part pump {
    expansion 20 um/m/K ± 1.5 um/m/K { from common practice }
    bore    : mm, 2 readings or more
    journal : mm
    bowl    : cm3
    rest    : cm3
    seat    : mm, 2 readings or more
    pins    : number
    derive gap   : mm = mean of bore - journal
    derive ratio : number = (bowl + rest) / rest
}
generation small \"an invented pump\" {
    pump.gap            limit 0.01 to 0.1 mm  { from common practice }
    pump.ratio          limit 8 to 10         { from common practice }
    largest of pump.seat limit at most 9 mm   { from common practice }
    pump.pins           limit exactly 3       { from common practice }
}
house \"Lapwing Pumps\" { judge by guard band 0.83 U }
";

const RECORD: &str = "build: P-1
generation: small
gauges:
  bore-1: { uncertainty: 3 um, resolution: 1 um, expansion: 10 um/m/K ± 1 um/m/K }
  burette: { uncertainty: 0.1 cm3, degrees_of_freedom: 9 }
bore: { value: [80.000 mm, 80.002 mm, 80.001 mm], gauge: bore-1, at: 30 ± 1 degC, gauge_at: 25 degC }
journal: { value: 79.95 mm, uncertainty: 5 um, at: 10 degC }
bowl: { value: 32.0 cm3, gauge: burette }
rest: { value: 4.0 cm3, gauge: burette }
seat: [8.90 mm, 8.91 mm, 8.90 mm, 8.91 mm]
pins: 3
";

fn explained(row: &str) -> String {
    explained_of(RECORD, row)
}

fn explained_of(record: &str, row: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("pump.rulebook"), BOOK).unwrap();
    std::fs::write(folder.path().join("P-1.yaml"), record).unwrap();
    let output = Command::cargo_bin("trochoid")
        .unwrap()
        .current_dir(folder.path())
        .args(["explain", "P-1.yaml", row, "--books", "pump.rulebook"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The lines below the title `uncertainty`, blanks before them left out.
fn lines(text: &str) -> Vec<String> {
    let below = text.lines().skip_while(|line| *line != "  uncertainty").skip(1);
    below.take_while(|line| line.starts_with("      ")).map(|line| line.trim().to_string()).collect()
}

/// d ratio/d rest = −bowl/rest² = −2 and d ratio/d bowl = 1/rest = 0.25, both by one burette: −1.75 for each cm³. u = 0.05 cm³,
/// so that 1.75 × 0.05 = 0.0875; k for 9 degrees of freedom is 2.32: U = 0.203, and 0.83 U = 0.16849.
#[test]
fn a_budget_by_one_gauge_is_the_one_reckoned_by_hand() {
    assert_eq!(
        lines(&explained("ratio")),
        [
            "input                                          value          u  sensitivity  contribution    share",
            "calibration of burette (9 degrees of freedom)         0.050 cm3  -1.75 1/cm3         0.088  100.0 %",
            "combined: u = 0.088, the root of the sum of the contributions squared",
            "effective degrees of freedom 9 (JCGM 100:2008, G.4.1, rounded down)",
            "U = k u = 0.21, k = 2.32 (JCGM 100:2008, Table G.2)",
            "guard = 0.83 U = 0.17, before each end that does not depend on the record",
            "limit: pass by guard band 0.83 U (ILAC-G8:09/2019, 4.2.3), inside with a probability of over 0.9999 (JCGM 106:2012, \
             7; Student's t with 9 degrees of freedom, JCGM 100:2008, G.3)",
        ]
    );
}

/// A difference of two gauges with u = 1 µm each: with r = 0.5 it is 1 + 1 − 2 × 0.5 = 1 µm, and without 1.4 µm.
#[test]
fn a_stated_correlation_has_its_line_and_its_share() {
    let record = "build: P-1
generation: small
gauges:
  bore-1: { uncertainty: 2 um, correlated: { mic-1: 0.5 } }
  mic-1: { uncertainty: 2 um }
bore: { value: [80.000 mm, 80.000 mm], gauge: bore-1 }
journal: { value: 79.95 mm, gauge: mic-1 }
";
    let explained = explained_of(record, "gap");
    let lines = lines(&explained);
    let has = |start: &str, end: &str| lines.iter().any(|line| line.starts_with(start) && line.ends_with(end));
    assert!(has("calibration of bore-1 ", " 100.0 %") && has("calibration of mic-1 ", " 100.0 %"), "{lines:#?}");
    assert!(has("bore-1 with mic-1, r = 0.5 ", " -100.0 %"), "{lines:#?}");
    assert!(has("combined: u = 0.0010 mm, ", "(JCGM 100:2008, 5.2.2)"), "{lines:#?}");
    assert!(explained.contains("correlated with mic-1, r = 0.5"), "{explained}");
    let apart = explained_of(&record.replace(", correlated: { mic-1: 0.5 }", ""), "gap");
    assert!(apart.contains("combined: u = 0.0015 mm, the root of the sum of the contributions squared\n"), "{apart}");
}

/// Every kind of influence has its line, with its value; read back, the contributions give u, and the shares all of it.
#[test]
fn the_printed_table_adds_up() {
    let lines = lines(&explained("gap"));
    let end = lines.iter().position(|line| line.starts_with("combined")).unwrap();
    let cells: Vec<Vec<&str>> = lines[1..end]
        .iter()
        .map(|line| line.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect())
        .collect();
    for (input, value) in [
        ("calibration of bore-1", "0.0015 mm"),
        ("resolution at bore (reading 2)", "80.002 mm"),
        ("stated at journal", "79.95 mm"),
        ("repeats of bore (2 degrees of freedom)", "0.00058 mm"),
        ("temperature", "30 ± 1 degC"),
        ("temperature", "25 degC"),
        ("temperature", "10 degC"),
        ("expansion of pump", "20 µm/(m·K)"),
        ("expansion of gauge bore-1", "10 µm/(m·K)"),
    ] {
        assert!(cells.iter().any(|cells| cells[0] == input && cells[1] == value), "no {input} {value} in {lines:#?}");
    }
    let number = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
    let squares: f64 = cells.iter().map(|cells| number(cells[cells.len() - 2]).powi(2)).sum();
    let combined = number(lines[end].strip_prefix("combined: u = ").unwrap());
    // Each is printed to two digits, rounded up.
    assert!((squares.sqrt() - combined).abs() < 0.06 * combined, "{} and {combined}", squares.sqrt());
    let shares: f64 = cells.iter().map(|cells| number(cells[cells.len() - 1])).sum();
    assert!((shares - 100.0).abs() < 0.05 * cells.len() as f64, "{shares}");
}

#[test]
fn what_nobody_said_and_what_repeats_tell_is_said() {
    let seat = explained("seat");
    assert_eq!(lines(&seat), ["nobody said how well this was measured: no gauge, and no uncertainty of its own"]);
    // By hand: mean 8.905 mm, s = √(4 × 0.005² / 3) = 0.0057735 mm.
    let repeats = "mean 8.905 mm, standard deviation 0.0058 mm; no outlier (Grubbs' test at 5 %)";
    assert!(seat.lines().any(|line| line.trim() == repeats), "{seat}");
    let bore = explained("gap");
    assert!(bore.contains("too few readings to tell whether one is an outlier"), "{bore}");
    // Of a count there is nothing to say.
    assert_eq!(lines(&explained("pins")), [] as [&str; 0]);
}

#[test]
fn every_budget_of_the_examples_adds_up_exactly() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds");
    let (paths, _): (Vec<PathBuf>, _) = records_below(&root);
    let shops = Shops::new(None);
    let mut seen = 0;
    for path in paths {
        let shop = shops.of(&path);
        let source = read_source(&path, MOST_RECORD_BYTES).unwrap();
        let (sheet, _) = record::read(&source);
        let (readings, _) = shop.bind(&sheet.unwrap(), &source);
        let plan = shop.plan(readings.generation.unwrap()).unwrap();
        for ruling in &trochoid::judge::judge(&shop.book, plan, &readings).rulings {
            let Some(budget) = budget(&shop.book, plan, &readings, ruling) else { continue };
            let squares = budget.lines.iter().map(|line| {
                let by = &line.sensitivity;
                by.multiply(by).multiply(&line.standard.multiply(&line.standard))
            });
            let sum = squares.fold(Value::ZERO, |sum, part| sum.add(&part)).midpoint().to_f64();
            let variance = budget.uncertainty.variance.midpoint().to_f64();
            assert!((sum - variance).abs() <= 1e-12 * variance, "{sum} {variance}");
            if variance > 0.0 {
                let shares = budget.lines.iter().map(|line| line.share.as_ref().unwrap().midpoint().to_f64());
                assert!((shares.sum::<f64>() - 1.0).abs() < 1e-12);
                seen += 1;
            }
        }
    }
    assert!(seen > 50, "{seen}");
}

/// Values that bend: a square at nought, by hand: of a normal number with u = 0.1, 95 % of the squares lie between those of the
/// quantiles 0.0313 and 2.2414 of its size (half of 2.5 % and of 97.5 % to either side).
#[test]
fn a_budget_that_a_straight_line_is_not_good_enough_for_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let book = "rulebook \"Bent\" edition 2026-03-01\nunit mm = 0.001 m\npart pump {\n    a : number, may be negative\n    b : mm\n    \
                derive square : number = a ^ 2\n    derive root : number = sqrt(a)\n    derive twice : mm = b + b\n}\n\
                generation small \"bent\" {\n    pump.square limit at most 9 { from memory }\n}\n";
    std::fs::write(folder.path().join("bent.rulebook"), book).unwrap();
    let record = "generation: small\na: { value: 0, uncertainty: 0.2 }\nb: { value: 3 mm, uncertainty: 0.01 mm }\n";
    std::fs::write(folder.path().join("bent.yaml"), record).unwrap();
    let said = |row: &str| {
        let mut command = Command::cargo_bin("trochoid").unwrap();
        let command =
            command.current_dir(folder.path()).args(["explain", "bent.yaml", row, "--books", "bent.rulebook"]);
        let output = command.output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let drawn = |text: &str| -> Vec<String> {
        let below = text.lines().skip_while(|line| *line != "  uncertainty by Monte Carlo").skip(1);
        below.take_while(|line| line.starts_with("      ")).map(|line| line.trim().to_string()).collect()
    };
    let square = said("square");
    let lines = drawn(&square);
    assert_eq!(lines.len(), 4, "{square}");
    assert!(lines[1].starts_with("straight line: 0.000 to 0.000 with a probability of 95 %"), "{square}");
    // 0.1² · 0.0313² = 0.0000098, 0.1² · 2.2414² = 0.0502; the mean is u² = 0.0100, the deviation √2 u² = 0.0141.
    assert!(
        lines[2].starts_with("Monte Carlo: 0.000 to 0.050 with a probability of 95 %; mean 0.010, u = 0.014"),
        "{square}"
    );
    assert_eq!(square, said("square"), "the same every time");
    let root = said("root");
    assert!(root.contains("straight line: no interval, since the value has no slope here"), "{root}");
    assert!(root.contains("Monte Carlo: no interval, since 50."), "{root}");
    // A sum of what is normal is a straight line.
    assert_eq!(drawn(&said("twice")), [] as [&str; 0]);
}
