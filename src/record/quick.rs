//! A faster reader for the plain records that most are. Refuses whatever the two readers might take differently, and says
//! nothing: what it refuses is read by the other, which does.
//!
//! Plain are letters of ASCII in block maps and lists, brackets closed on their line, plain and quoted scalars of one line and
//! comments; no anchor, alias, tag, block scalar, document mark, escape, tab or carriage return, and nothing left empty. That
//! both readers put the same on the tape is a property.

use saphyr_parser::{Event, Parser, ScalarStyle};

use super::build::{Builder, Form, Shape};
use super::sheet::Sheet;
use crate::text::Source;

/// A key of the other reader has at most 1,024 letters up to its colon (YAML 1.2.2, 7.4.2 and 8.2.2); this one lets longer ones pass.
const MOST_APART: usize = 1_000;

/// Reads a plain record; none where it is not plain, where it is not YAML, and where there is anything to say of it.
pub(super) fn read(source: &Source) -> Option<Sheet> {
    let text = source.text();
    if !is_plain(text) {
        return None;
    }
    let mut builder = Builder::new(source, text, &[], false);
    let bracket = |at: usize| matches!(text.as_bytes().get(at), Some(b'{' | b'['));
    let mut last = 0;
    for next in Parser::new_from_str(text) {
        // A large value, looked at where it lies: moving it costs more than what is done with it.
        let Ok((event, span)) = &next else { return None };
        // What is not ASCII was refused: a place in letters is one in bytes.
        let begin = span.start.index();
        let line = begin.checked_sub(span.start.col())?;
        // A key and its value on one line.
        if begin > last + MOST_APART && line <= last {
            return None;
        }
        last = begin;
        match event {
            Event::StreamStart | Event::DocumentStart(false) | Event::DocumentEnd => {}
            Event::Scalar(scalar, ScalarStyle::Plain, 0, None) => {
                // What is left empty and what goes over several lines is written elsewhere than it is found.
                let end = begin + scalar.len();
                let written = text.get(begin..end)?;
                if written.is_empty() || written != scalar {
                    return None;
                }
                builder.scalar(written, Form::Plain, 0, None, begin..end);
            }
            Event::Scalar(scalar, ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted, 0, None) => {
                builder.scalar(scalar, Form::Quoted, 0, None, begin..quoted_end(text, begin)?);
            }
            Event::MappingStart(0, None) | Event::SequenceStart(0, None) => {
                let shape = Shape { map: matches!(event, Event::MappingStart(..)), bracket: bracket(begin) };
                // One key and its value among the items of a list; brackets over several lines, as JSON has them: sooner than
                // at their end.
                let refused = if shape.bracket { !is_closed(text, begin) } else { builder.bracket().is_some() };
                if refused {
                    return None;
                }
                builder.start(shape, 0, None, begin);
            }
            Event::MappingEnd | Event::SequenceEnd => match builder.bracket() {
                Some(opened) => {
                    let closed = matches!(text.as_bytes().get(begin), Some(b'}' | b']'));
                    // Over several lines the readers differ in how far they must be indented.
                    if !closed || line > opened {
                        return None;
                    }
                    builder.end(begin + 1);
                }
                None => builder.end(begin),
            },
            Event::StreamEnd => break,
            _ => return None,
        }
    }
    if builder.is_blank() || builder.slip().is_some() {
        return None;
    }
    let (sheet, findings) = builder.finish();
    sheet.filter(|sheet| findings.is_empty() && sheet.is_whole())
}

/// Whether any bracket closes on the line of a byte, behind it.
fn is_closed(text: &str, begin: usize) -> bool {
    let rest = text.as_bytes().get(begin..).unwrap_or(&[]);
    rest.iter().find(|byte| matches!(byte, b'\n' | b'}' | b']')).is_some_and(|byte| *byte != b'\n')
}

/// The byte behind quoted text of one line that begins at a byte.
fn quoted_end(text: &str, begin: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let mark = *bytes.get(begin).filter(|mark| matches!(mark, b'"' | b'\''))?;
    let mut at = begin + 1;
    loop {
        match *bytes.get(at)? {
            b'\n' => return None,
            // Two of them are one within.
            b'\'' if mark == b'\'' && bytes.get(at + 1) == Some(&b'\'') => at += 2,
            letter if letter == mark => return Some(at + 1),
            _ => at += 1,
        }
    }
}

/// Whether a text holds nothing but what both readers are known to take alike.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    // Without a way out of the loops, so that many bytes are looked at together.
    let odd = bytes.iter().fold(false, |odd, byte| {
        odd | !matches!(byte, b' '..=b'~' | b'\n') | matches!(byte, b'?' | b'%' | b'@' | b'`' | b'\\')
    });
    // Inside a word these are letters like others (`N*m`).
    let behind = bytes.get(1..).unwrap_or(&[]);
    let marks = bytes.iter().zip(behind).fold(false, |marks, (before, byte)| {
        marks | (matches!(byte, b'&' | b'*' | b'!' | b'|' | b'>') & !before.is_ascii_alphanumeric())
    });
    let first = matches!(bytes.first(), Some(b'&' | b'*' | b'!' | b'|' | b'>'));
    // `---` and `...`, between documents.
    let threes = bytes.iter().zip(behind).zip(bytes.get(2..).unwrap_or(&[]));
    let between = threes.fold(false, |between, ((first, second), third)| {
        between | ((first == second) & (second == third) & matches!(first, b'-' | b'.'))
    });
    !(odd | marks | first | between)
}
