//! A paper that lies open in the editor: its text as it stands there now, and what kind of paper it is. Refuses to look at
//! what is on disk.

use super::position::{Encoding, Lines};
use crate::disk;
use crate::shop::ReadBook;
use crate::syntax::{self, Glance};
use crate::text::{Source, Span};
use lsp_types::{Position, Range, TextDocumentContentChangeEvent, Uri};
use std::path::{Path, PathBuf};

/// The kinds of paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// A rulebook.
    Book,
    /// A record of one build, as far as anybody can tell by its name.
    Record,
    /// A shop's settings.
    Settings,
    /// A list of gauges.
    Gauges,
}

impl Kind {
    /// By the name of the file; none for what is no paper of a shop.
    pub(super) fn of(path: &Path, language: &str) -> Option<Kind> {
        let name = path.file_name()?.to_string_lossy().into_owned();
        let ends = |ends: &[&str]| ends.iter().any(|end| name.ends_with(end));
        match name.as_str() {
            "trochoid.yaml" | "trochoid.yml" => Some(Kind::Settings),
            "gauges.yaml" | "gauges.yml" => Some(Kind::Gauges),
            _ if language == "rulebook" || ends(&[".rulebook"]) => Some(Kind::Book),
            _ if ends(&[".verdict.json"]) => None,
            _ if ends(&[".yaml", ".yml", ".json"]) => Some(Kind::Record),
            _ => None,
        }
    }
}

/// One open paper.
#[derive(Clone, Debug)]
pub(super) struct Document {
    /// As the client calls it.
    pub(super) uri: Uri,
    /// As the other commands would name it.
    pub(super) path: PathBuf,
    pub(super) kind: Kind,
    pub(super) version: i32,
    pub(super) source: Source,
    pub(super) lines: Lines,
    pub(super) encoding: Encoding,
    /// For a rulebook, its tree; that of an earlier text until it is read again.
    read: Option<ReadBook>,
}

impl Document {
    pub(super) fn new(uri: Uri, path: &Path, kind: Kind, version: i32, text: String, encoding: Encoding) -> Document {
        let path = disk::from_here(&crate::shop::Papers::key(path));
        let lines = Lines::new(&text, encoding);
        let source = Source::new(path.to_string_lossy().replace('\\', "/"), text);
        Document { uri, path, kind, version, source, lines, encoding, read: None }
    }

    /// Takes changes in order, each in the text the one before left.
    pub(super) fn change(&mut self, changes: Vec<TextDocumentContentChangeEvent>, version: i32) {
        let mut text = self.source.text().to_string();
        for change in changes {
            match change.range {
                Some(range) => text.replace_range(self.lines.bytes(&text, range), &change.text),
                None => text = change.text,
            }
            self.lines = Lines::new(&text, self.encoding);
        }
        self.source = Source::new(self.source.name(), text);
        self.version = version;
    }

    /// The rulebook read: again as far as it changed.
    pub(super) fn book(&mut self) -> ReadBook {
        let read = match self.read.take() {
            Some(read) if read.tree.source.is_same(&self.source) => read,
            Some(read) => {
                let (tree, findings) = syntax::parse_again(&read.tree, &read.findings, &self.source);
                ReadBook { tree: tree.into(), findings: findings.into() }
            }
            None => ReadBook::new(&self.source),
        };
        self.read = Some(read.clone());
        read
    }

    /// What the lines around the last changes say, and the book as it was read before them; none where they do not tell.
    pub(super) fn glance(&self) -> Option<(&ReadBook, Glance)> {
        let read = self.read.as_ref().filter(|read| !read.tree.source.is_same(&self.source))?;
        Some((read, syntax::glance(&read.tree, &read.findings, &self.source)?))
    }

    /// The book as it was read, if that was the text it has now.
    pub(super) fn read(&self) -> Option<&ReadBook> {
        self.read.as_ref().filter(|read| read.tree.source.is_same(&self.source))
    }

    /// Whether it is a rulebook that changed since it was read.
    pub(super) fn is_unread(&self) -> bool {
        self.kind == Kind::Book && self.read().is_none()
    }

    /// The byte a position means.
    pub(super) fn offset(&self, position: Position) -> usize {
        self.lines.offset(self.source.text(), position)
    }

    /// The range of a span.
    pub(super) fn range(&self, span: Span) -> Range {
        self.lines.range(self.source.text(), span)
    }

    /// The range of all of it.
    pub(super) fn whole(&self) -> Range {
        self.range(Span::new(0, self.source.text().len()))
    }
}
