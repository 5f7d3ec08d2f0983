//! The plan of the house, checked: which room may use which, where each outside crate lives, how long a file may be.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Every room with its storey. A room uses only rooms on lower storeys; moving a wall is a change of this table.
const STOREYS: &[(u8, &[&str])] = &[
    (0, &["text"]),
    (1, &["quantity"]),
    (2, &["finding", "statistics"]),
    (3, &["disk", "syntax", "record"]),
    (4, &["book", "tidy", "cache"]),
    (5, &["plan", "bind"]),
    (6, &["judge"]),
    (7, &["explain", "trend", "blank", "catalogue", "identify", "handover", "loose", "matching", "rework"]),
    (8, &["shop"]),
    (9, &["prove", "audit", "import", "worksheet"]),
    (10, &["report"]),
    (11, &["bench", "lsp"]),
    (12, &["cli"]),
];

/// Outside crates and the rooms that may use them.
const OUTSIDE: &[(&str, &[&str])] = &[
    ("anstyle_query", &["cli"]),
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("ctrlc", &["cli"]),
    ("csv_core", &["import"]),
    ("dunce", &["disk"]),
    ("getrandom", &["bench"]),
    ("gix", &["disk"]),
    ("granit_parser", &["record"]),
    ("http_body_util", &["bench"]),
    ("hyper", &["bench"]),
    ("hyper_util", &["bench"]),
    ("tokio", &["bench"]),
    ("include_dir", &["explain", "shop"]),
    ("indicatif", &["cli"]),
    ("libc", &["disk"]),
    ("lz4_flex", &["cache"]),
    ("maud", &["report"]),
    ("lsp_server", &["lsp"]),
    ("lsp_types", &["lsp"]),
    ("miette", &["report"]),
    ("num_bigint", &["quantity"]),
    ("num_integer", &["quantity"]),
    ("num_traits", &["quantity"]),
    ("pest", &["syntax"]),
    ("pest_derive", &["syntax"]),
    ("postcard", &["record", "report"]),
    ("qrcode", &["cli"]),
    ("quick_xml", &["report"]),
    ("rand_chacha", &["statistics"]),
    ("rayon", &["cli"]),
    ("rusqlite", &["cache"]),
    ("saphyr_parser", &["record"]),
    ("serde", &["audit", "bench", "lsp", "report", "shop", "worksheet"]),
    ("serde_json", &["audit", "bench", "lsp", "report"]),
    ("sha2", &["audit", "bench", "cache"]),
    ("similar", &["report"]),
    ("tempfile", &["disk"]),
    ("statrs", &["statistics"]),
    ("strsim", &["finding"]),
    ("time", &["cli"]),
    ("walkdir", &["disk"]),
];

/// A file past this is asking for a second room.
const MOST_LINES: usize = 500;

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.unwrap().into_path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        .collect();
    files.sort();
    files
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn storey(room: &str) -> Option<u8> {
    STOREYS.iter().find(|(_, rooms)| rooms.contains(&room)).map(|(storey, _)| *storey)
}

/// The rooms named after `crate::` in a file, comments left out.
fn rooms_used(text: &str) -> Vec<String> {
    let mut rooms = Vec::new();
    let code: String = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    for (at, _) in code.match_indices("crate::") {
        let rest = &code[at + "crate::".len()..];
        let name: String = rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
        if !name.is_empty() {
            rooms.push(name);
        }
    }
    rooms
}

/// What is wrong with a file of a room, in words.
fn faults(room: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let own = storey(room);
    for used in rooms_used(text) {
        let Some(other) = storey(&used) else { continue };
        let allowed = used == room || own.is_some_and(|own| other < own);
        if !allowed {
            faults.push(format!("{room} uses {used}, which does not stand below it"));
        }
    }
    let tests = text.find("#[cfg(test)]\nmod tests {").unwrap_or(text.len());
    let code: Vec<&str> = text[..tests].lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    for (name, rooms) in OUTSIDE {
        // `std::time` and `tokio::time` are not the crate `time`.
        let of_others = ["std", "tokio"].map(|other| format!("{other}::{name}::"));
        let alone = |line: &str| of_others.iter().fold(line.to_owned(), |line, other| line.replace(other, ""));
        // A longer name that ends like the crate's, as `runtime` does, is another one.
        let used = code.iter().any(|line| {
            let line = alone(line);
            let ends_a_name =
                |at: usize| line[..at].ends_with(|letter: char| letter.is_alphanumeric() || letter == '_');
            line.match_indices(&format!("{name}::")).any(|(at, _)| !ends_a_name(at))
        });
        if used && !rooms.contains(&room) {
            faults.push(format!("{room} uses the crate {name}"));
        }
    }
    if room != "disk" && code.iter().any(|line| line.contains("std::fs")) {
        faults.push(format!("{room} uses std::fs"));
    }
    if !text.starts_with("//!") {
        faults.push("it does not open with what it is for".into());
    }
    if text.lines().count() > MOST_LINES {
        faults.push(format!("it has {} lines, more than {MOST_LINES}", text.lines().count()));
    }
    faults
}

#[test]
fn every_file_keeps_to_the_plan_of_the_house() {
    let mut all = Vec::new();
    for path in rust_files(&source()) {
        let inner = path.strip_prefix(source()).unwrap();
        let room = inner.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
        let is_test = path.file_stem().is_some_and(|stem| stem.to_string_lossy().contains("tests"))
            || inner.components().any(|step| step.as_os_str() == "tests");
        let text = fs::read_to_string(&path).unwrap();
        if room.ends_with(".rs") || is_test {
            assert!(text.starts_with("//!"), "{} does not open with what it is for", inner.display());
            assert!(text.lines().count() <= MOST_LINES, "{} is too long", inner.display());
            continue;
        }
        assert!(storey(&room).is_some(), "{room} stands on no storey: add it to the plan");
        all.extend(faults(&room, &text).into_iter().map(|fault| format!("{}: {fault}", inner.display())));
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn a_file_that_breaks_the_plan_is_found_out() {
    assert_eq!(faults("quantity", "//! Numbers.\nuse crate::judge::Grade;\n").len(), 1);
    assert_eq!(faults("plan", "//! Plans.\nuse crate::{bind::Readings};\nuse crate::bind::State;\n").len(), 1);
    assert_eq!(faults("judge", "//! Judges.\nuse pest::Parser; fn f() { pest::state(); }\n").len(), 1);
    assert_eq!(faults("book", "//! Books.\nlet x = std::fs::read(path);\n").len(), 1);
    assert_eq!(faults("book", "use crate::text::Span;\n").len(), 1);
    assert_eq!(faults("book", &format!("//! Books.\n{}", "\n".repeat(MOST_LINES))).len(), 1);
    assert!(faults("book", "//! Books.\n// crate::judge is above us\nuse crate::text::Span;\n").is_empty());
    assert!(
        faults("bench", "//! Serves.\nuse std::time::Instant; use tokio::time::sleep; use tokio::runtime::Builder;\n")
            .is_empty()
    );
    assert_eq!(faults("bench", "//! Serves.\nuse time::Date;\n").len(), 1);
    assert!(faults("disk", "//! Files.\nuse crate::finding::Finding; use std::fs;\n").is_empty());
}

/// The files of the product, tests left out, each with its text.
fn product() -> Vec<(String, String)> {
    let files = rust_files(&source()).into_iter().map(|path| {
        let inner = path.strip_prefix(source()).unwrap().to_string_lossy().replace('\\', "/");
        (inner, fs::read_to_string(&path).unwrap())
    });
    files.filter(|(inner, _)| !inner.contains("tests")).collect()
}

#[test]
fn half_of_all_files_are_short() {
    let mut lines: Vec<usize> = product().iter().map(|(_, text)| text.lines().count()).collect();
    lines.sort_unstable();
    let median = lines[lines.len() / 2];
    assert!(lines.len() > 400 && median < 150, "the middle one of {} files has {median} lines", lines.len());
}

/// Types with methods in more than four files, by module, each with how many. Nothing may be added here, and no number raised.
const SPREAD: &[(&str, &str, usize)] = &[
    ("book", "Draft", 16),
    ("book", "Checker", 5),
    ("book", "Book", 5),
    ("quantity", "Number", 6),
    ("bind", "Binder", 11),
    ("bind", "Readings", 7),
    ("shop", "Shop", 8),
];
/// More files than this with methods of one type are more than one can hold.
const MOST_FILES: usize = 4;

/// How many files have methods of each type, by module.
fn spread(files: &[(String, String)]) -> BTreeMap<(String, String), usize> {
    let mut spread: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (file, text) in files {
        let room = file.split('/').next().unwrap_or_default().to_owned();
        let own = text.lines().filter_map(|line| line.strip_prefix("impl")).filter(|rest| !rest.contains(" for "));
        let name = |rest: &str| {
            // `impl<'a> Name<'a> {`: the parameters come first, if there are any.
            let rest = if rest.starts_with('<') {
                rest.split_once("> ").map_or("", |(_, rest)| rest)
            } else {
                rest.trim_start()
            };
            rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect::<String>()
        };
        let names: std::collections::BTreeSet<String> = own.map(name).filter(|name| !name.is_empty()).collect();
        for name in names {
            *spread.entry((room.clone(), name)).or_default() += 1;
        }
    }
    spread
}

#[test]
fn the_methods_of_a_type_stand_in_four_files_at_most() {
    let spread = spread(&product());
    for ((room, name), files) in &spread {
        let known = SPREAD.iter().find(|(of, one, _)| of == room && one == name).map_or(MOST_FILES, |(.., most)| *most);
        assert!(*files <= known, "{room}::{name} has methods in {files} files, more than {known}");
    }
    for (room, name, most) in SPREAD {
        let files = spread.get(&((*room).to_owned(), (*name).to_owned())).copied().unwrap_or(0);
        assert!(
            files == *most && files > MOST_FILES,
            "{room}::{name} has methods in {files} files now: lower the table"
        );
    }
}

#[test]
fn a_type_smeared_over_files_is_found_out() {
    let file =
        |number: usize| (format!("book/{number}.rs"), "impl<'a> Draft<'a> {\n}\nimpl Other for Draft {\n".to_owned());
    let files: Vec<(String, String)> = (0..5).map(file).collect();
    assert_eq!(spread(&files), BTreeMap::from([(("book".to_owned(), "Draft".to_owned()), 5)]));
}

#[test]
fn every_code_is_used() {
    let mut text = String::new();
    for path in rust_files(&source()) {
        if !path.ends_with("finding/code.rs") {
            text.push_str(&fs::read_to_string(&path).unwrap());
        }
    }
    for code in trochoid::finding::Code::ALL {
        assert!(text.contains(&format!("Code::{code:?}")), "nothing says {code}: remove it or use it");
    }
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml")).unwrap();
    let mut reasons: BTreeMap<String, bool> = BTreeMap::new();
    let mut comment = String::new();
    let mut inside = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line.contains("dependencies");
            comment.clear();
        } else if let Some(words) = line.strip_prefix('#') {
            comment.push_str(words);
        } else if inside && let Some((name, _)) = line.split_once(" = ") {
            reasons.insert(name.to_string(), comment.contains(name));
        }
    }
    assert!(reasons.len() > 10, "the manifest was not read");
    for (name, said) in reasons {
        assert!(said, "{name} has no reason above it in Cargo.toml");
    }
}
