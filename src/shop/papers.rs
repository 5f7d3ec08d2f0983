//! The papers of a shop as they are read: files that lie open in an editor by their unsaved text, the others as they stand
//! on disk. Refuses to know what an editor is.

use super::shipped;
use super::together::together;
use crate::disk;
use crate::finding::Finding;
use crate::syntax::{self, Tree};
use crate::text::Source;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A rulebook as read: its tree, and what is to be said of it.
#[derive(Clone, Debug)]
pub struct ReadBook {
    /// What is written.
    pub tree: Arc<Tree>,
    /// What could not be read.
    pub findings: Arc<[Finding]>,
}

impl ReadBook {
    /// Reads a rulebook.
    #[must_use]
    pub fn new(source: &Source) -> ReadBook {
        let (tree, findings) = syntax::parse(source);
        ReadBook { tree: Arc::new(tree), findings: findings.into() }
    }
}

/// Where the papers of a shop are read from. Books that are read again and say the same are not parsed again.
#[derive(Clone, Debug, Default)]
pub struct Papers {
    open: BTreeMap<PathBuf, Open>,
    read: Arc<Mutex<BTreeMap<String, ReadBook>>>,
}

/// A file that lies open.
#[derive(Clone, Debug)]
struct Open {
    source: Source,
    book: Option<ReadBook>,
}

impl Papers {
    /// A path in the one form that open files are kept by.
    #[must_use]
    pub fn key(path: &Path) -> PathBuf {
        disk::settled(path)
    }

    /// Takes the text of an open file in place of what is on disk.
    pub fn open(&mut self, path: &Path, source: Source) {
        self.open.insert(Papers::key(path), Open { source, book: None });
    }

    /// The same for a rulebook that was read already.
    pub fn open_book(&mut self, path: &Path, book: ReadBook) {
        self.open.insert(Papers::key(path), Open { source: book.tree.source.clone(), book: Some(book) });
    }

    /// From now on what is on disk counts again.
    pub fn close(&mut self, path: &Path) {
        self.open.remove(&Papers::key(path));
    }

    fn found(&self, path: &Path) -> Option<&Open> {
        if self.open.is_empty() { None } else { self.open.get(&Papers::key(path)) }
    }

    /// Whether there is a file, open or on disk.
    pub(super) fn exists(&self, path: &Path) -> bool {
        self.found(path).is_some() || disk::exists(path)
    }

    /// A file's text.
    #[allow(clippy::result_large_err, reason = "as reading from disk")]
    pub(super) fn read(&self, path: &Path, most_bytes: u64) -> Result<Source, Finding> {
        match self.found(path) {
            Some(open) => Ok(open.source.clone()),
            None => disk::read_source(path, most_bytes),
        }
    }

    /// A rulebook.
    #[allow(clippy::result_large_err, reason = "as reading from disk")]
    pub(super) fn book(&self, path: &Path) -> Result<ReadBook, Finding> {
        if let Some(book) = self.found(path).and_then(|open| open.book.clone()) {
            return Ok(book);
        }
        Ok(self.parsed(&self.read(path, disk::MOST_BOOK_BYTES)?))
    }

    /// A shipped rulebook.
    pub(super) fn shipped(&self, name: &str) -> Option<ReadBook> {
        shipped::book(name).map(|source| self.read_by(&source, shipped::read))
    }

    /// Reads some shipped rulebooks at once: whoever asks for one of them then has it. What was read before is not read again.
    pub(super) fn read_ahead(&self, names: &[&str]) {
        let unread = |source: &Source| self.known(source).is_none();
        let sources: Vec<Source> = names.iter().filter_map(|name| shipped::book(name)).filter(unread).collect();
        let books = together(&sources, shipped::read);
        self.read_books().extend(books.into_iter().map(|book| (book.tree.source.name().to_string(), book)));
    }

    fn parsed(&self, source: &Source) -> ReadBook {
        self.read_by(source, ReadBook::new)
    }

    fn read_by(&self, source: &Source, read: fn(&Source) -> ReadBook) -> ReadBook {
        if let Some(known) = self.known(source) {
            return known;
        }
        let book = read(source);
        self.read_books().insert(source.name().to_string(), book.clone());
        book
    }

    /// A rulebook that was read before and says the same.
    fn known(&self, source: &Source) -> Option<ReadBook> {
        self.read_books().get(source.name()).filter(|known| known.tree.source == *source).cloned()
    }

    fn read_books(&self) -> MutexGuard<'_, BTreeMap<String, ReadBook>> {
        // A panic elsewhere while the map was held left it whole.
        self.read.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
