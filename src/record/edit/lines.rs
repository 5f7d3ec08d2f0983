//! Lines and columns of a text that is edited. Refuses to know what stands in them.

use std::ops::Range;

/// A piece of a text; nothing where the range is not one of whole letters.
pub(super) fn piece(text: &str, range: Range<usize>) -> &str {
    text.get(range).unwrap_or("")
}

/// The first byte of the line of a byte, a byte order mark not counted.
pub(super) fn start(text: &str, at: usize) -> usize {
    let start = piece(text, 0..at).rfind('\n').map_or(0, |end| end + 1);
    if start == 0 && text.starts_with('\u{feff}') { '\u{feff}'.len_utf8().min(at) } else { start }
}

/// The byte past the last letter of the line of a byte, before what ends the line.
pub(super) fn end(text: &str, at: usize) -> usize {
    let rest = piece(text, at..text.len());
    let line = rest.split('\n').next().unwrap_or("");
    at + line.strip_suffix('\r').unwrap_or(line).len()
}

/// The first byte of the line below that of a byte, or the end of the text.
pub(super) fn next(text: &str, at: usize) -> usize {
    piece(text, at..text.len()).find('\n').map_or(text.len(), |end| at + end + 1)
}

/// How many letters stand before a byte in its line.
pub(super) fn column(text: &str, at: usize) -> usize {
    piece(text, start(text, at)..at).chars().count()
}

/// Whether nothing but blanks stands before a byte in its line.
pub(super) fn begins(text: &str, at: usize) -> bool {
    is_blank(piece(text, start(text, at)..at))
}

/// Whether a text is nothing but blanks.
pub(super) fn is_blank(text: &str) -> bool {
    text.trim_matches([' ', '\t', '\r', '\n']).is_empty()
}

/// How many bytes of blanks a text begins with.
pub(super) fn blanks(text: &str) -> usize {
    text.len() - text.trim_start_matches([' ', '\t']).len()
}
