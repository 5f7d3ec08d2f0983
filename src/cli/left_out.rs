//! What this build was made without, said where somebody asks for it. Refuses to know what it would have done.

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// What a feature brings that is written on the command line: the feature, whether this build has it, and its words.
const FEATURES: [(&str, bool, &[&str]); 3] = [
    ("cache", cfg!(feature = "cache"), &["--cache"]),
    ("editor", cfg!(feature = "editor"), &["language-server"]),
    ("pages", cfg!(feature = "pages"), &["bench", "report", "html", "--paper"]),
];

/// What to say where a word is not known because this build was made without it.
pub(super) fn said(error: &Error) -> Option<String> {
    let kind = match error.kind() {
        ErrorKind::InvalidSubcommand => ContextKind::InvalidSubcommand,
        ErrorKind::UnknownArgument => ContextKind::InvalidArg,
        ErrorKind::InvalidValue => ContextKind::InvalidValue,
        _ => return None,
    };
    let Some(ContextValue::String(asked)) = error.get(kind) else { return None };
    missing(asked, &FEATURES)
}

/// A help without the examples that this build cannot run.
pub(super) fn without(help: &str) -> String {
    let lines = help.split('\n').filter(|line| {
        let mut words = line.split_whitespace();
        words.next() != Some("trochoid") || !words.any(|word| missing(word, &FEATURES).is_some())
    });
    lines.collect::<Vec<&str>>().join("\n")
}

fn missing(asked: &str, features: &[(&str, bool, &[&str])]) -> Option<String> {
    // `--cache=FILE` is named with its value.
    let word = asked.split('=').next()?;
    let (feature, ..) = features.iter().find(|(_, is_here, words)| !is_here && words.contains(&word))?;
    Some(super::wording::left_out(word, feature))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_missing_is_said_to_be() {
        let features: [(&str, bool, &[&str]); 2] = [("pages", false, &["bench"]), ("cache", true, &["--cache"])];
        let said = missing("bench", &features).unwrap_or_default();
        assert!(said.contains("`bench`") && said.contains("`pages`"), "{said}");
        assert_eq!(missing("--cache=x", &features), None);
        assert_eq!(missing("benches", &features), None);
    }
}
