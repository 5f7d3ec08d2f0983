//! Forty columns are enough for every text for people: nothing is wider but a word that cannot be broken.

use super::Papers;
use assert_cmd::Command;

const K: &str = "examples/kestrel";

/// What a run prints in so many columns, as the environment says it.
fn said(arguments: &[&str], columns: &str) -> String {
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(arguments).env("COLUMNS", columns).env_remove("LANG");
    let output = command.output().unwrap();
    assert_ne!(output.status.code(), None, "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The lines that are too wide although they could be broken.
fn too_wide(text: &str) -> Vec<&str> {
    let wide = |line: &&str| {
        let longest = line.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0);
        // One word alone, below what it belongs to, has nowhere to be broken.
        line.chars().count() > 40 && longest <= 36 && line.split_whitespace().count() > 1
    };
    // How a command is called is one line of the help, whatever the width.
    text.lines().filter(wide).filter(|line| !line.starts_with("Usage: ")).collect()
}

#[test]
fn nothing_for_people_is_wider_than_forty_columns() {
    let (builds, shelf, books) = (format!("{K}/builds"), format!("{K}/shelf"), format!("{K}/books"));
    let (build, rotors) = (format!("{builds}/K-0150.yaml"), format!("{shelf}/rotors.yaml"));
    let mut lines = 0;
    for arguments in [
        &["check", &builds][..],
        &["check", &builds, "--all"],
        &["check", &shelf],
        &["check", "examples/gearbox", "--count", "--within", "10%", "--conversions", "--history"],
        &["audit", &builds, "--before", &books, "--ignore-dates", "--diff"],
        &["explain", "row-out"],
        &["explain", "--list"],
        &["explain", &build, "rotor.front.side_clearance"],
        &["explain", &rotors, "width", "--tag", "R-017"],
        &["identify", &build],
        &["identify", "rotor.pocket=machined"],
        &["list"],
        &["list", "generations"],
        &["list", "parts"],
        &["list", "readings", "rotor"],
        &["list", "rows", "light_2mm"],
        &["list", "units"],
        &["list", "books"],
        &["match", "light_2mm", K, "--seconds", "5"],
        &["prove"],
        &["prove", &books, "--generation", "light_2mm"],
        &["rework", &build],
        &["rework", &rotors],
        &["trend", "rotor.front.side_clearance", K, "--by", "casting"],
        &["trend", "rotor.side_clearance", K, "--together", "--subgroups"],
        &["trend", "rotor.side_clearance", K, "--risk", "--short"],
    ] {
        let text = said(arguments, "40");
        lines += text.lines().count();
        assert_eq!(too_wide(&text), Vec::<&str>::new(), "{arguments:?}");
    }
    assert!(lines > 5000, "only {lines} lines");
}

#[test]
fn a_table_that_is_imported_is_told_in_forty_columns() {
    let papers = Papers::new();
    papers.put("t.csv", "build,generation,vane,slot\nP-7,small,2.00 mm,2.07 mm\nP-8,smal,2.00,2.07 mm\n");
    let ran = papers.run(&["import", "t.csv", "--width", "40"]);
    assert_eq!(too_wide(&ran.out), Vec::<&str>::new());
    assert!(ran.out.contains("fault"), "{}", ran.out);
}

#[test]
fn the_help_of_every_command_fits_too() {
    let help = said(&["--help"], "40");
    let commands = help.split_once("Commands:").unwrap().1.split_once("\n\n").unwrap().0;
    let names: Vec<&str> = commands
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(names.len() >= 17, "{names:?}");
    for name in names {
        assert_eq!(too_wide(&said(&[name, "--help"], "40")), Vec::<&str>::new(), "{name}");
    }
}
