//! `check --history`: finds the other records of a part's tag or an engine's serial number in the folder of the shop. Refuses to
//! know what changed.

use crate::bind::loose_parts;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::record::Record;
use crate::shop::{History, Shop, Shops, named_in, settings_of};
use rustc_hash::FxHashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Which builds have which tags and serial numbers, for each shop once.
#[derive(Debug, Default)]
pub(super) struct Histories {
    by_folder: Mutex<FxHashMap<PathBuf, Arc<Index>>>,
}

/// The builds below one folder.
#[derive(Debug, Default)]
struct Index {
    /// For each tag the records that took it, and the place in each.
    by_tag: FxHashMap<String, Vec<(PathBuf, String)>>,
    by_serial: FxHashMap<String, Vec<PathBuf>>,
}

impl Histories {
    /// The history of each loose part of a record, or of the engine that a build is of; without those that were seen only
    /// once.
    pub(super) fn of(&self, shops: &Shops, shop: &Shop, record: &Record) -> Vec<History> {
        let path = Path::new(record.source.name());
        let index = self.index(path);
        let read = |file: &Path| {
            let source = disk::read_source(file, MOST_RECORD_BYTES).ok()?;
            // Another shop below this one has rules, and tags, of its own.
            Arc::ptr_eq(&shops.of(file).book, &shop.book).then(|| Record::of(source))
        };
        if shop.is_loose(record) {
            let Some(sheet) = &record.sheet else { return Vec::new() };
            let parts = loose_parts(&shop.book, sheet, &record.source).0;
            let history = |part: &crate::bind::LoosePart| {
                let (tag, _) = part.tag.as_ref()?;
                let builds = index.by_tag.get(tag)?.iter();
                let mut seen: Vec<_> = builds.filter_map(|(file, place)| shop.seen_at(&read(file)?, place)).collect();
                seen.extend(shop.seen_loose(record, part));
                History::of(tag.clone(), Some(shop.book.part_path(part.part, &[], ".")), seen)
            };
            return parts.iter().filter_map(history).collect();
        }
        let Some(serial) = named_in(record).1 else { return Vec::new() };
        let builds = index.by_serial.get(&serial).map_or(&[][..], Vec::as_slice);
        let seen = builds.iter().filter_map(|file| shop.seen_whole(&read(file)?)).collect();
        History::of(serial, None, seen).into_iter().collect()
    }

    /// The builds of the shop that a record belongs to: all below its settings file, or below its folder.
    fn index(&self, record: &Path) -> Arc<Index> {
        let folder = disk::folder_of(&settings_of(record).unwrap_or_else(|| record.to_path_buf()));
        let folder = disk::from_here(&folder);
        let mut known = self.by_folder.lock().unwrap_or_else(PoisonError::into_inner);
        known.entry(folder.clone()).or_insert_with(|| Arc::new(Index::of(&folder))).clone()
    }
}

impl Index {
    fn of(folder: &Path) -> Index {
        let mut index = Index::default();
        // What cannot be read is said where it is checked.
        for file in disk::records_named(folder).0 {
            let file = file.strip_prefix(".").map_or_else(|_| file.clone(), Path::to_path_buf);
            let Ok(source) = disk::read_source(&file, MOST_RECORD_BYTES) else { continue };
            if !source.text().contains("parts") && !source.text().contains("serial") {
                continue;
            }
            let (parts, serial) = named_in(&Record::of(source));
            for (tag, place) in parts {
                index.by_tag.entry(tag).or_default().push((file.clone(), place));
            }
            if let Some(serial) = serial {
                index.by_serial.entry(serial).or_default().push(file);
            }
        }
        index
    }
}
