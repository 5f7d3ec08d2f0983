//! What the packages hold and what they are made of: licences and sources by the policy, the bill of materials, the files of the crate,
//! the changes in Debian's form, the oldest compiler.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// The system whose packages are looked at.
const TARGET: &str = "x86_64-unknown-linux-gnu";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// What a program prints; it must end well.
fn printed(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).current_dir(root()).args(arguments).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} {arguments:?}: {said}");
    String::from_utf8(output.stdout).unwrap()
}

fn metadata() -> Value {
    let arguments = ["metadata", "--locked", "--offline", "--format-version", "1", "--all-features"];
    serde_json::from_str(&printed(env!("CARGO"), &arguments)).unwrap()
}

/// The words in quotation marks of a list of the policy, as in `allow = [ "MIT" ]`.
fn list(policy: &str, begin: &str) -> BTreeSet<String> {
    let (_, rest) = policy.split_once(begin).unwrap_or_else(|| panic!("no {begin}"));
    let (inside, _) = rest.split_once("\n]").unwrap();
    let lines = inside.lines().filter(|line| !line.trim_start().starts_with('#'));
    lines.flat_map(|line| line.split('"').skip(1).step_by(2)).map(str::to_owned).collect()
}

/// Whether licences that are allowed satisfy an SPDX expression. The slash is how older crates write OR.
fn allowed(expression: &str, allow: &dyn Fn(&str) -> bool) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let value = any(&words, &mut at, allow);
    assert_eq!(at, words.len(), "{expression} is no licence expression");
    value
}

fn any(words: &[&str], at: &mut usize, allow: &dyn Fn(&str) -> bool) -> bool {
    let mut value = every(words, at, allow);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        value |= every(words, at, allow);
    }
    value
}

fn every(words: &[&str], at: &mut usize, allow: &dyn Fn(&str) -> bool) -> bool {
    let mut value = one(words, at, allow);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        value &= one(words, at, allow);
    }
    value
}

fn one(words: &[&str], at: &mut usize, allow: &dyn Fn(&str) -> bool) -> bool {
    let word = words[*at];
    *at += 1;
    if word == "(" {
        let value = any(words, at, allow);
        assert_eq!(words.get(*at), Some(&")"));
        *at += 1;
        return value;
    }
    if words.get(*at) == Some(&"WITH") {
        let whole = format!("{word} WITH {}", words[*at + 1]);
        *at += 2;
        return allow(&whole);
    }
    allow(word)
}

#[test]
fn expressions_of_licences_are_understood() {
    let allow = |word: &str| ["MIT", "Zlib"].contains(&word);
    for (expression, good) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("MIT OR GPL-3.0-only", true),
        ("GPL-3.0-only/MIT", true),
        ("MIT AND GPL-3.0-only", false),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", false),
        ("(MIT OR Apache-2.0) AND Zlib", true),
        ("Apache-2.0 WITH LLVM-exception OR Apache-2.0", false),
        ("Apache-2.0 WITH LLVM-exception OR Zlib", true),
    ] {
        assert_eq!(allowed(expression, &allow), good, "{expression}");
    }
}

#[test]
fn every_crate_keeps_to_the_policy() {
    let policy = read(".ci/deny.toml");
    let allow = list(&policy, "\nallow = [");
    let exceptions = list(&policy, "\nexceptions = [");
    let banned = list(&policy, "\ndeny = [");
    assert!(allow.contains("MIT") && !allow.contains("GPL-3.0-only") && allow.len() > 5, "{allow:?}");
    assert!(banned.contains("openssl-sys"), "{banned:?}");
    let metadata = metadata();
    let mut used_exceptions = BTreeSet::from(["MPL-2.0".to_owned()]);
    let mut faults = Vec::new();
    let mut seen = 0;
    for package in metadata["packages"].as_array().unwrap() {
        let (name, licence) = (package["name"].as_str().unwrap(), package["license"].as_str());
        seen += 1;
        let good = licence.is_some_and(|licence| allowed(licence, &|word| allow.contains(word)));
        if !good && exceptions.contains(name) && licence == Some("MPL-2.0") {
            used_exceptions.insert(name.to_owned());
        } else if !good {
            faults.push(format!("{name}: {licence:?} is not allowed"));
        }
        if banned.contains(name) {
            faults.push(format!("{name} is banned"));
        }
        let from = package["source"].as_str().unwrap_or("here");
        if name != "trochoid" && from != "registry+https://github.com/rust-lang/crates.io-index" {
            faults.push(format!("{name} comes from {from}"));
        }
    }
    assert!(seen > 200, "only {seen} crates were seen");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert_eq!(used_exceptions, exceptions, "an exception that nothing needs");
}

/// The document as its published schema wants it.
fn against_the_schema(document: &Value) -> Vec<String> {
    let schema = |name: &str| serde_json::from_str::<Value>(&read(&format!("tests/outside/schemas/{name}"))).unwrap();
    let mut main = schema("cyclonedx-1.5.json");
    // The two it refers to stand in it, so that nothing is fetched.
    let places = [
        ("spdx.SNAPSHOT.schema.json", "#/definitions/spdx", schema("cyclonedx-spdx.json")),
        ("jsf-0.82.SNAPSHOT.schema.json#/definitions/signature", "#/definitions/jsf", serde_json::json!({})),
    ];
    let mut text = main.to_string();
    for (file, place, _) in &places {
        assert!(text.contains(&format!("\"$ref\":\"{file}\"")), "{file}");
        text = text.replace(&format!("\"$ref\":\"{file}\""), &format!("\"$ref\":\"{place}\""));
    }
    main = serde_json::from_str(&text).unwrap();
    for (_, place, mut part) in places {
        // A name of its own would make it another document.
        part.as_object_mut().unwrap().remove("$id");
        main["definitions"][place.rsplit('/').next().unwrap()] = part;
    }
    let validator = jsonschema::draft7::new(&main).unwrap();
    validator.iter_errors(document).map(|error| error.to_string()).collect()
}

#[test]
fn the_bill_of_materials_has_what_cargo_builds() {
    let text = printed(".ci/bill-of-materials", &[TARGET]);
    let bill: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(against_the_schema(&bill), Vec::<String>::new());
    let mut spoilt = bill.clone();
    spoilt["components"][0]["scope"] = "sometimes".into();
    assert!(!against_the_schema(&spoilt).is_empty(), "the schema holds nothing");

    let components = bill["components"].as_array().unwrap();
    let names = |wanted: Option<&str>| -> BTreeSet<String> {
        let of = components.iter().filter(|one| wanted.is_none_or(|wanted| one["scope"] == wanted));
        of.map(|one| format!("{}@{}", one["name"].as_str().unwrap(), one["version"].as_str().unwrap())).collect()
    };
    // `.ci/packages` holds it against what was really built.
    let is_named = |names: &BTreeSet<String>, name: &str| names.iter().any(|one| one.starts_with(&format!("{name}@")));
    let (required, all) = (names(Some("required")), names(None));
    for name in ["rusqlite", "libsqlite3-sys", "mimalloc", "pest", "num-bigint", "hyper"] {
        assert!(is_named(&required, name), "{name} is part of the program");
    }
    for name in ["pest_derive", "cc", "syn"] {
        assert!(is_named(&all, name) && !is_named(&required, name), "{name} only runs while it is built");
    }
    for name in ["proptest", "criterion", "jsonschema", "windows-sys"] {
        assert!(!is_named(&all, name), "{name} is for tests, or for another system");
    }

    let lock = read("Cargo.lock");
    let mut sums = BTreeMap::new();
    for block in lock.split("[[package]]\n").skip(1) {
        let field = |name: &str| block.lines().find_map(|line| line.strip_prefix(&format!("{name} = ")));
        let plain = |name: &str| field(name).map(|value| value.trim_matches('"').to_owned());
        sums.insert(format!("{}@{}", plain("name").unwrap(), plain("version").unwrap()), plain("checksum"));
    }
    for one in components {
        let name = format!("{}@{}", one["name"].as_str().unwrap(), one["version"].as_str().unwrap());
        assert_eq!(one["hashes"][0]["content"].as_str(), sums[&name].as_deref(), "{name}");
    }
    // What is written in C inside a crate has its own faults, and so its own line.
    let inner: Vec<&str> = components.iter().filter_map(|one| one["components"][0]["name"].as_str()).collect();
    assert_eq!(inner, ["mimalloc", "sqlite"]);
    let without: Value =
        serde_json::from_str(&printed(".ci/bill-of-materials", &[TARGET, "--no-default-features"])).unwrap();
    assert!(without["components"].as_array().unwrap().iter().all(|one| one.get("components").is_none()));
}

#[test]
fn the_crate_has_what_a_build_needs_and_no_more() {
    let listed = printed(env!("CARGO"), &["package", "--list", "--allow-dirty", "--locked", "--offline"]);
    let files: BTreeSet<&str> = listed.lines().collect();
    for wanted in [
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "examples/judge_a_record.rs",
        "examples/kestrel/builds/K-0141.yaml",
        "grammar/rulebook.pest",
        "specs/changes.md",
        "specs/family.rulebook",
        "specs/packed/family.tree",
        "src/explain/codes/row-out.md",
        "src/lib.rs",
        "src/main.rs",
    ] {
        assert!(files.contains(wanted), "{wanted} is left out of\n{listed}");
    }
    for file in &files {
        let first = file.split('/').next().unwrap();
        let is_left_out = ["tests", "benches", "dotfiles", "proptest-regressions"].contains(&first)
            || first == ".ci"
            || file.ends_with(".png")
            || file.contains("/tests/");
        assert!(!is_left_out, "{file} is in the crate");
    }
}

#[test]
fn the_changes_are_in_debians_form() {
    let version = env!("CARGO_PKG_VERSION");
    let text = printed(".ci/debian-changelog", &[version, "Somebody <somebody@example.invalid>"]);
    assert!(text.starts_with(&format!("trochoid ({version}-1) unstable; urgency=medium\n\n  * ")), "{text}");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("changelog");
    std::fs::write(&file, &text).unwrap();
    // Debian's own reader finds every version, and nothing to complain of.
    let output = Command::new("dpkg-parsechangelog").arg("--all").arg("-l").arg(&file).output().unwrap();
    assert!(output.status.success() && output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    let read_back = String::from_utf8(output.stdout).unwrap();
    let number = |version: &str| version.split('.').map(|one| one.parse().unwrap()).collect::<Vec<u32>>();
    let changes = read("specs/changes.md");
    let versions = changes.lines().filter_map(|line| line.strip_prefix("## ")).map(str::trim);
    let mut seen = 0;
    for one in versions.filter(|one| number(one) <= number(version)) {
        assert!(read_back.contains(&format!("trochoid ({one}-1) unstable")), "{one}: {read_back}");
        seen += 1;
    }
    assert!(seen > 5, "{changes}");
    let output = Command::new(root().join(".ci/debian-changelog")).args(["99.0.0", "Somebody"]).output().unwrap();
    assert!(!output.status.success(), "a version nobody wrote about");
}

#[test]
fn the_oldest_compiler_is_no_older_than_any_crate_wants() {
    let number = |version: &str| version.split('.').take(2).map(|one| one.parse().unwrap()).collect::<Vec<u32>>();
    let metadata = metadata();
    let ours = number(env!("CARGO_PKG_RUST_VERSION"));
    let mut seen = 0;
    for package in metadata["packages"].as_array().unwrap() {
        let Some(theirs) = package["rust_version"].as_str() else { continue };
        assert!(number(theirs) <= ours, "{} wants {theirs}", package["name"]);
        seen += 1;
    }
    assert!(seen > 100, "only {seen} crates say");
}

#[test]
fn the_container_is_made_from_what_the_packages_are() {
    let recipe = read(".ci/Containerfile");
    let script = read(".ci/packages");
    let copied: Vec<&str> = recipe.lines().filter_map(|line| line.strip_prefix("COPY ")).collect();
    assert_eq!(copied, ["trochoid.deb /tmp/trochoid.deb"]);
    assert!(script.contains("\"$to/trochoid.deb\"") && script.contains("cp .ci/Containerfile \"$to/\""));
    assert!(recipe.contains("ENTRYPOINT [\"trochoid\"]") && recipe.contains("\nUSER trochoid\n"));
}
