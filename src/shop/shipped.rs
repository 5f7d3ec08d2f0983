//! The rulebooks inside the program, so that a fresh install works in an empty folder.

use super::ReadBook;
use crate::syntax;
use crate::text::Source;
use include_dir::{Dir, include_dir};
use std::sync::Arc;

/// What stands before the name of a shipped book where it is told of.
const SHIPPED: &str = "shipped ";

static SPECS: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/specs");

/// The names of the shipped rulebooks, in order.
#[must_use]
pub fn names() -> Vec<&'static str> {
    let mut names: Vec<&str> =
        SPECS.files().filter_map(|file| file.path().to_str()).filter(|name| name.ends_with(".rulebook")).collect();
    names.sort_unstable();
    names
}

/// One of them by its file name.
#[must_use]
pub fn book(name: &str) -> Option<Source> {
    let text = SPECS.get_file(name).filter(|_| name.ends_with(".rulebook"))?.contents_utf8()?;
    Some(Source::new(format!("{SHIPPED}{name}"), text))
}

/// One of them as read. It was read before: its tree lies packed beside it, unless the book was changed since.
pub(super) fn read(source: &Source) -> ReadBook {
    let packed = source.name().strip_prefix(SHIPPED).and_then(|name| SPECS.get_file(packed_name(name)));
    match packed.and_then(|file| syntax::unpack(file.contents(), source)) {
        Some(tree) => ReadBook { tree: Arc::new(tree), findings: Arc::default() },
        None => ReadBook::new(source),
    }
}

/// Where the tree of a book lies, packed.
fn packed_name(name: &str) -> String {
    format!("packed/{name}").replace(".rulebook", ".tree")
}
