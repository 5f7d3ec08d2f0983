//! What a new layout changes in a book, as a unified diff. Refuses to know the layout.

use super::style::clean;
use similar::TextDiff;

/// Lines shown around a change.
const CONTEXT: usize = 3;

/// The difference between a file as it is and as it would be; nothing where there is none.
#[must_use]
pub fn difference(name: &str, old: &str, new: &str) -> String {
    if old == new {
        return String::new();
    }
    let name = clean(name);
    // A file that cannot be printed as it stands would do as it likes with the terminal.
    let (old, new) = (shown(old), shown(new));
    let would_be = format!("{name} (tidy)");
    TextDiff::from_lines(old.as_str(), new.as_str())
        .unified_diff()
        .context_radius(CONTEXT)
        .header(&name, &would_be)
        .to_string()
}

/// Line ends and tabs stay; other characters without a picture of their own get one.
fn shown(text: &str) -> String {
    let lines = text.split_inclusive('\n').map(|line| {
        let (line, end) = line.strip_suffix('\n').map_or((line, ""), |line| (line, "\n"));
        line.split('\t').map(|part| clean(part).into_owned()).collect::<Vec<_>>().join("\t") + end
    });
    lines.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_shown_with_what_stands_around_it() {
        assert_eq!(difference("a", "x\n", "x\n"), "");
        assert_eq!(
            difference("a.rulebook", "1\n2\n3\n4\n5\u{1b}\r\n6\n", "1\n2\n3\n4\n5\u{1b}\n6\n"),
            "--- a.rulebook\n+++ a.rulebook (tidy)\n@@ -2,5 +2,5 @@\n 2\n 3\n 4\n-5␛␍\n+5␛\n 6\n"
        );
    }
}
