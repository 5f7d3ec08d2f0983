//! Writes which value a reading of names has at each position, as identified: the early or the late casting. Refuses to
//! weigh anything.
//!
//! In the JSON document of `identify` each of `values` has `path`, `stated` (the value given, or null), `value` (the value it
//! has, or null where that is not known), `contradicted`, and `values` (each with `value`, `fits`, `agree` and `against`, as
//! for generations; `agree` lists numbers in `seen`); each of `unlike` has `paths` and `row` (the place of the row that they
//! must be the same by, or null); each of `value_questions` has `path`, `tells`, `by_eye` and `answers` (`value`, `tells`).

use super::identify::{entry, range_words};
use super::style::{Ink, Look};
use super::{json, wording_identify as wording};
use crate::book::{Book, Characteristic, Id, Kind};
use crate::finding::list;
use crate::identify::{Identification, Unlike, ValueEvidence, ValueQuestion};
use crate::judge::source_words;
use serde_json::{Value, json};

/// The name of a value of a reading of names.
fn name_of(book: &Book, id: Id<Characteristic>, value: u16) -> &str {
    let Kind::Names(set) = book.characteristics.get(id).kind else { return "" };
    book.sets.get(set).names.get(usize::from(value)).map_or("", |name| name)
}

/// One reading at one position: what it is, and what says so.
pub(super) fn told(out: &mut String, look: Look, book: &Book, found: &Identification, told: &ValueEvidence) {
    let name = |value: u16| name_of(book, told.characteristic, value);
    let stated = told.stated.map(|(value, _)| name(value));
    let reason = |number: &usize| found.seen.get(*number).map(|seen| format!("{} is {}", seen.path, seen.written));
    let mut reasons: Vec<String> = Vec::new();
    let mut add = |reason: String| {
        if !reasons.contains(&reason) {
            reasons.push(reason);
        }
    };
    let shown = told.value();
    for value in &told.values {
        if shown == Some(value.value) {
            // What rules another value out says more than that it fits this one.
            let decides = |number: &&usize| {
                told.values.iter().flat_map(|value| &value.against).any(|against| against.seen == **number)
            };
            value.agree.iter().filter(|number| !decides(number)).filter_map(reason).for_each(&mut add);
        }
        for (number, against) in value.against.iter().enumerate() {
            // One telltale speaks once, however many places were measured.
            let before = value.against.iter().take(number);
            if before.into_iter().any(|before| before.telltale.place == against.telltale.place) {
                continue;
            }
            let Some(seen) = reason(&against.seen) else { continue };
            let range = range_words(&against.telltale);
            let source = against.telltale.texts.provenance.as_ref().map(|from| source_words(book, from));
            add(wording::value_against(&seen, name(value.value), &range, source.as_deref()));
        }
    }
    let left: Vec<&str> = told.left().into_iter().map(name).collect();
    let (ink, words) = match (shown, stated) {
        (Some(value), _) => (Ink::Good, wording::value_is(&told.path, name(value), stated.is_some(), &reasons)),
        (None, Some(stated)) => (Ink::Fail, wording::value_misstated(&told.path, stated, &reasons)),
        (None, None) if left.is_empty() => (Ink::Fail, wording::value_none(&told.path, &reasons)),
        (None, None) => (Ink::Mind, wording::value_open(&told.path, &list(left, "or"))),
    };
    entry(out, look, ink, "value", &words);
}

/// Two positions that differ.
pub(super) fn unlike(out: &mut String, look: Look, book: &Book, found: &Identification, unlike: &Unlike) {
    let (Some(one), Some(other)) = (found.told.get(unlike.one), found.told.get(unlike.other)) else { return };
    let words = |told: &ValueEvidence| {
        let value = told.value().map_or("", |value| name_of(book, told.characteristic, value));
        format!("{} is {value}", told.path)
    };
    let ink = if unlike.row.is_some() { Ink::Fail } else { Ink::Mind };
    entry(out, look, ink, "not alike", &wording::unlike(&words(one), &words(other), unlike.row.is_some()));
}

/// What to look at for a reading that is not known yet, once something is known of it or the generation is.
pub(super) fn next(out: &mut String, look: Look, book: &Book, found: &Identification) {
    if found.seen.is_empty() || found.left().is_empty() {
        return;
    }
    let mut asked = Vec::new();
    for question in &found.value_questions {
        if asked.contains(&question.tells) {
            continue;
        }
        asked.push(question.tells);
        let answers: Vec<String> = question
            .answers
            .iter()
            .map(|(words, values)| {
                let values = values.iter().map(|value| name_of(book, question.tells, *value));
                format!("{words}: {}", list(values, "or"))
            })
            .collect();
        let path = book.path(question.characteristic, &[], None);
        let tells = book.path(question.tells, &[], None);
        entry(out, look, Ink::Mind, "look next", &wording::value_next(&path, &tells, &answers));
    }
}

/// A question whose answer tells the value of a reading, with the ways to answer it.
#[must_use]
pub fn value_question(book: &Book, question: &ValueQuestion, answers: &str, look: Look) -> String {
    let mut out = String::new();
    let path = book.path(question.characteristic, &[], None);
    super::style::wrapped(&mut out, "", 0, &wording::question(&path, answers), look.width);
    let tells = book.path(question.tells, &[], None);
    let because = book.characteristics.get(question.characteristic).texts.because.as_deref();
    let why = because.map_or_else(|| wording::tells(&tells), str::to_owned);
    super::style::wrapped(&mut out, "  ", 2, &why, look.width);
    out
}

/// What is known by now of the readings that telltales tell a value of, a line each.
#[must_use]
pub fn values_known(book: &Book, found: &Identification) -> String {
    let line = |told: &ValueEvidence| {
        let name = |value: u16| name_of(book, told.characteristic, value);
        let said = match told.value() {
            Some(value) => wording::value_is(&told.path, name(value), told.stated.is_some(), &[]),
            None => wording::value_open(&told.path, &list(told.left().into_iter().map(name), "or")),
        };
        format!("  {said}\n")
    };
    found.told.iter().map(line).collect()
}

pub(super) fn told_value(book: &Book, told: &ValueEvidence) -> Value {
    let name = |value: u16| name_of(book, told.characteristic, value);
    let values: Vec<Value> = told
        .values
        .iter()
        .map(|value| {
            let against: Vec<Value> = value
                .against
                .iter()
                .map(|against| {
                    json!({
                        "seen": against.seen,
                        "has": range_words(&against.telltale),
                        "source": against.telltale.texts.provenance.as_ref().map(|from| source_words(book, from)),
                        "place": json::place(&against.telltale.place),
                    })
                })
                .collect();
            json!({
                "value": name(value.value),
                "fits": value.against.is_empty(),
                "agree": value.agree,
                "against": against,
            })
        })
        .collect();
    json!({
        "path": told.path,
        "stated": told.stated.map(|(value, _)| name(value)),
        "value": told.value().map(name),
        "contradicted": told.contradicts(),
        "values": values,
    })
}

pub(super) fn unlike_value(found: &Identification, unlike: &Unlike) -> Value {
    let path = |number: usize| found.told.get(number).map(|told| told.path.as_str());
    json!({
        "paths": [path(unlike.one), path(unlike.other)],
        "row": unlike.row.as_ref().map(|row| json::place(&row.place)),
    })
}

pub(super) fn question_value(book: &Book, question: &ValueQuestion) -> Value {
    let answers: Vec<Value> = question
        .answers
        .iter()
        .map(|(words, values)| {
            let tells: Vec<&str> = values.iter().map(|value| name_of(book, question.tells, *value)).collect();
            json!({ "value": words, "tells": tells })
        })
        .collect();
    json!({
        "path": book.path(question.characteristic, &[], None),
        "tells": book.path(question.tells, &[], None),
        "by_eye": question.by_eye,
        "answers": answers,
    })
}
