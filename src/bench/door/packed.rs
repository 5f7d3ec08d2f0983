//! Answers packed small for the way to a phone. Refuses to pack what is small already.
//!
//! Packing tells how long a secret beside somebody's own words is. No answer holds one: who may ask is in a cookie alone.

use super::response::Reply;
use crate::bench::{Answer, Kind};
use flate2::write::GzEncoder;
use hyper::header::ACCEPT_ENCODING;
use hyper::http::request::Parts;
use std::io::Write;

/// Shorter bodies go as they are. Common practice: they fit in one packet.
const LEAST_BYTES: usize = 1_400;

/// Whether whoever asks takes a body packed by gzip (RFC 9110, 12.5.3).
pub(super) fn takes_packed(head: &Parts) -> bool {
    let lists = head.headers.get_all(ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok());
    lists.flat_map(|list| list.split(',')).any(|one| {
        let mut words = one.split(';').map(str::trim);
        let is_gzip = words.next().is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        let is_refused = |word: &str| {
            let weight = word.strip_prefix("q=").or_else(|| word.strip_prefix("Q="));
            weight.is_some_and(|weight| {
                weight.trim_end_matches('0').trim_end_matches('.').trim_end_matches('0').is_empty()
            })
        };
        is_gzip && !words.any(is_refused)
    })
}

/// The answer, packed if that makes it smaller.
pub(super) fn packed(answer: Answer) -> Reply {
    // A picture is packed in its own way.
    if matches!(answer.kind, Kind::Picture(_)) || answer.body.len() < LEAST_BYTES {
        return answer.into();
    }
    let mut encoder = GzEncoder::new(Vec::with_capacity(answer.body.len() / 8), Default::default());
    match encoder.write_all(&answer.body).and_then(|()| encoder.finish()) {
        Ok(body) if body.len() < answer.body.len() => Reply::from(Answer { body, ..answer }).packed(),
        // Into memory nothing fails.
        _ => answer.into(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::bench::door::response::sentence;
    use hyper::Request;
    use std::io::Read;

    fn takes(list: &str) -> bool {
        let (head, ()) = Request::builder().header("Accept-Encoding", list).body(()).unwrap().into_parts();
        takes_packed(&head)
    }

    #[test]
    fn gzip_is_packed_for_whoever_takes_it() {
        for list in ["gzip", "br, GZIP;q=0.5", "deflate,gzip;q=1"] {
            assert!(takes(list), "{list}");
        }
        for list in ["", "br", "gzip;q=0", "gzip; q=0.000", "gzipped", "identity"] {
            assert!(!takes(list), "{list}");
        }
        assert!(!takes_packed(&Request::new(()).into_parts().0));
    }

    #[test]
    fn what_is_packed_is_what_was_said() {
        let text = "0.03 mm, 0.04 mm; ".repeat(1_000);
        let reply = packed(sentence(200, text.as_str()));
        assert!(reply.answer.body.len() * 20 < text.len());
        let mut back = String::new();
        flate2::read::GzDecoder::new(reply.answer.body.as_slice()).read_to_string(&mut back).unwrap();
        assert_eq!(back, text);
        let response = reply.response(false, None, false);
        assert_eq!(response.headers().get("content-encoding").unwrap(), "gzip");
        for plain in [sentence(200, "good"), Answer::new(200, Kind::Picture("image/jpeg"), vec![0; 9_000])] {
            let body = plain.body.clone();
            let reply = packed(plain);
            assert_eq!(reply.answer.body, body);
            assert_eq!(reply.response(false, None, false).headers().get("content-encoding"), None);
        }
    }
}
