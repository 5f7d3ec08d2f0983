//! The rulebook language as text: grammar, tree, recovery after a mistake. Refuses to know what any name means.

mod again;
mod ask;
mod blame;
mod blocks;
mod declaration;
mod expectation;
mod expression;
mod figures;
mod grammar;
mod habits;
mod house;
mod instead;
mod mend;
mod next;
mod packed;
mod reader;
mod rework;
mod scan;
mod shift;
pub mod tree;
mod wording;
mod wording_habits;
mod words;

pub use again::{Glance, glance, parse_again};
pub use next::{Next, next, next_in};
pub use packed::{pack, unpack};
pub use tree::{Item, Tree};

use crate::finding::{Code, Finding};
use crate::text::Source;

/// Reads a rulebook. What could not be understood is not in the tree and has a finding; the rest is there.
///
/// ```
/// use trochoid::{syntax, text::Source};
/// let book = Source::new("small.rulebook", "rulebook \"Small\" edition 2026-03-01\nclass letter = A, B, C\n");
/// let (tree, findings) = syntax::parse(&book);
/// assert!(findings.is_empty());
/// assert_eq!(tree.items.len(), 1);
/// ```
#[must_use]
pub fn parse(source: &Source) -> (Tree, Vec<Finding>) {
    let tokens = scan::scan(source.text());
    if let Some(span) = tokens.too_deep {
        let finding = Finding::new(Code::NestingTooDeep, wording::too_deep())
            .at(source.place(span), wording::LABEL_TOO_DEEP)
            .help(wording::too_deep_help());
        return (Tree { source: source.clone(), header: None, items: Vec::new() }, vec![finding]);
    }
    reader::Reader::new(source, &tokens).read()
}

#[cfg(test)]
mod tests;
