//! What changes on a page when a record does, as values for the page's script. Refuses to send what the page has already.

use super::build::PageName;
use super::{build, told};
use crate::worksheet::{Held, Line, Worksheet};
use serde_json::{Map, Value, json};

/// What changed from one state of a record to the next: the head, each reading's values, each verdict.
#[must_use]
pub fn changes(before: &Worksheet, after: &Worksheet, kept: bool, name: &PageName) -> Value {
    let mut fields = Map::new();
    for (_, field) in after.fields() {
        if before.field(&field.key).map(|old| &old.held.items) != Some(&field.held.items) {
            fields.insert(field.key.clone(), items(&field.held, name));
        }
    }
    let mut heads = Map::new();
    for head in &after.heads {
        if !before.heads.contains(head) {
            heads.insert(head.key.to_owned(), head.text.clone().into());
        }
    }
    let block = |of: &dyn Fn(&Worksheet) -> String| {
        let (old, new) = (of(before), of(after));
        if old == new { Value::Null } else { Value::from(new) }
    };
    json!({
        "kept": kept,
        "head": block(&|sheet| build::head(sheet).into_string()),
        "others": block(&|sheet| told::others(sheet).into_string()),
        "together": block(&|sheet| told::together(sheet).into_string()),
        "concessions": block(&|sheet| told::concessions(sheet).into_string()),
        "fields": fields,
        "heads": heads,
        "verdicts": differences(before, after),
    })
}

/// The verdicts that changed, each as it stands under its inputs.
fn differences(before: &Worksheet, after: &Worksheet) -> Value {
    let (old, new) = (verdicts(before), verdicts(after));
    let known: std::collections::BTreeMap<&str, &str> =
        old.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
    let changed = new.iter().filter(|(key, text)| known.get(key.as_str()) != Some(&text.as_str()));
    Value::Object(changed.map(|(key, text)| (key.clone(), Value::from(text.as_str()))).collect())
}

fn verdicts(sheet: &Worksheet) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for line in sheet.sections.iter().flat_map(|section| &section.lines) {
        match line {
            Line::Reading(reading) => {
                for field in &reading.fields {
                    all.push((field.key.clone(), told::rulings(&field.told, &field.findings).into_string()));
                }
                if let Some(first) = reading.fields.first().filter(|_| reading.fields.len() > 1) {
                    let key = build::of_all(&first.key).to_owned();
                    all.push((key, told::rulings(&reading.told, &[]).into_string()));
                }
            }
            Line::Derived(derived) => {
                all.push((derived.key.clone(), told::rulings(&derived.told, &[]).into_string()));
            }
        }
    }
    all
}

fn items(held: &Held, name: &PageName) -> Value {
    let one = |item: &crate::worksheet::Item| json!({ "text": item.text, "says": item.says, "shown": told::says(&item.says, name).into_string() });
    Value::Array(held.items.iter().map(one).collect())
}
