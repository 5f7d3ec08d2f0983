//! Says what is wrong with a line that could not be read, and how to mend it. Refuses to look names up.

use super::reader::{Context, Failure};
use super::scan::Tokens;
use super::wording;
use crate::finding::{Code, Finding};
use crate::text::{Source, Span};

/// All there is to know about a line that could not be read.
pub(super) struct Blame<'a> {
    /// The book.
    pub(super) source: &'a Source,
    /// Its tokens.
    pub(super) tokens: &'a Tokens,
    /// What the line stands in.
    pub(super) context: Context,
    /// The token the line begins with.
    pub(super) start: usize,
    /// What pest says.
    pub(super) failure: &'a Failure,
}

impl Blame<'_> {
    /// The one finding the line gets.
    pub(super) fn finding(&self) -> Finding {
        let found = self.tokens.after(0, self.failure.at);
        let span = self.tokens.get(found).map_or(Span::default(), |token| token.span);
        let _ = (self.context, self.start);
        Finding::new(Code::TextUnexpected, format!("{:?}", self.failure.expected))
            .at(self.source.place(span), wording::LABEL_HERE)
    }
}
