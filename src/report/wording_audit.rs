//! The sentences that say how builds move when rules change. Refuses to know when they are said.

use crate::audit::{Audited, Changed, Fate, Move, MoveKind, SignedRuling};
use crate::finding::list;
use crate::judge::Grade;

/// The user broke the run off.
pub(super) const INTERRUPTED: &str = "the run was stopped: builds that are not listed here may fail as well";

/// What becomes of a build, in two words or three.
pub(super) fn fate(fate: Fate) -> &'static str {
    match fate {
        Fate::FailsNow => "fails now",
        Fate::NotJudged => "not judged",
        Fate::FailsOtherwise => "fails otherwise",
        Fate::PassesOtherwise => "passes otherwise",
        Fate::PassesNow => "passes now",
        Fate::FailsStill => "fails as before",
        Fate::Unmoved => "unmoved",
    }
}

/// How a ruling moved.
pub(super) fn kind(kind: MoveKind) -> &'static str {
    match kind {
        MoveKind::NewlyFails => "newly fails",
        MoveKind::NewlyAsked => "newly asked",
        MoveKind::StillFails => "still fails",
        MoveKind::Worse => "worse",
        MoveKind::Better => "better",
        MoveKind::NewlyPasses => "newly passes",
        MoveKind::NoLongerAsked => "no longer asked",
    }
}

/// A build: its name, its grades, when it left and where its record is.
pub(super) fn build(build: &Audited) -> String {
    let grade = |grade: Option<Grade>| grade.map_or("not judged", Grade::word);
    let mut words = format!("{}: {} before, {} after", build.build, grade(build.before), grade(build.after));
    if let Some(generation) = &build.generation {
        words.push_str(&format!(", {generation}"));
    }
    if let Some(day) = build.finished {
        words.push_str(&format!(", finished {day}"));
    }
    format!("{words}  [{}]", build.file)
}

/// What moved, and its value.
pub(super) fn what(one: &Move) -> String {
    let told = one.after.as_ref().or(one.before.as_ref());
    match told.and_then(|told| told.value.as_deref()) {
        Some(value) => format!("{} is {value}", one.key),
        None => one.key.clone(),
    }
}

/// One side of a move: its grade, its ranges, how far from their ends the value is, and where its rule is.
pub(super) fn side(told: &SignedRuling) -> String {
    format!("{} [{}]", verdict_of(told), told.row)
}

/// The same without the place, which changes whenever a line is put in above it.
pub(super) fn verdict_of(told: &SignedRuling) -> String {
    let mut words = told.grade.word().to_owned();
    let mut ranges = Vec::new();
    if let Some(standard) = &told.standard {
        ranges.push(format!("standard {standard}"));
    }
    if let Some(limit) = &told.limit {
        ranges.push(format!("limit {limit}"));
    }
    if !ranges.is_empty() {
        words.push_str(&format!("; {}", ranges.join(", ")));
    }
    if let Some(beyond) = &told.beyond {
        // Worn is outside the standard, and inside the limit.
        let of = if told.limit.is_none() || told.room.is_some() { "standard" } else { "limit" };
        words.push_str(&format!("; {beyond} its {of}"));
    }
    if let Some(room) = &told.room {
        let of = if told.limit.is_some() { "limit" } else { "standard" };
        words.push_str(&format!("; {room} inside its {of}"));
    }
    if !told.missing.is_empty() {
        words.push_str(&format!("; not measured: {}", list(told.missing.iter().map(String::as_str), "and")));
    }
    words
}

/// The last line.
pub(super) fn verdict(fails: usize, before: &str) -> String {
    match fails {
        0 => format!("no build that passed under {before} fails now"),
        1 => format!("1 build that passed under {before} fails now"),
        more => format!("{more} builds that passed under {before} fail now"),
    }
}

/// What a verdict rests on that is not as it was signed off.
pub(super) fn changed(changed: &[Changed]) -> String {
    if changed.is_empty() {
        return "record, books, gauges and program are unchanged since it was signed off".to_owned();
    }
    let each = changed.iter().map(|one| changed_word(*one));
    format!("changed since it was signed off: {}", list(each, "and"))
}

pub(super) fn changed_word(changed: Changed) -> &'static str {
    match changed {
        Changed::Record => "record",
        Changed::Books => "books",
        Changed::Gauges => "gauges",
        Changed::Parts => "parts",
        Changed::Tool => "program",
    }
}

/// Files of loose parts among the records: builds are audited.
pub(super) fn loose(files: usize) -> String {
    let files =
        if files == 1 { "1 file of loose parts was".to_owned() } else { format!("{files} files of loose parts were") };
    format!("{files} left out: `trochoid check` judges them by the rules in force today")
}
