//! What the grammar for editors calls a thing is what the language's own grammar reads there, of the same bytes.

use crate::books::{books, line_of};
use crate::{LANGUAGE, parser, whole_grammar};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use tree_sitter::Node;

/// The rules of the language's grammar and the kinds of node their bytes have, where the two names differ. A word of the
/// language is a node without a name that is the word itself; every other kind is named as its rule is.
const KINDS: &[(&str, &str)] = &[
    ("yes_word", "yes"),
    ("no_word", "no"),
    ("named_type", "unit_name"),
    ("caret", "^"),
    ("equals", "="),
    ("open_brace", "{"),
    ("close_brace", "}"),
    ("open_paren", "("),
    ("close_paren", ")"),
    ("comma", ","),
    ("colon", ":"),
];

/// Kinds that no rule of the language has: what it reads silently, and the parts of words.
const OWN_KINDS: &[&str] = &["comment", "escape", "identifier"];

/// Kinds that include the braces after them, which the language's grammar reads beside them.
const WITH_TEXTS: &[&str] = &[
    "derive",
    "expansion",
    "reading",
    "given",
    "telltale",
    "plausible",
    "rework",
    "row",
    "retire_for",
    "change",
    "drop",
    "narrow",
    "plausible_gauges",
];

/// Every node of a tree, parents first.
pub(crate) fn nodes(tree: &tree_sitter::Tree) -> Vec<Node<'_>> {
    let mut nodes = Vec::new();
    let mut waiting = vec![tree.root_node()];
    while let Some(node) = waiting.pop() {
        nodes.push(node);
        let mut cursor = node.walk();
        let children: Vec<Node> = node.children(&mut cursor).collect();
        waiting.extend(children.into_iter().rev());
    }
    nodes
}

/// The kinds of node that have a name.
fn kinds() -> BTreeSet<String> {
    let language: tree_sitter::Language = LANGUAGE.into();
    let mut kinds = BTreeSet::new();
    for id in 0..u16::try_from(language.node_kind_count()).unwrap() {
        if language.node_kind_is_named(id) && language.node_kind_is_visible(id) {
            kinds.extend(language.node_kind_for_id(id).map(str::to_string));
        }
    }
    kinds.retain(|kind| !OWN_KINDS.contains(&&**kind));
    kinds
}

/// Where a place ends, without the spaces and comments at its end.
fn end_of(text: &str, range: Range<usize>) -> usize {
    let (mut end, mut quoted, mut comment, mut escaped) = (range.start, false, false, false);
    for (at, sign) in text[range.clone()].char_indices() {
        match sign {
            '\n' | '\r' => comment = false,
            _ if comment => {}
            '#' if !quoted => comment = true,
            _ => {
                quoted ^= sign == '"' && !escaped;
                escaped = sign == '\\' && !escaped;
                end = if sign.is_whitespace() { end } else { range.start + at + sign.len_utf8() };
            }
        }
    }
    end
}

/// A place without the spaces at its ends; of those with texts the beginning alone.
fn place(kind: &str, text: &str, range: Range<usize>) -> (usize, usize) {
    let inside = &text[range.clone()];
    let start = range.start + (inside.len() - inside.trim_start().len());
    let begins = WITH_TEXTS.contains(&kind) || kind == "book";
    (start, if begins { start } else { end_of(text, start..range.end) })
}

/// Stands before a kind that is the word or the mark itself, since a rule may have its name too.
const WORD: &str = "the word";

type Place = (usize, usize, String);

/// What the language reads, as the kinds of the grammar for editors.
fn read(reader: &pest_vm::Vm, words: &[String], kinds: &BTreeSet<String>, text: &str) -> Vec<Place> {
    let other: BTreeMap<&str, &str> = KINDS.iter().copied().collect();
    let mut places: BTreeSet<Place> = BTreeSet::new();
    for (rule, range) in whole_grammar::read(reader, text) {
        let kind = other.get(&*rule).copied().unwrap_or(&rule);
        if kinds.contains(kind) || other.contains_key(&*rule) {
            let (start, end) = place(kind, text, range);
            let kind = if kinds.contains(kind) { kind.to_string() } else { format!("{WORD} {kind}") };
            places.insert((start, end, kind));
        } else if words.contains(&rule) {
            // A word at a time, without what stands between two that belong together.
            let mut at = range.start;
            for line in text[range].split_inclusive('\n') {
                let said = line.split('#').next().unwrap();
                let mut from = 0;
                for word in said.split_ascii_whitespace() {
                    from += said[from..].find(word).unwrap();
                    places.insert((at + from, at + from + word.len(), format!("{WORD} {word}")));
                    from += word.len();
                }
                at += line.len();
            }
        }
    }
    places.into_iter().collect()
}

/// What the grammar for editors makes of the text; words and marks too, but not the marks inside paths and words.
fn made(tree: &tree_sitter::Tree, text: &str) -> Vec<Place> {
    let mut places: BTreeSet<Place> = BTreeSet::new();
    for node in nodes(tree) {
        let parent = node.parent().map(|parent| parent.kind()).unwrap_or_default();
        let inner = match node.kind() {
            "." | "\"" => true,
            "+" | "-" => parent == "deviation",
            _ => parent == "source_grade",
        };
        if !inner && !OWN_KINDS.contains(&node.kind()) {
            let kind = if node.is_named() { node.kind() } else { WORD };
            let (start, end) = place(kind, text, node.byte_range());
            let kind = if node.is_named() { kind.to_string() } else { format!("{WORD} {}", node.kind()) };
            places.insert((start, end, kind));
        }
    }
    places.into_iter().collect()
}

#[test]
fn every_kind_is_a_rule_of_the_language() {
    let grammar = include_str!("../../../grammar/rulebook.pest");
    for kind in kinds() {
        let is_rule = grammar.lines().any(|line| line.split_once('=').is_some_and(|(name, _)| name.trim() == kind));
        assert!(is_rule || KINDS.iter().any(|(_, other)| *other == kind), "{kind} is no rule of the language");
    }
}

#[test]
fn what_it_calls_a_thing_is_what_the_language_reads() {
    let mut parser = parser();
    let (reader, words, kinds) = (whole_grammar::reader(), whole_grammar::word_rules(), kinds());
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for (name, text) in books() {
        let wanted = read(&reader, &words, &kinds, &text);
        let tree = parser.parse(&text, None).unwrap();
        let made = made(&tree, &text);
        let missing = wanted.iter().find(|place| !made.contains(place));
        let excess = made.iter().find(|place| !wanted.contains(place));
        for (what, found) in [("the language alone has", missing), ("the grammar for editors alone has", excess)] {
            if let Some((start, end, kind)) = found {
                panic!("{name}: {what} {kind} `{}`, {}", &text[*start..*end], line_of(&text, *start));
            }
        }
        seen.extend(wanted.into_iter().map(|(_, _, kind)| kind));
    }
    for kind in kinds.iter().map(String::as_str).chain(KINDS.iter().map(|(_, kind)| *kind)) {
        assert!(
            seen.contains(kind) || seen.contains(&format!("{WORD} {kind}")),
            "no book has {kind}, so nothing is known of it"
        );
    }
}
