//! Runs the real binary in folders of invented papers and reads what it prints.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

mod agreement;
mod audit;
mod blank;
mod cache;
mod cache_forged;
mod check;
mod csv;
mod derivations;
mod editor_names;
mod explain;
mod faults;
mod gauge_study;
mod gauges;
mod identify;
mod import;
mod install;
mod json;
mod json_lines;
mod junit;
mod language_server;
mod list;
mod loose_in_editor;
mod metamodel;
mod narrow;
mod near_limits;
mod only;
mod prove;
mod questions;
mod refusals;
mod report;
mod revision;
mod sarif;
mod screening;
mod sheets;
mod standard_input;
mod tidy;
mod to_measure;
mod trend;

use assert_cmd::Command;
use std::path::Path;

/// An invented rulebook for an invented pump: enough for every grade a record can get.
pub(crate) const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um, \"µm\" = 0.001 mm
source sheet \"Invented bench sheet, 2026\"
part pump {
    vane : mm
    slot : mm
    wear : mm, optional
    derive gap : mm = slot - vane
}
generation small \"an invented pump\" {
    pump.gap   standard 0.05 to 0.10 mm   limit at most 0.15 mm {
        because \"A wide gap lets the vane tilt.\"
        remedy  \"Fit a thicker vane.\"
        caution \"Drain the pump first.\"
        from sheet \"line 4\"
    }
    pump.wear  limit at most 0.02 mm { from sheet \"line 5\" }
}
general caution \"What is cut cannot be put back.\"
";

/// What `check` writes of the example shops in a format: some of their builds fail.
fn examples(format: &str) -> String {
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(["check", "examples", "--format", format]);
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    String::from_utf8(output.stdout).unwrap()
}

/// A folder of papers that goes when the test ends.
struct Papers(tempfile::TempDir);

impl Papers {
    /// A shop with the pump's book and no records.
    fn new() -> Papers {
        let papers = Papers(tempfile::tempdir().unwrap());
        papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
        papers.put("books/pump.rulebook", BOOK);
        papers
    }

    fn put(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.0.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.path().join(name)).unwrap()
    }

    /// A build whose gap is so many hundredths of a millimetre.
    fn build(&self, name: &str, gap: u32) {
        self.put(&format!("builds/{name}.yaml"), record(name, gap));
    }

    fn path(&self) -> &Path {
        self.0.path()
    }

    /// Runs the program in the folder.
    fn run(&self, arguments: &[&str]) -> Ran {
        let mut command = Command::cargo_bin("trochoid").unwrap();
        command.current_dir(self.path()).args(arguments).env_remove("NO_COLOR");
        let output = command.output().unwrap();
        Ran {
            status: output.status.code().expect("the program ends by itself"),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

fn record(name: &str, gap: u32) -> String {
    let slot = 200 + gap;
    format!("build: {name}\ngeneration: small\nvane: 2.00 mm\nslot: {}.{:02} mm\n", slot / 100, slot % 100)
}

/// What a run printed.
struct Ran {
    status: i32,
    out: String,
    err: String,
}

impl Ran {
    /// The lines of standard output that begin with a word.
    fn lines_of(&self, start: &str) -> Vec<&str> {
        self.out.lines().filter(|line| line.starts_with(start)).collect()
    }
}
