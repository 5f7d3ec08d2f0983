//! A shop's own list of gauges: `gauges.yaml`, found like the books, read once for all records below it.

use super::{Listed, Papers, settings, wording};
use crate::bind::{self, Gauges};
use crate::book::Book;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::{Code, Finding};
use crate::record;
use crate::text::Place;
use std::path::{Path, PathBuf};

/// The names the list may have, first choice first.
pub(super) const FILE_NAMES: [&str; 2] = ["gauges.yaml", "gauges.yml"];

/// Where a list of gauges is, and where that is said; nowhere, if it was found by its name.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Where {
    pub(super) file: PathBuf,
    named: Option<Place>,
}

/// The list for the records of a folder: the one the nearest settings name, else the nearest that has the name. What is
/// wrong with the settings is said of the books.
pub(super) fn find(papers: &Papers, folder: &Path) -> Option<Where> {
    let settings = disk::find_upward(folder, &settings::FILE_NAMES).map(|path| disk::from_here(&path));
    if let Some(path) = settings
        && let (read, _) = settings::read(papers, &path)
        && let Some((name, place)) = read.gauges
    {
        let file = disk::normalise(&disk::folder_of(&path).join(name));
        return Some(Where { file, named: Some(place) });
    }
    let file = disk::from_here(&disk::find_upward(folder, &FILE_NAMES)?);
    Some(Where { file, named: None })
}

/// Reads a list of gauges with the units of a book.
pub(super) fn open(papers: &Papers, book: &Book, at: &Where) -> Listed {
    let file = at.file.clone();
    let unread =
        |finding| Listed { file: file.clone(), source: None, gauges: Gauges::unread(), findings: vec![finding] };
    if let Some(place) = at.named.clone().filter(|_| !papers.exists(&file)) {
        return unread(wording::gauges_missing(&file, place));
    }
    let source = match papers.read(&file, MOST_RECORD_BYTES) {
        Ok(source) => source,
        Err(finding) => return unread(finding),
    };
    let (sheet, mut findings) = record::read(&source);
    let Some(sheet) = sheet else {
        // A list with nothing on it yet lacks nothing.
        let empty = findings.iter().all(|finding: &Finding| finding.code == Code::RecordEmpty);
        let gauges = if empty { Gauges::default() } else { Gauges::unread() };
        findings.retain(|finding| finding.code != Code::RecordEmpty);
        return Listed { file, source: Some(source), gauges, findings };
    };
    let (gauges, said) = bind::gauges(book, &sheet, &source);
    findings.extend(said);
    Listed { file, source: Some(source), gauges, findings }
}
