//! What a browser asks and what it is answered, as plain values. Refuses to know about connections.

/// What a browser wants to do.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Method {
    /// Read.
    Get,
    /// Change something.
    Post,
}

/// One request.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Asked {
    /// Read or change.
    pub method: Method,
    /// The path, each step decoded: `/build/builds/K-1.yaml` is `build`, `builds`, `K-1.yaml`.
    pub path: Vec<String>,
    /// The query, in the order written, decoded.
    pub query: Vec<(String, String)>,
    /// What was sent with it.
    pub body: Vec<u8>,
}

impl Asked {
    /// A request of a path and query as they stand in a request line; `None` if they are not valid UTF-8 when decoded.
    #[must_use]
    pub fn new(method: Method, target: &str, body: Vec<u8>) -> Option<Asked> {
        let (path, query) = target.split_once('?').unwrap_or((target, ""));
        let path = path.split('/').filter(|step| !step.is_empty()).map(|step| decoded(step, false));
        let path = path.collect::<Option<Vec<String>>>()?;
        let query = fields(query)?;
        Some(Asked { method, path, query, body })
    }

    /// The first value of a name in the query.
    #[must_use]
    pub fn value(&self, name: &str) -> Option<&str> {
        self.query.iter().find(|(other, _)| other == name).map(|(_, value)| value.as_str())
    }

    /// The fields of a form that was sent (`application/x-www-form-urlencoded`).
    #[must_use]
    pub fn form(&self) -> Option<Vec<(String, String)>> {
        fields(std::str::from_utf8(&self.body).ok()?)
    }
}

/// Names and values as a form or a query sends them.
fn fields(text: &str) -> Option<Vec<(String, String)>> {
    let pair = |pair: &str| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        Some((decoded(name, true)?, decoded(value, true)?))
    };
    text.split('&').filter(|pair| !pair.is_empty()).map(pair).collect()
}

/// A text without its percent signs (RFC 3986, 2.1); a `+` is a blank in a query. A `%` without two digits stays as it is.
fn decoded(text: &str, plus: bool) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        rest = after;
        let hex = match (first, after) {
            (b'%', [high, low, ..]) => char::from(*high).to_digit(16).zip(char::from(*low).to_digit(16)),
            _ => None,
        };
        match hex.and_then(|(high, low)| u8::try_from(high * 16 + low).ok()) {
            Some(byte) => {
                bytes.push(byte);
                rest = after.get(2..).unwrap_or(&[]);
            }
            None if *first == b'+' && plus => bytes.push(b' '),
            None => bytes.push(*first),
        }
    }
    String::from_utf8(bytes).ok()
}

/// What an answer holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A page.
    Html,
    /// Values for the page's own script.
    Json,
    /// A style sheet.
    Style,
    /// A script.
    Script,
    /// Plain text.
    Text,
    /// A picture, by its media type.
    Picture(&'static str),
}

impl Kind {
    /// Its media type.
    #[must_use]
    pub fn media_type(self) -> &'static str {
        match self {
            Kind::Html => "text/html; charset=utf-8",
            Kind::Json => "application/json",
            Kind::Style => "text/css; charset=utf-8",
            Kind::Script => "text/javascript; charset=utf-8",
            Kind::Text => "text/plain; charset=utf-8",
            Kind::Picture(media_type) => media_type,
        }
    }
}

/// What a browser is answered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// The status (RFC 9110, 15).
    pub status: u16,
    /// What it holds.
    pub kind: Kind,
    /// The bytes.
    pub body: Vec<u8>,
    /// Where to go next, if it is elsewhere.
    pub to: Option<String>,
}

impl Answer {
    /// A page.
    #[must_use]
    pub fn page(page: String) -> Answer {
        Answer::new(200, Kind::Html, page.into_bytes())
    }

    /// Anything.
    #[must_use]
    pub fn new(status: u16, kind: Kind, body: Vec<u8>) -> Answer {
        Answer { status, kind, body, to: None }
    }

    /// Go there now, with a plain read (RFC 9110, 15.4.4).
    #[must_use]
    pub fn elsewhere(to: String) -> Answer {
        Answer { status: 303, kind: Kind::Text, body: Vec::new(), to: Some(to) }
    }

    /// The same with another status.
    #[must_use]
    pub fn with_status(self, status: u16) -> Answer {
        Answer { status, ..self }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    #[test]
    fn steps_and_fields_are_decoded_once() {
        let asked = Asked::new(Method::Get, "/build/x%20y/%2e%2e%2Fx?tag=R+1&to=%26&x", Vec::new()).unwrap();
        assert_eq!(asked.path, ["build", "x y", "../x"]);
        assert_eq!((asked.value("tag"), asked.value("to"), asked.value("x")), (Some("R 1"), Some("&"), Some("")));
        assert_eq!(Asked::new(Method::Get, "/%25%32%65", Vec::new()).unwrap().path, ["%2e"]);
        assert_eq!(Asked::new(Method::Get, "/%2/%", Vec::new()).unwrap().path, ["%2", "%"]);
        assert_eq!(Asked::new(Method::Get, "/%ff", Vec::new()), None);
        let form = Asked::new(Method::Post, "/new", b"build=K+1&day=".to_vec()).unwrap().form().unwrap();
        assert_eq!(form, [("build".to_owned(), "K 1".to_owned()), ("day".to_owned(), String::new())]);
    }
}
