//! Standard input in place of a file, once the command line named it as `-`. Read once, and the same text for whoever asks again.

use super::wording;
use crate::finding::{Code, Finding};
use std::io::{Read, stdin};
use std::path::Path;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// How it is called in findings.
pub const STANDARD_INPUT: &str = "standard input";

/// A path in a settings file may be `-` too, and means a file: only who starts the program may have its input read.
static NAMED: AtomicBool = AtomicBool::new(false);

static BYTES: OnceLock<Result<Vec<u8>, String>> = OnceLock::new();

/// From now on `-` is standard input.
pub fn name_standard_input() {
    NAMED.store(true, Ordering::Relaxed);
}

/// Whether a path is standard input.
#[must_use]
pub fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-" && NAMED.load(Ordering::Relaxed)
}

/// The bytes of standard input, at most so many.
#[allow(clippy::result_large_err, reason = "as reading from disk")]
pub(super) fn bytes(most_bytes: u64) -> Result<Vec<u8>, Finding> {
    let read = BYTES.get_or_init(|| {
        let mut bytes = Vec::new();
        // One byte more than any limit there is, so that a longer one is known to be.
        let most = super::MOST_SHEET_BYTES.saturating_add(1);
        stdin().lock().take(most).read_to_end(&mut bytes).map(|_| bytes).map_err(|error| error.to_string())
    });
    let bytes = read
        .as_ref()
        .map_err(|error| Finding::new(Code::FileUnreadable, format!("{STANDARD_INPUT} cannot be read: {error}")))?;
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if length > most_bytes {
        return Err(Finding::new(Code::FileTooLarge, wording::too_large(STANDARD_INPUT, length, most_bytes)));
    }
    Ok(bytes.clone())
}
