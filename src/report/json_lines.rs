//! A run as lines of JSON, each a document of its own that is written as soon as it is known. Refuses to hold anything back.
//!
//! Every line is an object that begins with `format` and `version`, and has the members that the same thing has in the one
//! document of `--format json` ([`super::json`]).
//!
//! | `format` | what the line is, and when it comes |
//! | --- | --- |
//! | `trochoid check record` | a record, in the order they were read |
//! | `trochoid check shop` | a set of rulebooks, before the first record judged by it |
//! | `trochoid check finding` | a finding outside the records: on a path given, in a list of gauges; where it was met |
//! | `trochoid check survey` | what `--within`, `--conversions`, `--count` and `--history` asked of all records; only where they were given |
//! | `trochoid check summary` | the numbers of the run; the last line, so that a run without it was cut off |
//!
//! A line holds no line end but its last letter, and is handed on whole: whoever reads along never has to wait for the rest of
//! one.

use super::json;
use super::survey::{self, Asked, Survey};
use super::tally::Tally;
use crate::finding::Finding;
use crate::shop::{Checked, Shop};
use serde_json::{Map, Value};

/// A line of a kind, with the members of a value.
fn line(kind: &str, value: Value) -> String {
    let mut members = Map::new();
    members.insert("format".to_string(), format!("trochoid check {kind}").into());
    members.insert("version".to_string(), 2.into());
    if let Value::Object(own) = value {
        members.extend(own);
    }
    json::document(&Value::Object(members))
}

pub(super) fn record(checked: &Checked) -> String {
    line("record", json::record_value(checked))
}

/// A record not judged because its rulebooks have errors.
pub(super) fn unsound(file: &str) -> String {
    line("record", json::unsound_value(file))
}

pub(super) fn shop(shop: &Shop) -> String {
    line("shop", json::shop_value(shop))
}

pub(super) fn finding(finding: &Finding) -> String {
    line("finding", json::finding_value(finding))
}

pub(super) fn survey(survey: &Survey, asked: Asked) -> String {
    line("survey", survey::value(survey, asked))
}

pub(super) fn summary(tally: &Tally) -> String {
    line("summary", json::summary(tally))
}
