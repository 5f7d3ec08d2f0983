//! Text as it stands on disk, and places in it. Knows bytes, lines and columns; refuses to know what the text means.

use std::sync::{Arc, OnceLock};

/// Whether two names differ in capitals at most.
#[must_use]
pub fn same_letters(one: &str, other: &str) -> bool {
    one.chars().flat_map(char::to_lowercase).eq(other.chars().flat_map(char::to_lowercase))
}

/// The only one of `all` whose name is `name`, or, where none is, that differs from it in capitals at most.
pub fn named_alike<T>(all: impl Iterator<Item = T> + Clone, name: &str, name_of: impl Fn(&T) -> &str) -> Option<T> {
    if let Some(exact) = all.clone().find(|one| name_of(one) == name) {
        return Some(exact);
    }
    let mut alike = all.filter(|one| same_letters(name_of(one), name));
    let first = alike.next()?;
    alike.next().is_none().then_some(first)
}

/// A half-open range of byte offsets in one source: 8 bytes, carried by every tree node and reading.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The span from `start` up to, not including, `end`. Offsets past 4 GiB are clamped: no source is that large.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Span {
        let clamp = |offset: usize| u32::try_from(offset).unwrap_or(u32::MAX);
        Span { start: clamp(start), end: clamp(end.max(start)) }
    }

    /// The smallest span that covers both.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The byte range, for slicing.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// Length in bytes.
    #[must_use]
    pub fn len(self) -> usize {
        (self.end - self.start) as usize
    }

    /// Whether nothing is covered.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.end <= self.start
    }
}

/// One file as read: its name as the user would say it, and its text exactly as it stood on disk.
///
/// Cloning is cheap: the text is shared.
#[derive(Clone)]
pub struct Source(Arc<Inner>);

struct Inner {
    name: String,
    text: String,
    line_starts: OnceLock<Vec<usize>>,
}

/// A line and column, both counted from 1; the column counts characters, as an editor's status line does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LineColumn {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Source {
    /// A source with a name to show and its text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Source {
        Source(Arc::new(Inner { name: name.into(), text: text.into(), line_starts: OnceLock::new() }))
    }

    /// The name to show: a path, or words such as `shipped parts.rulebook`.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.0.text
    }

    /// The text of a span; empty where the span is not inside this source on character boundaries.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.0.text.get(span.range()).unwrap_or("")
    }

    /// The place of a span in this source.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        Place { source: self.clone(), span }
    }

    fn line_starts(&self) -> &[usize] {
        self.0.line_starts.get_or_init(|| {
            let mut starts = vec![0];
            starts.extend(self.0.text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1));
            starts
        })
    }

    /// Line and column of a byte offset. An offset past the end is the end.
    #[must_use]
    pub fn line_column(&self, offset: usize) -> LineColumn {
        let offset = offset.min(self.0.text.len());
        let starts = self.line_starts();
        let line = starts.partition_point(|start| *start <= offset).max(1);
        let start = starts.get(line - 1).copied().unwrap_or(0);
        let before = self.0.text.get(start..offset).unwrap_or("");
        let column = before.chars().filter(|letter| *letter != '\u{feff}').count() + 1;
        LineColumn { line, column }
    }

    /// Whether two handles are the same reading of the same file.
    #[must_use]
    pub fn is_same(&self, other: &Source) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl std::fmt::Debug for Source {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "Source({:?}, {} bytes)", self.0.name, self.0.text.len())
    }
}

impl PartialEq for Source {
    fn eq(&self, other: &Source) -> bool {
        self.is_same(other) || (self.0.name == other.0.name && self.0.text == other.0.text)
    }
}

/// A span together with the source it is in: what outlives the reading of its file.
#[derive(Clone, PartialEq, Debug)]
pub struct Place {
    /// The file.
    pub source: Source,
    /// Where in it.
    pub span: Span,
}

impl Place {
    /// The text at the place.
    #[must_use]
    pub fn text(&self) -> &str {
        self.source.slice(self.span)
    }

    /// Line and column where the place begins.
    #[must_use]
    pub fn line_column(&self) -> LineColumn {
        self.source.line_column(self.span.start as usize)
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let at = self.line_column();
        write!(formatter, "{}:{}:{}", self.source.name(), at.line, at.column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_skip_a_byte_order_mark() {
        let source = Source::new("a", "\u{feff}µm: 1\r\nnext\n");
        assert_eq!(source.line_column(3), LineColumn { line: 1, column: 1 });
        assert_eq!(source.line_column(5), LineColumn { line: 1, column: 2 });
        let next = source.text().find("next").unwrap_or(0);
        assert_eq!(source.line_column(next), LineColumn { line: 2, column: 1 });
        assert_eq!(source.line_column(9999).line, 3);
    }

    #[test]
    fn a_span_off_the_text_slices_to_nothing() {
        let source = Source::new("a", "µ");
        assert_eq!(source.slice(Span::new(0, 1)), "");
        assert_eq!(source.slice(Span::new(0, 2)), "µ");
        assert_eq!(source.slice(Span::new(5, 9)), "");
    }
}
