//! Frames of the base protocol: a header, then so many bytes of JSON. Refuses to know what a message asks for, to take one
//! of any length, and to give up over one it cannot read.

use lsp_server::{ErrorCode, Message};
use serde_json::{Value, json};
use std::io::{self, BufRead, Read, Write};

/// The longest message taken: 64 MiB, a large rulebook written out sixteen times. Common practice.
const MOST_BYTES: u64 = 64 << 20;

/// The longest line of a header.
const MOST_HEADER: u64 = 8 * 1024;

/// What came in.
#[derive(Debug)]
pub(super) enum Incoming {
    /// A message.
    Message(Message),
    /// Something that is none; the answer to it.
    Unreadable(Value),
    /// Nothing more will come.
    End,
}

/// Reads one frame.
///
/// # Errors
///
/// Where the stream cannot be read, or what is in it cannot be told apart into frames any more.
pub(super) fn read(input: &mut impl BufRead) -> io::Result<Incoming> {
    let Some(length) = header(input)? else { return Ok(Incoming::End) };
    if length > MOST_BYTES {
        // Passed over, not kept: what follows it is a frame again.
        let passed = io::copy(&mut input.by_ref().take(length), &mut io::sink())?;
        if passed < length {
            return Ok(Incoming::End);
        }
        return Ok(refused(Value::Null, ErrorCode::InvalidRequest, super::wording::TOO_LONG));
    }
    let mut bytes = Vec::new();
    input.by_ref().take(length).read_to_end(&mut bytes)?;
    if (bytes.len() as u64) < length {
        return Ok(Incoming::End);
    }
    Ok(message(&bytes))
}

/// The length a header says; none at the end of the stream.
fn header(input: &mut impl BufRead) -> io::Result<Option<u64>> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        input.by_ref().take(MOST_HEADER).read_until(b'\n', &mut line)?;
        if line.is_empty() {
            return Ok(None);
        }
        let line = String::from_utf8_lossy(&line);
        let Some(words) = line.strip_suffix('\n') else { return Err(wrong(super::wording::HEADER_LONG)) };
        let words = words.trim_end_matches('\r');
        if words.is_empty() {
            break;
        }
        if let Some((name, value)) = words.split_once(':')
            && name.trim().eq_ignore_ascii_case("content-length")
        {
            length = Some(value.trim().parse().map_err(|_| wrong(super::wording::LENGTH_UNREADABLE))?);
        }
    }
    length.map(Some).ok_or_else(|| wrong(super::wording::LENGTH_MISSING))
}

fn wrong(words: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, words)
}

fn message(bytes: &[u8]) -> Incoming {
    let value: Value = match serde_json::from_slice(bytes) {
        Ok(value) => value,
        Err(error) => return refused(Value::Null, ErrorCode::ParseError, &super::wording::no_json(&error)),
    };
    let whole = |id: &&Value| id.is_string() || id.as_i64().is_some_and(|id| i32::try_from(id).is_ok());
    let id = value.get("id").filter(whole).cloned().unwrap_or(Value::Null);
    let is_message = value.get("method").is_some_and(Value::is_string) || value.get("result").is_some();
    let is_message = is_message || value.get("error").is_some();
    let readable = (value.get("id").is_none() || !id.is_null()) && is_message;
    // serde tries the three kinds in turn: it must not take a request with a bad id for a notification.
    match serde_json::from_value(value) {
        Ok(message) if readable => Incoming::Message(message),
        _ => refused(id, ErrorCode::InvalidRequest, super::wording::NO_MESSAGE),
    }
}

fn refused(id: Value, code: ErrorCode, words: &str) -> Incoming {
    Incoming::Unreadable(json!({ "jsonrpc": "2.0", "id": id, "error": { "code": code as i32, "message": words } }))
}

/// Writes one frame.
///
/// # Errors
///
/// Where the stream cannot be written.
pub(super) fn write(output: &mut impl Write, answer: &Value) -> io::Result<()> {
    let text = answer.to_string();
    write!(output, "Content-Length: {}\r\n\r\n{text}", text.len())?;
    output.flush()
}

#[cfg(test)]
mod tests {
    #![allow(
        clippy::unwrap_used,
        clippy::panic,
        clippy::indexing_slicing,
        reason = "a test may stop at the first surprise"
    )]

    use super::*;

    fn framed(text: &str) -> Vec<u8> {
        format!("Content-Length: {}\r\n\r\n{text}", text.len()).into_bytes()
    }

    fn code(incoming: Incoming) -> i64 {
        match incoming {
            Incoming::Unreadable(answer) => answer["error"]["code"].as_i64().unwrap(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_is_no_message_is_answered_and_the_next_is_read() {
        let mut stream = framed("{oh");
        stream.extend(framed("[]"));
        stream.extend(framed(r#"{"jsonrpc":"2.0","id":{},"method":"shutdown"}"#));
        stream.extend(framed(r#"{"jsonrpc":"2.0","id":1.5,"method":"shutdown"}"#));
        stream.extend(framed(r#"{"jsonrpc":"2.0","id":7,"method":"shutdown"}"#));
        let mut input = stream.as_slice();
        assert_eq!(code(read(&mut input).unwrap()), -32700);
        for _ in 0..3 {
            assert_eq!(code(read(&mut input).unwrap()), -32600);
        }
        assert!(matches!(read(&mut input).unwrap(), Incoming::Message(Message::Request(_))));
        assert!(matches!(read(&mut input).unwrap(), Incoming::End));
    }

    #[test]
    fn a_length_nobody_has_memory_for_takes_none() {
        let mut input = b"Content-Length: 99999999999999\r\n\r\n{}".as_slice();
        assert!(matches!(read(&mut input).unwrap(), Incoming::End));
        assert!(read(&mut b"Content-Length: -1\r\n\r\n{}".as_slice()).is_err());
        assert!(read(&mut b"Content-Type: x\r\n\r\n{}".as_slice()).is_err());
        assert!(read(&mut [b'a'; 100_000].as_slice()).is_err());
    }

    #[test]
    fn headers_of_any_case_and_kind_are_read() {
        let text = r#"{"jsonrpc":"2.0","method":"exit"}"#;
        let frame = format!("content-type: a/b\r\ncontent-LENGTH:{}\n\n{text}", text.len());
        assert!(matches!(read(&mut frame.as_bytes()).unwrap(), Incoming::Message(Message::Notification(_))));
    }
}
