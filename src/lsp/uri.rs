//! Files as `file:` URIs (RFC 8089) and back. Refuses to look at a disk.

use lsp_types::Uri;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use url::Url;

/// The path of a `file:` URI on this machine; none for anything else.
pub(super) fn path(uri: &Uri) -> Option<PathBuf> {
    let url = Url::parse(uri.as_str()).ok().filter(|url| url.scheme() == "file")?;
    // A name that is no text on this machine could not be said again.
    url.to_file_path().ok().filter(|path| path.to_str().is_some())
}

/// A path as a URI; relative ones from the folder the program was started in.
pub(super) fn of(path: &Path) -> Option<Uri> {
    let whole = crate::shop::Papers::key(path);
    let url = Url::from_file_path(whole).ok()?;
    // Letters that a browser's addresses may have as they are, and a URI may not (RFC 3986, appendix A).
    let mut strict = String::with_capacity(url.as_str().len());
    for letter in url.as_str().chars() {
        match letter {
            '[' | ']' | '|' | '^' | '`' | '{' | '}' | '\\' => strict.push_str(&format!("%{:02X}", u32::from(letter))),
            letter => strict.push(letter),
        }
    }
    Uri::from_str(&strict).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_every_kind_come_back() {
        for name in ["/no such folder/K-0147 µ #1.yaml", "/a%20z/c", "/x", "/[a]|{b}^`?\\.yaml", "/\u{1F527}/é"] {
            let uri = of(Path::new(name)).map(|uri| path(&uri));
            assert_eq!(uri, Some(Some(PathBuf::from(name))), "{name}");
        }
    }

    #[test]
    fn an_address_is_read_however_it_is_written() {
        for (text, name) in [
            ("file:///a/b.yaml", "/a/b.yaml"),
            ("file://localhost/a/b.yaml", "/a/b.yaml"),
            ("file:/a/b.yaml", "/a/b.yaml"),
            ("file:///a/b%23c.yaml", "/a/b#c.yaml"),
            ("file:///a/b.yaml?x#y", "/a/b.yaml"),
            ("FILE:///a/%C2%B5.yaml", "/a/µ.yaml"),
        ] {
            assert_eq!(Uri::from_str(text).ok().and_then(|uri| path(&uri)), Some(PathBuf::from(name)), "{text}");
        }
    }

    #[test]
    fn only_files_have_a_path() {
        for text in ["untitled:Untitled-1", "https://example.org/a", "file://%zz", "file:///%ff%fe", "file://other/a"] {
            assert_eq!(Uri::from_str(text).ok().and_then(|uri| path(&uri)), None, "{text}");
        }
    }
}
