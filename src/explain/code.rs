//! The page of each code: what it means, what to do, papers that say it and papers that do not. Refuses to read records.
//!
//! A page is a file `codes/<code>.md`, so that it can be written and read over without a compiler:
//!
//! ````text
//! # row-out
//! One line on what it means.
//!
//! What it means, in one or two paragraphs.
//!
//! ## Mend
//! What to do.
//!
//! ## Both
//! ```rulebook pump.rulebook
//! papers that both examples need; the section may be left out
//! ```
//!
//! ## Wrong
//! ```yaml P-1.yaml
//! papers about which the program says the code
//! ```
//!
//! ## Right
//! ```yaml P-1.yaml
//! the same, mended
//! ```
//! ````
//!
//! A fence says the language and, for a file, its name. `shell` is a command line and has no name; `text` says in words
//! what cannot be written on a page, such as bytes or a link. The papers are judged with `trochoid check .`, by the books
//! among them; where another command says the code, each example has it in a `shell` block. An example without a record
//! is about books alone.

mod page;

use crate::finding::Code;
use include_dir::{Dir, include_dir};
pub use page::{Page, Paper};

static PAGES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src/explain/codes");

/// The code of this name.
#[must_use]
pub fn named(name: &str) -> Option<Code> {
    Code::ALL.iter().copied().find(|code| code.name() == name)
}

/// The page of a code.
///
/// # Errors
/// What is wrong with the page, in words. Every page inside the program is tried when the program is tested.
pub fn page(code: Code) -> Result<Page, String> {
    let name = format!("{}.md", code.name());
    let file = PAGES.get_file(&name).ok_or_else(|| format!("no page {name}"))?;
    let text = file.contents_utf8().ok_or_else(|| format!("{name}: not UTF-8"))?;
    Page::read(code, text).map_err(|fault| format!("{name}: {fault}"))
}

/// The names of all pages, without their ending, in order.
#[must_use]
pub fn page_names() -> Vec<&'static str> {
    let mut names: Vec<&str> = PAGES
        .files()
        .filter_map(|file| file.path().to_str())
        .map(|name| name.strip_suffix(".md").unwrap_or(name))
        .collect();
    names.sort_unstable();
    names
}
