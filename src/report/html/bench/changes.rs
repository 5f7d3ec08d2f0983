//! What changes on a page when a record does, as values for the page's script. Refuses to send what the page has already.

use super::build::PageName;
use super::{build, told};
use crate::finding::Finding;
use crate::judge::RulingReport;
use crate::worksheet::{Held, Line, Worksheet};
use rustc_hash::FxHashMap;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A record with everything on its page that may change, drawn.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The record.
    pub sheet: Worksheet,
    /// The blocks of the page by their names.
    blocks: [(&'static str, String); 4],
    /// Each verdict by its way, as it stands under its inputs.
    verdicts: BTreeMap<String, Arc<str>>,
}

/// What a verdict is drawn from.
type Verdict<'a> = (&'a [Arc<RulingReport>], &'a [Finding]);

impl Drawn {
    /// Draws a record. What is told as in another state of it, `before`, is not drawn again.
    #[must_use]
    pub fn new(sheet: Worksheet, before: Option<&Drawn>) -> Drawn {
        let blocks = [
            ("head", build::head(&sheet).into_string()),
            ("others", told::others(&sheet).into_string()),
            ("together", told::together(&sheet).into_string()),
            ("concessions", told::concessions(&sheet).into_string()),
        ];
        let old: FxHashMap<&str, Verdict<'_>> = before.iter().flat_map(|before| verdicts(&before.sheet)).collect();
        let drawn = |(key, (list, findings)): (&str, Verdict<'_>)| {
            let is_same = |(told, found): &&Verdict<'_>| {
                let one_by_one = || list.iter().zip(*told).all(|(one, other)| Arc::ptr_eq(one, other));
                list.len() == told.len() && one_by_one() && findings.is_empty() && found.is_empty()
            };
            let kept = old.get(key).filter(is_same).and_then(|_| before?.verdicts.get(key).cloned());
            (key.to_owned(), kept.unwrap_or_else(|| told::rulings(list, findings).into_string().into()))
        };
        let verdicts = verdicts(&sheet).map(drawn).collect();
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
    Value::Object(changed.map(|(key, text)| (key.clone(), Value::from(&**text))).collect())
}

/// Every verdict of a sheet with its way.
fn verdicts(sheet: &Worksheet) -> impl Iterator<Item = (&str, Verdict<'_>)> {
    sheet.sections.iter().flat_map(|section| &section.lines).flat_map(|line| match line {
        Line::Reading(reading) => {
            let fields = reading.fields.iter();
            let mut all: Vec<(&str, Verdict<'_>)> =
                fields.map(|field| (field.key.as_str(), (&*field.told, &*field.findings))).collect();
            if let Some(first) = reading.fields.first().filter(|_| reading.fields.len() > 1) {
                all.push((build::of_all(&first.key), (&reading.told, &[])));
            }
            all
        }
        Line::Derived(derived) => vec![(derived.key.as_str(), (&*derived.told, &[][..]))],
    })
}

fn items(held: &Held, name: &PageName) -> Value {
    let one = |item: &crate::worksheet::Item| json!({ "text": item.text, "says": item.says, "shown": told::says(&item.says, name).into_string() });
    Value::Array(held.items.iter().map(one).collect())
}
