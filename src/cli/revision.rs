//! The rulebooks of a shop as they were at a revision of git, in a folder that goes when the run ends. Refuses to read them.

use super::wording;
use crate::disk::{self, Scratch};
use crate::shop::{Shop, Shops, settings_of};
use rustc_hash::FxHashMap;
use std::path::{Path, PathBuf};
use std::process::Command;
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
    /// What to say where there is no git, no repository, no such revision, or no room on the disk.
    pub(super) fn new(revision: &str, path: &Path) -> Result<Checkout, String> {
        // What begins so would be taken for an option.
        if revision.starts_with('-') || revision.is_empty() {
            return Err(wording::no_revision(revision, None));
        }
        let folder = if disk::is_folder(path) { path.to_path_buf() } else { disk::folder_of(path) };
        let top =
            git(&folder, &["rev-parse", "--show-toplevel"]).map_err(|said| wording::no_repository(path, &said))?;
        let top = PathBuf::from(String::from_utf8_lossy(&top).trim_end());
        let found = format!("{revision}^{{commit}}");
        let commit = git(&top, &["rev-parse", "--verify", "--quiet", &found])
            .map_err(|said| wording::no_revision(revision, Some(&said)))?;
        let commit = String::from_utf8_lossy(&commit).trim().to_owned();
        let names = git(&top, &["ls-tree", "-r", "-z", "--name-only", &commit])
            .map_err(|said| wording::no_revision(revision, Some(&said)))?;
        let scratch = Scratch::new().map_err(|error| wording::no_scratch(&error))?;
        for name in names.split(|byte| *byte == 0) {
            let Ok(name) = std::str::from_utf8(name) else { continue };
            let file = name.rsplit('/').next().unwrap_or(name);
            if !(file.ends_with(".rulebook") || file == "trochoid.yaml" || file == "trochoid.yml") {
                continue;
            }
            let text = git(&top, &["cat-file", "blob", &format!("{commit}:{name}")])
                .map_err(|said| wording::no_revision(revision, Some(&said)))?;
            scratch.put(Path::new(name), &text).map_err(|error| wording::no_scratch(&error))?;
        }
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

/// What git says on standard output.
fn git(folder: &Path, arguments: &[&str]) -> Result<Vec<u8>, String> {
    let output = Command::new("git").arg("-C").arg(folder).args(arguments).output();
    match output {
        Ok(output) if output.status.success() => Ok(output.stdout),
        Ok(output) => Err(String::from_utf8_lossy(&output.stderr).trim().to_owned()),
        Err(error) => Err(error.to_string()),
    }
}
