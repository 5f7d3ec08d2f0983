//! The few lines of text around the places of a finding, made safe to print, with every place found again in them.
//! Refuses to know why the places matter.
//!
//! The lines of several files stand one after the other in one text. Each run of lines is a piece with its own file
//! name, and a drawing of one piece never runs into the next.

use super::style::{self, Look};
use crate::text::{Place, Source};
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::ops::Range;

/// Columns between the stops of a tab.
const TAB: usize = 4;

/// A place in the excerpt.
#[derive(Debug)]
pub(super) struct Mark {
    /// Bytes of the excerpt's text.
    pub(super) span: Range<usize>,
    /// Which of the places given.
    pub(super) place: usize,
    /// Line in its file, from 1.
    line: usize,
    /// Column in its file, from 1.
    column: usize,
}

/// Lines of one file that follow each other.
#[derive(Debug)]
struct Piece {
    name: String,
    first_line: usize,
    lines: usize,
    span: Range<usize>,
}

/// The lines around some places.
#[derive(Debug, Default)]
pub(super) struct Excerpt {
    text: String,
    pieces: Vec<Piece>,
    /// Every place, in the order of the text.
    pub(super) marks: Vec<Mark>,
}

/// A place on its line, before anything is drawn.
struct Wanted<'a> {
    place: usize,
    source: &'a Source,
    line: usize,
    column: usize,
    /// Bytes of the file that the line takes, without its end.
    on: Range<usize>,
    /// Bytes of the file to underline, all on this line.
    span: Range<usize>,
}

/// Lines that will be a piece.
struct Group<'a> {
    first: usize,
    last: usize,
    wanted: Vec<Wanted<'a>>,
}

impl Excerpt {
    /// The lines of these places, and the line before the first place: enough to find it again in an editor.
    pub(super) fn of<'a>(places: impl IntoIterator<Item = &'a Place>, look: Look) -> Excerpt {
        let most = look.width.saturating_sub(9).max(20);
        let mut groups: Vec<Group<'_>> = Vec::new();
        for (number, place) in places.into_iter().enumerate() {
            let wanted = wanted(number, place);
            let before = usize::from(number == 0 && wanted.line > 1);
            let (first, last) = (wanted.line - before, wanted.line);
            let joined = groups
                .iter_mut()
                .find(|group| first <= group.last + 1 && group.first <= last + 1 && group.takes(&wanted, most));
            if let Some(group) = joined {
                group.first = group.first.min(first);
                group.last = group.last.max(last);
                group.wanted.push(wanted);
            } else {
                groups.push(Group { first, last, wanted: vec![wanted] });
            }
        }
        let mut excerpt = Excerpt::default();
        for group in groups {
            excerpt.add(group, most, look);
        }
        excerpt
    }

    fn add(&mut self, mut group: Group<'_>, most: usize, look: Look) {
        group.wanted.sort_by_key(|wanted| wanted.span.start);
        let Some(anchor) = group.wanted.first() else { return };
        let source = anchor.source;
        let text = source.text();
        let start = self.text.len();
        let mut at = anchor.on.start;
        for _ in group.first..anchor.line {
            at = line_start(text, at.saturating_sub(1));
        }
        let mut lines = 0;
        for line in group.first..=group.last {
            let on = line_at(text, at);
            let here: Vec<&Wanted<'_>> = group.wanted.iter().filter(|wanted| wanted.line == line).collect();
            self.line(text, on.clone(), &here, most, look);
            lines += 1;
            match text.get(on.end..).and_then(|rest| rest.find('\n')) {
                // The nothing after the last line end is a line only if something is to be shown there.
                Some(end) if on.end + end + 1 < text.len() || group.wanted.iter().any(|w| w.line > line) => {
                    at = on.end + end + 1;
                }
                _ => break,
            }
        }
        let name = style::clean(source.name()).into_owned();
        self.pieces.push(Piece { name, first_line: group.first, lines, span: start..self.text.len() });
    }

    /// Adds one line, made safe, and finds the places on it again.
    fn line(&mut self, text: &str, on: Range<usize>, here: &[&Wanted<'_>], most: usize, look: Look) {
        let whole = text.get(on.clone()).unwrap_or("");
        let focus = here.first().map_or(0..0, |wanted| wanted.span.start - on.start..wanted.span.end - on.start);
        let window = window(whole, focus, most);
        let mut found: Vec<(Option<usize>, Option<usize>)> = vec![(None, None); here.len()];
        let start = self.text.len();
        if window.start > 0 {
            self.text.push_str(look.ellipsis());
        }
        let mut column = style::width(self.text.get(start..).unwrap_or(""));
        let shown = whole.get(window.clone()).unwrap_or("");
        for (offset, letter) in shown.char_indices().map(Some).chain([None]).map(|step| match step {
            Some((offset, letter)) => (offset, Some(letter)),
            None => (shown.len(), None),
        }) {
            let offset = on.start + window.start + offset;
            for (wanted, (first, last)) in here.iter().zip(&mut found) {
                if first.is_none() && offset >= wanted.span.start {
                    *first = Some(self.text.len());
                }
                if last.is_none() && offset >= wanted.span.end {
                    *last = Some(self.text.len());
                }
            }
            match letter {
                Some('\t') => {
                    let stop = TAB - column % TAB;
                    self.text.extend(std::iter::repeat_n(' ', stop));
                    column += stop;
                }
                Some(letter) => {
                    let letter = match (style::is_hidden(letter), look.unicode) {
                        (true, true) => style::picture(letter),
                        (true, false) => '?',
                        (false, _) => letter,
                    };
                    self.text.push(letter);
                    column += style::columns(letter);
                }
                None => {}
            }
        }
        let end = self.text.len();
        if window.end < whole.len() {
            self.text.push_str(look.ellipsis());
        }
        self.text.push('\n');
        for (wanted, (first, last)) in here.iter().zip(found) {
            let span = first.unwrap_or(end)..last.unwrap_or(end);
            self.marks.push(Mark { span, place: wanted.place, line: wanted.line, column: wanted.column });
        }
    }
}

impl Group<'_> {
    /// Whether a place can be drawn among those already here: underlines on one line may not overlap, and a line too
    /// long to be shown whole has room for one.
    fn takes(&self, wanted: &Wanted<'_>, most: usize) -> bool {
        self.wanted.iter().all(|other| {
            let apart = other.span.end < wanted.span.start || wanted.span.end < other.span.start;
            other.source.is_same(wanted.source) && (other.line != wanted.line || (apart && other.on.len() <= most))
        })
    }
}

fn wanted(number: usize, place: &Place) -> Wanted<'_> {
    let text = place.source.text();
    let mut start = (place.span.start as usize).min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let on = line_at(text, start);
    let start = start.clamp(on.start, on.end);
    let end = (place.span.end as usize).clamp(start, on.end);
    let at = place.source.line_column(start);
    Wanted { place: number, source: &place.source, line: at.line, column: at.column, on, span: start..end }
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
        context_before: usize,
        _context_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (start, end) = (span.offset(), span.offset() + span.len());
        // The line end of a piece's last line belongs to no place, so places of two pieces are never taken together.
        let piece = self.pieces.iter().find(|piece| piece.span.start <= start && end < piece.span.end);
        let piece = piece.ok_or(MietteError::OutOfBounds)?;
        let whole: SourceSpan = (piece.span.start, piece.span.len()).into();
        let data = self.text.get(piece.span.clone()).unwrap_or("").as_bytes();
        let mark = self.marks.iter().find(|mark| mark.span.start == start);
        // Asked without lines around it, the place itself is meant, as its file counts.
        let (line, column) = match mark {
            Some(mark) if context_before == 0 => (mark.line, mark.column),
            _ => (piece.first_line, 1),
        };
        let contents =
            MietteSpanContents::new_named(piece.name.clone(), data, whole, line - 1, column - 1, piece.lines);
        Ok(Box::new(contents))
    }
}
