//! `trochoid identify` from outside: every shipped generation by its own telltales, by one of them, by answers; mixed sets;
//! what contradicts itself; and what is refused.

use super::{Papers, Ran};
use assert_cmd::Command;
use serde_json::Value;
use trochoid::book::{Book, Bound, Generation, Id, RangeKind, Telltale, evaluate};
use trochoid::identify::{Seen, feature, identify};
use trochoid::shop::Shop;

/// Something a telltale lets through, as a mechanic would write it.
fn value_of(book: &Book, generation: &Generation, telltale: &Telltale) -> String {
    let characteristic = book.characteristics.get(telltale.subject.characteristic);
    let end = |bound: &Bound| evaluate::evaluate(book, Some(generation), &bound.value).unwrap().midpoint().to_f64();
    match &telltale.range.kind {
        RangeKind::YesNo(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        RangeKind::Names(names) => match characteristic.kind {
            trochoid::book::Kind::Names(set) => book.sets.get(set).name_of(names[0]).to_owned(),
            other => panic!("names of {other:?}"),
        },
        RangeKind::Band { low, high } => {
            let value = match (low, high) {
                (Some(low), Some(high)) => (end(low) + end(high)) / 2.0,
                // Just inside, as the end itself may be left out.
                (Some(only), None) => end(only) * 1.001,
                (None, Some(only)) => end(only) * 0.999,
                (None, None) => panic!("a band without ends"),
            };
            // A plain number, such as a count or a year, has no unit.
            let Some(unit) = characteristic.unit.as_ref() else { return format!("{value:.9}") };
            let size = unit.size.midpoint().to_f64();
            let zero = unit.zero.as_ref().map_or(0.0, |zero| zero.midpoint().to_f64());
            format!("{:.9} {}", (value - zero) / size, unit.symbol)
        }
        RangeKind::AllTheSame { .. } => panic!("no telltale compares"),
    }
}

fn generations(book: &Book) -> Vec<(Id<Generation>, &Generation)> {
    book.generations.entries().filter(|(_, generation)| !generation.basis).collect()
}

fn path_of(book: &Book, telltale: &Telltale) -> String {
    book.path(telltale.subject.characteristic, &[], telltale.subject.station)
}

fn names(document: &Value) -> Vec<String> {
    document.as_array().unwrap().iter().map(|name| name.as_str().unwrap().to_owned()).collect()
}

fn run(arguments: &[&str], answers: &str) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    let output = Command::cargo_bin("trochoid")
        .unwrap()
        .current_dir(folder.path())
        .arg("identify")
        .args(arguments)
        .write_stdin(answers)
        .output()
        .unwrap();
    Ran {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn document(ran: &Ran) -> Value {
    serde_json::from_str(&ran.out).unwrap_or_else(|error| panic!("{error}: {} {}", ran.out, ran.err))
}

#[test]
fn every_shipped_generation_is_found_by_all_its_telltales_and_no_other_is() {
    let shop = Shop::shipped();
    for (_, generation) in generations(&shop.book) {
        let words: Vec<String> = generation
            .telltales
            .iter()
            .map(|telltale| format!("{}={}", path_of(&shop.book, telltale), value_of(&shop.book, generation, telltale)))
            .collect();
        let mut arguments: Vec<&str> = words.iter().map(String::as_str).collect();
        arguments.extend(["--format", "json"]);
        let ran = run(&arguments, "");
        assert_eq!(ran.status, 0, "{}: {}{}", generation.name, ran.out, ran.err);
        let machine = &document(&ran)["machines"][0];
        assert_eq!(names(&machine["left"]), [&*generation.name], "{words:?}");
        for other in machine["generations"].as_array().unwrap() {
            let against = other["against"].as_array().unwrap();
            assert_eq!(other["fits"].as_bool().unwrap(), against.is_empty());
            assert_eq!(other["name"] == *generation.name, against.is_empty(), "ruled out by a telltale: {other}");
        }
    }
}

#[test]
fn one_telltale_leaves_its_generation_and_whatever_has_it_too() {
    let shop = Shop::shipped();
    let book = &shop.book;
    for (id, generation) in generations(book) {
        for telltale in &generation.telltales {
            let (path, value) = (path_of(book, telltale), value_of(book, generation, telltale));
            let seen = feature(book, &path, &value).unwrap_or_else(|trouble| panic!("{path}={value}: {trouble:?}"));
            let found = identify(book, seen, None, &[]);
            let left = found.left();
            assert!(left.contains(&id), "{path}={value} and {}", generation.name);
            let silent = generations(book).into_iter().filter(|(_, other)| {
                let of = |one: &std::sync::Arc<Telltale>| one.subject.characteristic == telltale.subject.characteristic;
                !other.telltales.iter().any(of)
            });
            for (silent, _) in silent {
                assert!(left.contains(&silent), "what nothing is said of is not ruled out");
            }
        }
    }
}

#[test]
fn answering_what_is_asked_finds_every_shipped_generation() {
    let shop = Shop::shipped();
    let book = &shop.book;
    for (id, generation) in generations(book) {
        let (mut seen, mut passed, mut answers, mut asked) = (Vec::<Seen>::new(), Vec::new(), String::new(), 0);
        while let Some(question) = identify(book, seen.clone(), None, &passed).questions.first() {
            let mine = generation.telltales.iter().find(|one| one.subject.characteristic == question.characteristic);
            match mine {
                Some(telltale) => {
                    let value = value_of(book, generation, telltale);
                    let path = book.path(question.characteristic, &[], None);
                    seen.extend(feature(book, &path, &value).unwrap());
                    answers.push_str(&format!("{value}\n"));
                }
                None => {
                    passed.push(question.characteristic);
                    answers.push('\n');
                }
            }
            asked += 1;
        }
        let found = identify(book, seen, None, &passed);
        assert_eq!(found.left(), [id], "{} after {answers}", generation.name);
        // After that what tells no generation is asked, such as which casting it is, and nobody answers.
        let more = usize::from(!found.value_questions.is_empty());
        assert!(asked <= generations(book).len(), "{asked} questions for {}", generation.name);
        let ran = run(&["--format", "json"], &answers);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert_eq!(names(&document(&ran)["machines"][0]["left"]), [&*generation.name]);
        assert_eq!(ran.err.matches("> ").count(), asked + more, "{}", ran.err);
    }
}

#[test]
fn facts_of_the_trade_hold() {
    // A machined pocket is no earlier rotor's; a 3 mm seal no later one's; two casting eras are no set.
    let ran = run(&["rotor", "pocket=machined", "--format", "json"], "");
    let left = names(&document(&ran)["machines"][0]["left"]);
    assert!(!left.contains(&"cast_2mm".to_owned()) && left.contains(&"light_2mm".to_owned()), "{left:?}");
    let ran = run(&["apex_seal.thickness=3.0 mm", "--format", "json"], "");
    let left = names(&document(&ran)["machines"][0]["left"]);
    assert!(left.contains(&"narrow_3mm".to_owned()) && !left.iter().any(|name| name.ends_with("2mm")), "{left:?}");
    let ran = run(&["rotor.front.casting=early", "rotor.rear.casting=late"], "");
    assert_eq!(ran.status, 1);
    assert!(ran.out.contains("not alike   rotor.casting must be the same everywhere"), "{}", ran.out);
    assert!(ran.out.contains("Pair a rotor with one of its own casting era."), "{}", ran.out);
    let ran = run(&["rotor.front.pocket=cast", "rotor.rear.pocket=machined"], "");
    assert_eq!(ran.status, 1);
    assert!(ran.out.contains("rotor.front.pocket is cast and rotor.rear.pocket is machined"), "{}", ran.out);
}

#[test]
fn what_contradicts_itself_is_said_with_what_speaks_least_against() {
    let ran = run(&["apex_seal.thickness=2.5 mm", "housing.width=75 mm", "rotor.pocket=machined"], "");
    assert_eq!(ran.status, 1);
    assert!(ran.out.contains("no generation has all of this; ") && ran.out.contains(" come nearest:"), "{}", ran.out);
    assert!(!ran.out.contains("look next"), "{}", ran.out);
}

#[test]
fn a_record_is_held_to_the_generation_it_states() {
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/kestrel/builds/");
    for name in ["K-0141", "K-0142"] {
        let ran = run(&[&format!("{examples}{name}.yaml")], "");
        assert_eq!(ran.status, 0, "{}", ran.out);
        assert!(ran.out.contains("stated      the record says "), "{}", ran.out);
    }
    let record = std::fs::read_to_string(format!("{examples}K-0141.yaml")).unwrap();
    let papers = Papers(tempfile::tempdir().unwrap());
    let generation = record.lines().find(|line| line.starts_with("generation: ")).unwrap();
    papers.put("wrong.yaml", record.replace(generation, "generation: narrow_3mm"));
    papers.put("none.yaml", record.replace(generation, ""));
    let ran = papers.run(&["identify", "wrong.yaml"]);
    assert_eq!(ran.status, 1);
    assert!(ran.out.contains("the record says narrow_3mm, which is ruled out"), "{}", ran.out);
    let ran = papers.run(&["identify", "none.yaml", "--format", "json"]);
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    let machine = document(&ran)["machines"][0].clone();
    assert!(machine["stated"].is_null());
    // Every place leads back to what is said to be written there.
    let text = std::fs::read_to_string(papers.path().join("none.yaml")).unwrap();
    let seen = machine["seen"].as_array().unwrap();
    assert!(seen.len() > 10);
    for seen in seen.iter().filter(|seen| !seen["place"].is_null()) {
        let (start, end) = (seen["place"]["start"].as_u64().unwrap(), seen["place"]["end"].as_u64().unwrap());
        assert_eq!(&text[start as usize..end as usize], seen["value"].as_str().unwrap());
    }
    // Both in one run, and a word beside them.
    let ran = papers.run(&["identify", ".", "apex_seal.thickness=2.0 mm", "--format", "json"]);
    assert_eq!(document(&ran)["machines"].as_array().unwrap().len(), 2);
}

#[test]
fn a_mistaken_answer_is_asked_again_and_the_end_of_answers_ends_it() {
    let ran = run(&["--width", "100"], "what\n?\n");
    assert_eq!(ran.status, 0);
    assert!(ran.err.is_empty(), "{}", ran.err);
    assert_eq!(ran.out.matches("> ").count(), 3, "{}", ran.out);
    assert!(ran.out.contains("trochoid: "), "{}", ran.out);
    assert!(ran.out.contains("as given: 0 values that tell generations apart"), "{}", ran.out);
    assert!(ran.out.contains("look next"), "{}", ran.out);
}

#[test]
fn what_means_nothing_is_refused_with_what_may_be_meant() {
    for (arguments, said) in [
        (&["rotor.poket=cast"][..], "there is nothing called `rotor.poket`; did you mean `rotor.pocket`?"),
        (&["rotor.side_clearance=0.1 mm"], "rotor.side_clearance is calculated from readings; give the readings"),
        (&["apex_seal.thickness=2"], "has no unit"),
        (&["apex_seal.thickness=2 kg"], "is a mass, and a length"),
        (&["rotor.pocket=milled"], "milled"),
        (&["gone.yaml"], "gone.yaml"),
        (&["--books", "gone", "rotor.pocket=cast"], "gone"),
    ] {
        let ran = run(arguments, "");
        assert_eq!(ran.status, 2, "{arguments:?}: {}", ran.out);
        assert!(ran.err.contains(said), "{arguments:?}: {}", ran.err);
        assert_eq!(ran.out, "", "{arguments:?}");
    }
}
