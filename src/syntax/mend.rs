//! Mends for characters and numbers as other programs, keyboards and countries write them. Refuses to know the grammar.

use super::scan::{Shape, Token, Tokens, is_full_width};
use super::{wording, wording_habits};
use crate::finding::{Code, Finding};
use crate::quantity::{Number, NumberErrorKind};
use crate::text::{Source, Span};

/// A finding for a character the language has no use for, with what to type instead where that is known.
pub(super) fn odd_character(source: &Source, tokens: &Tokens, index: usize) -> Option<Finding> {
    let token = tokens.get(index)?;
    let Shape::Odd(letter) = token.shape else { return None };
    let mut span = token.span;
    let written = source.slice(span);
    let next = index.checked_add(1).and_then(|next| tokens.get(next)).filter(|next| next.span.start == span.end);
    let next_is = |shape: Shape| next.is_some_and(|next| next.shape == shape);
    let found = |message: String, help: Option<String>, span: Span| {
        Finding::new(Code::TextUnexpected, message).at(source.place(span), wording::LABEL_HERE).maybe_help(help)
    };
    if written.chars().any(is_full_width) {
        let plain: String = written.chars().map(plain_width).collect();
        return Some(found(wording::full_width(written), Some(wording::write(&plain)), span));
    }
    let instead = match letter {
        '“' | '”' | '„' | '‟' | '«' | '»' | '‘' | '’' | '\'' | '`' => {
            return Some(found(wording::quotes_typographic(), Some(wording::quotes_help()), span));
        }
        '>' | '<' if next_is(Shape::Mark('=')) => {
            span = span.to(next.map_or(span, |next| next.span));
            if letter == '>' { "at least" } else { "at most" }
        }
        '≥' | '≧' => "at least",
        '≤' | '≦' => "at most",
        '>' => "above",
        '<' => "below",
        '!' if next_is(Shape::Mark('=')) => {
            span = span.to(next.map_or(span, |next| next.span));
            "is not"
        }
        '≠' => "is not",
        '!' => "not",
        '&' | '|' => {
            if next_is(Shape::Odd(letter)) {
                span = span.to(next.map_or(span, |next| next.span));
            }
            if letter == '&' { "and" } else { "or" }
        }
        '.' if next_is(Shape::Odd('.')) => {
            let third = index.checked_add(2).and_then(|third| tokens.get(third));
            let last = third.filter(|third| third.shape == Shape::Odd('.')).or(next);
            span = span.to(last.map_or(span, |last| last.span));
            "to"
        }
        '…' => "to",
        '–' | '—' => return Some(found(wording::no_meaning(written), Some(wording::dash_help()), span)),
        '−' | '‐' | '‑' => "-",
        '×' | '⋅' | '∙' | '•' => "*",
        '÷' | '∕' => "/",
        '²' if in_unit(tokens, index) => "2",
        '³' if in_unit(tokens, index) => "3",
        '²' => "^ 2",
        '³' => "^ 3",
        ';' if next_on_line(tokens, index) && in_parentheses(tokens, index) => ",",
        '.' => return Some(found(wording::no_meaning(written), Some(wording_habits::full_stop_help()), span)),
        '~' => return Some(found(wording::no_meaning(written), Some(wording_habits::plain_hint()), span)),
        '[' => "(",
        ']' => ")",
        ';' => return Some(found(wording::no_meaning(written), Some(wording::semicolon_help()), span)),
        letter if is_odd_space(letter) => {
            return Some(found(wording::odd_space(letter), Some(wording::odd_space_help()), span));
        }
        letter if letter.is_control() => {
            return Some(found(wording::control(letter), Some(wording::take_out()), span));
        }
        _ => return Some(found(wording::no_meaning(written), None, span)),
    };
    Some(found(wording::no_meaning(source.slice(span)), Some(wording::write(instead)), span))
}

/// Whether the word before this token is a unit: it stands after a number, or where a type stands.
fn in_unit(tokens: &Tokens, index: usize) -> bool {
    let before = index.checked_sub(2).and_then(|before| tokens.shape(before));
    matches!(before, Some(Shape::Number | Shape::Mark(':')))
}

fn next_on_line(tokens: &Tokens, index: usize) -> bool {
    tokens.get(index + 1).is_some_and(|next| !next.first)
}

/// Whether a parenthesis is open here that was opened on this line.
fn in_parentheses(tokens: &Tokens, index: usize) -> bool {
    let mut closed = 0_usize;
    for before in (0..index).rev() {
        match tokens.shape(before) {
            Some(Shape::Mark(')')) => closed += 1,
            Some(Shape::Mark('(')) if closed == 0 => return true,
            Some(Shape::Mark('(')) => closed -= 1,
            _ => {}
        }
        if tokens.get(before).is_none_or(|token| token.first) {
            break;
        }
    }
    false
}

fn plain_width(letter: char) -> char {
    let plain = u32::from(letter).checked_sub(0xfee0).and_then(char::from_u32);
    if is_full_width(letter) { plain.unwrap_or(letter) } else { letter }
}

fn is_odd_space(letter: char) -> bool {
    letter.is_whitespace() || matches!(letter, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}' | '\u{00ad}')
}

/// A finding for words between quotation marks that hold what words may not hold.
pub(super) fn words_inside(source: &Source, token: Token) -> Option<Finding> {
    let written = source.slice(token.span);
    let within = written.get(1..written.len().saturating_sub(1))?;
    let base = token.span.start as usize + 1;
    let mut letters = within.char_indices().peekable();
    while let Some((offset, letter)) = letters.next() {
        let at = base + offset;
        if letter == '\\' {
            let (_, next) = letters.next().unwrap_or((offset, ' '));
            if !matches!(next, '"' | '\\') {
                let span = Span::new(at, at + 1 + next.len_utf8());
                return Some(
                    Finding::new(Code::TextUnexpected, wording::backslash())
                        .at(source.place(span), wording::LABEL_HERE)
                        .help(wording::backslash_help()),
                );
            }
        } else if (letter.is_control() && letter != '\t') || matches!(letter, '\u{2028}' | '\u{2029}') {
            let span = Span::new(at, at + letter.len_utf8());
            return Some(
                Finding::new(Code::TextUnexpected, wording::control(letter))
                    .at(source.place(span), wording::LABEL_HERE)
                    .help(wording::take_out()),
            );
        }
    }
    None
}

/// A finding for a number as other programs write it, such as `1e3` or `0x1F`, which the grammar takes for a number
/// and a unit.
pub(super) fn other_notation(source: &Source, span: Span) -> Option<Finding> {
    let written = source.slice(span);
    let error = Number::parse(written).err();
    let power = written.strip_suffix(['e', 'E']).is_some_and(|digits| Number::parse(digits).is_ok());
    // The minus of a power is none of the grammar's numbers.
    let rest = source.text().get(span.end as usize..).unwrap_or("");
    let digits = rest.get(1..).unwrap_or("");
    let length = digits.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(digits.len());
    if power && rest.starts_with(['-', '+']) && length > 0 {
        let span = Span::new(span.start as usize, span.end as usize + 1 + length);
        let mended = Number::parse(source.slice(span)).err().and_then(|error| error.mended);
        return Some(number(source, span, source.slice(span), mended));
    }
    match error {
        Some(error) if matches!(error.kind, NumberErrorKind::Exponent | NumberErrorKind::Hexadecimal) => {
            Some(number(source, span, written, error.mended))
        }
        _ if power => Some(number(source, span, written, None)),
        _ => None,
    }
}

/// A finding for a number that is none, or for two numbers with a comma or two dots between them.
pub(super) fn number_like(source: &Source, tokens: &Tokens, index: usize) -> Option<Finding> {
    let token = tokens.get(index)?;
    let number_at =
        |index: Option<usize>| index.and_then(|index| tokens.get(index)).filter(|it| it.shape == Shape::Number);
    if token.shape == Shape::Mark(',') {
        let before = number_at(index.checked_sub(1)).filter(|before| before.span.end == token.span.start)?;
        let after = number_at(index.checked_add(1)).filter(|after| after.span.start == token.span.end)?;
        let span = before.span.to(after.span);
        let digits = source.slice(after.span).find(|letter: char| !letter.is_ascii_digit());
        let end = digits.map_or(span.end as usize, |length| after.span.start as usize + length);
        let span = Span::new(span.start as usize, end);
        let error = Number::parse(source.slice(span)).err()?;
        return Some(number(source, span, source.slice(span), error.mended));
    }
    if token.shape != Shape::Number {
        return None;
    }
    let written = source.slice(token.span);
    if let Some((low, high)) = written.split_once("..") {
        let help = wording::write(&format!("{} to {}", low, high.trim_matches('.')));
        return Some(
            Finding::new(Code::TextUnexpected, wording::dots(written))
                .at(source.place(token.span), wording::LABEL_HERE)
                .help(help),
        );
    }
    let error = Number::parse(written).err()?;
    // 2mm is a number and its unit; only what no unit begins is a number gone wrong.
    if error.kind == NumberErrorKind::NotANumber && !written.ends_with('.') {
        return None;
    }
    let mended = error.mended.or_else(|| written.strip_suffix('.').map(str::to_owned));
    Some(number(source, token.span, written, mended))
}

fn number(source: &Source, span: Span, written: &str, mended: Option<String>) -> Finding {
    Finding::new(Code::TextUnexpected, wording::number_wrong(written))
        .at(source.place(span), wording::LABEL_NUMBER)
        .help(mended.map_or_else(wording::number_help, |mended| wording::write(&mended)))
}
