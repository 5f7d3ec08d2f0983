//! What somebody at the bench wants changed, as a change of the record's text. Refuses to write over a value that is not the one
//! they saw.

use super::written::{Form, Item, SAYS, written};
use super::{Field, Worksheet, order, wording};
use crate::bind;
use crate::book::{Book, Id, Part};
use crate::record::edit::{Change, EditFault, Edited, Step, Written, edit};
use crate::text::Source;
use serde::Deserialize;

/// What somebody wants changed.
#[derive(Clone, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wish {
    /// A value of a reading.
    Value {
        /// The way to the field.
        key: String,
        /// Which value of several, from 0. The number past the last one is a new value.
        item: usize,
        /// What stood there when they looked; empty for nothing.
        was: String,
        /// What is to stand there; empty to take it away.
        text: String,
        /// What is written beside it; `None` to leave that as it is.
        #[serde(default)]
        says: Option<Vec<(String, String)>>,
    },
    /// Something the record says about itself.
    Head {
        /// Its key.
        key: String,
        /// What stood there.
        was: String,
        /// What is to stand there.
        text: String,
    },
    /// One more concession.
    Concession {
        /// The row.
        row: String,
        /// Why it is let through.
        because: String,
        /// Who signs.
        by: String,
        /// The last day it holds; empty for no end.
        #[serde(default)]
        until: String,
    },
}

impl Wish {
    /// Without the blanks around what was typed, and without what was left empty beside a value.
    #[must_use]
    pub fn trimmed(self) -> Wish {
        let trimmed = |text: String| text.trim().to_owned();
        match self {
            Wish::Value { key, item, was, text, says } => {
                let says = says.map(|says| {
                    let says = says.into_iter().map(|(name, text)| (name, trimmed(text)));
                    says.filter(|(_, text)| !text.is_empty()).collect()
                });
                Wish::Value { key, item, was, text: trimmed(text), says }
            }
            Wish::Head { key, was, text } => Wish::Head { key, was, text: trimmed(text) },
            Wish::Concession { row, because, by, until } => {
                let [row, because, by, until] = [row, because, by, until].map(trimmed);
                Wish::Concession { row, because, by, until }
            }
        }
    }
}

/// Why nothing was written.
#[derive(Clone, PartialEq, Debug)]
pub enum NotWritten {
    /// There is no such place in the record.
    NoPlace,
    /// Something else stands there by now.
    Changed {
        /// What stands there.
        theirs: String,
    },
    /// The text is not one that may be written.
    Refused(String),
    /// The record's text cannot be changed there.
    Fault(EditFault),
}

impl std::fmt::Display for NotWritten {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NotWritten::NoPlace => formatter.write_str(wording::NO_PLACE),
            NotWritten::Changed { theirs } => formatter.write_str(&wording::changed(theirs)),
            NotWritten::Refused(why) => formatter.write_str(why),
            NotWritten::Fault(fault) => write!(formatter, "{fault}"),
        }
    }
}

/// A value may be no longer than this. Common practice: a note of a few sentences.
const LONGEST: usize = 2_000;

/// The record's text after a change that somebody wants. What stands there already is written again and changes nothing.
///
/// # Errors
/// Why it was not changed.
pub fn changed(book: &Book, source: &Source, sheet: &Worksheet, wish: &Wish) -> Result<Edited, NotWritten> {
    let change = match wish {
        Wish::Value { key, item, was, text, says } => {
            let field = sheet.field(key).ok_or(NotWritten::NoPlace)?;
            acceptable(text)?;
            for (name, text) in says.iter().flatten() {
                acceptable(text)?;
                if !SAYS.contains(&name.as_str()) {
                    return Err(NotWritten::NoPlace);
                }
            }
            match value(field, *item, was, text, says.as_deref())? {
                Some(change) => change,
                None => return Ok(Edited { text: source.text().to_owned(), span: None }),
            }
        }
        Wish::Head { key, was, text } => {
            let head = sheet.heads.iter().find(|head| head.key == *key).ok_or(NotWritten::NoPlace)?;
            acceptable(text)?;
            if head.is_fixed {
                return Err(NotWritten::Refused(wording::UNUSUAL.into()));
            }
            agrees(&head.text, was, text)?;
            let path = sheet.at.iter().cloned().chain([Step::from(key.as_str())]).collect();
            Change::Set { path, value: if text.is_empty() { Written::Nothing } else { Written::from(text.as_str()) } }
        }
        Wish::Concession { row, because, by, until } => concession(sheet, [row, because, by, until])?,
    };
    let root = root(book, sheet);
    let order = |map: &[Step], keys: &[&str], new: &str| order::order(book, root, map, keys, new);
    edit(source, &change, &order).map_err(NotWritten::Fault)
}

/// The part a record is about.
fn root(book: &Book, sheet: &Worksheet) -> Option<Id<Part>> {
    match &sheet.checked.part {
        Some(part) => bind::part_named(book, &part.part).ok(),
        None => book.root(),
    }
}

/// Whether what stands there is what they saw, or what they want.
fn agrees(now: &str, was: &str, text: &str) -> Result<(), NotWritten> {
    if now == was || now == text { Ok(()) } else { Err(NotWritten::Changed { theirs: now.to_owned() }) }
}

fn acceptable(text: &str) -> Result<(), NotWritten> {
    if text.chars().any(|letter| letter.is_control() && letter != '\n') {
        return Err(NotWritten::Refused(wording::CONTROL.into()));
    }
    if text.len() > LONGEST {
        return Err(NotWritten::Refused(wording::too_long(LONGEST)));
    }
    Ok(())
}

fn value(
    field: &Field,
    item: usize,
    was: &str,
    text: &str,
    says: Option<&[(String, String)]>,
) -> Result<Option<Change>, NotWritten> {
    let held = &field.held;
    if held.is_unusual() {
        return Err(NotWritten::Refused(wording::UNUSUAL.into()));
    }
    let now = held.items.get(item);
    agrees(now.map_or("", |item| item.text.as_str()), was, text)?;
    let set = |way: &[Step], value: Written| {
        Some(Change::Set { path: field.path.iter().chain(way).cloned().collect(), value })
    };
    if let Some(now) = now
        && !text.is_empty()
        && says.is_none_or(|says| now.says == says)
    {
        return Ok(set(&now.way, Written::from(text)));
    }
    // Nothing is there, and nothing is wanted.
    if now.is_none() && text.is_empty() && (says.is_none_or(<[_]>::is_empty) || !held.items.is_empty()) {
        return Ok(None);
    }
    let mut items = held.items.clone();
    let own = says.map(<[_]>::to_vec);
    match items.get_mut(item) {
        Some(_) if text.is_empty() => drop(items.remove(item)),
        Some(old) => {
            old.text = text.to_owned();
            old.says = own.unwrap_or_else(|| old.says.clone());
        }
        None if text.is_empty() => {
            // A note or a photograph of what is not measured yet.
            let says = own.unwrap_or_default().into_iter().map(|(name, text)| (name, Written::from(text.as_str())));
            let all = std::iter::once(("value".to_owned(), Written::Nothing)).chain(says).collect();
            return Ok(set(&[], Written::Map(all)));
        }
        None => {
            let says = own.unwrap_or_else(|| held.beside.clone());
            items.push(Item { text: text.to_owned(), says, way: Vec::new() });
            // One more item of a list touches nothing that is there.
            if held.form == Form::List {
                let new = items.last().map(std::slice::from_ref).unwrap_or_default();
                return Ok(set(&[Step::Item(held.items.len())], written(new)));
            }
        }
    }
    if items.is_empty() && held.form == Form::Map {
        return Ok(set(&[Step::from("value")], Written::Nothing));
    }
    if held.form == Form::List && text.is_empty() && !items.is_empty() {
        return Ok(Some(Change::Remove { path: field.path.iter().cloned().chain([Step::Item(item)]).collect() }));
    }
    Ok(set(&[], written(&items)))
}

fn concession(sheet: &Worksheet, told: [&String; 4]) -> Result<Change, NotWritten> {
    if !sheet.at.is_empty() || sheet.checked.part.is_some() {
        return Err(NotWritten::NoPlace);
    }
    let names = ["row", "because", "by", "until"];
    for (text, (name, needed)) in told.iter().zip(names.into_iter().zip([true, true, true, false])) {
        acceptable(text)?;
        if needed && text.trim().is_empty() {
            return Err(NotWritten::Refused(wording::concession_lacks(name).into()));
        }
    }
    let keys = names.into_iter().zip(told).filter(|(_, text)| !text.trim().is_empty());
    let value = Written::Map(keys.map(|(key, text)| (key.to_owned(), Written::from(text.as_str()))).collect());
    let path = vec![Step::from("concessions"), Step::Item(sheet.concessions.len())];
    Ok(Change::Set { path, value })
}
