//! The records below the paths of a command line, each once. Refuses to read them.

use super::wording;
use crate::disk::{self, Kind, walk};
use crate::finding::Finding;
use crate::shop::Shops;
use rustc_hash::FxHashSet;
use std::path::PathBuf;

/// Every record below some paths, each once with the path it is below, in their order, and what is to be said of the paths; an error where one could not
/// be followed.
pub(super) fn records(paths: &[PathBuf], shops: &Shops) -> (Vec<(PathBuf, PathBuf)>, Vec<Finding>) {
    let (mut records, mut said) = (Vec::new(), Vec::new());
    let mut seen = FxHashSet::default();
    for path in paths {
        let mut nothing = true;
        for step in walk(path, Kind::Records) {
            match step {
                // A list of gauges with a name of its own, beside the builds. A file that is asked for is taken as it is.
                Ok(record) if record != *path && shops.is_gauges_list(&record) => {}
                Ok(record) => {
                    nothing = false;
                    if seen.insert(disk::normalise(&record)) {
                        records.push((path.clone(), record));
                    }
                }
                Err(finding) => {
                    nothing &= !finding.is_error();
                    said.push(finding);
                }
            }
        }
        if nothing {
            said.push(wording::no_records(path));
        }
    }
    (records, said)
}
