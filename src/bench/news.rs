//! What changed since a page was opened, asked over and over. Refuses to wait, and to know who is told.

use super::keep::OpenedRecord;
use super::{Asked, Workshop, keep};
use crate::disk::{self, Stamp};
use crate::report::html::bench::{PageName, changes};
use std::path::PathBuf;
use std::sync::Arc;

/// A page that wants to know of changes.
#[derive(Debug)]
pub struct Watching {
    /// The record's name in addresses.
    name: String,
    tag: Option<String>,
    path: PathBuf,
    stamp: Option<Stamp>,
    /// The record as the page has it; `None` if that is not known, or the record cannot be judged.
    opened: Option<Arc<OpenedRecord>>,
}

impl Watching {
    /// Watches the record that `record=` names, and with `tag=` one loose part of it; `None` if there is none. A page whose
    /// `version=` is another one, since the record changed before it listened, is told everything at once.
    #[must_use]
    pub fn new(workshop: &Workshop, asked: &Asked) -> Option<Watching> {
        let record = workshop.record(asked.value("record")?)?;
        let tag = asked.value("tag").map(str::to_owned);
        let stamp = disk::stamp(&record.path);
        let opened = keep::open(workshop, &record, tag.as_deref()).ok();
        let known = asked.value("version");
        let is_behind =
            opened.as_ref().is_some_and(|now| known.is_some_and(|known| known != now.version().to_string()));
        let (stamp, opened) = if is_behind { (None, None) } else { (stamp, opened) };
        Some(Watching { name: record.name, tag, path: record.path, stamp, opened })
    }

    /// The data of the next event, in JSON and on one line: the changed lines as after a value that was kept. `None` if nothing
    /// changed.
    pub fn next(&mut self, workshop: &Workshop) -> Option<String> {
        let now = disk::stamp(&self.path);
        if now == self.stamp {
            return None;
        }
        self.stamp = now;
        let record = super::RecordAt { name: self.name.clone(), path: self.path.clone() };
        let mut told = serde_json::json!({ "record": self.name });
        if let Ok(opened) = keep::open(workshop, &record, self.tag.as_deref()) {
            let page = PageName { record: self.name.clone(), tag: self.tag.clone() };
            let before = self.opened.as_ref().map(|before| &before.drawn);
            if let Some(told) = told.as_object_mut()
                && let serde_json::Value::Object(changed) = changes(before, &opened.drawn, true, &page)
            {
                told.extend(changed);
            }
            self.opened = Some(opened);
        }
        Some(told.to_string())
    }
}
