//! How to measure: every reading of the books that come with the program and with its examples says it, and so does every
//! part with positions and every reading at stations; what says it is shown wherever the reading is.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use trochoid::book::Origin;
use trochoid::shop::{Shop, Shops};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

/// The shipped books, and those of each example shop.
fn shops() -> Vec<(&'static str, Arc<Shop>)> {
    let of = |folder: &Path| Shops::new(None).of(&folder.join("blank.yaml"));
    let empty = tempfile::tempdir().unwrap();
    let mut shops = vec![("shipped", of(empty.path()))];
    for name in ["kestrel", "whimbrel", "gearbox"] {
        shops.push((name, of(&example(name))));
    }
    shops
}

/// Words that name a gauge or say how a thing that no gauge measures is known.
const HOW: [&str; 41] = [
    "micrometer",
    "gauge",
    "feeler",
    "straight edge",
    "caliper",
    "scale",
    "wrench",
    "burette",
    "tester",
    "magnifier",
    "dye penetrant",
    "rule",
    "voltmeter",
    "balancer's sheet",
    "stop watch",
    "measuring glass",
    "thermometer",
    "balance",
    "bar, square",
    "look",
    "count",
    "ask",
    "from the",
    "stamped",
    "felt",
    "push each",
    "slide a seal",
    "fingernail",
    "press",
    "turn the shaft",
    "the letter",
    "the mark",
    "the spacer's mark",
    "the rank letter",
    "the number on the packet",
    "the year on",
    "as width",
    "as end_play",
    "as land_height",
    "wire",
    "by the",
];

#[test]
fn every_shipped_reading_says_how_it_is_measured() {
    for (name, shop) in shops() {
        assert!(shop.is_sound(), "{name}: {:?}", shop.findings());
        let book = &shop.book;
        let mut readings = 0;
        for (id, characteristic) in book.characteristics.entries() {
            let path = book.path(id, &[], None);
            let measure = characteristic.texts.measure.as_deref();
            let Origin::Reading { stations, .. } = &characteristic.origin else {
                assert_eq!(measure, None, "{name}: {path} is calculated");
                continue;
            };
            readings += 1;
            let measure = measure.unwrap_or_else(|| panic!("{name}: {path} does not say how it is measured"));
            assert!(measure.ends_with(['.', '?']) && measure.len() > 15, "{name}: {path}: {measure}");
            let lower = measure.to_lowercase();
            let told = ["complaint", "words the owner knows", "parts of fuel", "casting marks", "as cast"]
                .iter()
                .any(|word| lower.contains(word));
            assert!(told || HOW.iter().any(|word| lower.contains(word)), "{name}: {path}: no gauge: {measure}");
            for station in stations {
                let mut words = measure.split(|letter: char| !letter.is_alphanumeric() && letter != '_');
                assert!(words.any(|word| *word == **station), "{name}: {path}: where is {station}?");
            }
        }
        assert!(readings > 15, "{name}: {readings} readings");
        for part in book.parts.iter().filter(|part| !part.positions.is_empty()) {
            let measure = part.measure.as_deref();
            assert!(measure.is_some(), "{name}: {} does not say which position is which", part.name);
        }
    }
}

#[test]
fn what_the_trade_does_not_fix_is_marked() {
    let empty = tempfile::tempdir().unwrap();
    let shop = Shops::new(None).of(&empty.path().join("blank.yaml"));
    let part = |name: &str| shop.book.parts.iter().find(|part| &*part.name == name).unwrap().measure.clone().unwrap();
    for name in ["apex", "face", "apex_seal", "corner_seal", "side_seal"] {
        assert!(part(name).to_lowercase().contains("chosen here"), "{name}: {}", part(name));
    }
    let width = shop.book.characteristics.iter().find(|one| !one.stations().is_empty()).unwrap();
    assert!(width.texts.measure.as_deref().unwrap().contains("chosen here"));
}

fn run(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_trochoid")).args(arguments).output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Words as they read, wherever lines break and whatever signs begin them.
fn words(text: &str) -> String {
    text.split_whitespace().filter(|word| *word != "#").collect::<Vec<_>>().join(" ")
}

#[test]
fn it_stands_beside_the_reading_once_a_part() {
    let lands = "across the lands, gear side down";
    let yaml = words(&run(&["blank", "light_2mm"]));
    assert_eq!(yaml.matches(lands).count(), 1, "{yaml}");
    assert_eq!(yaml.matches("paint a 1 at one apex").count(), 1);
    let page = run(&["blank", "light_2mm", "--format", "html"]);
    assert_eq!(page.matches(lands).count(), 1);
    assert_eq!(page.matches("paint a 1 at one apex").count(), 1);
    let record = example("kestrel/builds/K-0142.yaml").to_string_lossy().into_owned();
    let output = Command::new(env!("CARGO_BIN_EXE_trochoid"))
        .args(["explain", &record, "rotor.side_clearance"])
        .output()
        .unwrap();
    let explained = String::from_utf8(output.stdout).unwrap();
    let block = explained.split("how to measure\n").nth(1).unwrap_or_else(|| panic!("{explained}"));
    assert!(
        words(block).contains(lands) && words(block).contains("rotor: front is the rotor at the pulley end"),
        "{block}"
    );
}

#[test]
fn the_build_sheet_folds_it_away() {
    let record = example("kestrel/builds/K-0142.yaml").to_string_lossy().into_owned();
    let output = Command::new(env!("CARGO_BIN_EXE_trochoid")).args(["report", &record]).output().unwrap();
    let sheet = String::from_utf8(output.stdout).unwrap();
    let fold = sheet.split("<details>").nth(1).unwrap().split("</details>").next().unwrap();
    for text in [sheet.as_str(), fold] {
        assert_eq!(text.matches("across the lands, gear side down").count(), 1);
    }
    assert!(fold.contains("front is the rotor at the pulley end"), "{fold}");
}
