//! The grammar of the language run as it stands, to learn which rule reads which bytes of a book.

use pest_meta::parser::Rule as Meta;
use pest_meta::{optimizer, parser};
use pest_vm::Vm;
use std::ops::Range;

const GRAMMAR: &str = include_str!("../grammar/rulebook.pest");

/// The rules between this heading of the grammar and the next are the words of the language.
const HEADING: &str = "// ---- words of the language";

fn pairs() -> pest::iterators::Pairs<'static, Meta> {
    parser::parse(Meta::grammar_rules, GRAMMAR).unwrap_or_else(|error| panic!("{error}"))
}

/// The grammar, ready to read books.
pub(crate) fn reader() -> Vm {
    Vm::new(optimizer::optimize(parser::consume_rules(pairs()).unwrap()))
}

/// The names of the rules that read one word of the language, or several words that belong together.
pub(crate) fn word_rules() -> Vec<String> {
    let (_, section) = GRAMMAR.split_once(HEADING).unwrap();
    let (section, _) = section.split_once("// Never a name").unwrap();
    let rules: Vec<String> =
        section.lines().filter_map(|line| line.split_once("= @{")).map(|(name, _)| name.trim().to_string()).collect();
    let all: Vec<String> = GRAMMAR
        .lines()
        .filter_map(|line| line.split_once('='))
        .map(|(name, _)| name.trim().to_string())
        .filter(|name| name.ends_with("_word"))
        .collect();
    for name in all {
        assert!(rules.contains(&name), "{name} is not among the words of the language");
    }
    rules
}

/// Which rule read which bytes of a whole book, every rule on the way down.
pub(crate) fn read(reader: &Vm, text: &str) -> Vec<(String, Range<usize>)> {
    let pairs = reader.parse("book", text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    pairs.flatten().map(|pair| (pair.as_rule().to_string(), pair.as_span().start()..pair.as_span().end())).collect()
}
