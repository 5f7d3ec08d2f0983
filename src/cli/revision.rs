//! The rulebooks of a shop as they were at a revision of git, in a folder that goes when the run ends. Refuses to read them.

use super::wording;
use crate::disk::{self, History, Scratch};
use crate::shop::{Shop, Shops, settings_of};
use rustc_hash::FxHashMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// The books of a repository at a revision.
pub(super) struct Checkout {
    revision: String,
    /// The repository's own folder.
    top: PathBuf,
    scratch: Scratch,
    /// For each settings file of today, the shops that judge by what it was.
    shops: Mutex<FxHashMap<PathBuf, Arc<Shops>>>,
}

impl Checkout {
    /// Brings the books and settings of a revision of the repository that holds a path.
    ///
    /// # Errors
    /// What to say where there is no repository, no such revision, or no room on the disk.
    pub(super) fn new(revision: &str, path: &Path) -> Result<Checkout, String> {
        let folder = if disk::is_folder(path) { path.to_path_buf() } else { disk::folder_of(path) };
        let scratch = Scratch::new().map_err(|error| wording::no_scratch(&error.to_string()))?;
        let is_wanted = |name: &OsStr| {
            let name = name.to_string_lossy();
            name.ends_with(".rulebook") || matches!(&*name, "trochoid.yaml" | "trochoid.yml")
        };
        let history = History::of(&folder);
        let brought = history.and_then(|history| {
            history.bring(revision, is_wanted, &scratch)?;
            Ok(history.top().to_path_buf())
        });
        let top = brought.map_err(|fault| wording::no_history(path, revision, &fault))?;
        Ok(Checkout { revision: revision.to_owned(), top, scratch, shops: Mutex::default() })
    }

    /// The shop of a record with the books it had then, and the gauges it has today.
    ///
    /// # Errors
    /// What to say where the record's shop has no books of its own, or had none then.
    pub(super) fn shop_of(&self, record: &Path) -> Result<Arc<Shop>, String> {
        let settings = settings_of(record).ok_or_else(|| wording::no_settings(record))?;
        let mut shops = self.shops.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(shops) = shops.get(&settings) {
            return Ok(shops.of(record));
        }
        let inside = disk::relative(&self.top, &settings).ok_or_else(|| wording::no_settings(record))?;
        let then = self.scratch.folder().join(&inside);
        if !disk::exists(&then) {
            return Err(wording::no_settings_then(&inside, &self.revision));
        }
        let opened = Arc::new(Shops::new(Some(then)));
        shops.insert(settings, opened.clone());
        Ok(opened.of(record))
    }

    /// A text with the folder the books were brought to called by the revision: `HEAD~1:books/house.rulebook`.
    pub(super) fn named(&self, text: &str) -> String {
        let folder = self.scratch.folder().to_string_lossy().replace('\\', "/");
        text.replace(&format!("{folder}/"), &format!("{}:", self.revision))
    }
}
