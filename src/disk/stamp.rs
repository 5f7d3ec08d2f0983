//! Whether a file is still the one it was: its size and the moment it was last changed. Refuses to open it.

use std::path::Path;
use std::time::SystemTime;

/// The size and the last change of a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
    file: u64,
}

/// The stamp of a file; `None` if there is none.
#[must_use]
pub fn stamp(path: &Path) -> Option<Stamp> {
    let metadata = std::fs::metadata(path).ok()?;
    // A file that is moved over another one may have its size and moment, and is another file.
    #[cfg(unix)]
    let file = std::os::unix::fs::MetadataExt::ino(&metadata);
    #[cfg(not(unix))]
    let file = 0;
    Some(Stamp { bytes: metadata.len(), changed: metadata.modified().ok(), file })
}
