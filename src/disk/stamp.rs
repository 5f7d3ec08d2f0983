//! Whether a file is still the one it was: its size and the moment it was last changed. Refuses to open it.

use std::path::Path;
use std::time::{Duration, SystemTime};

/// The size and the last change of a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
    file: u64,
}

/// The clock of a file is no finer than this. Common practice: systems count moments in steps of up to ten milliseconds.
const STEP: Duration = Duration::from_millis(20);

impl Stamp {
    /// Whether a change of the file from now on would give it another stamp.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.changed.is_some_and(|changed| changed.elapsed().is_ok_and(|age| age > STEP))
    }
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
