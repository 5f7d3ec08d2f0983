//! A folder that goes when nobody needs it any more. Refuses to know what is put there.

use super::safe_name;
use std::ffi::OsStr;
use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Component, Path, PathBuf};

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
        // Created new: a link that stands there already is not written through.
        std::fs::File::create_new(self.place(name)?)?.write_all(bytes)
    }

    /// Puts a link to nothing there: whoever reads it says so. Where there are no links, an empty file.
    ///
    /// # Errors
    /// As [`Scratch::put`].
    pub fn put_broken(&self, name: &Path) -> Result<()> {
        link_to_nothing(&self.place(name)?)
    }

    /// Where a file of a name goes, the folders on the way made.
    fn place(&self, name: &Path) -> Result<PathBuf> {
        // Some systems give certain letters of a name a meaning.
        let plain = |step: &OsStr| !cfg!(windows) || step.to_str().is_some_and(|step| safe_name(step) == step);
        if !name.components().all(|step| matches!(step, Component::Normal(step) if plain(step))) {
            return Err(Error::new(ErrorKind::InvalidInput, "leads out of the folder"));
        }
        let path = self.folder().join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        Ok(path)
    }
}

#[cfg(unix)]
fn link_to_nothing(path: &Path) -> Result<()> {
    std::os::unix::fs::symlink("nothing/at/all", path)
}

#[cfg(not(unix))]
fn link_to_nothing(path: &Path) -> Result<()> {
    std::fs::File::create_new(path).map(drop)
}
