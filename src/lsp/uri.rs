//! Files as `file:` URIs (RFC 8089) and back. Refuses to look at a disk.

use lsp_types::Uri;
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// The path of a `file:` URI on this machine; none for anything else.
pub(super) fn path(uri: &Uri) -> Option<PathBuf> {
    let rest = uri.as_str().strip_prefix("file://")?;
    let path = rest.strip_prefix("localhost").unwrap_or(rest);
    let decoded = decoded(path.split(['?', '#']).next().unwrap_or(path))?;
    if !decoded.starts_with('/') {
        return None;
    }
    Some(PathBuf::from(without_root(&decoded)))
}

/// `/c:/shop` is a path with a drive, and has no root before it.
fn without_root(path: &str) -> &str {
    let bytes = path.as_bytes();
    match (bytes.get(1), bytes.get(2)) {
        (Some(drive), Some(b':')) if drive.is_ascii_alphabetic() && std::path::MAIN_SEPARATOR == '\\' => {
            path.get(1..).unwrap_or(path)
        }
        _ => path,
    }
}

fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let digits = [rest.next()?, rest.next()?];
        bytes.push(u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?);
    }
    String::from_utf8(bytes).ok()
}

/// A path as a URI; relative ones from the folder the program was started in.
pub(super) fn of(path: &Path) -> Option<Uri> {
    let whole = crate::shop::Papers::key(path);
    let shown = whole.to_string_lossy();
    // Elsewhere it is a character like others.
    let shown = if std::path::MAIN_SEPARATOR == '\\' { shown.replace('\\', "/") } else { shown.into_owned() };
    let mut uri = String::from("file://");
    if !shown.starts_with('/') {
        uri.push('/');
    }
    for byte in shown.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => uri.push(char::from(byte)),
            byte => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    Uri::from_str(&uri).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_every_kind_come_back() {
        for name in ["/no such folder/K-0147 µ #1.yaml", "/a%20z/c", "/x", "/a\\b"] {
            let uri = of(Path::new(name)).map(|uri| path(&uri));
            assert_eq!(uri, Some(Some(PathBuf::from(name))), "{name}");
        }
    }

    #[test]
    fn only_files_have_a_path() {
        for text in ["untitled:Untitled-1", "https://example.org/a", "file://%zz", "file://%ff%fe"] {
            assert_eq!(Uri::from_str(text).ok().and_then(|uri| path(&uri)), None, "{text}");
        }
    }
}
