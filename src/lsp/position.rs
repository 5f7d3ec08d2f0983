//! Lines and columns as an editor counts them, in bytes or in UTF-16 code units, against bytes of a text. Refuses to fail: a
//! position that is not there means the nearest that is.

use crate::text::Span;
use lsp_types::{Position, PositionEncodingKind, Range};

/// What a column counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Encoding {
    /// Bytes.
    Utf8,
    /// UTF-16 code units: what counts where nobody says anything.
    #[default]
    Utf16,
}

impl Encoding {
    /// The first of those a client offers that is known here.
    #[must_use]
    pub(super) fn agreed(offered: &[PositionEncodingKind]) -> Encoding {
        let known = offered.iter().find_map(|kind| match kind.as_str() {
            "utf-8" => Some(Encoding::Utf8),
            "utf-16" => Some(Encoding::Utf16),
            _ => None,
        });
        known.unwrap_or_default()
    }

    /// Its name in the protocol.
    #[must_use]
    pub(super) fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    fn width(self, letter: char) -> usize {
        match self {
            Encoding::Utf8 => letter.len_utf8(),
            Encoding::Utf16 => letter.len_utf16(),
        }
    }
}

/// Where the lines of a text begin. A line ends with a line feed, a carriage return, or both.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    starts: Vec<usize>,
    encoding: Encoding,
}

impl Lines {
    /// The lines of a text.
    #[must_use]
    pub(super) fn new(text: &str, encoding: Encoding) -> Lines {
        let mut starts = vec![0];
        let bytes = text.as_bytes();
        for (at, byte) in bytes.iter().enumerate() {
            let ends = match byte {
                b'\n' => true,
                b'\r' => bytes.get(at + 1) != Some(&b'\n'),
                _ => false,
            };
            if ends {
                starts.push(at + 1);
            }
        }
        Lines { starts, encoding }
    }

    /// The text of a line, without what ends it, and where it begins.
    fn line<'a>(&self, text: &'a str, line: usize) -> (usize, &'a str) {
        let start = self.starts.get(line).copied().unwrap_or(text.len());
        let end = self.starts.get(line + 1).copied().unwrap_or(text.len());
        (start, text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r']))
    }

    /// The byte a position means. Past the end of a line it is the line's end, past the last line the text's end; inside a
    /// letter it is the letter's beginning.
    #[must_use]
    pub(super) fn offset(&self, text: &str, position: Position) -> usize {
        let line = position.line as usize;
        if line >= self.starts.len() {
            return text.len();
        }
        let (start, words) = self.line(text, line);
        let mut left = position.character as usize;
        for (offset, letter) in words.char_indices() {
            let width = self.encoding.width(letter);
            if width > left || left == 0 {
                return start + offset;
            }
            left -= width;
        }
        start + words.len()
    }

    /// The position of a byte.
    #[must_use]
    pub(super) fn position(&self, text: &str, offset: usize) -> Position {
        let offset = text.floor_char_boundary(offset.min(text.len()));
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let (start, words) = self.line(text, line);
        let before = words.get(..offset - start).unwrap_or(words);
        let column: usize = before.chars().map(|letter| self.encoding.width(letter)).sum();
        Position::new(number(line), number(column))
    }

    /// The range of a span.
    #[must_use]
    pub(super) fn range(&self, text: &str, span: Span) -> Range {
        Range::new(self.position(text, span.start as usize), self.position(text, span.end as usize))
    }

    /// The bytes of a range, whichever end is named first.
    #[must_use]
    pub(super) fn bytes(&self, text: &str, range: Range) -> std::ops::Range<usize> {
        let (one, other) = (self.offset(text, range.start), self.offset(text, range.end));
        one.min(other)..one.max(other)
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\u{feff}µm: 1\r\n\t°C 🛠x\rlast\n";

    #[test]
    fn each_encoding_counts_its_own_units() {
        let wrench = TEXT.find('x').unwrap_or(0);
        let at = |encoding| Lines::new(TEXT, encoding).position(TEXT, wrench);
        // A tab, two for the degree sign, C, a blank, four for the wrench; in UTF-16 one, one, one, one and two.
        assert_eq!(at(Encoding::Utf8), Position::new(1, 9));
        assert_eq!(at(Encoding::Utf16), Position::new(1, 6));
    }

    #[test]
    fn every_letter_is_found_again() {
        for encoding in [Encoding::Utf8, Encoding::Utf16] {
            let lines = Lines::new(TEXT, encoding);
            for (offset, letter) in TEXT.char_indices().filter(|(_, letter)| !matches!(letter, '\r' | '\n')) {
                assert_eq!(lines.offset(TEXT, lines.position(TEXT, offset)), offset, "{letter:?}");
            }
            assert_eq!(lines.position(TEXT, TEXT.len()), Position::new(3, 0));
        }
    }

    #[test]
    fn what_is_not_there_is_the_nearest_that_is() {
        let lines = Lines::new(TEXT, Encoding::Utf16);
        let end_of_first = TEXT.find('\r').unwrap_or(0);
        assert_eq!(lines.offset(TEXT, Position::new(0, 999)), end_of_first);
        assert_eq!(lines.offset(TEXT, Position::new(99, 0)), TEXT.len());
        assert_eq!(lines.offset(TEXT, Position::new(u32::MAX, u32::MAX)), TEXT.len());
        // Between the two halves of the wrench.
        assert_eq!(lines.offset(TEXT, Position::new(1, 5)), TEXT.find('🛠').unwrap_or(0));
        let backwards = Range::new(Position::new(2, 4), Position::new(2, 0));
        assert_eq!(TEXT.get(lines.bytes(TEXT, backwards)), Some("last"));
    }

    #[test]
    fn the_first_encoding_known_here_is_agreed() {
        let offered = ["utf-32", "utf-8", "utf-16"].map(PositionEncodingKind::new);
        assert_eq!(Encoding::agreed(&offered), Encoding::Utf8);
        assert_eq!(Encoding::agreed(&[]), Encoding::Utf16);
    }
}
