//! Where something stands, as SARIF says it: files as URIs, regions in UTF-16 code units. Refuses to look at a disk.

use crate::report::address::encoded;
use crate::shop::shipped;
use crate::text::Place;
use serde_json::{Value, json};

/// What the names of the shipped rulebooks are relative to.
pub(super) const SHIPPED: &str = "SHIPPED";

/// A place with its label.
pub(super) fn location(place: &Place, label: &str) -> Value {
    json!({
        "physicalLocation": { "artifactLocation": artifact(place.source.name()), "region": region(place) },
        "message": { "text": super::message(label) },
    })
}

/// A file as a whole.
pub(super) fn whole(file: &str) -> Value {
    json!({ "physicalLocation": { "artifactLocation": artifact(file) } })
}

fn artifact(name: &str) -> Value {
    match name.strip_prefix("shipped ").filter(|book| shipped::names().contains(book)) {
        Some(book) => json!({ "uri": encoded(book), "uriBaseId": SHIPPED }),
        None => json!({ "uri": uri(name) }),
    }
}

fn region(place: &Place) -> Value {
    let text = place.source.text();
    let (start, end) = (column(text, place.span.start), column(text, place.span.end));
    let line = |offset: u32| place.source.line_column(offset as usize).line;
    json!({
        "startLine": line(place.span.start),
        "startColumn": start,
        "endLine": line(place.span.end),
        "endColumn": end,
        "byteOffset": place.span.start,
        "byteLength": place.span.len(),
        "snippet": { "text": place.text() },
    })
}

/// The column of a byte offset, from 1, in UTF-16 code units; the byte order mark that begins a file is not counted.
fn column(text: &str, offset: u32) -> usize {
    let before = text.get(..(offset as usize).min(text.len())).unwrap_or(text);
    let line = before.rsplit('\n').next().unwrap_or_default();
    let line = if line.len() == before.len() { line.trim_start_matches('\u{feff}') } else { line };
    line.encode_utf16().count() + 1
}

/// A file's name as a URI reference (RFC 3986): relative as it was named, or `file:` where it begins at a root.
fn uri(name: &str) -> String {
    let mut letters = name.chars();
    let has_drive = letters.next().is_some_and(|letter| letter.is_ascii_alphabetic())
        && letters.next() == Some(':')
        && letters.next() == Some('/');
    if has_drive {
        let (drive, path) = name.split_once(':').unwrap_or_default();
        return format!("file:///{drive}:{}", encoded(path));
    }
    if name.starts_with('/') {
        return format!("file://{}", encoded(name));
    }
    let name = name.strip_prefix("./").map_or(name, |rest| rest.trim_start_matches('/'));
    if name.is_empty() { ".".to_string() } else { encoded(name) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_those_of_utf_16() {
        let text = "\u{feff}µ: 1\r\n🔧\tx\u{feff}y";
        let at = |what: &str| column(text, u32::try_from(text.find(what).unwrap_or(0)).unwrap_or(0));
        assert_eq!((at("µ"), at("1"), at("🔧"), at("x"), at("y")), (1, 4, 1, 4, 6));
        assert_eq!(column(text, u32::MAX), 7);
    }

    #[test]
    fn files_are_uris() {
        for (name, said) in [
            ("builds/K 1.yaml", "builds/K%201.yaml"),
            ("./a#b?.yaml", "a%23b%3F.yaml"),
            ("c:d.yaml", "c%3Ad.yaml"),
            ("100%/µ.yaml", "100%25/%C2%B5.yaml"),
            ("/srv/a c.yaml", "file:///srv/a%20c.yaml"),
            ("C:/a c.yaml", "file:///C:/a%20c.yaml"),
            ("../a.yaml", "../a.yaml"),
        ] {
            assert_eq!(uri(name), said);
        }
        assert_eq!(artifact("shipped parts.rulebook"), json!({ "uri": "parts.rulebook", "uriBaseId": "SHIPPED" }));
        assert_eq!(artifact("shipped lots.rulebook"), json!({ "uri": "shipped%20lots.rulebook" }));
    }
}
