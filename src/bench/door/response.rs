//! Answers as they go over a connection, each with the headers that keep a page to its own files. Refuses to decide what is
//! answered.

use super::chance;
use super::stream::Events;
use crate::bench::{Answer, Kind};
use http_body_util::{Either, Full};
use hyper::Response;
use hyper::body::Bytes;
use hyper::header::{
    ALLOW, CACHE_CONTROL, CONNECTION, CONTENT_ENCODING, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, HeaderName,
    HeaderValue, LOCATION, REFERRER_POLICY, RETRY_AFTER, SET_COOKIE, VARY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use std::time::Duration;

/// What is sent: a whole body, or events as they come.
pub(super) type Body = Either<Full<Bytes>, Events>;

/// What every answer says beside what it holds.
///
/// The referrer is for our own pages: with `no-referrer` a browser sends `Origin: null` with a form (Fetch Standard, 3.1, "append
/// a request `Origin` header"), and no form could be told from one of another page.
const ALWAYS: [(HeaderName, &str); 6] = [
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (X_FRAME_OPTIONS, "DENY"),
    (
        CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; \
         base-uri 'none'; frame-ancestors 'none'; manifest-src 'none'",
    ),
];

/// A sentence with a status.
pub(super) fn sentence(status: u16, sentence: impl Into<String>) -> Answer {
    Answer::new(status, Kind::Text, sentence.into().into_bytes())
}

/// An answer with what only the door adds to it.
#[derive(Debug)]
pub(super) struct Reply {
    pub(super) answer: Answer,
    is_packed: bool,
    cookie: Option<String>,
    retry: Option<Duration>,
    closes: bool,
}

impl From<Answer> for Reply {
    fn from(answer: Answer) -> Reply {
        Reply { answer, is_packed: false, cookie: None, retry: None, closes: false }
    }
}

impl Reply {
    /// With a cookie for the browser to keep.
    pub(super) fn cookie(self, cookie: String) -> Reply {
        Reply { cookie: Some(cookie), ..self }
    }

    /// Its body is packed by gzip already.
    pub(super) fn packed(self) -> Reply {
        Reply { is_packed: true, ..self }
    }

    /// With how long to wait before asking again.
    pub(super) fn retry(self, wait: Duration) -> Reply {
        Reply { retry: Some(wait), ..self }
    }

    /// The connection ends with it: what was sent was not read to its end.
    pub(super) fn closing(self) -> Reply {
        Reply { closes: true, ..self }
    }

    /// As it goes over the connection. What may be kept by a browser has a tag; if it says that it has it, it is not sent again.
    pub(super) fn response(self, may_be_kept: bool, known: Option<&HeaderValue>, is_head: bool) -> Response<Body> {
        let Answer { status, kind, body, to } = self.answer;
        let status = hyper::StatusCode::from_u16(status).unwrap_or(hyper::StatusCode::INTERNAL_SERVER_ERROR);
        let mut response = Response::new(Either::Left(Full::default()));
        *response.status_mut() = status;
        let mut put = |name: HeaderName, value: &str| {
            // A value that cannot stand in a header is left out: whoever reads the answer misses it, and nothing is split.
            if let Ok(value) = HeaderValue::from_str(value) {
                response.headers_mut().insert(name, value);
            }
        };
        put(CONTENT_TYPE, kind.media_type());
        for (name, value) in ALWAYS {
            put(name, value);
        }
        let tag = (may_be_kept && status == hyper::StatusCode::OK).then(|| tag(&body));
        put(CACHE_CONTROL, if tag.is_some() { "private, no-cache" } else { "no-store" });
        if let Some(to) = to {
            put(LOCATION, &to);
        }
        if let Some(cookie) = self.cookie {
            put(SET_COOKIE, &cookie);
        }
        if let Some(wait) = self.retry {
            put(RETRY_AFTER, &wait.as_secs().max(1).to_string());
        }
        if status == hyper::StatusCode::METHOD_NOT_ALLOWED {
            put(ALLOW, "GET, HEAD, POST");
        }
        // A browser that takes nothing packed gets another body (RFC 9110, 12.5.5).
        put(VARY, "accept-encoding");
        if self.is_packed {
            put(CONTENT_ENCODING, "gzip");
        }
        if self.closes {
            put(CONNECTION, "close");
        }
        if let Some(tag) = &tag {
            put(ETAG, tag);
        }
        if tag.is_some_and(|tag| known.is_some_and(|known| known.as_bytes() == tag.as_bytes())) {
            *response.status_mut() = hyper::StatusCode::NOT_MODIFIED;
        } else if is_head {
            response.headers_mut().insert(hyper::header::CONTENT_LENGTH, HeaderValue::from(body.len()));
        } else {
            *response.body_mut() = Either::Left(Full::new(body.into()));
        }
        response
    }
}

/// A stream of events.
pub(super) fn events(events: Events) -> Response<Body> {
    let mut response = Reply::from(sentence(200, "")).response(false, None, false);
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static("text/event-stream"));
    *response.body_mut() = Either::Right(events);
    response
}

/// A tag that changes with the bytes (RFC 9110, 8.8.3).
fn tag(body: &[u8]) -> String {
    let digest = chance::digest_of(body);
    let figures: String = digest.iter().take(16).map(|byte| format!("{byte:02x}")).collect();
    format!("\"{figures}\"")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn a_file_that_a_browser_has_is_not_sent_again() {
        let file = || Reply::from(Answer::new(200, Kind::Script, b"1".to_vec()));
        let first = file().response(true, None, false);
        let tag = first.headers().get(ETAG).unwrap().clone();
        assert_eq!(file().response(true, Some(&tag), false).status(), 304);
        let other = Reply::from(Answer::new(200, Kind::Script, b"2".to_vec())).response(true, Some(&tag), false);
        assert_eq!(other.status(), 200);
        let page = file().response(false, Some(&tag), false);
        assert_eq!(
            (page.status().as_u16(), page.headers().get(CACHE_CONTROL).unwrap().to_str().unwrap()),
            (200, "no-store")
        );
    }

    #[test]
    fn nothing_in_an_answer_splits_its_headers() {
        let answer = Answer::elsewhere("/x\r\nSet-Cookie: a=b".into());
        let response = Reply::from(answer).response(false, None, false);
        assert_eq!((response.status().as_u16(), response.headers().get(LOCATION)), (303, None));
        assert_eq!(response.headers().get(SET_COOKIE), None);
        assert_eq!(Reply::from(Answer::new(7, Kind::Text, Vec::new())).response(false, None, false).status(), 500);
    }
}
