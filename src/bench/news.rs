//! What changed since a page was opened, asked over and over. Refuses to wait, and to know who is told.

use super::{Asked, Workshop};
use crate::disk::{self, Stamp};
use std::path::PathBuf;

/// A page that wants to know of changes.
#[derive(Debug)]
pub struct Watching {
    /// The record's name in addresses.
    name: String,
    path: PathBuf,
    stamp: Option<Stamp>,
}

impl Watching {
    /// Watches the record that `record=` names; `None` if there is none.
    #[must_use]
    pub fn new(workshop: &Workshop, asked: &Asked) -> Option<Watching> {
        let record = workshop.record(asked.value("record")?)?;
        let stamp = disk::stamp(&record.path);
        Some(Watching { name: record.name, path: record.path, stamp })
    }

    /// The data of the next event, in JSON and on one line; `None` if nothing changed.
    pub fn next(&mut self, _workshop: &Workshop) -> Option<String> {
        let now = disk::stamp(&self.path);
        if now == self.stamp {
            return None;
        }
        self.stamp = now;
        Some(serde_json::json!({ "record": self.name }).to_string())
    }
}
