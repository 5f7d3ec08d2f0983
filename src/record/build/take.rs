//! The events of the reader that knows every place in bytes, handed to the builder. Refuses to know what becomes of them.

use std::borrow::Cow;
use std::ops::Range;

use granit_parser::{Event, ScalarStyle, Span as Marked, StructureStyle, Tag};

use super::{Builder, Form, Shape};
use crate::finding::{Code, Finding};
use crate::record::wording;
use crate::text::Span;

impl<'a> Builder<'a> {
    /// Takes the next event of the document.
    pub(in crate::record) fn take(&mut self, event: &Event<'a>, marked: &Marked) {
        let source = self.source.text();
        let tag_at = |tag: &Option<Cow<'_, Tag>>| {
            tag.as_ref().map(|_| marked.tag_span().map_or_else(|| span(source, marked), |tag| span(source, &tag)))
        };
        let shape = |map: bool, style: StructureStyle| Shape { map, bracket: style == StructureStyle::Flow };
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                let form = match style {
                    ScalarStyle::Plain => Form::Plain,
                    ScalarStyle::Literal | ScalarStyle::Folded => Form::Block,
                    ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => Form::Quoted,
                };
                self.scalar(text, form, *anchor, tag_at(tag), bytes(source, marked));
            }
            Event::MappingStart(style, anchor, tag) => {
                self.start(shape(true, *style), *anchor, tag_at(tag), bytes(source, marked).start);
            }
            Event::SequenceStart(style, anchor, tag) => {
                self.start(shape(false, *style), *anchor, tag_at(tag), bytes(source, marked).start);
            }
            Event::MappingEnd | Event::SequenceEnd => self.end(bytes(self.source.text(), marked).end),
            Event::Alias(anchor) => self.alias(*anchor, span(self.source.text(), marked)),
            Event::UnresolvedAlias(name) => {
                let finding = Finding::new(Code::YamlUnreadable, wording::alias_unknown(name))
                    .at(self.source.place(span(self.source.text(), marked)), wording::ALIAS_LABEL)
                    .help(wording::ALIAS_UNKNOWN_HELP);
                self.leave_out(Some(finding));
            }
            _ => {}
        }
    }
}

/// The bytes an event is about, never into a letter: the reader counts a byte or two wrong beside some odd letters, and
/// where a letter of several bytes was left out, it reads several blanks.
pub(in crate::record) fn bytes(text: &str, marked: &Marked) -> Range<usize> {
    let range = marked.byte_range().unwrap_or(0..0);
    let start = text.floor_char_boundary(range.start);
    start..text.floor_char_boundary(range.end).max(start)
}

fn span(text: &str, marked: &Marked) -> Span {
    let range = bytes(text, marked);
    Span::new(range.start, range.end)
}
