//! The line a place is on, made safe to print, with the place found again in it. Refuses to know why the place matters.

use super::style::{self, Look};
use crate::text::Place;
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::ops::Range;

/// Columns between the stops of a tab.
const TAB: usize = 4;

/// The line of one place, and the line above it where that helps to find it.
#[derive(Debug)]
pub(super) struct Excerpt {
    /// File, line and column, as an editor takes them.
    name: String,
    /// The lines as they are printed, each with its end.
    text: String,
    /// Bytes of `text` that the place takes.
    pub(super) mark: Range<usize>,
    /// Line in its file, from 1.
    line: usize,
    /// Column in its file, from 1.
    column: usize,
}

impl Excerpt {
    /// The line of a place within so many columns; with the line before it if `above` and there is something on it.
    pub(super) fn of(place: &Place, above: bool, most: usize, look: Look) -> Excerpt {
        let text = place.source.text();
        let mut start = (place.span.start as usize).min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let on = line_at(text, start);
        let start = start.clamp(on.start, on.end);
        let end = (place.span.end as usize).clamp(start, on.end);
        let at = place.source.line_column(start);
        let name = format!("{}:{}:{}", style::clean(place.source.name()), at.line, at.column);
        let mut excerpt = Excerpt { name, text: String::new(), mark: 0..0, line: at.line, column: at.column };
        if above && at.line > 1 {
            let before = line_at(text, line_start(text, line_start(text, start).saturating_sub(1)));
            if text.get(before.clone()).is_some_and(|line| !line.trim().is_empty()) {
                excerpt.line(text, before.clone(), before.start..before.start, most, look);
            }
        }
        excerpt.line(text, on, start..end, most, look);
        excerpt
    }

    /// Adds one line, made safe, and finds the place on it again.
    fn line(&mut self, text: &str, on: Range<usize>, place: Range<usize>, most: usize, look: Look) {
        let whole = text.get(on.clone()).unwrap_or("");
        let window = window(whole, place.start - on.start..place.end - on.start, most);
        let begin = self.text.len();
        if window.start > 0 {
            self.text.push_str(look.ellipsis());
        }
        let mut column = style::width(self.text.get(begin..).unwrap_or(""));
        let (mut first, mut last) = (None, None);
        for (offset, letter) in whole.get(window.clone()).unwrap_or("").char_indices() {
            let offset = on.start + window.start + offset;
            if first.is_none() && offset >= place.start {
                first = Some(self.text.len());
            }
            if last.is_none() && offset >= place.end {
                last = Some(self.text.len());
            }
            if letter == '\t' {
                let stop = TAB - column % TAB;
                self.text.extend(std::iter::repeat_n(' ', stop));
                column += stop;
                continue;
            }
            let letter = match (style::is_hidden(letter), look.unicode) {
                (true, true) => style::picture(letter),
                (true, false) => '?',
                (false, _) => letter,
            };
            self.text.push(letter);
            column += style::columns(letter);
        }
        let end = self.text.len();
        if window.end < whole.len() {
            self.text.push_str(look.ellipsis());
        }
        self.text.push('\n');
        self.mark = first.unwrap_or(end)..last.unwrap_or(end);
    }
}

fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1)
}

/// The line an offset is on, without its end and without a byte order mark.
fn line_at(text: &str, at: usize) -> Range<usize> {
    let start = line_start(text, at);
    let rest = text.get(start..).unwrap_or("");
    let line = rest.split('\n').next().unwrap_or("");
    let line = if line.len() < rest.len() { line.strip_suffix('\r').unwrap_or(line) } else { line };
    let mark = if start == 0 && line.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    start + mark..start + line.len()
}

/// The part of a line to show: all of it if it fits, else its beginning if `focus` fits into that, else what stands
/// around `focus`.
fn window(line: &str, focus: Range<usize>, most: usize) -> Range<usize> {
    let wide = |letter: char| if letter == '\t' { TAB } else { style::columns(letter) };
    let fits = |from: usize, room: usize| {
        let mut used = 0;
        for (offset, letter) in line.get(from..).unwrap_or("").char_indices() {
            used += wide(letter);
            if used > room {
                return from + offset;
            }
        }
        line.len()
    };
    if fits(0, most) == line.len() {
        return 0..line.len();
    }
    let beginning = fits(0, most.saturating_sub(1));
    if focus.end <= beginning {
        return 0..beginning;
    }
    let mut lead = 0;
    let before = line.get(..focus.start).unwrap_or("").char_indices().rev().take_while(|(_, letter)| {
        lead += wide(*letter);
        lead <= most / 3
    });
    let start = before.last().map_or(focus.start, |(offset, _)| offset);
    start..fits(start, most.saturating_sub(2))
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _context_before: usize,
        _context_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        if span.offset() + span.len() > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let whole: SourceSpan = (0, self.text.len()).into();
        let (data, lines) = (self.text.as_bytes(), self.text.lines().count());
        let contents = MietteSpanContents::new_named(
            self.name.clone(),
            data,
            whole,
            self.line.saturating_sub(1),
            self.column.saturating_sub(1),
            lines,
        );
        Ok(Box::new(contents))
    }
}
