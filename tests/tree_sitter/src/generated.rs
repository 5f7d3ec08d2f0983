//! The committed parser is what the grammar generates. `TROCHOID_BLESS=1 cargo test generates` writes it again.

use crate::books::root;
use tree_sitter_generate::{OptLevel, generate_parser_in_directory};

/// The form of the tables that editors are asked to read; 15 is the one with words that are never names.
const FORM: usize = 15;

const FILES: &[&str] = &[
    "parser.c",
    "grammar.json",
    "node-types.json",
    "tree_sitter/alloc.h",
    "tree_sitter/array.h",
    "tree_sitter/parser.h",
];

#[test]
fn the_committed_parser_is_what_the_grammar_generates() {
    let folder = root().join("grammar/tree-sitter");
    let made = tempfile::tempdir().unwrap();
    let mut said = Vec::new();
    let grammar = folder.join("grammar.js");
    let (out, form) = (Some(made.path()), FORM);
    generate_parser_in_directory(&folder, out, Some(&grammar), form, None, None, true, OptLevel::default(), &mut said)
        .unwrap_or_else(|error| panic!("{error}\n{error:?}"));
    assert!(said.is_empty(), "{said:?}");
    let committed = folder.join("src");
    let bless = std::env::var_os("TROCHOID_BLESS").is_some();
    for file in FILES {
        let new = std::fs::read(made.path().join(file)).unwrap();
        if bless {
            std::fs::create_dir_all(committed.join("tree_sitter")).unwrap();
            std::fs::write(committed.join(file), &new).unwrap();
        }
        let old = std::fs::read(committed.join(file)).unwrap_or_default();
        assert!(old == new, "{file} is not what grammar.js generates: TROCHOID_BLESS=1 cargo test generates");
    }
    let found = walkdir::WalkDir::new(&committed).into_iter().filter(|entry| entry.as_ref().unwrap().path().is_file());
    assert_eq!(found.count(), FILES.len(), "the folder has files that nothing generates");
}
