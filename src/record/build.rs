//! Turns the reader's events into the tape, leaving out what a record cannot hold. Refuses to know why text is no YAML.

mod alias;
mod take;
mod watch;

use std::ops::Range;

pub(super) use take::bytes;

use super::anchors::Anchors;
use super::keys::{Keys, Map};
use super::sheet::{Branch, Scalar, Sheet, TextRef, Token};
use super::unreadable::Reason;
use super::{MOST_DEEP, wording};
use crate::finding::Said;
use crate::finding::{Code, Finding};
use crate::text::{Source, Span};

/// How a scalar is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Form {
    Plain,
    Quoted,
    /// Lines behind a `|` or `>`.
    Block,
}

/// What begins.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Shape {
    /// Whether it is a map, not a list.
    pub(super) map: bool,
    /// Whether it stands between brackets.
    pub(super) bracket: bool,
}

/// What the innermost open map or list waits for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Due {
    /// A key.
    Key,
    /// The value of the key at this step of the tape.
    Value(usize),
    /// The value of a key that was left out.
    Nothing,
    /// An item.
    Item,
}

/// A map or list that is not complete yet.
struct Open {
    at: usize,
    begin: usize,
    end: usize,
    count: u32,
    due: Due,
    /// The key of the last whole entry.
    last: Option<usize>,
    bracket: bool,
    height: usize,
    keys: Map,
}

/// What has been built so far, and what there is to say about it.
pub(super) struct Builder<'a> {
    source: &'a Source,
    /// What the reader reads: the source, with blanks in place of what was left out.
    text: &'a str,
    blanked: &'a [Range<usize>],
    tape: Vec<Token>,
    stored: String,
    open: Vec<Open>,
    keys: Keys,
    anchors: Anchors,
    /// How many maps and lists are open that are being left out.
    skipping: usize,
    unfolding_said: bool,
    tab_watch: bool,
    whole: bool,
    said: Said,
    /// Where something is written that YAML takes and that was plainly meant otherwise.
    slip: Option<(usize, Reason)>,
}

impl<'a> Builder<'a> {
    /// Nothing yet. `tab_watch`: whether a tab before a key is still to be said.
    pub(super) fn new(source: &'a Source, text: &'a str, blanked: &'a [Range<usize>], tab_watch: bool) -> Builder<'a> {
        Builder {
            source,
            text,
            blanked,
            // Half a step a word or so: a record of 5 KB grows its tape once or not at all.
            tape: Vec::with_capacity(text.len().min(1 << 20) / 10 + 4),
            stored: String::new(),
            open: Vec::with_capacity(8),
            keys: Keys::default(),
            anchors: Anchors::default(),
            skipping: 0,
            unfolding_said: false,
            tab_watch,
            whole: blanked.is_empty(),
            said: Said::default(),
            slip: None,
        }
    }

    /// Where the innermost bracket still open stands.
    pub(super) fn bracket(&self) -> Option<usize> {
        self.open.last().filter(|open| open.bracket).map(|open| open.begin)
    }

    /// Where the outermost bracket still open stands, and whether it holds the whole record.
    pub(super) fn outer_bracket(&self) -> Option<(usize, bool)> {
        self.open.iter().find(|open| open.bracket).map(|open| (open.begin, open.at == 0))
    }

    /// Whether nothing is written but, perhaps, the sign that a document begins.
    pub(super) fn is_blank(&self) -> bool {
        match self.tape.as_slice() {
            [] => self.whole,
            [Token::Scalar(scalar)] => scalar.plain && scalar.span.is_empty(),
            _ => false,
        }
    }

    /// Forgets a document that says nothing.
    pub(super) fn forget(&mut self) {
        self.tape.clear();
    }

    /// Adds something to say.
    pub(super) fn say(&mut self, finding: Finding) {
        self.said.add(finding);
    }

    /// Notes that not everything was read.
    pub(super) fn not_whole(&mut self) {
        self.whole = false;
    }

    /// Closes what is still open, keeping the whole entries of maps, and hands over.
    pub(super) fn finish(mut self) -> (Option<Sheet>, Vec<Finding>) {
        self.skipping = 0;
        let mut innermost = true;
        while let Some(open) = self.open.last() {
            match open.due {
                // A list with items missing would be taken for one with fewer readings.
                Due::Item => {
                    self.tape.truncate(open.at);
                    self.open.pop();
                    self.leave_out(None);
                }
                Due::Value(key) => {
                    self.tape.truncate(key);
                    self.end(0);
                }
                Due::Key | Due::Nothing => {
                    // Between brackets, a missing comma makes the value before it too long.
                    if let Some(last) = open.last.filter(|_| open.bracket && innermost) {
                        self.drop_last_entry(last);
                    }
                    self.end(0);
                }
            }
            innermost = false;
        }
        let sheet = Sheet { source: self.source.clone(), tape: self.tape, stored: self.stored, whole: self.whole };
        ((!sheet.tape.is_empty()).then_some(sheet), self.said.into_findings())
    }

    fn drop_last_entry(&mut self, key: usize) {
        self.tape.truncate(key);
        if let Some(open) = self.open.last_mut() {
            open.count -= 1;
            open.last = None;
        }
    }

    /// A scalar of that text, written in these bytes.
    #[inline]
    pub(super) fn scalar(&mut self, text: &str, form: Form, anchor: usize, tag: Option<Span>, written: Range<usize>) {
        if self.skipping > 0 {
            return;
        }
        let plain = form == Form::Plain;
        // The reader gives an empty value the text `~`; what is written is nothing.
        let empty = plain && written.is_empty();
        let text = if empty { "" } else { text };
        let due = self.open.last().map(|open| open.due);
        let span = match form {
            Form::Block => {
                let block = self.text.get(written.clone()).unwrap_or("");
                Span::new(written.start, written.start + block.trim_end().len())
            }
            _ if empty && due != Some(Due::Key) => {
                let after = self.after_colon(written.start);
                Span::new(after, after)
            }
            _ => Span::new(written.start, written.end),
        };
        match due {
            Some(Due::Key) => {
                self.tag(tag);
                self.key(text, written, span, plain, anchor);
            }
            Some(Due::Nothing) => self.complete(0, 0),
            // A value that is empty only because what hung below it was left out says nothing.
            _ if empty && self.was_left_out(span.start as usize) => self.leave_out(None),
            _ => {
                self.tag(tag);
                let at = self.tape.len();
                let text = if empty { TextRef::Written(span) } else { self.keep(text, written) };
                self.tape.push(Token::Scalar(Scalar { span, text, plain }));
                self.anchors.set(anchor, at..at + 1, 0);
                if plain {
                    self.watch_remark(span);
                    self.watch_joined(span);
                }
                self.complete(span.end as usize, 0);
            }
        }
    }

    /// Takes a key, unless the map has said it.
    fn key(&mut self, text: &str, written: Range<usize>, span: Span, plain: bool, anchor: usize) {
        if plain && text == "<<" {
            let finding = Finding::new(Code::YamlUnsupported, wording::MERGE)
                .at(self.source.place(span), wording::MERGE_LABEL)
                .help(wording::MERGE_HELP);
            return self.key_left_out(finding);
        }
        let kept = self.keep(text, written);
        if !self.is_new(text, kept, span) {
            return;
        }
        let Some(open) = self.open.last_mut() else { return };
        let at = self.tape.len();
        open.due = Due::Value(at);
        let block = !open.bracket;
        self.tape.push(Token::Scalar(Scalar { span, text: kept, plain }));
        self.anchors.set(anchor, at..at + 1, 0);
        if self.tab_watch && block {
            self.watch_tab(span.start as usize);
        }
    }

    /// Whether the map has not said a key yet; a key said twice is left out and said.
    fn is_new(&mut self, text: &str, key: TextRef, span: Span) -> bool {
        let Some(open) = self.open.last_mut() else { return false };
        let (source, stored) = (self.source, self.stored.as_str());
        let Some(first) = self.keys.say(&mut open.keys, (text, key), span, |said| said.of(source, stored)) else {
            return true;
        };
        let finding = Finding::new(Code::KeyTwice, wording::key_twice(text))
            .at(source.place(span), wording::KEY_TWICE_LABEL)
            .since(source.place(first), wording::KEY_TWICE_FIRST)
            .help(wording::KEY_TWICE_HELP);
        self.key_left_out(finding);
        false
    }

    fn key_left_out(&mut self, finding: Finding) {
        self.whole = false;
        self.said.add(finding);
        if let Some(open) = self.open.last_mut() {
            open.due = Due::Nothing;
        }
    }

    /// A map or list that begins at a byte.
    pub(super) fn start(&mut self, Shape { map, bracket }: Shape, anchor: usize, tag: Option<Span>, begin: usize) {
        if self.skipping > 0 {
            self.skipping += 1;
            return;
        }
        let due = self.open.last().map(|open| open.due);
        if due == Some(Due::Nothing) {
            self.complete(0, 0);
            self.skipping = 1;
            return;
        }
        self.tag(tag);
        if due == Some(Due::Key) {
            self.compound_key(Span::new(begin, begin + usize::from(bracket)));
            self.skipping = 1;
            return;
        }
        if self.open.len() >= MOST_DEEP {
            self.too_deep(Span::new(begin, begin + usize::from(bracket)));
            self.skipping = 1;
            return;
        }
        let begin = if bracket || map { begin } else { self.dash_before(begin) };
        let at = self.tape.len();
        let branch = Branch { span: Span::new(begin, begin), count: 0, next: 0 };
        self.tape.push(if map { Token::Map(branch) } else { Token::List(branch) });
        self.anchors.open(anchor, at);
        let due = if map { Due::Key } else { Due::Item };
        let keys = self.keys.open();
        self.open.push(Open { at, begin, end: begin, count: 0, due, last: None, bracket, height: 0, keys });
    }

    /// The innermost map or list ends before a byte.
    pub(super) fn end(&mut self, end: usize) {
        if self.skipping > 0 {
            self.skipping -= 1;
            return;
        }
        let Some(open) = self.open.pop() else { return };
        self.keys.close(&open.keys);
        // Nothing marks the end of a map or list without brackets but its last value.
        let end = if open.bracket { end.max(open.end) } else { open.end };
        let next = step(self.tape.len());
        let height = open.height + 1;
        self.anchors.close(open.at, self.tape.len(), height);
        if let Some(Token::Map(branch) | Token::List(branch)) = self.tape.get_mut(open.at) {
            *branch = Branch { span: Span::new(open.begin, end), count: open.count, next };
        }
        self.complete(end, height);
    }

    /// Notes that a value is complete and the next key or item is due.
    fn complete(&mut self, end: usize, height: usize) {
        let Some(open) = self.open.last_mut() else { return };
        open.end = open.end.max(end);
        open.height = open.height.max(height);
        match open.due {
            Due::Nothing => open.due = Due::Key,
            Due::Value(key) => {
                open.due = Due::Key;
                open.last = Some(key);
                open.count += 1;
            }
            Due::Item => open.count += 1,
            Due::Key => {}
        }
    }

    /// Leaves out the value now due, and its key.
    fn leave_out(&mut self, finding: Option<Finding>) {
        if self.skipping > 0 {
            return;
        }
        self.whole = false;
        if let Some(finding) = finding {
            self.said.add(finding);
        }
        let Some(open) = self.open.last_mut() else { return };
        match open.due {
            Due::Value(key) => {
                open.due = Due::Key;
                self.tape.truncate(key);
                self.anchors.forget_from(key);
            }
            Due::Key => open.due = Due::Nothing,
            Due::Nothing => open.due = Due::Key,
            Due::Item => {}
        }
    }

    /// Where something is written that YAML takes and that was plainly meant otherwise, if there is such a thing.
    pub(super) fn slip(&self) -> Option<(usize, Reason)> {
        self.slip
    }

    fn compound_key(&mut self, span: Span) {
        let slip = super::repair::question(self.text, span.start as usize);
        self.slip = slip.map(|repair| (repair.edit.at, Reason::Question));
        let finding = Finding::new(Code::YamlUnsupported, wording::KEY_COMPOUND)
            .at(self.source.place(span), wording::KEY_COMPOUND_LABEL)
            .help(wording::KEY_COMPOUND_HELP);
        self.key_left_out(finding);
    }

    fn too_deep(&mut self, span: Span) {
        let finding = Finding::new(Code::RecordTooDeep, wording::too_deep(MOST_DEEP))
            .at(self.source.place(span), wording::TOO_DEEP_LABEL);
        self.leave_out(Some(finding));
    }

    #[inline]
    fn tag(&mut self, tag: Option<Span>) {
        let Some(span) = tag else { return };
        let written = self.source.slice(span).to_owned();
        self.said.add(
            Finding::new(Code::YamlUnsupported, wording::tag(&written))
                .at(self.source.place(span), wording::TAG_LABEL)
                .help(wording::TAG_HELP),
        );
    }

    /// Where the text of a scalar stands: in the source where it stands there letter by letter.
    #[inline]
    fn keep(&mut self, text: &str, written: Range<usize>) -> TextRef {
        let source = self.source.text();
        // The reader hands out pieces of what it reads, and mostly that is the source itself.
        let begin = (text.as_ptr() as usize).wrapping_sub(source.as_ptr() as usize);
        if !text.is_empty() && begin < source.len() && source.get(begin..begin + text.len()).is_some() {
            return TextRef::Written(Span::new(begin, begin + text.len()));
        }
        if source.get(written.clone()) == Some(text) {
            return TextRef::Written(Span::new(written.start, written.end));
        }
        // Without the quotes, if it has any; a letter of two bytes or more there gives nothing.
        let within = written.start + 1..written.end.saturating_sub(1);
        if source.get(within.clone()) == Some(text) {
            return TextRef::Written(Span::new(within.start, within.end));
        }
        let begin = self.stored.len();
        self.stored.push_str(text);
        TextRef::Stored(Span::new(begin, self.stored.len()))
    }

    /// The byte after the colon that stands at a byte, or after blanks there; without one, the byte itself.
    fn after_colon(&self, at: usize) -> usize {
        let rest = self.text.get(at..).unwrap_or("");
        let past = rest.trim_start_matches([' ', '\t']);
        if past.starts_with(':') { at + rest.len() - past.len() + 1 } else { at }
    }

    /// The dash before the first item of a list without brackets.
    fn dash_before(&self, begin: usize) -> usize {
        let before = self.text.get(..begin).unwrap_or("").trim_end_matches([' ', '\t']);
        if before.ends_with('-') { before.len() - 1 } else { begin }
    }

    /// Whether something was left out between a byte and the next text.
    fn was_left_out(&self, at: usize) -> bool {
        if self.blanked.is_empty() {
            return false;
        }
        let mut next = at;
        for line in self.text.get(at..).unwrap_or("").split_inclusive('\n') {
            let text = line.trim_start();
            if !text.is_empty() && !text.starts_with('#') {
                next += line.len() - text.len();
                break;
            }
            next += line.len();
        }
        self.blanked.iter().any(|range| range.start < next && at < range.end)
    }
}

/// A step of the tape; a tape never has 4 billion, a source having fewer bytes than that.
fn step(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
