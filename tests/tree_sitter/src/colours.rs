//! The queries of the grammar for editors: they fit it, and every token of every book has one colour.

use crate::books::{books, line_of, root};
use crate::named_alike::nodes;
use crate::{LANGUAGE, parser};
use std::collections::{BTreeMap, BTreeSet};
use tree_sitter::{Query, QueryCursor, StreamingIterator};

fn query(name: &str) -> Query {
    let path = root().join("grammar/tree-sitter/queries").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    Query::new(&LANGUAGE.into(), &text).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Kinds of tokens, and the capture they have wherever they stand.
const COLOURS: &[(&str, &str)] = &[
    ("comment", "comment"),
    ("words", "string"),
    ("number", "constant.numeric"),
    ("whole", "constant.numeric"),
    ("exponent", "constant.numeric"),
    ("date", "constant.numeric.date"),
    ("unit_name", "type.unit"),
    ("yes", "constant.builtin.boolean"),
    ("no", "constant.builtin.boolean"),
    ("segment", "variable"),
    ("called", "function"),
    ("source_grade", "keyword"),
    ("operator", "operator"),
    ("plus_minus", "operator"),
];

#[test]
fn every_token_of_every_book_has_one_colour() {
    let query = query("highlights.scm");
    let mut parser = parser();
    let wanted: BTreeMap<&str, &str> = COLOURS.iter().copied().collect();
    let mut used: BTreeSet<&str> = BTreeSet::new();
    for (name, text) in books() {
        let tree = parser.parse(&text, None).unwrap();
        let mut colours: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
        let mut cursor = QueryCursor::new();
        let mut found = cursor.captures(&query, tree.root_node(), text.as_bytes());
        while let Some((one, at)) = found.next() {
            let capture = one.captures()[*at];
            let colour = query.capture_names()[capture.index as usize];
            colours.entry(capture.node.id()).or_default().push(colour);
            used.insert(colour);
        }
        for node in nodes(&tree) {
            let parent = node.parent().filter(|parent| ["words", "source_grade"].contains(&parent.kind()));
            let own = colours.get(&node.id()).map(Vec::as_slice).unwrap_or_default();
            let says = || format!("{name}: {} {own:?}, {}", node.kind(), line_of(&text, node.start_byte()));
            let is_token = node.child_count() == 0 && parent.is_none();
            let has_a_colour = is_token || wanted.contains_key(node.kind()) && node.is_named();
            assert!(own.len() == usize::from(has_a_colour || node.kind() == "escape"), "{}", says());
            match wanted.get(node.kind()) {
                Some(colour) if node.is_named() => assert_eq!(own, [*colour], "{}", says()),
                None if is_token && !node.is_named() && node.kind().starts_with(char::is_alphabetic) => {
                    assert!(own[0].starts_with("keyword"), "{}", says());
                }
                _ => {}
            }
        }
    }
    for colour in query.capture_names() {
        assert!(used.contains(colour) || *colour == "constant.character.escape", "no book has {colour}");
    }
}

#[test]
fn the_blocks_of_a_book_fold() {
    let query = query("folds.scm");
    let mut parser = parser();
    let text = include_str!("../../../specs/seals_3mm.rulebook");
    let tree = parser.parse(text, None).unwrap();
    let mut cursor = QueryCursor::new();
    let mut folds = cursor.captures(&query, tree.root_node(), text.as_bytes());
    let mut heads = Vec::new();
    while let Some((one, at)) = folds.next() {
        let node = one.captures()[*at].node;
        if node.kind() != "texts" {
            heads.push(text[node.start_byte()..].split_whitespace().next().unwrap());
        }
    }
    let braces = text.lines().filter(|line| !line.starts_with(['#', ' ']) && line.ends_with('{'));
    let wanted: Vec<&str> = braces.map(|line| line.split_whitespace().next().unwrap()).collect();
    assert!(!wanted.is_empty() && wanted.iter().all(|head| heads.contains(head)), "{heads:?} of {wanted:?}");
}
