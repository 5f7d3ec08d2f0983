//! Puts on paper what changed rules mean for builds: who fails now and by which row, the most urgent first; then counts, and
//! what did not change. Refuses to judge.
//!
//! As JSON it is one document: `format` (`trochoid audit`), `version`, `before` (where the rules before came from), `builds`
//! (those that moved or could not be judged, the most urgent first), `fates` and `moves` (how many of each), `same` (rulings
//! that are as they were), `loose` (files of loose parts that were left out), `interrupted` (whether the run was
//! broken off before every record was judged) and `status`, the exit status. A **build** has `file`, `build`, `finished`, `generation`, `fate`,
//! `before` and `after` (grades or null), `changed` (null, or beside a verdict sheet which of `record`, `books`, `gauges`, `parts` and
//! `program` are not as they were signed off), `moves`, `same` and `findings` (as those of `check`). A **move** has `key` (what is
//! judged), `kind`, and `before` and `after`, each null or with `grade`, `value`, `standard`, `limit`, `beyond` (how far
//! outside), `room` (how far inside the outermost range), `source`, `row` (`file:line:column` of the rule) and `place` (the
//! same, or null where it is only known from a verdict sheet).

use super::style::{self, Ink, Look, clean};
use super::{json, wording, wording_audit};
use crate::audit::{Audited, Fate, Move, MoveKind, SignedRuling};
use crate::judge::Grade;
use serde_json::{Value, json};
use similar::TextDiff;
use std::collections::BTreeMap;

/// How far a build's moves stand in.
const INDENT: usize = 2;

/// Everything there is to put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// Where the rules before came from, in words.
    pub before: &'a str,
    /// The builds that moved or could not be judged, the most urgent first.
    pub builds: &'a [Audited],
    /// How many builds came to each fate, unmoved ones included.
    pub fates: &'a BTreeMap<Fate, usize>,
    /// How many files of loose parts were found among the records, and left out.
    pub loose: usize,
    /// How many rulings are as they were, in all builds.
    pub same: usize,
    /// Whether the run was broken off before every record was judged.
    pub interrupted: bool,
    /// The exit status.
    pub status: u8,
}

/// The sheet as text, ended by a line end.
#[must_use]
pub fn text(sheet: &Sheet<'_>, look: Look) -> String {
    let mut out = String::new();
    for build in sheet.builds {
        head(&mut out, look, build);
        for one in &build.moves {
            moved(&mut out, look, one);
        }
        if let Some(changed) = &build.changed {
            style::wrapped(&mut out, &" ".repeat(INDENT), INDENT, &wording_audit::changed(changed), look.width);
        }
        for finding in build.findings.iter().filter(|_| build.fate() == Fate::NotJudged) {
            style::wrapped(&mut out, &" ".repeat(INDENT), INDENT, &finding.message, look.width);
        }
        if let Some((before, after)) = &build.sheets {
            out.push_str(&difference(before, after));
        }
        out.push('\n');
    }
    out.push_str(&summary(sheet, look));
    out
}

fn ink_of(fate: Fate) -> Ink {
    match fate {
        Fate::FailsNow | Fate::NotJudged => Ink::Fail,
        Fate::FailsOtherwise | Fate::FailsStill => Ink::Mind,
        Fate::PassesOtherwise => Ink::Aside,
        Fate::PassesNow | Fate::Unmoved => Ink::Good,
    }
}

fn head(out: &mut String, look: Look, build: &Audited) {
    let fate = build.fate();
    let words = wording_audit::build(build);
    let line = format!("{}  {}", look.paint(ink_of(fate), wording_audit::fate(fate)), clean(&words));
    out.push_str(&line);
    out.push('\n');
}

fn moved(out: &mut String, look: Look, one: &Move) {
    let indent = " ".repeat(INDENT);
    let words = format!("{}: {}", wording_audit::kind(one.kind), wording_audit::what(one));
    style::wrapped(out, &indent, INDENT + 2, &words, look.width);
    for (word, told) in [("before", &one.before), ("after ", &one.after)] {
        let Some(told) = told else { continue };
        let head = format!("{indent}  {word}  ");
        style::wrapped(out, &head, INDENT + 10, &wording_audit::side(told), look.width);
    }
    if let Some(told) = one.after.as_ref().filter(|_| one.kind <= MoveKind::NewlyAsked) {
        for (word, text) in [("because", &told.because), ("remedy", &told.remedy), ("caution", &told.caution)] {
            if let Some(text) = text {
                style::wrapped(out, &format!("{indent}  {word}: "), INDENT + 4, text, look.width);
            }
        }
    }
}

fn summary(sheet: &Sheet<'_>, look: Look) -> String {
    let mut out = String::new();
    let builds: usize = sheet.fates.values().sum();
    let fates: Vec<String> =
        sheet.fates.iter().map(|(fate, count)| format!("{count} {}", wording_audit::fate(*fate))).collect();
    out.push_str(&format!("{}: {}\n", wording::number_of(builds, "build"), fates.join(", ")));
    if sheet.loose > 0 {
        style::wrapped(&mut out, "", 0, &wording_audit::loose(sheet.loose), look.width);
    }
    let mut counts: Vec<String> = MoveKind::ALL
        .into_iter()
        .map(|kind| (kind, sheet.builds.iter().map(|build| build.count(kind)).sum::<usize>()))
        .filter(|(_, count)| *count > 0)
        .map(|(kind, count)| format!("{count} {}", wording_audit::kind(kind)))
        .collect();
    counts.push(format!("{} as they were", sheet.same));
    out.push_str(&format!("rulings: {}\n", counts.join(", ")));
    if sheet.interrupted {
        out.push_str(&look.paint(Ink::Fail, wording_audit::INTERRUPTED));
        out.push('\n');
    }
    let fails = sheet.fates.get(&Fate::FailsNow).copied().unwrap_or(0);
    let verdict = wording_audit::verdict(fails, sheet.before);
    out.push_str(&look.paint(if fails > 0 { Ink::Fail } else { Ink::Good }, &clean(&verdict)));
    out.push('\n');
    out
}

/// Every ruling that differs between two verdict sheets, a line each, as a unified diff.
fn difference(before: &[SignedRuling], after: &[SignedRuling]) -> String {
    let lines = |sheet: &[SignedRuling]| {
        let line = |told: &SignedRuling| {
            let value = told.value.as_deref().unwrap_or("-");
            format!("{} {}: {}\n", clean(&told.key), clean(value), clean(&wording_audit::verdict_of(told)))
        };
        sheet.iter().map(line).collect::<String>()
    };
    let (before, after) = (lines(before), lines(after));
    TextDiff::from_lines(before.as_str(), after.as_str())
        .unified_diff()
        .context_radius(0)
        .header("before", "after")
        .to_string()
}

/// The sheet as a JSON document, ended by a line end.
#[must_use]
pub fn document(sheet: &Sheet<'_>) -> String {
    let builds: Vec<Value> = sheet.builds.iter().map(build_value).collect();
    let fates: serde_json::Map<String, Value> = Fate::ALL
        .iter()
        .map(|fate| (wording_audit::fate(*fate).to_owned(), json!(sheet.fates.get(fate).unwrap_or(&0))))
        .collect();
    let moves: serde_json::Map<String, Value> = MoveKind::ALL
        .iter()
        .map(|kind| {
            let count: usize = sheet.builds.iter().map(|build| build.count(*kind)).sum();
            (wording_audit::kind(*kind).to_owned(), json!(count))
        })
        .collect();
    json::document(&json!({
        "format": "trochoid audit",
        "version": env!("CARGO_PKG_VERSION"),
        "before": sheet.before,
        "builds": builds,
        "fates": fates,
        "moves": moves,
        "same": sheet.same,
        "loose": sheet.loose,
        "interrupted": sheet.interrupted,
        "status": sheet.status,
    }))
}

fn build_value(build: &Audited) -> Value {
    let moves: Vec<Value> = build
        .moves
        .iter()
        .map(|one| {
            json!({
                "key": one.key,
                "kind": wording_audit::kind(one.kind),
                "before": one.before.as_ref().map(side_value),
                "after": one.after.as_ref().map(side_value),
            })
        })
        .collect();
    let findings: Vec<Value> = build.findings.iter().map(json::finding_value).collect();
    let changed: Option<Vec<&str>> =
        build.changed.as_ref().map(|all| all.iter().map(|one| wording_audit::changed_word(*one)).collect());
    json!({
        "file": build.file,
        "build": build.build,
        "finished": build.finished.map(|day| day.to_string()),
        "generation": build.generation,
        "fate": wording_audit::fate(build.fate()),
        "before": build.before.map(Grade::word),
        "after": build.after.map(Grade::word),
        "changed": changed,
        "moves": moves,
        "same": build.same,
        "findings": findings,
    })
}

fn side_value(told: &SignedRuling) -> Value {
    json!({
        "grade": told.grade.word(),
        "value": told.value,
        "standard": told.standard,
        "limit": told.limit,
        "beyond": told.beyond,
        "room": told.room,
        "source": told.source,
        "row": told.row,
        "place": told.place.as_ref().map(json::place),
    })
}
