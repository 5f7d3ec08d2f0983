//! Asks pest one line at a time. Refuses to make anything of the answer.

use pest::Parser;
use pest::error::{ErrorVariant, InputLocation};
use pest::iterators::Pair;

use super::grammar::{Grammar, Rule};
use super::reader::Context;
use super::scan::Tokens;

/// What pest says of a line it could not read.
pub(super) struct Failure {
    /// The byte where it could go no further.
    pub(super) at: usize,
    /// What could have stood there.
    pub(super) expected: Vec<Rule>,
}

/// A line that could have stood at the beginning of this text, if one stands there.
pub(super) fn line(context: Context, text: &str) -> Option<Pair<'_, Rule>> {
    let rule = match context {
        Context::Top => Rule::maybe_item,
        Context::Part => Rule::maybe_part_line,
        Context::Generation => Rule::maybe_generation_line,
        Context::House => Rule::maybe_house_line,
        Context::Overlay => Rule::maybe_overlay_line,
        Context::Try => Rule::maybe_try_line,
        Context::Fits => Rule::maybe_fits_line,
        Context::Texts => Rule::maybe_text_line,
    };
    Grammar::parse(rule, text).ok()?.next()
}

/// Why no line stands at token `start`.
pub(super) fn why_not(context: Context, text: &str, tokens: &Tokens, start: usize) -> Option<Failure> {
    failure(one_line(context), text, tokens, start)
}

/// What a line may begin with.
pub(super) fn beginnings(context: Context) -> Vec<Rule> {
    match Grammar::parse(one_line(context), "").map_err(|error| error.variant) {
        Err(ErrorVariant::ParsingError { positives, .. }) => positives,
        _ => Vec::new(),
    }
}

fn one_line(context: Context) -> Rule {
    match context {
        Context::Top => Rule::item,
        Context::Part => Rule::part_line,
        Context::Generation => Rule::generation_line,
        Context::House => Rule::house_line,
        Context::Overlay => Rule::overlay_line,
        Context::Try => Rule::try_line,
        Context::Fits => Rule::fits_line,
        Context::Texts => Rule::text_line,
    }
}

/// What could have followed the line that stands at token `start`, and where.
pub(super) fn what_else(context: Context, text: &str, tokens: &Tokens, start: usize) -> Option<Failure> {
    let rule = match context {
        Context::Top => Rule::only_item,
        Context::Part => Rule::only_part_line,
        Context::Generation => Rule::only_generation_line,
        Context::House => Rule::only_house_line,
        Context::Overlay => Rule::only_overlay_line,
        Context::Try => Rule::only_try_line,
        Context::Fits => Rule::only_fits_line,
        Context::Texts => Rule::only_text_line,
    };
    failure(rule, text, tokens, start)
}

/// pest reads all the text it is given to draw an error, so a book of mistakes would take the square of its length. It
/// is given a few tokens, and more only where it got near the last of them.
fn failure(rule: Rule, text: &str, tokens: &Tokens, start: usize) -> Option<Failure> {
    /// More tokens than any phrase the grammar looks ahead by.
    const NEAR: usize = 8;
    let base = tokens.get(start)?.span.start as usize;
    let mut count = 64_usize;
    loop {
        let cut = tokens.get(start.saturating_add(count));
        let end = cut.map_or(text.len(), |token| token.span.start as usize);
        if let Err(error) = Grammar::parse(rule, text.get(base..end).unwrap_or("")) {
            let at = match error.location {
                InputLocation::Pos(at) | InputLocation::Span((at, _)) => base + at,
            };
            let far = tokens.after(start, at);
            if cut.is_none() || far + NEAR <= start + count {
                let expected = match error.variant {
                    ErrorVariant::ParsingError { positives, .. } => positives,
                    ErrorVariant::CustomError { .. } => Vec::new(),
                };
                return Some(Failure { at, expected });
            }
        } else if cut.is_none() {
            return None;
        }
        count = count.saturating_mul(8);
    }
}
