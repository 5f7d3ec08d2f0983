//! Turns of phrase that every room's sentences share.

/// Names in a row: `a, b or c`, with `last` before the last one.
#[must_use]
pub fn list<'a>(names: impl IntoIterator<Item = &'a str>, last: &str) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [most @ .., end] => format!("{} {last} {end}", most.join(", ")),
    }
}

/// The word for several of them: rotors, bushes, assemblies.
#[must_use]
pub fn plural(name: &str) -> String {
    let hissing = ["s", "x", "z", "ch", "sh"].iter().any(|ending| name.ends_with(ending));
    let before_y = name.strip_suffix('y').filter(|stem| !stem.ends_with(['a', 'e', 'i', 'o', 'u']));
    match before_y {
        Some(stem) => format!("{stem}ies"),
        None if hissing => format!("{name}es"),
        None => format!("{name}s"),
    }
}

/// The mend for a misspelt name, where one is near enough.
#[must_use]
pub fn did_you_mean(near: Option<&str>) -> Option<String> {
    near.map(|name| format!("did you mean `{name}`?"))
}

/// What a mend that is no more than a change of words would write: of "did you mean `width`?" it is `width`.
#[must_use]
pub fn instead(help: &str) -> Option<&str> {
    let written = help.strip_prefix("did you mean ").and_then(|rest| rest.strip_suffix('?'));
    let written = written.or_else(|| help.strip_prefix("write "))?;
    let marked = |mark: char| written.strip_prefix(mark)?.strip_suffix(mark).filter(|words| !words.contains(mark));
    marked('`').or_else(|| marked('\''))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mend_is_read_back_from_its_phrase_and_nothing_else_is() {
        assert_eq!(did_you_mean(Some("width")).as_deref().and_then(instead), Some("width"));
        assert_eq!(instead("write 'at least'"), Some("at least"));
        for whole in
            ["write 'a' in place of 'b'", "write '}' where the block ends", "it has `a` and `b`", "did you mean?"]
        {
            assert_eq!(instead(whole), None, "{whole}");
        }
    }
}
