//! The records below the paths of a command line, one after another or all at once. Refuses to read them.

use super::interrupt::Interrupt;
use super::wording;
use crate::disk::{self, Kind, Walk, walk};
use crate::finding::Finding;
use crate::shop::{Shop, Shops};
use rustc_hash::FxHashSet;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a walk comes across.
pub(super) enum Step<'a> {
    /// A record.
    Record {
        /// The path that was asked for.
        below: &'a Path,
        /// Where it lies.
        record: PathBuf,
        /// The shop it belongs to.
        shop: Arc<Shop>,
        /// Whether it is a file for certain.
        is_file: bool,
    },
    /// Something to say, where it was met; an error where a path could not be followed.
    Said(Box<Finding>),
}

/// All that the walks of some paths come across, in their order.
pub(super) struct Steps<'a> {
    paths: std::slice::Iter<'a, PathBuf>,
    shops: &'a Shops,
    /// The folder of the record met last, and its shop: most records lie beside one another.
    beside: Option<(OsString, Arc<Shop>)>,
    interrupt: Option<&'a Interrupt>,
    walking: Option<Walking<'a>>,
    /// Said next: the files passed over where there was no record.
    pending: Option<Finding>,
    /// Where the records lie that were met, where each is to be met once.
    seen: Option<FxHashSet<PathBuf>>,
}

/// The walk of one path.
struct Walking<'a> {
    path: &'a Path,
    walk: Walk,
    /// Whether neither a record was found nor something wrong.
    nothing: bool,
}

impl<'a> Steps<'a> {
    /// Every record as often as the paths lead to it.
    pub(super) fn new(paths: &'a [PathBuf], shops: &'a Shops) -> Steps<'a> {
        Steps { paths: paths.iter(), shops, beside: None, interrupt: None, walking: None, pending: None, seen: None }
    }

    /// The same, and no more once the run is to be broken off.
    pub(super) fn until(self, interrupt: &'a Interrupt) -> Steps<'a> {
        Steps { interrupt: Some(interrupt), ..self }
    }

    /// The same, and every record once.
    pub(super) fn each_once(self) -> Steps<'a> {
        // One walk meets nothing twice.
        let several = self.paths.len() > 1;
        Steps { seen: several.then(FxHashSet::default), ..self }
    }
}

impl<'a> Iterator for Steps<'a> {
    type Item = Step<'a>;

    fn next(&mut self) -> Option<Step<'a>> {
        while !self.interrupt.is_some_and(Interrupt::is_asked) {
            if let Some(finding) = self.pending.take() {
                return Some(Step::Said(Box::new(finding)));
            }
            let Some(Walking { path, walk, nothing }) = &mut self.walking else {
                let path = self.paths.next()?;
                let walk = walk(path, Kind::Records);
                self.walking = Some(Walking { path, walk, nothing: true });
                continue;
            };
            let path = *path;
            match walk.next() {
                Some(Ok(record)) => {
                    let is_file = walk.met_file();
                    let shop = shop_of(&record, self.shops, &mut self.beside);
                    // A list of gauges with a name of its own, beside the builds. A file that is asked for is taken as it is.
                    if record != path && shop.is_gauges_list(&record) {
                        continue;
                    }
                    *nothing = false;
                    if self.seen.as_mut().is_none_or(|seen| seen.insert(disk::normalise(&record))) {
                        return Some(Step::Record { below: path, record, shop, is_file });
                    }
                }
                Some(Err(finding)) => {
                    *nothing &= !finding.is_error();
                    return Some(Step::Said(Box::new(finding)));
                }
                None => {
                    let skipped = walk.skipped_finding();
                    let nothing = *nothing;
                    self.walking = None;
                    if nothing {
                        // What is wrong comes before what is worth a word.
                        self.pending = skipped;
                        return Some(Step::Said(Box::new(wording::no_records(path))));
                    }
                    if let Some(finding) = skipped {
                        return Some(Step::Said(Box::new(finding)));
                    }
                }
            }
        }
        None
    }
}

/// The shop of a record, looked up only where the record before lay in another folder.
fn shop_of(record: &Path, shops: &Shops, beside: &mut Option<(OsString, Arc<Shop>)>) -> Arc<Shop> {
    let folder = record.parent().unwrap_or(record).as_os_str();
    if let Some((last, shop)) = beside
        && last == folder
    {
        return shop.clone();
    }
    let shop = shops.of(record);
    *beside = Some((folder.to_os_string(), shop.clone()));
    shop
}

/// How many records there may be, for whoever waits for them.
pub(super) fn counted(paths: &[PathBuf]) -> u64 {
    let files = paths.iter().map(|path| walk(path, Kind::Records).filter(Result::is_ok).count());
    files.sum::<usize>() as u64
}

/// Every record below some paths, each once with the path it is below, in their order, and what is to be said of the paths.
pub(super) fn records(paths: &[PathBuf], shops: &Shops) -> (Vec<(PathBuf, PathBuf)>, Vec<Finding>) {
    let (mut records, mut said) = (Vec::new(), Vec::new());
    for step in Steps::new(paths, shops).each_once() {
        match step {
            Step::Record { below, record, .. } => records.push((below.to_path_buf(), record)),
            Step::Said(finding) => said.push(*finding),
        }
    }
    (records, said)
}
