//! Writes a value between brackets or as text, in YAML or JSON. Refuses to know where it goes.

use super::super::write::quoted;
use super::{Step, Written};
use crate::record::scalar;

/// How texts are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Style {
    /// Whether keys and values are strings of JSON.
    pub(super) json: bool,
    /// Whether every value is quoted.
    pub(super) quoted: bool,
}

impl Style {
    pub(super) fn key(self, key: &str) -> String {
        if self.json { quoted(key) } else { scalar(key) }
    }

    fn text(self, text: &str) -> String {
        if self.json || self.quoted { quoted(text) } else { scalar(text) }
    }

    /// A value on one line; a value of nothing is nothing where YAML allows that.
    pub(super) fn inline(self, value: &Written) -> String {
        match value {
            Written::Nothing if self.json => "\"\"".into(),
            Written::Nothing => String::new(),
            other => self.inside(other),
        }
    }

    /// A value between brackets.
    fn inside(self, value: &Written) -> String {
        match value {
            Written::Nothing => "\"\"".into(),
            Written::Text(text) => self.text(text),
            Written::List(items) => {
                let items: Vec<String> = items.iter().map(|item| self.inside(item)).collect();
                format!("[{}]", items.join(", "))
            }
            Written::Map(entries) if entries.is_empty() => "{}".into(),
            Written::Map(entries) => {
                let entries: Vec<String> = entries.iter().map(|(key, value)| self.entry(key, value)).collect();
                format!("{{ {} }}", entries.join(", "))
            }
        }
    }

    /// A key and its value on one line.
    pub(super) fn entry(self, key: &str, value: &Written) -> String {
        let value = self.inline(value);
        let key = self.key(key);
        if value.is_empty() { format!("{key}:") } else { format!("{key}: {value}") }
    }
}

/// A value with the keys and items that lead to it; nothing where an item is not the first.
pub(super) fn nested(path: &[Step], value: &Written) -> Option<Written> {
    path.iter().rev().try_fold(value.clone(), |value, step| match step {
        Step::Key(key) => Some(Written::Map(vec![(key.clone(), value)])),
        Step::Item(0) => Some(Written::List(vec![value])),
        Step::Item(_) => None,
    })
}
