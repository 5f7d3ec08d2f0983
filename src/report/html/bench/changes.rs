//! What changes on a page when a record does, as values for the page's script. Refuses to send what the page has already.

use super::build::PageName;
use super::{build, told};
use crate::worksheet::{Held, Line, Worksheet};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// A record with everything on its page that may change, drawn.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The record.
    pub sheet: Worksheet,
    /// The blocks of the page by their names.
    blocks: [(&'static str, String); 4],
    /// Each verdict by its way, as it stands under its inputs.
    verdicts: BTreeMap<String, String>,
}

impl Drawn {
    /// Draws a record.
    #[must_use]
    pub fn new(sheet: Worksheet) -> Drawn {
        let blocks = [
            ("head", build::head(&sheet).into_string()),
            ("others", told::others(&sheet).into_string()),
            ("together", told::together(&sheet).into_string()),
            ("concessions", told::concessions(&sheet).into_string()),
        ];
        let verdicts = verdicts(&sheet);
        Drawn { sheet, blocks, verdicts }
    }
}

/// What changed from one state of a record to the next: the head, each reading's values, each verdict. All of it for a page
/// whose state is not known.
#[must_use]
pub fn changes(before: Option<&Drawn>, after: &Drawn, kept: bool, name: &PageName) -> Value {
    let fields_before = before.iter().flat_map(|before| before.sheet.fields());
    let old: BTreeMap<&str, &Held> = fields_before.map(|(_, field)| (field.key.as_str(), &field.held)).collect();
    let mut fields = Map::new();
    for (_, field) in after.sheet.fields() {
        if old.get(field.key.as_str()).map(|held| &held.items) != Some(&field.held.items) {
            fields.insert(field.key.clone(), items(&field.held, name));
        }
    }
    let mut heads = Map::new();
    for head in &after.sheet.heads {
        if before.is_none_or(|before| !before.sheet.heads.contains(head)) {
            heads.insert(head.key.to_owned(), head.text.clone().into());
        }
    }
    let mut value = Map::new();
    value.insert("kept".into(), kept.into());
    for (number, (block, new)) in after.blocks.iter().enumerate() {
        let old = before.and_then(|before| before.blocks.get(number)).map(|(_, old)| old);
        let new = if old == Some(new) { Value::Null } else { Value::from(new.as_str()) };
        value.insert((*block).to_owned(), new);
    }
    value.insert("fields".into(), fields.into());
    value.insert("heads".into(), heads.into());
    value.insert("verdicts".into(), differences(before, after));
    Value::Object(value)
}

/// The verdicts that changed, each as it stands under its inputs.
fn differences(before: Option<&Drawn>, after: &Drawn) -> Value {
    let old = |key: &String| before.and_then(|before| before.verdicts.get(key));
    let changed = after.verdicts.iter().filter(|(key, text)| old(key) != Some(*text));
    Value::Object(changed.map(|(key, text)| (key.clone(), Value::from(text.as_str()))).collect())
}

fn verdicts(sheet: &Worksheet) -> BTreeMap<String, String> {
    let mut all = BTreeMap::new();
    for line in sheet.sections.iter().flat_map(|section| &section.lines) {
        match line {
            Line::Reading(reading) => {
                for field in &reading.fields {
                    all.insert(field.key.clone(), told::rulings(&field.told, &field.findings).into_string());
                }
                if let Some(first) = reading.fields.first().filter(|_| reading.fields.len() > 1) {
                    let key = build::of_all(&first.key).to_owned();
                    all.insert(key, told::rulings(&reading.told, &[]).into_string());
                }
            }
            Line::Derived(derived) => {
                all.insert(derived.key.clone(), told::rulings(&derived.told, &[]).into_string());
            }
        }
    }
    all
}

fn items(held: &Held, name: &PageName) -> Value {
    let one = |item: &crate::worksheet::Item| json!({ "text": item.text, "says": item.says, "shown": told::says(&item.says, name).into_string() });
    Value::Array(held.items.iter().map(one).collect())
}
