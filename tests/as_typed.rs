//! What is typed in a way that can only be meant one way: names in other capitals are taken, and what is refused says the text to
//! type. Over the example records and the shipped books.

use std::path::Path;
use trochoid::finding::Code;
use trochoid::judge::GradeSet;
use trochoid::record::edit::{Change, Step, Written, edit};
use trochoid::shop::{Ask, Checked, Shop, Shops};
use trochoid::text::Source;

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

fn example(name: &str) -> (std::sync::Arc<Shop>, String) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds").join(name);
    (Shops::new(None).of(&path), std::fs::read_to_string(&path).unwrap())
}

fn check(shop: &Shop, text: &str) -> Checked {
    shop.check_source(&Source::new("typed.yaml", text), &ASK)
}

/// Everything it comes to, without the places.
fn comes_to(checked: &Checked) -> String {
    let said: Vec<String> =
        checked.findings.iter().map(|finding| format!("{} {:?}", finding.code, finding.about)).collect();
    let rulings: Vec<String> = checked.rulings.iter().map(|one| format!("{} {:?}", one.path, one.grade)).collect();
    format!("{:?} {:?} {said:?} {rulings:?}", checked.grade, checked.generation)
}

/// Every key of a record as some hand would type it: `Front`, `FRONT`; the names of gauges only where `gauges` has them.
fn keys_in(text: &str, other: impl Fn(&str) -> String) -> String {
    let mut out = String::new();
    let mut word = String::new();
    for letter in text.chars() {
        if letter.is_alphanumeric() || letter == '_' || letter == '-' {
            word.push(letter);
            continue;
        }
        // A gauge's name has a dash, and is the shop's own.
        let is_key = letter == ':' && !word.contains('-');
        out.push_str(&if is_key { other(&word) } else { word.clone() });
        word.clear();
        out.push(letter);
    }
    out + &word
}

#[test]
fn keys_in_any_capitals_are_the_keys_of_the_book() {
    let first = |word: &str| {
        let mut letters = word.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    };
    for name in ["K-0141.yaml", "K-0146.yaml", "K-0155.yaml", "K-0157.yaml"] {
        let (shop, text) = example(name);
        let (head, rest) = text.split_at(text.find("build:").unwrap());
        let plain = comes_to(&check(&shop, &text));
        for typed in [keys_in(rest, first), keys_in(rest, str::to_uppercase)] {
            assert_ne!(typed, rest);
            assert_eq!(comes_to(&check(&shop, &format!("{head}{typed}"))), plain, "{name}\n{typed}");
        }
    }
}

#[test]
fn a_gauge_and_a_concession_are_found_in_other_capitals() {
    let (shop, text) = example("K-0146.yaml");
    let plain = comes_to(&check(&shop, &text));
    for (from, to) in [
        ("gauge: dial-1", "gauge: Dial-1"),
        ("row: rotor.front.side_clearance", "row: Rotor.FRONT.side_clearance"),
        ("row: rotor.front.side_clearance", "Row: engine.rotor.front.Side_Clearance"),
    ] {
        let typed = text.replace(from, to);
        assert_ne!(typed, text);
        assert_eq!(comes_to(&check(&shop, &typed)), plain, "{to}");
    }
}

#[test]
fn two_keys_of_one_name_are_not_chosen_between() {
    let (shop, text) = example("K-0141.yaml");
    let twice = text.replace("end_play: {", "End_play: 0.5 mm\nend_play: {");
    let checked = check(&shop, &twice);
    let finding = checked.findings.iter().find(|finding| finding.code == Code::KeyUnknown).unwrap();
    assert_eq!(finding.help.as_deref(), Some("`end_play` is here already: leave one of the two out"));
    assert!(!checked.passes());
}

#[test]
fn a_value_is_written_where_its_key_stands_in_other_capitals() {
    let text = "Rotor:\n  Front:\n    width: [1 mm, 2 mm]\n";
    let path: Vec<Step> = ["rotor", "front", "width"].into_iter().map(Step::from).collect();
    let value = Written::from("3 mm");
    let change = Change::Set { path, value };
    let edited = edit(&Source::new("r.yaml", text), &change, &|_: &[Step], keys: &[&str], _: &str| keys.len());
    assert_eq!(edited.unwrap().text, "Rotor:\n  Front:\n    width: 3 mm\n");
}

/// The first error of the record beside its rows, and its help.
fn help(shop: &Shop, text: &str) -> (String, String) {
    let checked = check(shop, text);
    assert!(!checked.passes(), "{text}");
    let wrong = |code: &str| !code.starts_with("row-") && !code.starts_with("gauge-");
    let finding = checked.findings.iter().find(|finding| wrong(finding.code.name())).unwrap();
    (finding.message.clone(), finding.help.clone().unwrap_or_default())
}

#[test]
fn a_refused_unit_says_the_text_to_type() {
    let (shop, text) = example("K-0141.yaml");
    for (from, typed, wanted) in [
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 26 ft/lbs", "did you mean `26 ft-lbs`?"),
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 26 ft·lb", "did you mean `26 ft-lb`?"),
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 26 foot pounds", "did you mean `26 ft-lb`?"),
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 35 NM", "did you mean `35 N·m`?"),
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 35 nm", "did you mean `35 N·m`?"),
        ("tension_bolts: 26 lbf*ft", "tension_bolts: 3.6 kg m", "did you mean `3.6 kgf·m`?"),
        ("width: [79.84 mm,", "width: [{ value: 79.84 mm, at: 20 C },", "did you mean `20 °C`?"),
        ("width: [79.84 mm,", "width: [{ value: 79.84 mm, at: 68 F },", "did you mean `68 °F`?"),
        ("width: [79.84 mm,", "width: [{ value: 79.84 mm, at: 20 deg C },", "did you mean `20 degC`?"),
        ("chipping: 0.5 mm", "chipping: 0.5 m m", "did you mean `0.5 mm`?"),
        ("chipping: 0.5 mm", "chipping: 1-1/2", "write the unit it was measured in after `1-1/2`"),
    ] {
        let spoilt = text.replacen(from, typed, 1);
        assert_ne!(spoilt, text, "{from}");
        let (message, said) = help(&shop, &spoilt);
        assert_eq!(said, wanted, "{typed}: {message}");
        // Followed to the letter, it is taken.
        if let Some((_, right)) = said.split_once("did you mean `") {
            let (key, _) = typed.rsplit_once(": ").unwrap();
            let closes = if typed.ends_with(" },") { " }," } else { "" };
            let mended = text.replacen(from, &format!("{key}: {}{closes}", right.trim_end_matches("`?")), 1);
            let errors = check(&shop, &mended).record_errors;
            assert_eq!(errors, 0, "{typed} mended as {right}");
        }
    }
    let (message, _) = help(&shop, &text.replacen("chipping: 0.5 mm", "chipping: 0.5 mm/", 1));
    assert!(message.ends_with("there is no unit called `mm/`"), "{message}");
}

#[test]
fn where_there_is_no_number_it_says_what_to_write() {
    let (shop, text) = example("K-0141.yaml");
    for word in ["n/a", "none", "N.A.", "tbd", "x"] {
        let (_, said) = help(&shop, &text.replacen("chipping: 0.5 mm", &format!("chipping: {word}"), 1));
        let begins = "if it cannot be read, write `unknown`; if it is still to be measured, leave it empty";
        assert!(said.starts_with(begins), "{word}: {said}");
    }
    for unknown in ["unknown", ""] {
        let mended = check(&shop, &text.replacen("chipping: 0.5 mm", &format!("chipping: {unknown}"), 1));
        assert_eq!(mended.record_errors, 0);
        assert!(!mended.passes());
    }
}

#[test]
fn slips_of_layout_within_a_value_are_called_by_their_name() {
    let (shop, text) = example("K-0141.yaml");
    let face = "1: { recess: 43.8 cc, compression: 760 kPa }";
    for (from, typed, message, mend) in [
        ("cracked: no", "cracked: ?", "a `?` alone cannot be a value", "write `unknown` if it cannot be read"),
        (
            face,
            "1: { recess: 43.8 cc, compression: ? }",
            "a `?` alone cannot be a value",
            "write `unknown` if it cannot be read",
        ),
        (
            face,
            "1: { recess:43.8 cc, compression: 760 kPa }",
            "rotor front face 1: a space is missing after the colon of `recess:43.8 cc`",
            "write `recess: 43.8 cc`",
        ),
        (
            "width: [79.84 mm, 79.85 mm]",
            "width:\n    -79.84 mm\n    -79.85 mm",
            "a space is missing after the `-` of an item",
            "begin the item with `- `",
        ),
    ] {
        let spoilt = text.replacen(from, typed, 1);
        assert_ne!(spoilt, text, "{from}");
        let (said, help) = help(&shop, &spoilt);
        assert_eq!(said, message, "{typed}");
        assert!(help.starts_with(mend), "{typed}: {help}");
    }
}

#[test]
fn a_line_that_stands_too_far_out_costs_no_other() {
    let (shop, text) = example("K-0141.yaml");
    let plain = comes_to(&check(&shop, &text));
    for (line, blanks) in [("    mass: 4.312 kg\n", 4), ("    pocket: machined\n", 4), ("    cracked: no\n", 4)] {
        for less in 2..=blanks {
            let spoilt = text.replacen(line, &line[less..], 1);
            assert_ne!(spoilt, text);
            let checked = check(&shop, &spoilt);
            let said: Vec<&str> = checked
                .findings
                .iter()
                .filter(|finding| finding.code == Code::YamlUnreadable)
                .map(|finding| finding.help.as_deref().unwrap_or(""))
                .collect();
            let help = format!("put {less} more spaces before it: 4 in all");
            assert_eq!(said, [help], "{line:?} by {less}");
            // Read as it was meant, and still an error of the record.
            assert_eq!(comes_to(&checked).replace("\"yaml-unreadable None\", ", ""), plain);
            assert_eq!(checked.record_errors, 1);
            assert!(!checked.passes());
        }
    }
}

#[test]
fn what_rules_a_generation_out_is_said_once_for_readings_alike() {
    let (shop, text) = example("K-0141.yaml");
    let low = text.replacen("height: [8.05 mm, 8.05 mm]", "height: [5.0 mm, 5.0 mm]", 1);
    let checked = check(&shop, &low);
    let finding = checked.findings.iter().find(|finding| finding.code == Code::GenerationContradicted).unwrap();
    assert_eq!(finding.message.matches("rotor.front.apex_seal.1.height is 5.0 mm").count(), 1, "{}", finding.message);
}
