//! One file to its text, or a finding that says why not. Never waits for a file that is none, never reads a huge one.
#![allow(clippy::result_large_err, reason = "a refusal is rare, and costs a copy of 144 bytes beside opening a file")]

use std::fs::{File, Metadata};
use std::io::{ErrorKind, Read};
use std::path::Path;

use super::paths::shown;
use super::standard_input::{self, STANDARD_INPUT, is_standard_input};
use super::{walk, wording};
use crate::finding::{Code, Finding};
use crate::text::{Source, Span};

/// The largest record read: 1 MiB, some two hundred times a full record. Common practice.
pub const MOST_RECORD_BYTES: u64 = 1 << 20;

/// The largest rulebook read: 4 MiB, some hundred times a large book. Common practice.
pub const MOST_BOOK_BYTES: u64 = 4 << 20;

/// The largest verdict sheet read: 16 MiB, what the largest record may come to. Common practice.
pub const MOST_SHEET_BYTES: u64 = 16 << 20;

/// So often a file that changes while it is read is read again.
const MOST_TRIES: u32 = 5;

/// The first bytes of a file, as text; what is no UTF-8 is replaced.
///
/// # Errors
///
/// What the disk says.
pub fn beginning(path: &Path, bytes: u64) -> std::io::Result<String> {
    // What is no file may never answer.
    if !std::fs::metadata(path)?.is_file() {
        return Err(std::io::Error::from(ErrorKind::InvalidInput));
    }
    let mut head = Vec::new();
    File::open(path)?.take(bytes).read_to_end(&mut head)?;
    Ok(String::from_utf8_lossy(&head).into_owned())
}

/// The bytes of a file.
///
/// # Errors
///
/// What the disk says; a file that is larger is refused.
pub fn read_bytes(path: &Path, most_bytes: u64) -> std::io::Result<Vec<u8>> {
    // Opening a pipe may block forever.
    let metadata = std::fs::metadata(path)?;
    if !metadata.is_file() || metadata.len() > most_bytes {
        return Err(std::io::Error::from(ErrorKind::InvalidInput));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(most_bytes).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Reads a file whole, as it stands on disk.
///
/// # Errors
///
/// A finding where there is no file, where it may not be read, does not stand still, is larger than `most_bytes` or is not UTF-8.
pub fn read_source(path: &Path, most_bytes: u64) -> Result<Source, Finding> {
    if is_standard_input(path) {
        return named(STANDARD_INPUT, standard_input::bytes(most_bytes)?);
    }
    let name = shown(path);
    let refused = |error: std::io::Error| refused(path, &name, &error);
    // A pipe or a device must not even be opened.
    check(&name, &std::fs::metadata(path).map_err(refused)?, most_bytes)?;
    read_walked(path, most_bytes)
}

/// As [`read_source`], at a path where a walk has just met a file: spares looking once more.
///
/// # Errors
/// As [`read_source`].
pub fn read_walked(path: &Path, most_bytes: u64) -> Result<Source, Finding> {
    let name = shown(path);
    let refused = |error: std::io::Error| refused(path, &name, &error);
    let mut bytes = Vec::new();
    // Somebody may be writing it: half of one record and half of another must not be judged as one.
    for tries in 1.. {
        let file = open(path).map_err(refused)?;
        let before = file.metadata().map_err(refused)?;
        check(&name, &before, most_bytes)?;
        bytes.clear();
        bytes.reserve_exact(usize::try_from(before.len()).unwrap_or(0).saturating_add(1));
        // As much as there was: whether there is more is asked below. A system's own files say they hold nothing.
        let most = if before.len() == 0 { most_bytes.saturating_add(1) } else { before.len() };
        (&file).take(most).read_to_end(&mut bytes).map_err(refused)?;
        let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        if length > most_bytes {
            return Err(Finding::new(Code::FileTooLarge, wording::too_large(&name, length, most_bytes)));
        }
        let after = file.metadata().map_err(refused)?;
        if length == after.len() && same_time(&before, &after) {
            break;
        }
        if tries == MOST_TRIES {
            return Err(Finding::new(Code::FileUnreadable, wording::changing(&name)).help(wording::CHANGING_HELP));
        }
    }
    named(&name, bytes)
}

/// The text of some bytes under a name.
fn named(name: &str, bytes: Vec<u8>) -> Result<Source, Finding> {
    match text(bytes) {
        Ok(text) => Ok(Source::new(name, text)),
        Err((bytes, good)) => Err(not_utf8(name, &bytes, good)),
    }
}

/// The text of a file in UTF-8, or in UTF-16 with its byte order mark (The Unicode Standard 15.0, 3.10, D98 and table 3-9);
/// else the bytes, and how many of them are good.
fn text(bytes: Vec<u8>) -> Result<String, (Vec<u8>, usize)> {
    let (mark, rest) = bytes.split_at_checked(2).unwrap_or((&[], &[]));
    let unit: fn([u8; 2]) -> u16 = match mark {
        [0xff, 0xfe] => u16::from_le_bytes,
        [0xfe, 0xff] => u16::from_be_bytes,
        _ => {
            return String::from_utf8(bytes).map_err(|error| {
                let good = error.utf8_error().valid_up_to();
                (error.into_bytes(), good)
            });
        }
    };
    let (pairs, odd) = rest.as_chunks::<2>();
    let units = pairs.iter().map(|pair| unit(*pair));
    match char::decode_utf16(units).collect::<Result<String, _>>() {
        Ok(text) if odd.is_empty() => Ok(text),
        _ => Err((bytes, 0)),
    }
}

/// Opens a file to read it, and never waits for somebody at the other end of a pipe.
fn open(path: &Path) -> std::io::Result<File> {
    let mut options = File::options();
    options.read(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, libc::O_NONBLOCK | libc::O_NOCTTY);
    options.open(path)
}

fn refused(path: &Path, name: &str, error: &std::io::Error) -> Finding {
    match error.kind() {
        ErrorKind::NotFound => walk::missing(path),
        _ => Finding::new(Code::FileUnreadable, wording::unreadable(name, error)),
    }
}

/// This program's own file, where the system says which that is.
#[must_use]
pub fn read_program() -> Option<Vec<u8>> {
    std::fs::read(std::env::current_exe().ok()?).ok()
}

/// Whether a file was not written to between two looks, as far as its system says when that was.
fn same_time(before: &Metadata, after: &Metadata) -> bool {
    match (before.modified(), after.modified()) {
        (Ok(before), Ok(after)) => before == after,
        _ => true,
    }
}

fn check(name: &str, metadata: &Metadata, most_bytes: u64) -> Result<(), Finding> {
    if metadata.is_dir() {
        return Err(Finding::new(Code::FileUnreadable, wording::is_folder(name)));
    }
    if !metadata.is_file() {
        return Err(Finding::new(Code::FileUnreadable, wording::is_no_file(name)));
    }
    if metadata.len() > most_bytes {
        return Err(Finding::new(Code::FileTooLarge, wording::too_large(name, metadata.len(), most_bytes)));
    }
    Ok(())
}

/// The place of the first bad byte is in the text with `�` in place of what is no letter, so that it can be shown.
fn not_utf8(name: &str, bytes: &[u8], good: usize) -> Finding {
    let text = String::from_utf8_lossy(bytes);
    let source = Source::new(name, text.as_ref());
    let length = text.get(good..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
    let place = source.place(Span::new(good, good + length));
    let at = place.line_column();
    let byte = bytes.get(good).copied().unwrap_or(0);
    let (message, help) = if looks_like_utf16(bytes) {
        (wording::utf16(name), wording::UTF16_HELP.to_owned())
    } else {
        (wording::not_utf8(name, byte, at), wording::not_utf8_help(windows_1252(byte)))
    };
    Finding::new(Code::NotUtf8, message).at(place, wording::NOT_UTF8_LABEL).help(help)
}

/// A byte order mark of UTF-16, or a zero byte beside nearly every letter.
fn looks_like_utf16(bytes: &[u8]) -> bool {
    let start = bytes.get(..bytes.len().min(512)).unwrap_or(bytes);
    let zeros = start.iter().filter(|byte| **byte == 0).count();
    start.starts_with(&[0xff, 0xfe]) || start.starts_with(&[0xfe, 0xff]) || (zeros > 1 && zeros * 3 > start.len())
}

/// The letter a byte would be in Windows-1252, for those that stand in a record. From the published code chart.
fn windows_1252(byte: u8) -> Option<char> {
    match byte {
        0x80 => Some('€'),
        0x85 => Some('…'),
        0x91 => Some('‘'),
        0x92 => Some('’'),
        0x93 => Some('“'),
        0x94 => Some('”'),
        0x95 => Some('•'),
        0x96 => Some('–'),
        0x97 => Some('—'),
        0x99 => Some('™'),
        0xa1..=0xff => Some(char::from(byte)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::text::LineColumn;

    fn read_bytes(bytes: &[u8]) -> Result<Source, Finding> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("engine.yaml");
        std::fs::write(&path, bytes).unwrap();
        read_source(&path, 100)
    }

    #[test]
    fn a_file_comes_as_it_stands() {
        for text in ["\u{feff}a: µ\r\n", "", "a\0b", "x"] {
            let source = read_bytes(text.as_bytes()).unwrap();
            assert_eq!(source.text(), text);
            assert!(source.name().ends_with("/engine.yaml"));
        }
        assert_eq!(read_bytes(&[b'a'; 100]).unwrap().text().len(), 100);
    }

    #[test]
    fn a_large_file_is_refused_unread() {
        let refused = read_bytes(&[b'a'; 101]).unwrap_err();
        assert_eq!(refused.code, Code::FileTooLarge);
        assert!(
            refused.message.ends_with("is too large: 101 bytes, and the limit is 100 bytes"),
            "{}",
            refused.message
        );
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("huge.yaml");
        // A file with a hole: 1 TiB long, nothing on disk; reading it would never end.
        File::create(&path).unwrap().set_len(1 << 40).unwrap();
        let refused = read_source(&path, MOST_RECORD_BYTES).unwrap_err();
        assert!(refused.message.ends_with("is too large: 1048576 MiB, and the limit is 1 MiB"), "{}", refused.message);
    }

    #[test]
    fn a_byte_that_is_no_letter_is_shown_at_its_place() {
        let refused = read_bytes(b"a: 1\r\nb: \xc2\xb5 3 \xb0C\n").unwrap_err();
        assert_eq!(refused.code, Code::NotUtf8);
        let (place, _) = refused.place.unwrap();
        assert_eq!(place.text(), "\u{fffd}");
        assert_eq!(place.line_column(), LineColumn { line: 2, column: 8 });
        assert!(refused.message.ends_with("line 2, column 8: byte B0 is not valid UTF-8"), "{}", refused.message);
        assert!(refused.help.unwrap().contains("Windows-1252, where this byte is `°`"));
        let refused = read_bytes(b"abc \x81").unwrap_err();
        assert!(!refused.help.unwrap().contains("1252"));
        let refused = read_bytes(b"abc \xe2\x82").unwrap_err();
        assert_eq!(refused.place.unwrap().0.text(), "\u{fffd}");
    }

    #[test]
    fn utf_16_with_its_mark_is_read() {
        let text = "a: µ 1\r\nb: 𝄞\n";
        let units: Vec<u16> = text.encode_utf16().collect();
        let little: Vec<u8> = units.iter().flat_map(|unit| unit.to_le_bytes()).collect();
        let big: Vec<u8> = units.iter().flat_map(|unit| unit.to_be_bytes()).collect();
        assert_eq!(read_bytes(&[b"\xff\xfe", little.as_slice()].concat()).unwrap().text(), text);
        assert_eq!(read_bytes(&[b"\xfe\xff", big.as_slice()].concat()).unwrap().text(), text);
    }

    #[test]
    fn utf_16_without_its_mark_or_broken_off_is_named() {
        // A byte too few; half of a pair of surrogates.
        for bytes in [b"\xff\xfea\0:".as_slice(), b"\xfe\xff\0a\xd8\x00\0a", b"a\0:\0 \0\xb5\0\n\0"] {
            let refused = read_bytes(bytes).unwrap_err();
            assert_eq!(refused.code, Code::NotUtf8);
            assert!(refused.message.contains("UTF-16"), "{}", refused.message);
        }
    }

    #[test]
    fn a_folder_and_a_missing_file_are_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        let refused = read_source(folder.path(), 100).unwrap_err();
        assert_eq!(refused.code, Code::FileUnreadable);
        assert!(refused.message.ends_with("is a folder, not a file"));
        let missing = read_source(&folder.path().join("engine.yaml"), 100).unwrap_err();
        assert_eq!(missing.code, Code::PathMissing);
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_and_a_device_are_refused_without_waiting() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join("pipe.yaml");
        if std::process::Command::new("mkfifo").arg(&pipe).status().is_ok_and(|status| status.success()) {
            let refused = read_source(&pipe, 100).unwrap_err();
            assert!(refused.message.ends_with("is a pipe or a device, not a file"), "{}", refused.message);
        }
        let refused = read_source(Path::new("/dev/zero"), 100).unwrap_err();
        assert_eq!(refused.code, Code::FileUnreadable);
        // Not even where one took a file's place after a walk had met it.
        let refused = read_walked(&pipe, 100).unwrap_err();
        assert!(refused.message.ends_with("is a pipe or a device, not a file"), "{}", refused.message);
        let socket = folder.path().join("socket.yaml");
        let _held = std::os::unix::net::UnixListener::bind(&socket).unwrap();
        assert_eq!(read_source(&socket, 100).unwrap_err().code, Code::FileUnreadable);
    }
}
