//! Where every value, colon, comma, dash and comment of a record stands. Refuses to know what is to be changed.

use std::ops::Range;

use granit_parser::{Event, Parser, ScalarStyle, Span as Marked, StructureStyle};

use super::lines;
use crate::record::build::bytes;
use crate::record::{MOST_DEEP, options};

/// What a value is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// Nothing at all is written.
    Empty,
    /// Text on one or more lines, with or without quotes.
    Text,
    /// Lines behind a `|` or `>`.
    Lines,
    Map(Vec<Entry>),
    List(Vec<Entry>),
    /// `*name`.
    Alias,
}

/// What stands before a value or is odd about it, so that it is not edited.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mark {
    Anchor,
    Tag,
    Alias,
    /// `? key`, or a key and its value in a list without braces.
    Unusual,
}

/// A value and where it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Node {
    pub(super) kind: Kind,
    /// From its first byte to its last, brackets, quotes and the sign of a block included.
    pub(super) span: Range<usize>,
    /// Where what is below it may begin: past the blank lines that belong to a block of lines.
    pub(super) tail: usize,
    /// Whether it is written between brackets.
    pub(super) flow: bool,
    pub(super) mark: Option<Mark>,
}

/// A key and its value, or an item.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Entry {
    /// The key; nothing for an item.
    pub(super) key: String,
    /// The first byte of the key, the dash or the item between brackets.
    pub(super) begin: usize,
    /// The byte past the key, the dash or, for an item between brackets, where the item begins.
    pub(super) named: usize,
    /// The byte past the colon or the dash.
    pub(super) after: Option<usize>,
    pub(super) value: Node,
    /// The byte past the comma behind it.
    pub(super) comma: Option<usize>,
}

impl Entry {
    /// The byte past all it has, without the comma.
    pub(super) fn end(&self) -> usize {
        let before = self.after.unwrap_or(self.named);
        if self.value.kind == Kind::Empty { before } else { self.value.span.end.max(before) }
    }
}

impl Node {
    /// What keeps it, or anything in it, from being written over.
    pub(super) fn marked(&self) -> Option<(Mark, usize)> {
        if let Some(mark) = self.mark {
            return Some((mark, self.span.start));
        }
        match &self.kind {
            Kind::Map(entries) | Kind::List(entries) => entries.iter().find_map(|entry| entry.value.marked()),
            _ => None,
        }
    }

    pub(super) fn entries(&self) -> &[Entry] {
        match &self.kind {
            Kind::Map(entries) | Kind::List(entries) => entries,
            _ => &[],
        }
    }
}

/// A text laid out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Layout {
    /// What it holds; nothing where it is blank.
    pub(super) root: Option<Node>,
    /// Every comment, from its `#` to its last letter.
    pub(super) comments: Vec<Range<usize>>,
}

/// Lays a text out; nothing where it is no YAML of one document.
pub(super) fn layout(text: &str) -> Option<Layout> {
    let events = Parser::new_from_str_with_options(text, options()).collect::<Result<Vec<_>, _>>().ok()?;
    let mut documents = 0;
    let held: Vec<(Event<'_>, Marked)> = events
        .into_iter()
        .filter(|(event, _)| {
            documents += usize::from(matches!(event, Event::DocumentStart(..)));
            !matches!(event, Event::StreamStart | Event::StreamEnd | Event::DocumentStart(..) | Event::DocumentEnd)
        })
        .collect();
    if documents > 1 {
        return None;
    }
    let begin = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut pen = Pen { text, events: held.into_iter(), texts: Vec::new() };
    let root = match pen.events.next() {
        None => None,
        Some((event, marked)) => Some(pen.value(&event, &marked, begin, false, 0)?),
    };
    if pen.events.next().is_some() {
        return None;
    }
    let root = root.filter(|root| root.kind != Kind::Empty || root.mark.is_some());
    let comments = comments(text, &pen.texts);
    Some(Layout { root, comments })
}

/// What lays out, event by event.
struct Pen<'a> {
    text: &'a str,
    events: std::vec::IntoIter<(Event<'a>, Marked)>,
    /// Where scalars stand, in order: no comment is in them.
    texts: Vec<Range<usize>>,
}

impl<'a> Pen<'a> {
    /// The value of an event; `from` is the byte past what stands before it.
    fn value(&mut self, event: &Event<'a>, marked: &Marked, from: usize, flow: bool, deep: usize) -> Option<Node> {
        if deep > MOST_DEEP {
            return None;
        }
        let span = bytes(self.text, marked);
        let mark = |anchor: usize, tag: bool| match (anchor, tag) {
            (0, false) => None,
            (0, true) => Some(Mark::Tag),
            _ => Some(Mark::Anchor),
        };
        Some(match event {
            Event::Scalar(_, style, anchor, tag) => {
                let mark = mark(*anchor, tag.is_some());
                match style {
                    ScalarStyle::Literal | ScalarStyle::Folded => self.lines(span, from, mark),
                    ScalarStyle::Plain if span.is_empty() => {
                        Node { kind: Kind::Empty, span: from..from, tail: from, flow, mark }
                    }
                    _ => {
                        self.texts.push(span.clone());
                        Node { kind: Kind::Text, tail: span.end, span, flow, mark }
                    }
                }
            }
            Event::Alias(_) | Event::UnresolvedAlias(_) => {
                Node { kind: Kind::Alias, tail: span.end, span, flow, mark: Some(Mark::Alias) }
            }
            Event::MappingStart(_, anchor, tag) => {
                let bracket = self.text.as_bytes().get(span.start) == Some(&b'{');
                let mark = mark(*anchor, tag.is_some()).or((flow && !bracket).then_some(Mark::Unusual));
                self.map(span.start, bracket, flow, mark, deep)?
            }
            Event::SequenceStart(style, anchor, tag) => {
                let bracket = *style == StructureStyle::Flow;
                self.list(span.start, from, bracket, mark(*anchor, tag.is_some()), deep)?
            }
            _ => return None,
        })
    }

    /// A block of lines, whose event begins at its first letter.
    fn lines(&mut self, span: Range<usize>, from: usize, mark: Option<Mark>) -> Node {
        let sign = self.skip(from);
        let head = lines::piece(self.text, sign..self.text.len());
        let head = sign + head.find(|letter: char| letter.is_whitespace()).unwrap_or(head.len());
        let written = lines::piece(self.text, span.clone());
        let end = (span.start + written.trim_end().len()).max(head);
        // The event may reach into the blanks before a comment that is further left.
        let line = lines::start(self.text, span.end);
        let tail = if lines::is_blank(lines::piece(self.text, line..span.end)) { line } else { span.end };
        let tail = tail.max(end);
        if !written.trim_end().is_empty() {
            self.texts.push(span.start..end);
        }
        Node { kind: Kind::Lines, span: sign..end, tail, flow: false, mark }
    }

    fn map(&mut self, start: usize, bracket: bool, in_flow: bool, mark: Option<Mark>, deep: usize) -> Option<Node> {
        let mut node = Node { kind: Kind::Empty, span: start..start, tail: start, flow: bracket || in_flow, mark };
        let mut entries = Vec::new();
        let mut at = start + usize::from(bracket);
        loop {
            let (event, marked) = self.events.next()?;
            let key = match event {
                Event::MappingEnd => {
                    return Some(self.close(node, Kind::Map(entries), bracket, at, &marked));
                }
                Event::Scalar(text, style, anchor, tag) => {
                    let odd =
                        anchor != 0 || tag.is_some() || matches!(style, ScalarStyle::Literal | ScalarStyle::Folded);
                    node.mark = node.mark.or(odd.then_some(Mark::Unusual));
                    text.into_owned()
                }
                _ => return None,
            };
            let span = bytes(self.text, &marked);
            self.texts.push(span.clone());
            if self.skip(at) != span.start {
                node.mark = node.mark.or(Some(Mark::Unusual));
            }
            let colon = self.skip(span.end);
            let after = (self.text.as_bytes().get(colon) == Some(&b':')).then_some(colon + 1);
            let (event, marked) = self.events.next()?;
            let value = self.value(&event, &marked, after.unwrap_or(span.end), node.flow, deep + 1)?;
            let mut entry = Entry { key, begin: span.start, named: span.end, after, value, comma: None };
            at = self.past(&mut entry, bracket);
            if after.is_none() && !bracket {
                node.mark = node.mark.or(Some(Mark::Unusual));
            }
            entries.push(entry);
        }
    }

    fn list(&mut self, start: usize, from: usize, bracket: bool, mark: Option<Mark>, deep: usize) -> Option<Node> {
        let start = if bracket { start } else { self.skip(from) };
        let mut node = Node { kind: Kind::Empty, span: start..start, tail: start, flow: bracket, mark };
        let mut entries = Vec::new();
        let mut at = start + usize::from(bracket);
        loop {
            let (event, marked) = self.events.next()?;
            if event == Event::SequenceEnd {
                return Some(self.close(node, Kind::List(entries), bracket, at, &marked));
            }
            let begin = self.skip(at);
            let dash = self.text.as_bytes().get(begin) == Some(&b'-');
            if !bracket && !dash {
                node.mark = node.mark.or(Some(Mark::Unusual));
            }
            let after = (!bracket).then_some(begin + 1);
            let value = self.value(&event, &marked, after.unwrap_or(begin), bracket, deep + 1)?;
            let named = after.unwrap_or(begin);
            let mut entry = Entry { key: String::new(), begin, named, after, value, comma: None };
            at = self.past(&mut entry, bracket);
            entries.push(entry);
        }
    }

    /// Ends a map or list behind its last entry.
    fn close(&self, node: Node, kind: Kind, bracket: bool, at: usize, marked: &Marked) -> Node {
        let last = match &kind {
            Kind::Map(entries) | Kind::List(entries) => entries.last(),
            _ => None,
        };
        let end = if bracket { bytes(self.text, marked).end } else { last.map_or(at, Entry::end) };
        let tail = if bracket { end } else { last.map_or(end, |last| last.value.tail.max(end)) };
        Node { kind, span: node.span.start..end.max(node.span.start), tail, ..node }
    }

    /// The byte past an entry and, between brackets, its comma.
    fn past(&self, entry: &mut Entry, bracket: bool) -> usize {
        let end = entry.end().max(entry.value.tail);
        let next = self.skip(end);
        if bracket && self.text.as_bytes().get(next) == Some(&b',') {
            entry.comma = Some(next + 1);
            return next + 1;
        }
        end
    }

    /// The next byte that is no blank, no comment, no mark of an anchor, no tag and no sign that a document begins.
    fn skip(&self, from: usize) -> usize {
        let mut at = from;
        loop {
            let rest = lines::piece(self.text, at..self.text.len());
            let text = rest.trim_start_matches([' ', '\t', '\r', '\n']);
            at += rest.len() - text.len();
            let length = if text.starts_with('#') {
                text.find('\n').unwrap_or(text.len())
            } else if text.starts_with(['&', '!']) {
                text.find(|letter: char| letter.is_whitespace() || ",[]{}".contains(letter)).unwrap_or(text.len())
            } else if text.starts_with("---")
                && text.get(3..).is_none_or(|more| more.starts_with([' ', '\t', '\r', '\n']))
            {
                3
            } else {
                return at;
            };
            if length == 0 {
                return at;
            }
            at += length;
        }
    }
}

/// The comments outside of scalars.
fn comments(text: &str, texts: &[Range<usize>]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    let mut texts = texts.iter().peekable();
    while let Some(next) = lines::piece(text, at..text.len()).find('#') {
        let sign = at + next;
        while texts.next_if(|held| held.end <= sign).is_some() {}
        if let Some(held) = texts.peek().filter(|held| held.contains(&sign)) {
            at = held.end;
            continue;
        }
        let before = lines::piece(text, 0..sign).chars().next_back();
        if before.is_none_or(|letter| letter.is_whitespace() || letter == '\u{feff}') {
            let end = lines::end(text, sign);
            found.push(sign..sign + lines::piece(text, sign..end).trim_end().len());
            at = end;
        } else {
            at = sign + 1;
        }
    }
    found
}
