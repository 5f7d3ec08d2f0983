//! The words of the language, by what they may begin. Refuses to know what they mean.

/// Words that begin a declaration at the top of a book.
pub(super) const ITEMS: [&str; 17] = [
    "rulebook",
    "use",
    "unit",
    "class",
    "choice",
    "constant",
    "formula",
    "source",
    "extend",
    "generation",
    "basis",
    "general",
    "plausible",
    "table",
    "house",
    "try",
    "fits",
];

/// Words that begin a member of a part.
pub(super) const PART_MEMBERS: [&str; 4] = ["derive", "expansion", "measure", "part"];

/// Words that begin a member of a generation.
pub(super) const GENERATION_MEMBERS: [&str; 6] = ["constant", "fitted", "replace", "telltale", "plausible", "rework"];

/// Words that begin a line of a house.
pub(super) const HOUSE_MEMBERS: [&str; 4] = ["judge", "gauges", "for", "retire"];

/// Words that begin a line inside a house's `for`.
pub(super) const OVERLAYS: [&str; 6] = ["tighten", "loosen", "add", "adopt", "retire", "narrow"];

/// Words that begin a line of a try, besides readings.
pub(super) const TRY_MEMBERS: [&str; 3] = ["generation", "finished", "expect"];

/// Words that begin a line of a table of fits. They are free as names elsewhere.
pub(super) const FITS_MEMBERS: [&str; 4] = ["sizes", "grade", "shaft", "hole"];

/// Words that begin a sentence between the braces after a row.
pub(super) const TEXTS: [&str; 5] = ["because", "remedy", "caution", "measure", "from"];

/// Words that only stand inside a declaration.
pub(super) const INNER: [&str; 29] = [
    "edition", "shipped", "follows", "at", "to", "or", "and", "not", "is", "standard", "limit", "advisory", "where",
    "optional", "exactly", "above", "below", "all", "yes", "no", "of", "least", "most", "zero", "also", "rounded",
    "never", "excused", "outer",
];

/// Inner words that are free as names.
const FREE: [&str; 5] = ["least", "most", "zero", "excused", "outer"];

/// Words that make one value of several, reserved only before `of`.
pub(super) const COLLECTORS: [&str; 7] = ["each", "smallest", "largest", "mean", "spread", "sum", "count"];

/// Whether a word begins a declaration or a member wherever it stands, so that no value can reach across it.
pub(super) fn begins_declaration(word: &str) -> bool {
    ITEMS.contains(&word)
        || PART_MEMBERS.contains(&word)
        || GENERATION_MEMBERS.contains(&word)
        || HOUSE_MEMBERS.contains(&word)
        || OVERLAYS.contains(&word)
        || word == "expect"
}

/// Whether a word may never be a name.
pub(super) fn is_reserved(word: &str) -> bool {
    begins_declaration(word) || TEXTS.contains(&word) || (INNER.contains(&word) && !FREE.contains(&word))
}

/// Whether a word at the beginning of a line goes on with what stands before it.
pub(super) fn goes_on(word: &str) -> bool {
    INNER.contains(&word) && !FREE.contains(&word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::grammar::{Grammar, Rule};
    use pest::Parser;

    fn is(rule: Rule, text: &str) -> bool {
        Grammar::parse(rule, text).is_ok_and(|pairs| pairs.as_str() == text)
    }

    #[test]
    fn the_grammar_reserves_the_same_words() {
        let lists: [&[&str]; 8] =
            [&ITEMS, &PART_MEMBERS, &GENERATION_MEMBERS, &HOUSE_MEMBERS, &OVERLAYS, &TRY_MEMBERS, &TEXTS, &INNER];
        for word in lists.concat() {
            assert_eq!(is(Rule::reserved, word), is_reserved(word), "{word}");
            assert_eq!(is(Rule::new_name, word), !is_reserved(word), "{word}");
            assert!(is(Rule::new_name, &format!("{word}s")) && is(Rule::new_name, &format!("{word}_a")), "{word}");
        }
        for word in COLLECTORS {
            assert!(is(Rule::reserved, &format!("{word} of")) && is(Rule::new_name, word), "{word}");
        }
    }
}
