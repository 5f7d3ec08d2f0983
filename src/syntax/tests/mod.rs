//! Tests of reading a rulebook: every construct, every mistake, hostile text, and properties of any text.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

mod constructs;
mod hostile;
mod mistakes;
mod properties;
mod sketch;

use super::parse;
use super::tree::{GenerationMember, Item, Row, Tree};
use crate::finding::Finding;
use crate::text::Source;

const HEADER: &str = "rulebook \"Test\" edition 2026-03-01\n";

/// Reads a book that begins with a header.
fn read(body: &str) -> (Tree, Vec<Finding>) {
    parse(&Source::new("test.rulebook", format!("{HEADER}{body}")))
}

/// Reads a book that must be without mistakes.
fn clean(body: &str) -> Tree {
    let (tree, findings) = read(body);
    assert!(findings.is_empty(), "{body}\n{findings:#?}");
    tree
}

fn only_item(body: &str) -> (Tree, Item) {
    let tree = clean(body);
    assert_eq!(tree.items.len(), 1, "{body}");
    let item = tree.items[0].clone();
    (tree, item)
}

/// The rows of the only generation.
fn rows(tree: &Tree) -> Vec<Row> {
    let generation = tree.items.iter().find_map(|item| match item {
        Item::Generation(generation) => Some(generation),
        _ => None,
    });
    let members = &generation.expect("a generation").members;
    members
        .iter()
        .filter_map(|member| match member {
            GenerationMember::Row(row) => Some(row.clone()),
            _ => None,
        })
        .collect()
}

/// A row as the only member of a generation.
fn row(text: &str) -> (Tree, Row) {
    let tree = clean(&format!("generation g \"x\" {{\n{text}\n}}\n"));
    let rows = rows(&tree);
    assert_eq!(rows.len(), 1, "{text}");
    (tree, rows[0].clone())
}

/// The text a finding underlines.
fn underlined(finding: &Finding) -> String {
    finding.place.as_ref().map(|(place, _)| place.text().to_owned()).unwrap_or_default()
}
