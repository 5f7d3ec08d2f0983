//! The shops of a run, each opened once: which books and which gauges belong to the records of a folder.

use super::gauges::{self, Where};
use super::shelf::ShelfAt;
use super::{Listed, Papers, Shop, open_books, open_settings, settings};
use crate::disk;
use rustc_hash::FxHashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Where the settings are that say a shop's books; none for the shipped books.
type Settings = Option<PathBuf>;

/// The shops of a run: each opened once, by where its books and its gauges are said to be.
#[derive(Debug)]
pub struct Shops {
    /// The books named on the command line, for every record alike.
    books: Option<PathBuf>,
    /// Where books, settings and gauges are read from.
    papers: Papers,
    opened: Mutex<Opened>,
    by_folder: Mutex<FxHashMap<PathBuf, Arc<Shop>>>,
}

/// What was opened so far.
#[derive(Debug, Default)]
struct Opened {
    /// Books without gauges.
    books: FxHashMap<Settings, Arc<Shop>>,
    /// The same books with the gauges of a list, by the settings and the list's file.
    measuring: FxHashMap<(Settings, PathBuf), Arc<Shop>>,
    /// The same with the shelf that settings name, by the books and gauges without it, and the settings.
    shelved: Vec<(Arc<Shop>, PathBuf, Arc<Shop>)>,
}

impl Shops {
    /// No shop opened yet; with `books`, every record is judged by those.
    #[must_use]
    pub fn new(books: Option<PathBuf>) -> Shops {
        Shops::reading(books, Papers::default())
    }

    /// The same, with some papers as they lie open in an editor.
    #[must_use]
    pub fn reading(books: Option<PathBuf>, papers: Papers) -> Shops {
        Shops { books, papers, opened: Mutex::default(), by_folder: Mutex::default() }
    }

    /// The shops again after one rulebook changed in `papers`: those it has no part in stay open.
    #[must_use]
    pub fn renewed(&self, papers: Papers, changed: &Path) -> Shops {
        let key = Papers::key(changed);
        let untouched =
            |shop: &Shop| shop.is_sound() && !shop.books().iter().any(|book| Papers::key(Path::new(book)) == key);
        let opened = locked(&self.opened);
        let books = opened.books.iter().filter(|(_, shop)| untouched(shop));
        let measuring = opened.measuring.iter().filter(|(_, shop)| untouched(shop));
        let kept = Opened {
            books: books.map(|(settings, shop)| (settings.clone(), shop.clone())).collect(),
            measuring: measuring.map(|(key, shop)| (key.clone(), shop.clone())).collect(),
            // A shelf is read again.
            shelved: Vec::new(),
        };
        Shops { books: self.books.clone(), papers, opened: Mutex::new(kept), by_folder: Mutex::default() }
    }

    /// The shop a record belongs to: the books named for the run, or those of the `trochoid.yaml` in or above the
    /// record's folder, or the shipped ones; and, whatever the books, the gauges that file names, or those of the nearest
    /// `gauges.yaml` in or above the folder.
    #[must_use]
    pub fn of(&self, record: &Path) -> Arc<Shop> {
        let folder = disk::folder_of(record);
        if let Some(shop) = locked(&self.by_folder).get(&folder) {
            return shop.clone();
        }
        let settings = match &self.books {
            Some(books) => Some(books.clone()),
            None => disk::find_upward(&folder, &settings::FILE_NAMES).map(|path| disk::from_here(&path)),
        };
        let list = gauges::find(&self.papers, &folder);
        // Held while the books compile, so that two threads do not compile the same ones.
        let mut opened = locked(&self.opened);
        let shop = self.open(settings, list, &mut opened);
        let shop = self.shelved(shop, &folder, &mut opened);
        drop(opened);
        locked(&self.by_folder).insert(folder, shop.clone());
        shop
    }

    fn open(&self, settings: Settings, list: Option<Where>, opened: &mut Opened) -> Arc<Shop> {
        let shop = match opened.books.get(&settings) {
            Some(shop) => shop.clone(),
            None => {
                let shop = Arc::new(match (&settings, &self.books) {
                    (_, Some(books)) => open_books(&self.papers, books),
                    (Some(settings), None) => open_settings(&self.papers, settings),
                    (None, None) => Shop::shipped_from(&self.papers),
                });
                opened.books.insert(settings.clone(), shop.clone());
                shop
            }
        };
        // Books with errors may lack the units the gauges are in.
        let Some(list) = list.filter(|_| shop.is_sound()) else { return shop };
        let key = (settings, list.file.clone());
        if let Some(shop) = opened.measuring.get(&key) {
            return shop.clone();
        }
        let listed: Listed = gauges::open(&self.papers, &shop.book, &list);
        let shop = Arc::new(shop.with_gauges(Arc::new(listed)));
        opened.measuring.insert(key, shop.clone());
        shop
    }
}

impl Shops {
    /// A shop with the shelf that the nearest settings of a folder name, if they name one.
    fn shelved(&self, shop: Arc<Shop>, folder: &Path, opened: &mut Opened) -> Arc<Shop> {
        let settings = disk::find_upward(folder, &settings::FILE_NAMES).map(|path| disk::from_here(&path));
        let Some(path) = settings.filter(|_| shop.is_sound()) else { return shop };
        let known = opened.shelved.iter().find(|(bare, at, _)| Arc::ptr_eq(bare, &shop) && *at == path);
        if let Some((_, _, shelved)) = known {
            return shelved.clone();
        }
        let (read, _) = settings::read(&self.papers, &path);
        let Some((paths, named)) = read.shelf else { return shop };
        let paths = paths.iter().map(|one| disk::normalise(&disk::folder_of(&path).join(one))).collect();
        let shelved = Arc::new(shop.with_shelf(Arc::new(ShelfAt::new(paths, named))));
        opened.shelved.push((shop, path, shelved.clone()));
        shelved
    }
}

/// A lock whatever happened to the thread that held it: the maps are whole after every insertion.
fn locked<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}
