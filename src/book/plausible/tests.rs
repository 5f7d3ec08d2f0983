//! Plausible ranges as generations keep them: inherited, replaced, narrowed by a shop, and refused where they say nothing.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

use crate::book::{Book, compile};
use crate::finding::Code;
use crate::syntax::parse;
use crate::text::Source;

const HEAD: &str = "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\nunit kg = 1 kg1\n";

fn book(parts: &str, generations: &str) -> (Book, Vec<Code>) {
    let head = "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\nconstant bore : mm\n";
    let (tree, findings) = parse(&Source::new("t.rulebook", format!("{head}{parts}{generations}")));
    assert!(findings.is_empty(), "{findings:?}");
    let (book, findings) = compile(&[tree]);
    (book, findings.iter().map(|finding| finding.code).collect())
}
