//! A folder that goes when nobody needs it any more. Refuses to know what is put there.

use std::io::{Error, ErrorKind, Result};
use std::path::{Component, Path};

/// A folder of its own for files that are needed for one run.
#[derive(Debug)]
pub struct Scratch(tempfile::TempDir);

impl Scratch {
    /// An empty folder where this machine keeps such things.
    ///
    /// # Errors
    /// What the disk says.
    pub fn new() -> Result<Scratch> {
        tempfile::Builder::new().prefix("trochoid-").tempdir().map(Scratch)
    }

    /// Where it is.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.0.path()
    }

    /// Puts a file into it, with the folders on the way.
    ///
    /// # Errors
    /// What the disk says; a name that leads out of the folder is refused.
    pub fn put(&self, name: &Path, bytes: &[u8]) -> Result<()> {
        let path = self.folder().join(name);
        if !name.components().all(|step| matches!(step, Component::Normal(_))) {
            return Err(Error::new(ErrorKind::InvalidInput, "leads out of the folder"));
        }
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(path, bytes)
    }
}
