//! Puts blanks in place of what is no YAML, byte for byte, so that the rest can be read and no place moves.

use std::ops::Range;

use crate::text::Span;

use super::unreadable::{has_tab_before_text, line_start};

/// The line of a byte, or the last line above it that has text, with the lines below it that are indented further.
/// Where the mistake is further down, all lines down to it. Nothing where there is no text to leave out.
pub(super) fn broken(text: &str, at: usize, mistake: Span) -> Option<Range<usize>> {
    let first = block(text, at)?;
    let mistake = mistake.start as usize;
    if mistake < first.end {
        return Some(first);
    }
    let end = block(text, mistake).map_or(first.end, |last| last.end.max(first.end));
    Some(first.start..end)
}

fn block(text: &str, at: usize) -> Option<Range<usize>> {
    let mut start = line_start(text, at.min(text.len()));
    loop {
        let line = text.get(start..)?.split_inclusive('\n').next().unwrap_or("");
        if !line.trim().is_empty() {
            break;
        }
        start = line_start(text, start.checked_sub(1)?);
    }
    let mut lines = text.get(start..)?.split_inclusive('\n');
    let first = lines.next()?;
    let least = indentation(first);
    let mut end = start + first.len();
    let mut reached = end;
    for line in lines {
        reached += line.len();
        if line.trim().is_empty() {
            continue;
        }
        if indentation(line) <= least {
            break;
        }
        end = reached;
    }
    Some(start..end)
}

fn indentation(line: &str) -> usize {
    line.len() - line.trim_start_matches([' ', '\t', '\u{feff}']).len()
}

/// The line that begins at a byte.
pub(super) fn line(text: &str, start: usize) -> Range<usize> {
    let length = text.get(start..).and_then(|rest| rest.split_inclusive('\n').next()).map_or(0, str::len);
    start..start + length
}

/// How many lines with text there are in a range, remarks not counted.
pub(super) fn lines(text: &str, range: &Range<usize>) -> usize {
    let written = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    text.get(range.clone()).unwrap_or("").split('\n').filter(written).count()
}

/// Puts a space in place of every byte of a range that ends no line.
pub(super) fn blank(text: &str, range: &Range<usize>) -> String {
    let mut blanked = String::with_capacity(text.len());
    blanked.push_str(text.get(..range.start).unwrap_or(""));
    let within = text.get(range.clone()).unwrap_or("").bytes();
    blanked.extend(within.map(|byte| if byte == b'\n' || byte == b'\r' { char::from(byte) } else { ' ' }));
    blanked.push_str(text.get(range.end..).unwrap_or(""));
    blanked
}

/// A text whose lines are indented by tabs and nothing else, with a space in place of each such tab. Nothing where tabs
/// and spaces are mixed, so that a tab cannot be said to be as wide as anything.
pub(super) fn tabs_as_spaces(text: &str) -> Option<String> {
    let mixed = text.split('\n').any(|line| {
        let blanks = line.len() - line.trim_start_matches([' ', '\t']).len();
        line.get(..blanks).is_some_and(|blanks| blanks.contains(' ')) && !line.trim().is_empty()
    });
    if mixed {
        return None;
    }
    let mut spaced = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let rest = line.trim_start_matches('\t');
        spaced.extend(std::iter::repeat_n(' ', line.len() - rest.len()));
        spaced.push_str(rest);
    }
    Some(spaced)
}

/// How many lines have a tab before their text.
pub(super) fn lines_with_tab(text: &str) -> usize {
    text.split('\n').filter(|line| has_tab_before_text(line)).count()
}
