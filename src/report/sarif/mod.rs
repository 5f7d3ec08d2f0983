//! A run as one SARIF 2.1.0 document, result by result. Refuses to hold more than one record, and to say what no finding
//! says.
//!
//! The format is OASIS *Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01*. There is one run.
//! Its results are written as the records are read and come first; what they need (`tool`, with a rule for every code
//! that was used) follows when all is known. So a result has `ruleId` and no `ruleIndex`.
//!
//! | member of a result | what it is |
//! | --- | --- |
//! | `ruleId`, `level` | the code of the finding, and its severity |
//! | `message.text` | its message |
//! | `locations` | its place; the record's file alone where it has none, nothing where there is no record either |
//! | `relatedLocations` | the places that explain it, each with its label as `message` |
//! | `partialFingerprints` | `trochoid/v1`, see [`fingerprint`] |
//! | `properties` | `build` and `generation`; `help`; and sentences by kind: `because`, `remedy`, `caution`, `source`, `slip`, `note` |
//!
//! A region has lines and columns from 1, the end being the place after the last letter; columns are UTF-16 code units
//! (`columnKind` says so), and a byte order mark is not counted. `byteOffset`, from 0, counts all bytes of the file.
//! Files are relative URIs as they were named, or `file:` URIs where that was from the root. The shipped rulebooks are
//! relative to `SHIPPED`, which lies inside the program.
//!
//! Rulings that are good are no results; `--only` leaves out others. What is still to be measured has no list here: a row that lacks a
//! reading is a result `row-unmeasured`, one for all positions of a characteristic that lack it; its `level` is `error`, and
//! `warning` where the row is advisory.

mod place;
mod rules;

use super::json::written;
use super::tally::Tally;
use super::wording;
use crate::audit::digest;
use crate::finding::{Code, Finding, NoteKind};
use crate::shop::Checked;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

pub(super) const BEGIN: &str = concat!(
    "{\"$schema\":\"https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json\",",
    "\"version\":\"2.1.0\",\"runs\":[{\"columnKind\":\"utf16CodeUnits\",\"results\":["
);

/// The name of the fingerprint, with the version of how it is made.
const FINGERPRINT: &str = "trochoid/v1";

/// The findings of one record, each on a line of its own; nothing where it has none.
pub(super) fn record(checked: &Checked) -> String {
    let mut properties = Map::new();
    properties.insert("build".into(), checked.build.as_str().into());
    if let Some(generation) = &checked.generation {
        properties.insert("generation".into(), generation.as_str().into());
    }
    results(&checked.findings, |_| checked.build.clone(), Some(&checked.file), &properties)
}

/// Findings that belong to no record: of rulebooks, of lists of gauges, of paths.
pub(super) fn outside(findings: &[Finding]) -> String {
    let file = |finding: &Finding| finding.place.as_ref().map_or(String::new(), |(at, _)| at.source.name().to_string());
    results(findings, file, None, &Map::new())
}

fn results<F>(findings: &[Finding], whose: F, file: Option<&str>, properties: &Map<String, Value>) -> String
where
    F: Fn(&Finding) -> String,
{
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let lines = findings.iter().map(|finding| {
        let core = fingerprint(finding, &whose(finding));
        let times = seen.entry(core.clone()).or_default();
        *times += 1;
        let print = if *times == 1 { core } else { format!("{core}:{times}") };
        written(&result(finding, file, &print, properties.clone()))
    });
    lines.collect::<Vec<_>>().join(",\n")
}

/// What is the same of a finding from run to run, also when lines move and numbers change: the digest of its code, the
/// build (or the file, outside records), and what it is about (where nothing says that, its message). A second one of one
/// record that would have the same gets `:2` after it.
fn fingerprint(finding: &Finding, whose: &str) -> String {
    let about = finding.about.as_deref().unwrap_or(&finding.message);
    let mut digits = digest(format!("{}\n{}\n{}", finding.code.name(), whose.replace('\n', " "), about).as_bytes());
    // 128 of the 256 bits tell findings apart as well, and are shorter by half.
    digits.truncate(32);
    digits
}

fn result(finding: &Finding, file: Option<&str>, print: &str, mut properties: Map<String, Value>) -> Value {
    let mut result = Map::new();
    result.insert("ruleId".into(), finding.code.name().into());
    result.insert("level".into(), wording::level(finding.severity).into());
    result.insert("message".into(), json!({ "text": message(&finding.message) }));
    let location = match (&finding.place, file) {
        (Some((at, label)), _) => Some(place::location(at, label)),
        (None, Some(file)) => Some(place::whole(file)),
        (None, None) => None,
    };
    result.insert("locations".into(), location.into_iter().collect());
    if !finding.because.is_empty() {
        let related = finding.because.iter().map(|(at, label)| place::location(at, label));
        result.insert("relatedLocations".into(), related.collect());
    }
    result.insert("partialFingerprints".into(), json!({ FINGERPRINT: print }));
    if let Some(help) = &finding.help {
        properties.insert("help".into(), help.as_str().into());
    }
    for note in &finding.notes {
        let text = match properties.get(property(note.kind)).and_then(Value::as_str) {
            Some(before) => format!("{before}\n{}", note.text),
            None => note.text.clone(),
        };
        properties.insert(property(note.kind).into(), text.into());
    }
    if !properties.is_empty() {
        result.insert("properties".into(), properties.into());
    }
    Value::Object(result)
}

fn property(kind: NoteKind) -> &'static str {
    kind.word().trim_end_matches('?')
}

/// A text as a message has it: braces doubled, so that none is taken for a placeholder (3.11.5), and brackets escaped where
/// a viewer could take them for a link (3.11.6), which no record may put in front of anybody.
fn message(text: &str) -> String {
    let text = text.replace('{', "{{").replace('}', "}}");
    if text.contains("](") { text.replace('[', "\\[").replace(']', "\\]") } else { text }
}

/// What closes the document.
pub(super) fn end(codes: &BTreeSet<Code>, tally: &Tally) -> String {
    let tool = json!({ "driver": {
        "name": "trochoid",
        "version": env!("CARGO_PKG_VERSION"),
        "semanticVersion": env!("CARGO_PKG_VERSION"),
        "rules": codes.iter().map(|code| rules::rule(*code)).collect::<Vec<_>>(),
    } });
    let invocations = json!([{ "executionSuccessful": tally.troubles == 0, "exitCode": tally.status() }]);
    let bases = json!({ place::SHIPPED: { "description": { "text": wording::SHIPPED_BOOKS } } });
    format!(
        "\n],\"tool\":{},\"originalUriBaseIds\":{},\"invocations\":{}}}]}}\n",
        written(&tool),
        written(&bases),
        written(&invocations)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_record_says_is_no_link_and_no_placeholder() {
        assert_eq!(message("seal 1: bow is 70 µm"), "seal 1: bow is 70 µm");
        assert_eq!(message("see [here](x:y) {0}"), "see \\[here\\](x:y) {{0}}");
        assert_eq!(message("write [1 mm, 2 mm]"), "write [1 mm, 2 mm]");
    }

    #[test]
    fn alike_findings_of_one_record_are_told_apart() {
        let finding = Finding::new(Code::RowOut, "seal 1: bow is 70 µm").about("seal.1.bow");
        let later = Finding::new(Code::RowOut, "seal 1: bow is 71 µm").about("seal.1.bow");
        assert_eq!(fingerprint(&finding, "K-1"), fingerprint(&later, "K-1"));
        assert_ne!(fingerprint(&finding, "K-1"), fingerprint(&finding, "K-2"));
        let text = results(&[finding, later], |_| "K-1".to_string(), None, &Map::new());
        let prints: Vec<String> = text
            .lines()
            .filter_map(|line| serde_json::from_str::<Value>(line.trim_end_matches(',')).ok())
            .filter_map(|result| Some(result.get("partialFingerprints")?.get(FINGERPRINT)?.as_str()?.to_string()))
            .collect();
        assert_eq!(prints.len(), 2);
        assert_eq!(prints.last().map(String::as_str), prints.first().map(|first| format!("{first}:2")).as_deref());
    }
}
