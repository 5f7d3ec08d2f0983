//! A first word on a large rulebook while it is typed in: what cannot be read in it, at once; what else was said of it stands
//! where it went to, until the whole book is understood again. Refuses to say anything that [`Server::settle`] does not settle.

use super::document::Document;
use super::position::Lines;
use super::publish::{self, Map};
use super::server::{Server, published};
use crate::text::Span;
use lsp_server::Message;
use lsp_types::{Diagnostic, Range};
use std::path::PathBuf;

/// Books of so many bytes are understood again about as fast as a first word is found, 128 KiB: some seven hundred rows.
/// Common practice.
const LARGE: usize = 128 << 10;

impl Server {
    /// What can be said at once of large rulebooks that changed. The whole truth follows with [`Server::settle`].
    pub fn glance(&mut self) -> Vec<Message> {
        if !self.dirty {
            return Vec::new();
        }
        let large = |document: &&Document| document.is_unread() && document.source.text().len() >= LARGE;
        let unread = self.documents.iter().filter(|(_, document)| large(document));
        let words: Vec<(PathBuf, Vec<Diagnostic>)> =
            unread.filter_map(|(key, document)| Some((key.clone(), self.first_word(key, document)?))).collect();
        let mut out = Vec::new();
        for (key, word) in words {
            let (Some(document), Some(last)) = (self.documents.get(&key), self.published.get_mut(&key)) else {
                continue;
            };
            *last = (document.uri.clone(), Some(document.version), word);
            out.push(published(&last.0, last.1, last.2.clone()));
        }
        out
    }

    fn first_word(&self, key: &PathBuf, document: &Document) -> Option<Vec<Diagnostic>> {
        let (read, glance) = document.glance()?;
        let (_, _, said) = self.published.get(key)?;
        let mut map = Map::new(&self.documents, self.encoding, self.shipped.as_deref());
        let home = publish::home(&document.source);
        let unreadable: Vec<Diagnostic> =
            read.findings.iter().map(|finding| map.diagnostic(finding, &home).1).collect();
        let before = read.tree.source.text();
        let span = |bytes: &std::ops::Range<usize>| Span::new(bytes.start, bytes.end);
        let then = Lines::new(before, document.encoding).range(before, span(&glance.then));
        let down = Down { then, now: document.range(span(&glance.now)) };
        let mut word: Vec<Diagnostic> = Vec::new();
        for diagnostic in said.iter().filter(|one| !unreadable.contains(one)) {
            let Some(range) = down.moved(diagnostic.range) else { continue };
            let mut diagnostic = Diagnostic { range, ..diagnostic.clone() };
            for related in diagnostic.related_information.iter_mut().flatten() {
                if related.location.uri == document.uri {
                    related.location.range = down.moved(related.location.range).unwrap_or(related.location.range);
                }
            }
            word.push(diagnostic);
        }
        // What cannot be read comes first, as when the whole book is read.
        let mut all: Vec<Diagnostic> = glance.findings.iter().map(|finding| map.diagnostic(finding, &home).1).collect();
        all.extend(word);
        Some(all)
    }
}

/// Where lines went that stand behind lines that were read again.
struct Down {
    then: Range,
    now: Range,
}

impl Down {
    /// Where a range is now; none where it was among the lines that were read again.
    fn moved(&self, mut range: Range) -> Option<Range> {
        if range.end.line < self.then.start.line {
            return Some(range);
        }
        if range.start.line < self.then.end.line {
            return None;
        }
        for position in [&mut range.start, &mut range.end] {
            position.line = (position.line - self.then.end.line).saturating_add(self.now.end.line);
        }
        Some(range)
    }
}

#[cfg(test)]
mod tests;
