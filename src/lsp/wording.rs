//! Every sentence of the room `lsp`.

use crate::finding::Finding;

pub(super) const SERVER: &str = "trochoid";
pub(super) const TOO_LONG: &str = "the message is longer than 64 MiB";
pub(super) const HEADER_LONG: &str = "a line of the header is not ended, or is longer than 8 KiB";
pub(super) const LENGTH_UNREADABLE: &str = "the content-length is no whole number of bytes";
pub(super) const LENGTH_MISSING: &str = "the header says no content-length";
pub(super) const NO_MESSAGE: &str = "this is no request, notification or response";
pub(super) const NOT_YET: &str = "nothing is answered before `initialize`";
pub(super) const TWICE: &str = "`initialize` was asked already";
pub(super) const CLOSING: &str = "nothing is answered after `shutdown`";
pub(super) const CANCELLED: &str = "cancelled by the client";
pub(super) const NOT_JUDGED: &str = "not judged: the rulebooks it belongs to have errors";

pub(super) fn no_json(error: &serde_json::Error) -> String {
    format!("the message is no JSON: {error}")
}

pub(super) fn no_method(method: &str) -> String {
    format!("there is no method {method}")
}

pub(super) fn params(method: &str, error: &serde_json::Error) -> String {
    format!("what {method} is given cannot be read: {error}")
}

/// A finding in an editor's list: its sentence, then what goes with it, a line each.
pub(super) fn diagnostic(finding: &Finding) -> String {
    let mut text = finding.message.clone();
    for note in &finding.notes {
        text.push_str(&format!("\n{}: {}", note.kind.word(), note.text));
    }
    if let Some(help) = &finding.help {
        text.push_str(&format!("\nhelp: {help}"));
    }
    text
}
