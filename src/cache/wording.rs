//! Every sentence about a cache.

use std::path::Path;

/// What every sentence ends with.
const SAFE: &str = "nothing is lost, because everything is calculated again";

pub(super) fn unusable(path: &Path, why: &str) -> String {
    let path = path.display();
    format!("the cache {path} is not used: {why}; {SAFE}, and once the file is removed it is made again")
}

pub(super) fn not_ours(path: &Path) -> String {
    let path = path.display();
    format!("the cache {path} is not used: it holds something else, and was left as it is; {SAFE}")
}

pub(super) fn unwritten(path: &Path, why: &str) -> String {
    format!("nothing more is written to the cache {}: {why}; {SAFE}", path.display())
}

pub(super) fn damaged(path: &Path, count: usize) -> String {
    let (entries, are) = if count == 1 { ("entry", "is") } else { ("entries", "are") };
    format!("the cache {}: {count} {entries} {are} damaged and {are} not used; {SAFE}", path.display())
}
