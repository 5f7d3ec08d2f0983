//! The shop whose bench it is: its folder, its books as they stand on disk now, its records by name. Refuses to open a file
//! that a walk of the folder does not find.

use super::keep::OpenRecords;
use super::pages::Judged;
use crate::disk::{self, Kind};
use crate::quantity::Date;
use crate::shop::{Papers, Shop, Shops};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// After this long the files of the shop are looked at again. Common practice: nobody waits longer for a change of a book.
const LOOK_AGAIN: Duration = Duration::from_millis(500);

/// A record of the shop.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RecordAt {
    /// Its path below the shop's folder, steps separated by `/`: its name in addresses.
    pub name: String,
    /// Where it lies.
    pub path: PathBuf,
}

/// The shop whose bench it is.
pub struct Workshop {
    folder: PathBuf,
    books: Option<PathBuf>,
    read_only: bool,
    today: Box<dyn Fn() -> Option<Date> + Send + Sync>,
    seen: Mutex<Seen>,
    writing: Mutex<()>,
    open_records: OpenRecords,
    judged: Judged,
}

/// The shop's books and records as they were when they were last looked at.
struct Seen {
    at: Instant,
    files: Vec<(PathBuf, disk::Stamp)>,
    /// The files of the shelves, which are read again by themselves.
    shelf: Vec<(PathBuf, disk::Stamp)>,
    shops: Arc<Shops>,
    records: Arc<[RecordAt]>,
}

impl std::fmt::Debug for Workshop {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("Workshop").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl Workshop {
    /// The shop in a folder, judged by its own books or by these. Nothing is written if it is for reading only.
    pub fn new(
        folder: &Path,
        books: Option<PathBuf>,
        read_only: bool,
        today: impl Fn() -> Option<Date> + Send + Sync + 'static,
    ) -> Workshop {
        let seen = look(folder, books.as_ref(), None);
        Workshop {
            folder: folder.to_owned(),
            books,
            read_only,
            today: Box::new(today),
            seen: Mutex::new(seen),
            writing: Mutex::new(()),
            open_records: OpenRecords::default(),
            judged: Judged::default(),
        }
    }

    /// The folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether nothing may be written.
    #[must_use]
    pub fn is_read_only(&self) -> bool {
        self.read_only
    }

    /// The day it is.
    #[must_use]
    pub fn today(&self) -> Option<Date> {
        (self.today)()
    }

    /// The shops of the folder, with the books as they stand on disk.
    #[must_use]
    pub fn shops(&self) -> Arc<Shops> {
        self.now().shops.clone()
    }

    /// The shop of the folder itself; a record in a folder with settings of its own has another: `shops().of(path)`.
    #[must_use]
    pub fn shop(&self) -> Arc<Shop> {
        self.shops().of(&self.folder.join("trochoid.yaml"))
    }

    /// Every record of builds and loose parts, in the order of their names.
    #[must_use]
    pub fn records(&self) -> Arc<[RecordAt]> {
        self.now().records.clone()
    }

    /// The record of a name. A name is looked up among the records that are there and never made into a path.
    #[must_use]
    pub fn record(&self, name: &str) -> Option<RecordAt> {
        self.now().records.iter().find(|record| record.name == name).cloned()
    }

    /// Looks at the folder again now: a record was added.
    pub fn look_again(&self) {
        let mut seen = self.locked();
        *seen = look(&self.folder, self.books.as_ref(), Some(&seen));
    }

    /// The records that pages have open.
    pub(super) fn open_records(&self) -> &OpenRecords {
        &self.open_records
    }

    /// Held while a record is written: one value after another, so that none is written over another one.
    pub(super) fn writing(&self) -> MutexGuard<'_, ()> {
        self.writing.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The records as they were last judged.
    pub(super) fn judged(&self) -> &Judged {
        &self.judged
    }

    fn locked(&self) -> MutexGuard<'_, Seen> {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn now(&self) -> MutexGuard<'_, Seen> {
        let mut seen = self.locked();
        if seen.at.elapsed() >= LOOK_AGAIN {
            *seen = look(&self.folder, self.books.as_ref(), Some(&seen));
        }
        seen
    }
}

/// Looks at the folder. The books are read again only if one of the shop's own files changed.
fn look(folder: &Path, books: Option<&PathBuf>, before: Option<&Seen>) -> Seen {
    let (paths, _) = disk::records_below(folder);
    let records: Vec<RecordAt> = paths.into_iter().filter_map(|path| named(folder, path)).collect();
    let mut files: Vec<PathBuf> = disk::walk(folder, Kind::Rulebooks).flatten().collect();
    if let Some(books) = books {
        files.extend(disk::walk(books, Kind::Rulebooks).flatten());
    }
    let mut folders: Vec<PathBuf> = records.iter().map(|record| disk::folder_of(&record.path)).collect();
    folders.push(folder.to_owned());
    folders.sort();
    folders.dedup();
    for folder in folders {
        files.extend(["trochoid.yaml", "trochoid.yml", "gauges.yaml", "gauges.yml"].map(|name| folder.join(name)));
    }
    let files = stamped(files);
    let same = before.filter(|before| before.files == files);
    let shops = same.map_or_else(|| Arc::new(Shops::new(books.cloned())), |before| before.shops.clone());
    let mut shelf: Vec<PathBuf> = Vec::new();
    for path in shops.of(&folder.join("trochoid.yaml")).shelf_paths() {
        shelf.extend(disk::walk(path, Kind::Records).flatten());
    }
    let shelf = stamped(shelf);
    // The books stay open: only the shelf is read again.
    let changed = same.is_some_and(|before| before.shelf != shelf);
    let shops = if changed { Arc::new(shops.renewed(Papers::default(), Path::new(""))) } else { shops };
    Seen { at: Instant::now(), files, shelf, shops, records: records.into() }
}

/// Each file with its stamp; without those that are not there.
fn stamped(files: Vec<PathBuf>) -> Vec<(PathBuf, disk::Stamp)> {
    files.into_iter().filter_map(|path| disk::stamp(&path).map(|stamp| (path, stamp))).collect()
}

/// A record with its name; `None` for a file whose name is not text.
fn named(folder: &Path, path: PathBuf) -> Option<RecordAt> {
    let below = path.strip_prefix(folder).ok()?;
    let steps = below.iter().map(|step| step.to_str()).collect::<Option<Vec<&str>>>()?;
    Some(RecordAt { name: steps.join("/"), path })
}
