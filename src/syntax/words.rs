//! The words of the language, by what they may begin. Refuses to know what they mean.

/// Words that begin a declaration at the top of a book.
pub(super) const ITEMS: [&str; 12] = [
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
];

/// Words that begin a member of a part.
pub(super) const PART_MEMBERS: [&str; 2] = ["derive", "part"];

/// Words that begin a member of a generation.
pub(super) const GENERATION_MEMBERS: [&str; 3] = ["constant", "fitted", "replace"];

/// Words that begin a sentence between the braces after a row.
pub(super) const TEXTS: [&str; 4] = ["because", "remedy", "caution", "from"];

/// Words kept for a later edition of the language.
pub(super) const KEPT: [&str; 13] = [
    "house", "for", "tighten", "loosen", "add", "adopt", "retire", "judge", "table", "telltale", "also", "try",
    "expect",
];

/// Words that only stand inside a declaration.
pub(super) const INNER: [&str; 24] = [
    "edition", "shipped", "follows", "at", "to", "or", "and", "not", "is", "standard", "limit", "advisory", "where",
    "optional", "exactly", "above", "below", "all", "yes", "no", "of", "least", "most", "zero",
];

/// Inner words that are free as names.
const FREE: [&str; 3] = ["least", "most", "zero"];

/// Words that make one value of several, reserved only before `of`.
pub(super) const COLLECTORS: [&str; 7] = ["each", "smallest", "largest", "mean", "spread", "sum", "count"];

/// Whether a word begins a declaration or a member wherever it stands, so that no value can reach across it.
pub(super) fn begins_declaration(word: &str) -> bool {
    ITEMS.contains(&word) || PART_MEMBERS.contains(&word) || GENERATION_MEMBERS.contains(&word)
}

/// Whether a word is kept for a later edition.
pub(super) fn is_kept(word: &str) -> bool {
    KEPT.contains(&word)
}

/// Whether a word may never be a name.
pub(super) fn is_reserved(word: &str) -> bool {
    begins_declaration(word)
        || TEXTS.contains(&word)
        || is_kept(word)
        || (INNER.contains(&word) && !FREE.contains(&word))
}

/// Whether a word at the beginning of a line goes on with what stands before it.
pub(super) fn goes_on(word: &str) -> bool {
    (INNER.contains(&word) && !FREE.contains(&word)) || word == "also"
}
