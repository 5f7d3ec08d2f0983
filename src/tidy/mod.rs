//! The one layout of a rulebook: spaces, line ends and columns set anew, every word and comment carried over in order.
//! Refuses to know what any name means, and to touch a book with mistakes.
//!
//! The layout, in the order it is made: `token` cuts the text so that a unit stays one piece; `space` says between
//! which pieces a blank stands; `start` asks the tree where members begin; `line` breaks the pieces into lines, one
//! member each; `column` sets lines of one kind that follow each other in columns.

mod column;
mod line;
mod space;
mod start;
mod token;

use crate::finding::Finding;
use crate::syntax;
use crate::text::Source;

/// The book in its canonical layout. Tidying what is tidy changes nothing.
///
/// ```
/// use trochoid::{text::Source, tidy::tidy};
/// let book = Source::new("a.rulebook", "rulebook \"A\"   edition 2026-03-01\nclass letter=A,B\n\n\n");
/// assert_eq!(tidy(&book).as_deref(), Ok("rulebook \"A\" edition 2026-03-01\nclass letter = A, B\n"));
/// ```
///
/// # Errors
///
/// A book with mistakes is not laid out: what is wrong with it is given instead.
pub fn tidy(source: &Source) -> Result<String, Vec<Finding>> {
    let (tree, findings) = syntax::parse(source);
    if findings.iter().any(Finding::is_error) {
        return Err(findings);
    }
    let mut tokens = token::tokens(source.text());
    space::set(&mut tokens);
    let starts = start::starts(&tree, &tokens);
    let mut lines = line::lines(&tokens, &starts);
    column::align(&mut lines);
    Ok(line::write(&lines))
}

#[cfg(test)]
mod tests;
