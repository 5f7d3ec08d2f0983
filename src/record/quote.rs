//! Finds the quotation mark that was left open, where the next one, lines below, closes it and hides what is between.

use granit_parser::{ErrorKind, Options, Parser};

use super::unreadable::line_start;

/// The mark left open before a byte at which the lenient reader gave up: the strict one stops already where quoted text
/// goes on in a line that is not indented further than its key.
pub(super) fn left_open(text: &str, at: usize, options: Options) -> Option<usize> {
    let mut options = options;
    options.strict_indentation = true;
    let error = Parser::new_from_str_with_options(text, options).find_map(Result::err)?;
    if *error.kind() != ErrorKind::InvalidQuotedScalarIndent {
        return None;
    }
    let line = line_start(text, text.floor_char_boundary(error.marker().byte_offset()?));
    let before = text.get(..line.min(at))?;
    before.rmatch_indices(['"', '\'']).map(|(mark, _)| mark).find(|mark| begins_text(before, *mark))
}

/// Whether text may begin at a byte: nothing stands before it that it would belong to.
fn begins_text(text: &str, at: usize) -> bool {
    text.get(..at).is_none_or(|before| before.is_empty() || before.ends_with([' ', '\t', '\n', '[', '{', ',', ':']))
}
