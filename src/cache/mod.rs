//! What was worked out before, kept in one file between runs: bytes, each by a digest of all it rests on. Refuses to know what
//! they say, and to be needed: whatever is wrong with the file, the work is done without it.
//!
//! The file is an SQLite database, so that runs may share it and a run may be broken off at any moment. Each entry has a
//! digest of its own: an entry that is not as it was written counts as not there.

mod key;
mod table;
mod wording;

pub use key::Key;

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use table::{Fault, Table};

/// So many bytes are held until they are written together: 4 MiB.
const MOST_WAITING: usize = 4 << 20;

/// A file that grew past this is emptied when it is opened: 4 GiB, more than a million records. Common practice.
const MOST_BYTES: u64 = 4 << 30;

/// The largest entry: 64 MiB, four times the largest verdict sheet.
const MOST_ENTRY: usize = 64 << 20;

/// No more than so many times as large are bytes than packed: the format says 255 for each byte.
const MOST_RATIO: usize = 256;

/// What was worked out before.
#[derive(Debug)]
pub struct Cache {
    path: PathBuf,
    table: Mutex<Table>,
    /// One for each further thread, so that none waits for another.
    more: Vec<Mutex<Table>>,
    waiting: Mutex<Waiting>,
    /// Whether nothing more is asked of the file.
    spent: AtomicBool,
    damaged: AtomicUsize,
    found: AtomicUsize,
    said: Mutex<Vec<String>>,
}

/// What is not written yet.
#[derive(Debug, Default)]
struct Waiting {
    entries: Vec<(Key, Vec<u8>)>,
    bytes: usize,
}

impl Cache {
    /// Opens the cache in a file, for so many threads, and makes it where there is none.
    ///
    /// # Errors
    /// What to say where it cannot be used. A file that is something else is left as it is.
    pub fn open(path: &Path, threads: usize) -> Result<Cache, String> {
        let fault = |fault: Fault| match fault {
            Fault::NotOurs => wording::not_ours(path),
            Fault::Sqlite(error) => wording::unusable(path, &error.to_string()),
        };
        let open = || Table::open(path, MOST_BYTES).map(Mutex::new).map_err(fault);
        Ok(Cache {
            path: path.to_path_buf(),
            table: open()?,
            more: (1..threads).map(|_| open()).collect::<Result<_, _>>()?,
            waiting: Mutex::default(),
            spent: AtomicBool::new(false),
            damaged: AtomicUsize::new(0),
            found: AtomicUsize::new(0),
            said: Mutex::default(),
        })
    }

    /// What was kept under a key; none where nothing was, or where it is not as it was written.
    #[must_use]
    pub fn get(&self, key: &Key) -> Option<Vec<u8>> {
        if self.spent.load(Ordering::Relaxed) {
            return None;
        }
        match self.table().get(key) {
            Ok(Some(sealed)) => {
                let bytes = key.unseal(&sealed).and_then(unpacked);
                let counter = if bytes.is_some() { &self.found } else { &self.damaged };
                counter.fetch_add(1, Ordering::Relaxed);
                bytes
            }
            Ok(None) => None,
            Err(error) => {
                self.give_up(wording::unusable(&self.path, &error.to_string()));
                None
            }
        }
    }

    /// What was kept under a key, understood. What cannot be understood counts as not as it was written: anybody who may write
    /// the file may seal what they like.
    #[must_use]
    pub fn taken<T>(&self, key: &Key, understand: impl FnOnce(&[u8]) -> Option<T>) -> Option<T> {
        let bytes = self.get(key)?;
        let understood = understand(&bytes);
        if understood.is_none() {
            self.found.fetch_sub(1, Ordering::Relaxed);
            self.damaged.fetch_add(1, Ordering::Relaxed);
        }
        understood
    }

    /// Keeps bytes under a key. They are written with others, at the latest by [`Cache::settle`] and when the cache is closed.
    pub fn put(&self, key: Key, bytes: &[u8]) {
        if self.spent.load(Ordering::Relaxed) {
            return;
        }
        let sealed = key.seal(&lz4_flex::compress_prepend_size(bytes));
        let mut waiting = locked(&self.waiting);
        waiting.bytes += sealed.len();
        waiting.entries.push((key, sealed));
        if waiting.bytes >= MOST_WAITING {
            let full = std::mem::take(&mut *waiting);
            drop(waiting);
            self.write(full);
        }
    }

    /// Writes what waits to be written.
    pub fn settle(&self) {
        let waiting = std::mem::take(&mut *locked(&self.waiting));
        self.write(waiting);
    }

    fn write(&self, waiting: Waiting) {
        let mut entries = waiting.entries;
        if entries.is_empty() || self.spent.load(Ordering::Relaxed) {
            return;
        }
        // In the order of the file, so that each part of it is touched once.
        entries.sort_by_key(|(key, _)| key.place());
        if let Err(error) = self.table().put(&entries) {
            self.give_up(wording::unwritten(&self.path, &error.to_string()));
        }
    }

    /// How many entries the file has; none where that cannot be found out.
    #[must_use]
    pub fn len(&self) -> usize {
        self.table().len().unwrap_or(0)
    }

    /// Whether the file has no entries.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many entries were found so far.
    #[must_use]
    pub fn found(&self) -> usize {
        self.found.load(Ordering::Relaxed)
    }

    /// What is to be said of the file, each once.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let mut notes = locked(&self.said).clone();
        let damaged = self.damaged.load(Ordering::Relaxed);
        if damaged > 0 {
            notes.push(wording::damaged(&self.path, damaged));
        }
        notes
    }

    /// A table that no other thread holds, or the first once it is free.
    fn table(&self) -> MutexGuard<'_, Table> {
        let mut all = std::iter::once(&self.table).chain(&self.more);
        all.find_map(|table| table.try_lock().ok()).unwrap_or_else(|| locked(&self.table))
    }

    fn give_up(&self, why: String) {
        if !self.spent.swap(true, Ordering::Relaxed) {
            locked(&self.said).push(why);
        }
    }
}

impl Drop for Cache {
    fn drop(&mut self) {
        self.settle();
    }
}

/// Bytes as they were before they were packed.
fn unpacked(packed: &[u8]) -> Option<Vec<u8>> {
    // How many there will be is said first: room is made for no more than there may be.
    let (size, _) = packed.split_first_chunk()?;
    let size = usize::try_from(u32::from_le_bytes(*size)).ok()?;
    if size > MOST_ENTRY || size / MOST_RATIO > packed.len() {
        return None;
    }
    lz4_flex::decompress_size_prepended(packed).ok()
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests;
