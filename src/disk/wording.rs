//! Every sentence this room says. Refuses to know when it is said.

use std::io::{Error, ErrorKind};

use crate::text::LineColumn;

/// A file or folder the system does not let read.
pub(super) fn unreadable(path: &str, error: &Error) -> String {
    let reason = match error.kind() {
        ErrorKind::PermissionDenied => "no permission to read it".to_owned(),
        ErrorKind::NotADirectory => "a part of its path is a file, not a folder".to_owned(),
        ErrorKind::InvalidFilename => "its name is longer than the system allows".to_owned(),
        ErrorKind::IsADirectory => "it is a folder, not a file".to_owned(),
        _ => {
            let said = error.to_string();
            let plain = said.split(" (os error").next().unwrap_or("").to_lowercase();
            format!("the system says '{plain}'")
        }
    };
    format!("{path} cannot be read: {reason}")
}

pub(super) const CHANGING_HELP: &str = "wait until whoever writes it is done, then run this again";

pub(super) fn changing(name: &str) -> String {
    format!("{name} is being written to, and changed each time it was read")
}

pub(super) fn is_folder(path: &str) -> String {
    format!("{path} is a folder, not a file")
}

pub(super) fn is_no_file(path: &str) -> String {
    format!("{path} is a pipe or a device, not a file")
}

pub(super) fn too_large(path: &str, bytes: u64, most: u64) -> String {
    format!("{path} is too large: {}, and the limit is {}", size(bytes), size(most))
}

/// A size; whole, and never rounded down so far that it seems to fit.
fn size(bytes: u64) -> String {
    const MEBI: u64 = 1 << 20;
    if bytes == MEBI || bytes >= 2 * MEBI { format!("{} MiB", bytes / MEBI) } else { format!("{bytes} bytes") }
}

pub(super) const NOT_UTF8_LABEL: &str = "not UTF-8";

pub(super) fn not_utf8(path: &str, byte: u8, at: LineColumn) -> String {
    format!("{path} is not UTF-8 text; line {}, column {}: byte {byte:02X} is not valid UTF-8", at.line, at.column)
}

pub(super) fn not_utf8_help(letter: Option<char>) -> String {
    match letter {
        Some(letter) => format!(
            "save the file as UTF-8; it looks like Windows-1252, where this byte is `{letter}`: check that letter after saving"
        ),
        None => "save the file as UTF-8; if it is not a text file, leave it out".to_owned(),
    }
}

pub(super) fn utf16(path: &str) -> String {
    format!("{path} looks like UTF-16 without its byte order mark, or cut short")
}
pub(super) const UTF16_HELP: &str = "save the file as UTF-8; some editors call UTF-16 'Unicode'";

pub(super) fn folder_loop(path: &str, above: &str) -> String {
    format!("{path} is a link back to {above}, which holds it; it is not followed")
}

pub(super) fn link_broken(path: &str) -> String {
    format!("{path} is a link to something that is not there")
}

pub(super) fn too_many_below(path: &str, most: usize) -> String {
    format!("rulebooks are not looked for in {path}: more than {most} files and folders are below it")
}
pub(super) const TOO_MANY_HELP: &str = "name the folder that holds the rulebooks, or the rulebooks one by one";

pub(super) fn missing(path: &str) -> String {
    format!("there is nothing at {path}")
}

pub(super) fn did_you_mean(path: &str) -> String {
    format!("did you mean {path}?")
}

pub(super) const SKIPPED_HELP: &str = "the name of a record ends in `.yaml`, `.yml` or `.json`: rename a file that is one; save a spreadsheet as CSV and take it in with `import`";

/// Files passed over, by name.
pub(super) fn skipped(names: &[String]) -> String {
    const MOST: usize = 6;
    let listed = names.iter().take(MOST).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = if names.len() > MOST { format!(" and {} more", names.len() - MOST) } else { String::new() };
    match names.len() {
        1 => format!("skipped a file that is not a record: {listed}"),
        count => format!("skipped {count} files that are not records: {listed}{more}"),
    }
}
