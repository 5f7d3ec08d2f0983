//! What a glance tells in the shipped books: which generations and casting eras need no gauge to tell apart, and how `identify`
//! answers for one rotor and for a pair.

use assert_cmd::Command;
use serde_json::Value;
use trochoid::book::{Book, Generation, Kind, RangeKind, Telltale};
use trochoid::identify::identify;
use trochoid::shop::Shop;

/// Pairs of generations that the trade cannot tell by eye, and why. A pair that becomes tellable must leave the list.
const NOT_BY_EYE: &[(&str, &str, &str)] = &[
    (
        "carbon_6mm",
        "narrow_3mm",
        "nothing says that a 3 mm engine never has carbon seals: measure the slot or the width",
    ),
    (
        "carbon_6mm",
        "lighter_3mm",
        "nothing says that a 3 mm engine never has carbon seals: measure the slot or the width",
    ),
    ("carbon_6mm", "wide_3mm", "nothing says that a 3 mm engine never has carbon seals: measure the slot or the width"),
    ("carbon_6mm", "symmetrical", "both may have carbon seals, and nothing says how the narrow rotor's recess looks"),
    (
        "carbon_6mm",
        "wide_3mm_low",
        "nothing says that a 3 mm engine never has carbon seals: measure the slot or the width",
    ),
    ("symmetrical", "wide_3mm", "nothing says how the recess of the wide rotor looks: measure the width"),
    ("symmetrical", "wide_3mm_low", "nothing says how the recess of the wide rotor looks: measure the width"),
    ("narrow_3mm", "wide_3mm_low", "nothing says how the recess of the wide rotor looks: measure the width"),
    ("lighter_3mm", "wide_3mm_low", "nothing says how the recess of the wide rotor looks: measure the width"),
    ("wide_3mm", "wide_3mm_low", "the ratio alone differs: fill a recess from a burette"),
    ("narrow_3mm", "lighter_3mm", "the lighter rotor differs in mass alone: a scale is needed"),
    ("narrow_3mm", "wide_3mm", "nothing says how the recess of the wide rotor looks: measure the width"),
    ("lighter_3mm", "wide_3mm", "nothing says how the recess of the wide rotor looks: measure the width"),
];

/// Whether the eye tells two telltales' values apart: names or yes and no, read and not calculated, with none in common.
fn apart_by_eye(book: &Book, one: &Telltale, other: &Telltale) -> bool {
    one.subject == other.subject
        && book.characteristics.get(one.subject.characteristic).by_eye()
        && match (&one.range.kind, &other.range.kind) {
            (RangeKind::Names(names), RangeKind::Names(others)) => !names.iter().any(|name| others.contains(name)),
            (RangeKind::YesNo(yes), RangeKind::YesNo(other)) => yes != other,
            _ => false,
        }
}

fn generations(book: &Book) -> Vec<&Generation> {
    book.generations.iter().filter(|generation| !generation.basis).collect()
}

fn identified(arguments: &[&str]) -> (i32, String) {
    let folder = tempfile::tempdir().unwrap();
    let mut command = Command::cargo_bin("trochoid").unwrap();
    let output =
        command.current_dir(folder.path()).args(["identify", "--width", "400"]).args(arguments).output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

#[test]
fn the_eye_tells_every_pair_of_generations_but_those_listed() {
    let shop = Shop::shipped();
    let all = generations(&shop.book);
    let mut wrong = Vec::new();
    for (number, one) in all.iter().enumerate() {
        for other in all.iter().skip(number + 1) {
            let told = one
                .telltales
                .iter()
                .any(|mine| other.telltales.iter().any(|theirs| apart_by_eye(&shop.book, mine, theirs)));
            let names = [&*one.name, &*other.name];
            let listed = NOT_BY_EYE.iter().any(|(a, b, _)| names == [*a, *b] || names == [*b, *a]);
            if told == listed {
                wrong.push(format!("{} and {}: told by eye {told}, listed as not {listed}", one.name, other.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for (one, other, reason) in NOT_BY_EYE {
        assert!(shop.book.generation(one).is_some() && shop.book.generation(other).is_some(), "{one} {other}");
        assert!(!reason.is_empty());
    }
}

#[test]
fn the_eye_tells_the_casting_eras_apart_in_every_generation() {
    let shop = Shop::shipped();
    let book = &shop.book;
    for generation in generations(book) {
        let told = generation.value_telltales.iter().filter_map(|one| Some(one.tells?.characteristic));
        let casting = told.into_iter().find(|id| &*book.characteristics.get(*id).name == "casting");
        let casting = casting.unwrap_or_else(|| panic!("{} says nothing about castings", generation.name));
        let Kind::Names(set) = book.characteristics.get(casting).kind else { panic!("a reading of names") };
        let count = u16::try_from(book.sets.get(set).names.len()).unwrap();
        let of = |value: u16| {
            let telltales = generation.value_telltales.iter();
            telltales.filter(move |one| one.tells.is_some_and(|told| told.value == value))
        };
        for value in 0..count {
            for other in value + 1..count {
                let told = of(value).any(|mine| of(other).any(|theirs| apart_by_eye(book, mine, theirs)));
                assert!(told, "{}: values {value} and {other}", generation.name);
            }
        }
    }
}

#[test]
fn what_can_be_seen_is_asked_before_what_is_measured() {
    let shop = Shop::shipped();
    let found = identify(&shop.book, Vec::new(), None, &[]);
    let by_eye: Vec<bool> = found.questions.iter().map(|question| question.by_eye).collect();
    assert!(by_eye.contains(&true) && by_eye.contains(&false), "{by_eye:?}");
    assert!(by_eye.is_sorted_by_key(|by_eye| !by_eye), "{by_eye:?}");
    for (one, next) in found.questions.iter().zip(found.questions.iter().skip(1)) {
        assert!(one.by_eye != next.by_eye || one.leaves <= next.leaves, "within each, what tells most comes first");
    }
    let of_castings: Vec<bool> = found.value_questions.iter().map(|question| question.by_eye).collect();
    assert!(of_castings.contains(&true) && of_castings.contains(&false), "{of_castings:?}");
    assert!(of_castings.is_sorted_by_key(|by_eye| !by_eye), "{of_castings:?}");
}

#[test]
fn one_rotor_is_told_by_eye() {
    let (status, out) = identified(&["rotor", "tip_ridge=yes", "pocket=machined", "pocket_corners=square"]);
    assert_eq!(status, 0, "{out}");
    assert!(out.contains("fits        squared_2mm:"), "{out}");
    assert!(!out.contains("fits        boosted_2mm:"), "{out}");
    assert!(out.contains("value       rotor.casting is late: "), "{out}");
    let (status, out) = identified(&["rotor.tip_ridge=no"]);
    assert_eq!(status, 0, "{out}");
    assert!(out.contains("value       rotor.casting is early: "), "{out}");
    // Nothing known of it yet: the ridge before the gauge.
    let (_, out) = identified(&["rotor.pocket=machined"]);
    assert!(out.contains("rotor.tip_ridge tells rotor.casting (yes: late; no: early)"), "{out}");
}

#[test]
fn a_pair_of_two_eras_does_not_go_together() {
    let (status, out) = identified(&["rotor.front.tip_ridge=no", "rotor.rear.tip_ridge=yes"]);
    assert_eq!(status, 1, "{out}");
    let said = "these two do not go together: rotor.front.casting is early, and rotor.rear.casting is late";
    assert!(out.contains(said), "{out}");
    let (status, out) = identified(&["rotor.front.tip_ridge=yes", "rotor.rear.tip_ridge=yes"]);
    assert_eq!(status, 0, "{out}");
    assert!(!out.contains("go together"), "{out}");
    // One stated, the other seen.
    let (status, out) = identified(&["rotor.front.casting=early", "rotor.rear.tip_ridge=yes"]);
    assert_eq!(status, 1, "{out}");
    assert!(out.contains(said), "{out}");
}

#[test]
fn a_stated_era_that_the_eye_rules_out_is_contradicted() {
    let seen = ["rotor.front.casting=early", "rotor.front.tip_ridge=yes"];
    let (status, out) = identified(&seen);
    assert_eq!(status, 1, "{out}");
    assert!(out.contains("rotor.front.casting is stated as early, which is ruled out: "), "{out}");
    let (_, out) = identified(&[seen[0], seen[1], "--format", "json"]);
    let document: Value = serde_json::from_str(&out).unwrap();
    let value = &document["machines"][0]["values"][0];
    assert_eq!(value["path"], "rotor.front.casting");
    assert_eq!(value["stated"], "early");
    assert_eq!(value["value"], Value::Null);
    assert_eq!(value["contradicted"], true);
    let (status, out) = identified(&["rotor.front.casting=late", "rotor.front.tip_ridge=yes"]);
    assert_eq!(status, 0, "{out}");
    assert!(out.contains("rotor.front.casting is late, as stated: "), "{out}");
}

#[test]
fn a_light_lightened_rotor_is_no_early_casting() {
    let one = ["rotor.side.cutoff_groove=no", "rotor.pocket=machined"];
    let (status, out) = identified(&[one[0], one[1], "rotor.mass=4.15 kg"]);
    assert_eq!(status, 0, "{out}");
    assert!(out.contains("rotor.casting is late: rotor.mass is 4.15 kg, and early has at least 4.25 kg"), "{out}");
    let (_, out) = identified(&[one[0], one[1], "rotor.mass=4.32 kg"]);
    assert!(out.contains("rotor.casting may be early or late"), "{out}");
}

#[test]
fn once_the_generation_is_settled_the_era_is_asked_for() {
    let mut command = Command::cargo_bin("trochoid").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let seen = [
        "identify",
        "--width",
        "400",
        "rotor.pocket=machined",
        "charge=boosted",
        "rotor.pocket_corners=round",
        "--ask",
    ];
    let output = command.current_dir(folder.path()).args(seen).write_stdin("yes\n").output().unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    let asked = "rotor.tip_ridge? (yes, no; leave it empty if you do not know)\n  It tells rotor.casting.\n";
    assert!(out.starts_with(asked), "{out}");
    assert!(out.contains(".casting is late\n"), "{out}");
    assert_eq!(out.matches("rotor.tip_ridge?").count(), 1, "{out}");
}
