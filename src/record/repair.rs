//! Puts right what can only have been meant one way, so that the lines around a slip are read, and keeps the way back from what is
//! read to what was written. Refuses to hide a slip: each is said.

use super::sheet::{Branch, Scalar, Sheet, TextRef, Token};
use super::unreadable::{Mistake, Reason, Stop, has_tab_before_text, indentation, line_above, line_start};
use crate::finding::Finding;
use crate::text::{Place, Source, Span};
use std::borrow::Cow;
use std::ops::Range;

/// A slip in the layout of a line that can only have been meant one way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Slip {
    /// `key:value`.
    BlankMissing,
    /// A key with lines below it and no colon.
    ColonMissing,
    /// So many blanks before a line, and so many before both its neighbours, two more or further.
    Outdented(usize, usize),
    /// So many blanks before a line, one less than before its neighbours.
    Short(usize),
    /// So many blanks before a line, one more than before its neighbours.
    Far(usize),
    /// `? key: value`.
    Question,
    /// A tab before a line, where so many blanks belong.
    Tab(usize),
}

/// What is put in place of so many bytes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Edit {
    pub(super) at: usize,
    pub(super) removed: usize,
    pub(super) put: Cow<'static, str>,
}

/// A slip, the bytes it is about, and what puts it right.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Repair {
    pub(super) slip: Slip,
    pub(super) span: Span,
    pub(super) edit: Edit,
}

impl Repair {
    /// The line as it should be written, without what hangs behind it as a remark.
    pub(super) fn line(&self, text: &str) -> String {
        let start = line_start(text, self.edit.at);
        let line = line_at(text, start);
        let at = self.edit.at - start;
        let before = line.get(..at).unwrap_or("");
        let behind = line.get(at + self.edit.removed..).unwrap_or("");
        let whole = format!("{before}{}{behind}", self.edit.put);
        whole.split(" #").next().unwrap_or("").trim_end().to_owned()
    }
}

/// A text that was put right in places, and where each of its bytes was written.
pub(super) struct Repaired {
    pub(super) source: Source,
    /// For each byte that is read, and the end, the byte that was written; none while nothing was put right.
    written: Option<Vec<u32>>,
}

impl Repaired {
    pub(super) fn new(source: &Source) -> Repaired {
        Repaired { source: source.clone(), written: None }
    }

    /// The byte that was written.
    fn back(&self, at: u32) -> u32 {
        match &self.written {
            Some(written) => written.get(at as usize).or(written.last()).copied().unwrap_or(at),
            None => at,
        }
    }

    fn span(&self, span: Span) -> Span {
        Span { start: self.back(span.start), end: self.back(span.end) }
    }

    /// Where a line that is read was written.
    pub(super) fn written(&self, at: usize) -> usize {
        u32::try_from(at).map_or(at, |at| self.back(at) as usize)
    }

    /// Puts one thing right, in the source and in the text with what was left out of it.
    pub(super) fn put_right(&mut self, edit: &Edit, text: &mut String, left_out: &mut [Range<usize>]) {
        let range = edit.at..edit.at + edit.removed;
        let mut whole = self.source.text().to_owned();
        let length = u32::try_from(whole.len()).unwrap_or(u32::MAX);
        let written = self.written.get_or_insert_with(|| (0..=length).collect());
        let here = written.get(edit.at).copied().unwrap_or(length);
        written.splice(range.clone(), std::iter::repeat_n(here, edit.put.len()));
        whole.replace_range(range.clone(), &edit.put);
        text.replace_range(range, &edit.put);
        self.source = Source::new(self.source.name(), whole);
        for range in left_out.iter_mut().filter(|range| range.start >= edit.at) {
            range.start = range.start + edit.put.len() - edit.removed;
            range.end = range.end + edit.put.len() - edit.removed;
        }
    }

    /// A finding about what was read, as one about what was written.
    pub(super) fn finding(&self, mut finding: Finding, source: &Source) -> Finding {
        if self.written.is_some() {
            let back = |place: &mut Place| *place = source.place(self.span(place.span));
            finding.place.iter_mut().for_each(|(place, _)| back(place));
            finding.because.iter_mut().for_each(|(place, _)| back(place));
        }
        finding
    }

    /// A sheet of what was read, as one of what was written.
    pub(super) fn sheet(&self, mut sheet: Sheet, source: &Source) -> Sheet {
        if self.written.is_some() {
            for token in &mut sheet.tape {
                *token = match *token {
                    Token::Map(branch) => Token::Map(Branch { span: self.span(branch.span), ..branch }),
                    Token::List(branch) => Token::List(Branch { span: self.span(branch.span), ..branch }),
                    Token::Scalar(scalar) => {
                        let text = match scalar.text {
                            TextRef::Written(span) => TextRef::Written(self.span(span)),
                            stored @ TextRef::Stored(_) => stored,
                        };
                        Token::Scalar(Scalar { span: self.span(scalar.span), text, ..scalar })
                    }
                };
            }
            sheet.source = source.clone();
        }
        sheet
    }
}

/// A key that a value was written against, where YAML takes the two for one text: the text is a value in a line of its own, or a key
/// with a bracket inside.
pub(super) fn joined(text: &str, at: usize) -> Option<Repair> {
    let line = line_start(text, at);
    blank_missing(text, line).filter(|repair| repair.edit.at > at && repair.span.start as usize == at)
}

/// What puts a mistake right, where it can only have been meant one way.
pub(super) fn of(text: &str, mistake: &Mistake) -> Option<Repair> {
    let at = mistake.span.start as usize;
    let reason = match mistake.stop {
        Stop::Text(reason) => reason,
        Stop::Tab(line) => return tab(text, line),
        Stop::Deep => return None,
    };
    if reason == Reason::Question {
        return question(text, at);
    }
    let layout = matches!(
        reason,
        Reason::Indentation
            | Reason::IndentedFurther
            | Reason::Joined
            | Reason::ColonMissing
            | Reason::ColonTwice
            | Reason::KeyExpected
            | Reason::ItemExpected
            | Reason::CommentInside
            | Reason::Other
    );
    if !layout {
        return None;
    }
    let here = line_start(text, at);
    let above = line_above(text, at);
    let lines = || std::iter::once(here).chain(above);
    lines()
        .find_map(|line| blank_missing(text, line))
        .or_else(|| lines().find_map(|line| colon_missing(text, line)))
        .or_else(|| lines().find_map(|line| outdented(text, line)))
        .or_else(|| one_off(text, here, above?))
}

/// A line that begins with `?`, where a byte is in it.
pub(super) fn question(text: &str, at: usize) -> Option<Repair> {
    let start = line_start(text, at);
    let mark = start + indentation(text, start);
    let rest = text.get(mark..)?.strip_prefix('?')?;
    let blanks = rest.len() - rest.trim_start_matches(' ').len();
    // What is a map of its own, or goes on in a line of its own, was meant as a key.
    let (_, end) = key(text, mark + 1 + blanks)?;
    text.get(end..)?.strip_prefix(':').filter(|_| blanks > 0)?;
    let span = Span::new(mark, mark + 1);
    Some(Repair { slip: Slip::Question, span, edit: Edit { at: mark, removed: 1 + blanks, put: "".into() } })
}

/// The key a line begins with, and where it ends; none where the line begins otherwise.
fn key(text: &str, line: usize) -> Option<(usize, usize)> {
    let begin = line + indentation(text, line);
    let rest = text.get(begin..)?;
    let begin =
        if rest.starts_with("- ") { begin + rest.len() - rest.get(1..)?.trim_start_matches(' ').len() } else { begin };
    let rest = text.get(begin..)?;
    let length = rest.find(|letter: char| !letter.is_alphanumeric() && letter != '_').unwrap_or(rest.len());
    (length > 0).then_some((begin, begin + length))
}

/// `key:value`; not a time of day, nor an address.
fn blank_missing(text: &str, line: usize) -> Option<Repair> {
    let (begin, end) = key(text, line)?;
    let value = text.get(end..)?.strip_prefix(':')?;
    let starts = |letter: char| !letter.is_whitespace() && !matches!(letter, ':' | '/' | '\\');
    let is_key = text.get(begin..end)?.contains(|letter: char| !letter.is_ascii_digit());
    // `1:{ width: 2 mm }` begins with a place; `9:1` is a ratio.
    let held = value.starts_with(['{', '[', '"', '\'']);
    (value.starts_with(starts) && (is_key || held)).then(|| Repair {
        slip: Slip::BlankMissing,
        span: Span::new(begin, line + line_at(text, line).trim_end().len()),
        edit: Edit { at: end + 1, removed: 0, put: " ".into() },
    })
}

/// A word alone in its line, with lines indented further below it.
fn colon_missing(text: &str, line: usize) -> Option<Repair> {
    let (begin, end) = key(text, line)?;
    let rest = text.get(end..)?.split('\n').next()?.trim();
    let below = next_line(text, line)?;
    let alone = rest.is_empty() || rest.starts_with('#');
    let holds = indentation(text, below) > indentation(text, line) && line_at(text, below).contains(':');
    (alone && holds && text.as_bytes().get(end) != Some(&b'#')).then(|| Repair {
        slip: Slip::ColonMissing,
        span: Span::new(begin, end),
        edit: Edit { at: end, removed: 0, put: ":".into() },
    })
}

/// A line that stands one blank beside the lines it belongs with.
fn one_off(text: &str, here: usize, above: usize) -> Option<Repair> {
    let (own, other) = (indentation(text, here), indentation(text, above));
    if own == other + 1 {
        // One of the two lines stands wrong: the one that has fewer neighbours as far in as itself.
        let (near, further) = beside(text, above, own);
        return Some(if further > near { short(text, above) } else { far(text, here) });
    }
    // Whether it is one less than a line above that is still open, and one more than another.
    let (mut less, mut more) = (false, false);
    let mut least = other;
    let mut levels = Vec::new();
    let mut line = Some(above);
    while let Some(start) = line.filter(|_| least + 1 >= own) {
        levels.push(least);
        less |= least == own + 1;
        more |= least + 1 == own;
        if least == 0 {
            break;
        }
        line = line_above(text, start);
        least = least.min(line.map_or(0, |line| indentation(text, line)));
    }
    // Where both may be, what hangs below it tells: it is as far in as what hangs below its neighbours.
    let held = held_by(text, here).and_then(|held| levels.into_iter().find(|level| *level < held));
    match (less, more) {
        (true, true) if held.is_some_and(|level| level < own) => Some(far(text, here)),
        (true, _) => Some(short(text, here)),
        (false, true) => Some(far(text, here)),
        (false, false) => None,
    }
}

/// A line with its value that stands further out than the lines it belongs with, by two blanks or more.
fn outdented(text: &str, line: usize) -> Option<Repair> {
    let (before, next) = (line_above(text, line)?, next_line(text, line)?);
    let (all, blanks) = (indentation(text, next), indentation(text, line));
    // It is the first below a key, or stands between two as far in as each other.
    let level = indentation(text, before);
    let between = if opens(text, before) { level < all } else { level == all };
    if !between || blanks + 1 >= all || opens(text, line) || key(text, line).is_none() {
        return None;
    }
    Some(Repair {
        slip: Slip::Outdented(blanks, all),
        span: word(text, line + blanks),
        edit: Edit { at: line, removed: 0, put: " ".repeat(all - blanks).into() },
    })
}

/// Whether a line is a key without a value beside it.
pub(super) fn opens(text: &str, line: usize) -> bool {
    line_at(text, line).split(" #").next().is_some_and(|line| line.trim_end().ends_with(':'))
}

/// How far in the lines are that hang below a key without a value.
fn held_by(text: &str, line: usize) -> Option<usize> {
    next_line(text, line).filter(|_| opens(text, line)).map(|below| indentation(text, below))
}

/// A line indented by tabs among lines indented by blanks: as far in as what hangs below it tells, or as both its neighbours.
fn tab(text: &str, line: usize) -> Option<Repair> {
    let plain = |line: usize| !has_tab_before_text(line_at(text, line));
    let blanks = line_at(text, line);
    let blanks = blanks.len() - blanks.trim_start_matches([' ', '\t']).len();
    let (above, below) = (line_above(text, line), next_line(text, line).filter(|below| plain(*below)));
    let own = if opens(text, line) {
        let held = indentation(text, below?);
        let mut level = above;
        while let Some(start) = level.filter(|start| !plain(*start) || indentation(text, *start) >= held) {
            level = line_above(text, start);
        }
        let outer = indentation(text, level?);
        if level == above && opens(text, above?) {
            // The first in its map: as far in as the next of it, or anywhere between.
            let mut next = below;
            while let Some(start) = next.filter(|start| indentation(text, *start) >= held) {
                next = next_line(text, start);
            }
            let next = next.map(|next| indentation(text, next)).filter(|next| *next > outer);
            next.unwrap_or((outer + held).div_ceil(2))
        } else {
            outer
        }
    } else {
        // Under a key without a value, what comes next tells; else both neighbours must agree.
        let before = indentation(text, above.filter(|above| plain(*above))?);
        let next = indentation(text, below?);
        (if opens(text, above?) { next > before } else { next == before }).then_some(next)?
    };
    let tab = line + line_at(text, line).find('\t')?;
    (own > 0).then(|| Repair {
        slip: Slip::Tab(own),
        span: Span::new(tab, tab + 1),
        edit: Edit { at: line, removed: blanks, put: " ".repeat(own).into() },
    })
}

/// How many lines of the map that a line stands in are as far in as it, and how many are in by so many blanks.
fn beside(text: &str, line: usize, further: usize) -> (usize, usize) {
    let own = indentation(text, line);
    let mut counts = (1, 0);
    // What comes before tells most: it was read already.
    let mut above = line_above(text, line);
    while let Some(start) = above.filter(|start| count_of(&mut counts, text, *start, (own, further))) {
        above = line_above(text, start);
    }
    let mut below = next_line(text, line);
    while let Some(start) = below.filter(|start| count_of(&mut counts, text, *start, (own, further))) {
        below = next_line(text, start);
    }
    counts
}

/// Counts a line; whether it still stands in the map.
fn count_of(counts: &mut (usize, usize), text: &str, line: usize, (own, further): (usize, usize)) -> bool {
    let blanks = indentation(text, line);
    counts.0 += usize::from(blanks == own);
    counts.1 += usize::from(blanks == further);
    blanks >= own
}

fn short(text: &str, line: usize) -> Repair {
    let blanks = indentation(text, line);
    Repair {
        slip: Slip::Short(blanks),
        span: word(text, line + blanks),
        edit: Edit { at: line, removed: 0, put: " ".into() },
    }
}

fn far(text: &str, line: usize) -> Repair {
    let blanks = indentation(text, line);
    Repair {
        slip: Slip::Far(blanks),
        span: word(text, line + blanks),
        edit: Edit { at: line, removed: 1, put: "".into() },
    }
}

fn word(text: &str, at: usize) -> Span {
    let rest = text.get(at..).unwrap_or("");
    Span::new(at, at + rest.find(char::is_whitespace).unwrap_or(rest.len()))
}

fn line_at(text: &str, start: usize) -> &str {
    text.get(start..).and_then(|rest| rest.split('\n').next()).unwrap_or("")
}

/// Where the next line below begins that has text and is not a remark.
fn next_line(text: &str, line: usize) -> Option<usize> {
    let mut start = line + line_at(text, line).len() + 1;
    while start < text.len() {
        let here = line_at(text, start);
        if !here.trim().is_empty() && !here.trim_start().starts_with('#') {
            return Some(start);
        }
        start += here.len() + 1;
    }
    None
}
