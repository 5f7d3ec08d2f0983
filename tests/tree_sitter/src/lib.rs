//! The rulebook grammar of grammar/tree-sitter, as an editor loads it, and the tests that hold it to the language.

use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_rulebook() -> *const ();
}

/// The grammar, for `tree_sitter::Parser::set_language`.
// SAFETY: the function is the one of the generated parser, which has no state and takes nothing.
pub const LANGUAGE: LanguageFn = unsafe { LanguageFn::from_raw(tree_sitter_rulebook) };

#[cfg(test)]
mod books;
#[cfg(test)]
mod colours;
#[cfg(test)]
mod generated;
#[cfg(test)]
mod named_alike;
#[cfg(test)]
mod spoilt;
#[cfg(test)]
#[path = "../../whole_grammar.rs"]
mod whole_grammar;

#[cfg(test)]
pub(crate) fn parser() -> tree_sitter::Parser {
    let mut parser = tree_sitter::Parser::new();
    parser.set_language(&LANGUAGE.into()).unwrap();
    parser
}
