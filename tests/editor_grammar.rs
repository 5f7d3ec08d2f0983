//! The editor grammar: it names every byte of every book, and what it names a thing is what the language's own grammar
//! reads there.

#[path = "editor_grammar/textmate.rs"]
mod textmate;

use crate::{reference, whole_grammar};
use std::collections::{BTreeMap, BTreeSet};
use textmate::Grammar;

const EDITOR: &str = include_str!("../grammar/rulebook.tmLanguage.json");

/// The rules of the language's grammar and the scopes their bytes may have. A word is `keyword`, except where editors
/// have a name of their own for it.
const SCOPES: &[(&str, &[&str])] = &[
    ("yes_word", &["constant.language.boolean"]),
    ("no_word", &["constant.language.boolean"]),
    ("yes_no_type", &["support.type.yes-no"]),
    ("words", &["string.quoted.double"]),
    ("date", &["constant.other.date"]),
    ("number", &["constant.numeric"]),
    ("whole", &["constant.numeric"]),
    ("exponent", &["constant.numeric"]),
    ("unit_name", &["keyword.other.unit", "support.type.unit"]),
    ("named_type", &["support.type.unit"]),
    ("fit_class", &["constant.other.fit"]),
    ("fit_letters", &["constant.other.fit"]),
    ("operator", &["keyword.operator.arithmetic"]),
    ("minus", &["keyword.operator.arithmetic"]),
    ("caret", &["keyword.operator.arithmetic"]),
    ("plus_minus", &["keyword.operator.tolerance"]),
    ("equals", &["keyword.operator.assignment"]),
    ("open_brace", &["punctuation.section.block"]),
    ("close_brace", &["punctuation.section.block"]),
    ("open_paren", &["punctuation.section.parens"]),
    ("close_paren", &["punctuation.section.parens"]),
    ("comma", &["punctuation.separator.comma"]),
    ("colon", &["punctuation.separator.colon"]),
    ("called", &["entity.name.function", "support.function"]),
    ("new_name", &["entity.name", "variable"]),
    ("name", &["variable.other", "entity.name", "entity.other.inherited-class"]),
    ("segment", &["variable.other"]),
];

/// Every book of the repository, with its name: shipped, of the examples, and those of the reference.
fn books() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut books = Vec::new();
    for folder in ["specs", "examples"] {
        for entry in walkdir::WalkDir::new(root.join(folder)).sort_by_file_name() {
            let path = entry.unwrap().into_path();
            if path.extension().is_some_and(|ending| ending == "rulebook") {
                books.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    assert!(books.len() >= 10, "the books were not found");
    for (number, book) in reference::books().into_iter().enumerate() {
        books.push((format!("block {number} of the reference"), book));
    }
    books
}

fn line_of(text: &str, at: usize) -> String {
    let number = text[..at].matches('\n').count() + 1;
    format!("line {number}: {}", text.lines().nth(number - 1).unwrap_or_default())
}

#[test]
fn a_mistake_is_left_without_a_name() {
    let grammar = Grammar::new(EDITOR);
    for (text, wrong) in [("limit at most ; 2 mm", ';'), ("part £ {", '£'), ("fits \"a\" { ? }", '?')] {
        let at = text.find(wrong).unwrap();
        let scopes = &grammar.scopes(text)[at];
        assert!(scopes.iter().all(|scope| scope.starts_with("meta.")), "{text}: {scopes:?}");
    }
}

#[test]
fn every_byte_of_every_book_has_a_name_and_it_is_what_the_language_reads() {
    let grammar = Grammar::new(EDITOR);
    let reader = whole_grammar::reader();
    let words = whole_grammar::word_rules();
    let wanted: BTreeMap<&str, &[&str]> = SCOPES.iter().copied().collect();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for (name, text) in books() {
        let scopes = grammar.scopes(&text);
        // What only stands inside a block such as `fits { }`, without a name of its own, is as nameless.
        let nameless = |at: &usize| scopes[*at].iter().all(|scope| scope.starts_with("meta."));
        let blank = |at: &usize| text.as_bytes()[*at].is_ascii_whitespace();
        if let Some(at) = (0..text.len()).find(|at| nameless(at) && !blank(at)) {
            panic!("{name}, {}", line_of(&text, at));
        }
        for (rule, place) in whole_grammar::read(&reader, &text) {
            let wanted: &[&str] = match wanted.get(&*rule) {
                Some(wanted) => wanted,
                None if words.contains(&rule) => &["keyword."],
                None => continue,
            };
            let is_wanted =
                |at: usize| scopes[at].iter().any(|scope| wanted.iter().any(|want| scope.starts_with(want)));
            let first = place.clone().find(|at| !text.as_bytes()[*at].is_ascii_whitespace() && !is_wanted(*at));
            if let Some(at) = first {
                panic!("{name}: {rule} `{}` is {:?}, {}", &text[place], scopes[at], line_of(&text, at));
            }
            seen.insert(rule);
        }
    }
    for rule in words.iter().map(String::as_str).chain(SCOPES.iter().map(|(rule, _)| *rule)) {
        assert!(seen.contains(rule), "no book has {rule}, so nothing is known of it");
    }
}
