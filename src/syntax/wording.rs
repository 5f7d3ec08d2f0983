//! Every sentence the room `syntax` says. Knows the words of the language; refuses to decide when to say what.

pub(super) const LABEL_TOO_DEEP: &str = "too deep here";
pub(super) const LABEL_NUMBER: &str = "this number";
pub(super) const LABEL_DATE: &str = "this date";
pub(super) const LABEL_HEADER: &str = "header belongs here";
pub(super) const LABEL_LATE: &str = "too late here";
pub(super) const LABEL_TWICE: &str = "said again here";
pub(super) const LABEL_ONCE: &str = "said first here";
pub(super) const LABEL_STRAY: &str = "closes nothing";
pub(super) const LABEL_OPENED: &str = "opened here";
pub(super) const LABEL_HERE: &str = "here";

pub(super) fn too_deep() -> String {
    "brackets are nested deeper than 64".into()
}
pub(super) fn too_deep_help() -> String {
    "give the inner value a name of its own with derive, and use the name here".into()
}
pub(super) fn value_too_long() -> String {
    "this value has too many steps in one piece, the most is 200".into()
}
pub(super) fn value_too_long_help() -> String {
    "split it: give parts of it names of their own with derive or formula".into()
}
pub(super) fn number_too_long() -> String {
    "this number has more digits than anything is measured to".into()
}
pub(super) fn number_too_long_help() -> String {
    "write at most 60 digits".into()
}
pub(super) fn count_too_large(written: &str) -> String {
    format!("{written} is more than a book can count to")
}
pub(super) fn count_too_large_help() -> String {
    "write a whole number up to 65535".into()
}
pub(super) fn date_wrong(written: &str) -> String {
    format!("{written} is no day of any year from 1900 to 2999")
}
pub(super) fn date_help() -> String {
    "write the date as year-month-day, such as 2026-03-01".into()
}
pub(super) fn header_missing() -> String {
    "the book does not begin with its header".into()
}
pub(super) fn header_help() -> String {
    "begin the file with a line such as: rulebook \"Title of the book\" edition 2026-03-01".into()
}
pub(super) fn header_late() -> String {
    "'rulebook' stands once, as the first thing in the file".into()
}
pub(super) fn header_late_help() -> String {
    "keep one header and move it to the top of the file".into()
}
pub(super) fn said_twice(written: &str) -> String {
    let word = written.split([' ', '\t', '\r', '\n']).next().unwrap_or(written);
    format!("'{word}' is said twice")
}
pub(super) fn brace_stray() -> String {
    "this '}' closes nothing".into()
}
pub(super) fn brace_stray_help() -> String {
    "take the '}' out, or look above it for a '{' that is missing".into()
}
pub(super) fn brace_open() -> String {
    "this '{' is not closed".into()
}
pub(super) fn brace_open_help() -> String {
    "write '}' where the block ends".into()
}
