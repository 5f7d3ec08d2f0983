//! Where in a line of a rulebook the cursor is, and which books a `use` may name. Refuses to read a book.

use super::seen::Seen;
use crate::disk;
use crate::shop::shipped;

/// What of a line the cursor is in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Within {
    /// Something the language reads.
    Line,
    /// A remark.
    Remark,
    /// Words between quotation marks, or the place for them after `use`.
    Words {
        /// Whether they name a shipped book; `None` if they name no book.
        use_of: Option<bool>,
        /// How many bytes of them are written.
        begun: usize,
        /// Whether the first quotation mark is written.
        quoted: bool,
    },
}

/// Where a line of a book ends that is not written to its end.
pub(super) fn within(line: &str) -> Within {
    let mut opened = None;
    let mut escaped = false;
    for (at, letter) in line.char_indices() {
        match letter {
            _ if escaped => escaped = false,
            '\\' if opened.is_some() => escaped = true,
            '"' => opened = if opened.is_some() { None } else { Some(at) },
            '#' if opened.is_none() => return Within::Remark,
            _ => {}
        }
    }
    let before = line.get(..opened.unwrap_or(line.len())).unwrap_or("");
    let mut said = before.split_whitespace();
    let use_of = match (said.next(), said.next(), said.next()) {
        (Some("use"), None, _) => Some(false),
        (Some("use"), Some("shipped"), None) => Some(true),
        _ => None,
    };
    match opened {
        Some(at) => Within::Words { use_of, begun: line.len() - at - 1, quoted: true },
        // A word that is just being written may be another.
        None if use_of.is_some() && before.ends_with([' ', '\t']) => Within::Words { use_of, begun: 0, quoted: false },
        None => Within::Line,
    }
}

/// The books that the open one may use: those that come with the program, or those beside it.
pub(super) fn other_books(seen: &Seen, is_shipped: bool) -> Vec<String> {
    if is_shipped {
        return shipped::names().into_iter().map(str::to_owned).collect();
    }
    let folder = disk::folder_of(&seen.document.path);
    let (found, _) = disk::rulebooks_below(&folder);
    let others = found.iter().filter(|path| !disk::is_same(path, &seen.document.path));
    let names = others.filter_map(|path| disk::relative(&folder, path));
    names.map(|path| path.to_string_lossy().replace('\\', "/")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_is_in_words_in_a_remark_or_in_the_line() {
        let words = |use_of, begun, quoted| Within::Words { use_of, begun, quoted };
        for (line, expected) in [
            ("  rotor.width limit 79", Within::Line),
            ("  rotor.width # at the", Within::Remark),
            ("because \"A # in wo", words(None, 9, true)),
            ("because \"A word.\" rem", Within::Line),
            ("because \"A \\\" wo", words(None, 7, true)),
            ("use ", words(Some(false), 0, false)),
            ("use \"par", words(Some(false), 3, true)),
            ("use shipped ", words(Some(true), 0, false)),
            ("use shipped \"", words(Some(true), 0, true)),
            ("use ship", Within::Line),
            ("use \"parts.rulebook\" ", Within::Line),
        ] {
            assert_eq!(within(line), expected, "{line}");
        }
    }
}
