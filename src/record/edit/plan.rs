//! Finds the place of a change and says which bytes become which. Refuses to judge whether that was right.

use std::ops::Range;

use super::layout::{Entry, Kind, Layout, Mark, Node};
use super::style::{Style, nested};
use super::{Order, Step, Why, Written, alike, lines};

/// These bytes become this text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Splice {
    pub(super) range: Range<usize>,
    pub(super) text: String,
}

/// What one stroke does to a text.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Plan {
    pub(super) splices: Vec<Splice>,
    /// Before which key of its map a new key comes.
    pub(super) new_at: usize,
    /// The comment that became a key, by its number, and how many bytes of it did.
    pub(super) uncommented: Option<(usize, usize)>,
}

impl Plan {
    pub(super) fn one(range: Range<usize>, text: String) -> Plan {
        Plan { splices: vec![Splice { range, text }], ..Plan::default() }
    }

    /// The text with the change; nothing where two splices overlap.
    pub(super) fn applied(&self, text: &str) -> Option<String> {
        let mut splices: Vec<&Splice> = self.splices.iter().collect();
        splices.sort_by_key(|splice| (splice.range.start, splice.range.end));
        let mut changed = String::with_capacity(text.len() + 64);
        let mut at = 0;
        for splice in splices {
            changed.push_str(text.get(at..splice.range.start)?);
            changed.push_str(&splice.text);
            at = splice.range.end.max(splice.range.start);
        }
        changed.push_str(text.get(at..)?);
        Some(changed)
    }
}

/// Why there is no plan, and the byte it is about.
pub(super) type Fault = (Why, usize);

/// A text laid out, and how it is to be changed.
pub(super) struct Sketch<'a> {
    pub(super) text: &'a str,
    pub(super) layout: &'a Layout,
    pub(super) style: Style,
    pub(super) order: Order<'a>,
    pub(super) manner: Manner,
    /// How much further an inner map is indented.
    pub(super) indent: usize,
    pub(super) line_end: &'static str,
}

/// What may be done for a change to come out right.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Manner {
    /// Whether a key in a comment may become one.
    pub(super) uncomments: bool,
    /// Whether every text is quoted.
    pub(super) quoted: bool,
    /// Whether comments that are left stand in the column of what was taken away, without blank lines.
    pub(super) close: bool,
}

/// What stands round the value a walk has come to.
#[derive(Clone)]
pub(super) struct Region {
    /// The byte past the key of the map, or the beginning of the text.
    pub(super) start: usize,
    /// Where the next key above it begins, or the end of the text.
    pub(super) end: usize,
}

impl<'a> Sketch<'a> {
    pub(super) fn new(text: &'a str, layout: &'a Layout, order: Order<'a>, manner: Manner) -> Sketch<'a> {
        let line_end = match text.find('\n') {
            Some(at) if lines::piece(text, 0..at).ends_with('\r') => "\r\n",
            _ => "\n",
        };
        let root = layout.root.as_ref();
        Sketch {
            text,
            layout,
            style: Style { json: root.is_some_and(|root| is_json(text, root)), quoted: manner.quoted },
            order,
            manner,
            indent: root.and_then(|root| indent(text, root)).unwrap_or(2),
            line_end,
        }
    }

    /// Writes a value at a path.
    pub(super) fn put(&self, path: &[Step], value: &Written, at: Option<usize>) -> Result<Plan, Fault> {
        let mut region = Region { start: 0, end: self.text.len() };
        let Some(root) = &self.layout.root else { return self.first(path, value, &region) };
        let mut node = root;
        let mut above: Vec<Step> = Vec::new();
        let mut left = path;
        while let Some((step, rest)) = left.split_first() {
            let Some(index) = find(node, step)? else {
                let new_at = at.unwrap_or_else(|| self.place_of(&above, node, step));
                return if node.flow {
                    self.insert_in_flow(node, step, rest, value, new_at)
                } else {
                    self.insert_in_block(node, (step, rest), value, new_at, &region)
                };
            };
            let Some(entry) = node.entries().get(index) else { return Err((Why::Unusual, node.span.start)) };
            let next = node.entries().get(index + 1).map(|next| next.begin);
            region = Region { start: entry.named, end: next.unwrap_or(region.end) };
            if rest.is_empty() {
                return self.overwrite(node, entry, value);
            }
            if entry.value.kind == Kind::Empty {
                return self.fill(node, entry, rest, value, &region);
            }
            above.push(step.clone());
            node = &entry.value;
            left = rest;
        }
        Err((Why::NoPath, 0))
    }

    /// Takes away the key or item at a path.
    pub(super) fn take(&self, path: &[Step]) -> Result<Plan, Fault> {
        let Some(root) = &self.layout.root else { return Err((Why::NotThere, 0)) };
        let mut node = root;
        let mut left = path;
        while let Some((step, rest)) = left.split_first() {
            let index = find(node, step)?;
            let entry = index.and_then(|index| Some((index, node.entries().get(index)?)));
            let Some((index, entry)) = entry else { return Err((Why::NotThere, node.span.start)) };
            if rest.is_empty() {
                editable(entry)?;
                return Ok(if node.flow {
                    self.take_from_flow(node, index)
                } else {
                    self.take_from_block(node, index)
                });
            }
            node = &entry.value;
            left = rest;
        }
        Err((Why::NoPath, 0))
    }

    fn place_of(&self, above: &[Step], node: &Node, step: &Step) -> usize {
        let Step::Key(key) = step else { return node.entries().len() };
        let keys: Vec<&str> = node.entries().iter().map(|entry| entry.key.as_str()).collect();
        (self.order)(above, &keys, key).min(keys.len())
    }

    /// The first value of a record that has none.
    fn first(&self, path: &[Step], value: &Written, region: &Region) -> Result<Plan, Fault> {
        if !matches!(path.first(), Some(Step::Key(_))) {
            return Err((Why::NotThere, 0));
        }
        if let [Step::Key(key)] = path
            && let Some(plan) = self.uncomment(region, key, value, 0, |column| column == 0)
        {
            return Ok(plan);
        }
        let end = self.text.len();
        Ok(self.new_lines(end, &self.block_lines(0, path, value)?))
    }

    /// The lines of a value in a map whose keys stand in a column, each key on its line; without a line end after the last.
    pub(super) fn block_lines(&self, column: usize, path: &[Step], value: &Written) -> Result<String, Fault> {
        let mut text = String::new();
        let mut column = column;
        let mut left = path;
        loop {
            let Some((Step::Key(key), rest)) = left.split_first() else { return Err((Why::NotThere, 0)) };
            text.push_str(&" ".repeat(column));
            if !matches!(rest.first(), Some(Step::Key(_))) {
                let value = nested(rest, value).ok_or((Why::NotThere, 0))?;
                text.push_str(&self.style.entry(key, &value));
                return Ok(text);
            }
            text.push_str(&self.style.key(key));
            text.push(':');
            text.push_str(self.line_end);
            column += self.indent;
            left = rest;
        }
    }

    /// New lines at the beginning of a line, or at the end of the text.
    pub(super) fn new_lines(&self, at: usize, new: &str) -> Plan {
        let before = lines::piece(self.text, 0..at);
        let open = !before.is_empty() && before != "\u{feff}" && !before.ends_with('\n');
        let text = if open { format!("{}{new}", self.line_end) } else { format!("{new}{}", self.line_end) };
        Plan::one(at..at, text)
    }

    /// The comments that begin in a range.
    pub(super) fn comments_in(&self, range: Range<usize>) -> &[Range<usize>] {
        let comments = &self.layout.comments;
        let from = comments.partition_point(|comment| comment.start < range.start);
        let to = comments.partition_point(|comment| comment.start < range.end);
        comments.get(from..to).unwrap_or(&[])
    }

    pub(super) fn comment_text(&self, comment: &Range<usize>) -> &'a str {
        lines::piece(self.text, comment.clone())
    }
}

/// Which entry of a value a step leads to; nothing where there is none yet.
fn find(node: &Node, step: &Step) -> Result<Option<usize>, Fault> {
    let at = node.span.start;
    if let Some(mark) = node.mark {
        return Err((why(mark), at));
    }
    match (&node.kind, step) {
        (Kind::Map(entries), Step::Key(key)) => Ok(alike(entries.iter().map(|entry| entry.key.as_str()), key)),
        (Kind::List(entries), Step::Item(item)) if *item < entries.len() => Ok(Some(*item)),
        (Kind::List(entries), Step::Item(item)) if *item == entries.len() => Ok(None),
        (Kind::List(_), Step::Item(_)) => Err((Why::NotThere, at)),
        (Kind::List(_), Step::Key(_)) => Err((Why::ThroughList, at)),
        (Kind::Map(_), Step::Item(_)) => Err((Why::NotAList, at)),
        _ => Err((Why::ThroughText, at)),
    }
}

/// Whether the value of an entry may be written over.
pub(super) fn editable(entry: &Entry) -> Result<(), Fault> {
    match entry.value.marked() {
        Some((mark, at)) => Err((why(mark), at)),
        None => Ok(()),
    }
}

fn why(mark: Mark) -> Why {
    match mark {
        Mark::Anchor => Why::Anchor,
        Mark::Tag => Why::Tag,
        Mark::Alias => Why::Alias,
        Mark::Unusual => Why::Unusual,
    }
}

/// Whether the record is JSON: braces round everything, and every key between double quotation marks.
fn is_json(text: &str, root: &Node) -> bool {
    let quoted = |entry: &Entry| lines::piece(text, entry.begin..entry.named).starts_with('"');
    root.flow && matches!(root.kind, Kind::Map(_)) && root.entries().iter().all(quoted)
}

/// How much further the first map in a map is indented.
fn indent(text: &str, node: &Node) -> Option<usize> {
    let column = |node: &Node| node.entries().first().map(|entry| lines::column(text, entry.begin));
    let inner_map = |node: &Node| matches!(node.kind, Kind::Map(_)) && !node.flow;
    node.entries().iter().filter(|_| !node.flow).find_map(|entry| {
        let own = inner_map(node) && inner_map(&entry.value);
        let further = own.then(|| Some(column(&entry.value)?.saturating_sub(column(node)?))).flatten();
        further.filter(|further| *further > 0).or_else(|| indent(text, &entry.value))
    })
}
