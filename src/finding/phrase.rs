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

/// The mend for a misspelt name, where one is near enough.
#[must_use]
pub fn did_you_mean(near: Option<&str>) -> Option<String> {
    near.map(|name| format!("did you mean `{name}`?"))
}
