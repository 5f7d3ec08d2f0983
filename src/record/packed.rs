//! A sheet as a few bytes, to be kept and taken up again beside the text it was read from. Refuses to know where they are kept.

use super::MOST_DEEP;
use super::sheet::{Branch, Scalar, Sheet, TextRef, Token};
use crate::text::{Source, Span};

/// A map; its number of keys and its length on the tape follow.
const MAP: i32 = 0;
/// A list; its number of items and its length on the tape follow.
const LIST: i32 = 1;
/// A scalar whose text is the bytes it was written in. Plus one: it was written plain.
const SAME: i32 = 2;
/// A scalar whose text is other bytes of the source: where they begin, and how many. Plus one: it was written plain.
const WRITTEN: i32 = 4;
/// A scalar whose text is in the store: where it begins, and how many bytes. Plus one: it was written plain.
const STORED: i32 = 6;

/// What is packed: the steps as small numbers, the store, and whether the sheet is whole.
type Packed = (Vec<i32>, String, bool);

impl Sheet {
    /// The sheet without its source. Places are written as steps from the place before, so most take a byte.
    #[must_use]
    pub fn packed(&self) -> Vec<u8> {
        let mut steps = Vec::with_capacity(self.tape.len() * 3);
        let mut before = 0;
        for (at, token) in (0_u32..).zip(&self.tape) {
            let mut put = |tag: i32, span: Span, rest: &[u32]| {
                steps.extend([tag, wrapping(span.start, before), wrapping(span.end, span.start)]);
                steps.extend(rest.iter().map(|number| wrapping(*number, 0)));
                before = span.start;
            };
            match *token {
                Token::Map(Branch { span, count, next }) => put(MAP, span, &[count, next.wrapping_sub(at)]),
                Token::List(Branch { span, count, next }) => put(LIST, span, &[count, next.wrapping_sub(at)]),
                Token::Scalar(Scalar { span, text, plain }) => {
                    let plain = i32::from(plain);
                    match text {
                        TextRef::Written(text) if text == span => put(SAME + plain, span, &[]),
                        TextRef::Written(text) => {
                            put(WRITTEN + plain, span, &[text.start.wrapping_sub(span.start), text.end - text.start]);
                        }
                        TextRef::Stored(text) => put(STORED + plain, span, &[text.start, text.end - text.start]),
                    }
                }
            }
        }
        let packed: Packed = (steps, self.stored.clone(), self.whole);
        // Numbers and a text into memory: there is nothing that can fail.
        postcard::to_allocvec(&packed).unwrap_or_default()
    }

    /// A sheet that was packed, beside the text it was read from; none where the bytes are no sheet of that text.
    #[must_use]
    pub fn unpacked(source: &Source, bytes: &[u8]) -> Option<Sheet> {
        let (steps, stored, whole): Packed = postcard::from_bytes(bytes).ok()?;
        let mut steps = steps.into_iter();
        let mut tape = Vec::with_capacity(steps.len() / 3);
        let mut before = 0;
        while let Some(tag) = steps.next() {
            let at = u32::try_from(tape.len()).ok()?;
            let span = span(&mut steps, before, source.text())?;
            before = span.start;
            let plain = tag % 2 == 1;
            tape.push(match tag {
                MAP | LIST => {
                    let (count, length) = (number(&mut steps)?, number(&mut steps)?);
                    let next = at.checked_add(length).filter(|next| *next > at)?;
                    let branch = Branch { span, count, next };
                    if tag == MAP { Token::Map(branch) } else { Token::List(branch) }
                }
                2..=3 => Token::Scalar(Scalar { span, text: TextRef::Written(span), plain }),
                4..=5 => {
                    let text = self::span(&mut steps, span.start, source.text())?;
                    Token::Scalar(Scalar { span, text: TextRef::Written(text), plain })
                }
                6..=7 => {
                    let text = TextRef::Stored(self::span(&mut steps, 0, &stored)?);
                    Token::Scalar(Scalar { span, text, plain })
                }
                _ => return None,
            });
        }
        is_sound(&tape).then(|| Sheet { source: source.clone(), tape, stored, whole })
    }
}

/// Whether every map and list holds just what it says, keys before values, and ends where it says: as any sheet that was read.
fn is_sound(tape: &[Token]) -> bool {
    // The maps and lists that are open: where each ends, how many steps are still to come in it, and whether it is a map.
    let mut open: Vec<(u32, u64, bool)> = Vec::new();
    let ended = |open: &mut Vec<(u32, u64, bool)>, at: u32| {
        while let Some((next, 0, _)) = open.last() {
            if *next != at {
                return false;
            }
            open.pop();
        }
        true
    };
    let mut at = 0;
    for token in tape {
        if !ended(&mut open, at) {
            return false;
        }
        match open.last_mut() {
            Some((next, left, is_map)) => {
                *left -= 1;
                let is_key = *is_map && *left % 2 == 1;
                if at >= *next || is_key && !matches!(token, Token::Scalar(_)) {
                    return false;
                }
            }
            // One value holds all the others.
            None if at > 0 => return false,
            None => {}
        }
        match token {
            Token::Map(branch) => open.push((branch.next, 2 * u64::from(branch.count), true)),
            Token::List(branch) => open.push((branch.next, u64::from(branch.count), false)),
            Token::Scalar(_) => {}
        }
        if open.len() > MOST_DEEP {
            return false;
        }
        at += 1;
    }
    ended(&mut open, at) && open.is_empty()
}

/// The difference of two numbers in 32 bits, with a sign.
fn wrapping(number: u32, before: u32) -> i32 {
    number.wrapping_sub(before).cast_signed()
}

fn number(steps: &mut impl Iterator<Item = i32>) -> Option<u32> {
    steps.next().map(i32::cast_unsigned)
}

/// A span of a text.
fn span(steps: &mut impl Iterator<Item = i32>, before: u32, text: &str) -> Option<Span> {
    let start = before.wrapping_add(number(steps)?);
    let end = start.checked_add(number(steps)?)?;
    text.get(start as usize..end as usize).map(|_| Span { start, end })
}
