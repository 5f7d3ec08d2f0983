//! The shelf of a shop: its loose parts by their tags, read once when the first record asks for one. Refuses to judge them.

use super::{Shop, wording_shelf as wording};
use crate::bind::{self, LoosePart, PartState};
use crate::book::Book;
use crate::disk::{self, MOST_RECORD_BYTES};
use crate::finding::{Code, Finding};
use crate::record::Record;
use crate::text::{Place, Source, Span};
use rustc_hash::FxHashMap;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

/// Where a shelf is, and what lies on it once somebody asked.
#[derive(Debug)]
pub(super) struct ShelfAt {
    /// Files and folders.
    pub(super) paths: Vec<PathBuf>,
    /// Where the settings name them.
    pub(super) named: Place,
    read: OnceLock<Shelf>,
}

/// The loose parts of a shop.
#[derive(Debug, Default)]
pub struct Shelf {
    /// Every part, in the order of the files.
    pub parts: Vec<ShelfPart>,
    /// What is wrong with the shelf: files that cannot be read, parts that no book knows, tags that two parts have.
    pub findings: Vec<Finding>,
    /// The files that could not be read whole, so that the answer to a search may be incomplete.
    pub left_out: Vec<String>,
    by_tag: FxHashMap<String, usize>,
}

/// One part of the shelf.
#[derive(Clone, Debug)]
pub struct ShelfPart {
    /// Its tag; the name of its file if nothing is painted on it.
    pub tag: String,
    /// The file it is in.
    pub record: Arc<Record>,
    /// What it says of itself.
    pub part: LoosePart,
}

impl ShelfPart {
    /// Where its tag is written, or the part begins.
    #[must_use]
    pub fn place(&self) -> Place {
        let start = Span::new(self.part.span.start as usize, self.part.span.start as usize);
        self.record.source.place(self.part.tag.as_ref().map_or(start, |(_, span)| *span))
    }

    /// Whether it may be taken for a build of that name: it is in stock, or kept for that build.
    #[must_use]
    pub fn is_free_for(&self, build: Option<&str>) -> bool {
        match &self.part.state {
            PartState::InStock => true,
            PartState::Reserved(other) | PartState::Fitted(other) => Some(other.as_str()) == build,
            PartState::Scrapped { .. } => false,
        }
    }
}

impl ShelfAt {
    pub(super) fn new(paths: Vec<PathBuf>, named: Place) -> ShelfAt {
        ShelfAt { paths, named, read: OnceLock::new() }
    }
}

impl Shelf {
    /// The part of a tag.
    #[must_use]
    pub fn of_tag(&self, tag: &str) -> Option<&ShelfPart> {
        self.by_tag.get(tag).and_then(|number| self.parts.get(*number))
    }

    /// Every file it was read from, each once.
    #[must_use]
    pub fn sources(&self) -> Vec<&Source> {
        let mut sources: Vec<&Source> = Vec::new();
        for part in &self.parts {
            if sources.last().is_none_or(|last| !last.is_same(&part.record.source)) {
                sources.push(&part.record.source);
            }
        }
        sources
    }

    fn read(book: &Book, at: &ShelfAt) -> Shelf {
        let mut shelf = Shelf::default();
        for path in &at.paths {
            if !disk::exists(path) {
                shelf.findings.push(wording::shelf_missing(path, at.named.clone()));
                shelf.left_out.push(path.to_string_lossy().replace('\\', "/"));
                continue;
            }
            let (files, said) = disk::records_named(path);
            if said.iter().any(Finding::is_error) {
                shelf.left_out.push(path.to_string_lossy().replace('\\', "/"));
            }
            shelf.findings.extend(said);
            for file in files {
                match disk::read_source(&file, MOST_RECORD_BYTES) {
                    Ok(source) => shelf.file(book, Record::of(source)),
                    Err(finding) => {
                        shelf.left_out.push(file.to_string_lossy().replace('\\', "/"));
                        shelf.findings.push(finding);
                    }
                }
            }
        }
        shelf
    }

    fn file(&mut self, book: &Book, record: Record) {
        let name = record.source.name().to_owned();
        let mut said = record.findings.clone();
        let record = Arc::new(record);
        if let Some(sheet) = &record.sheet {
            if bind::is_loose(book, sheet) {
                let (parts, findings) = bind::loose_parts(book, sheet, &record.source);
                said.extend(findings);
                for part in parts {
                    let part = ShelfPart { tag: Shop::part_name(&record, &part), record: record.clone(), part };
                    match self.by_tag.get(&part.tag).and_then(|known| self.parts.get(*known)) {
                        Some(known) => said.push(wording::tag_twice(&part, known)),
                        None => {
                            self.by_tag.insert(part.tag.clone(), self.parts.len());
                            self.parts.push(part);
                        }
                    }
                }
            } else {
                said.push(wording::not_a_part(record.source.place(Span::default())));
            }
        }
        if said.iter().any(Finding::is_error) {
            self.left_out.push(name);
        }
        self.findings.extend(said);
    }
}

impl Shop {
    /// The loose parts of the shop; `None` if its settings name no shelf.
    #[must_use]
    pub fn shelf(&self) -> Option<&Shelf> {
        let at = self.shelf.as_ref()?;
        Some(at.read.get_or_init(|| Shelf::read(&self.book, at)))
    }

    /// The files and folders of the shelf; empty if its settings name none.
    #[must_use]
    pub fn shelf_paths(&self) -> &[PathBuf] {
        self.shelf.as_ref().map_or(&[], |at| at.paths.as_slice())
    }

    /// Which shelf it is, among those of this run.
    #[must_use]
    pub fn shelf_number(&self) -> Option<usize> {
        self.shelf.as_ref().map(|at| Arc::as_ptr(at) as usize)
    }

    /// What is wrong with the shelf as a whole, if any record asked for it: what its files say by themselves is said where
    /// they are checked.
    #[must_use]
    pub fn shelf_findings(&self) -> Vec<&Finding> {
        let shelf = self.shelf.as_ref().and_then(|at| at.read.get());
        let findings = shelf.map_or(&[][..], |shelf| shelf.findings.as_slice());
        findings
            .iter()
            .filter(|finding| matches!(finding.code, Code::TagTwice | Code::PathMissing | Code::FileUnreadable))
            .collect()
    }

    /// The same books and gauges, with a shelf.
    pub(super) fn with_shelf(&self, at: Arc<ShelfAt>) -> Shop {
        Shop { shelf: Some(at), ..self.same() }
    }
}
