//! Which requests are let in: those of this bench's own pages, and of people who typed its address. Refuses to read bodies, and
//! to know what is asked.
//!
//! A browser sends whatever page it shows to whatever address the page names. So a request must name this bench by an address it
//! is served at (a foreign name that was pointed at this machine is refused), and what writes must come from its own pages.

use super::words;
use hyper::header::{HOST, HeaderMap, HeaderName, ORIGIN};
use hyper::http::request::Parts;
use hyper::{Method, Version};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// Where a connection ends on this machine, and where it comes from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub(super) here: SocketAddr,
    pub(super) there: IpAddr,
}

impl Ends {
    /// The ends of a connection, IPv4 addresses as such even if they came in over IPv6.
    pub(super) fn new(here: SocketAddr, there: SocketAddr) -> Ends {
        Ends { here: SocketAddr::new(here.ip().to_canonical(), here.port()), there: there.ip().to_canonical() }
    }

    /// Whether it comes from this machine itself.
    pub(super) fn is_loopback(&self) -> bool {
        self.there.is_loopback()
    }

    /// An address that is served here, for a person to open.
    pub(super) fn address(&self) -> String {
        if self.here.ip().is_loopback() {
            format!("http://localhost:{}/", self.here.port())
        } else {
            format!("http://{}/", self.here)
        }
    }

    /// Whether a name with its port is one that is served at this end.
    fn is_served(&self, authority: &str) -> bool {
        let authority = authority.to_ascii_lowercase();
        let (name, port) = match authority.rsplit_once(':') {
            Some((name, port)) if !port.contains(']') => (name, port),
            _ => (authority.as_str(), "80"),
        };
        if port != self.here.port().to_string() {
            return false;
        }
        let address = match name.strip_prefix('[').and_then(|name| name.strip_suffix(']')) {
            Some(inner) => inner.parse::<std::net::Ipv6Addr>().map(IpAddr::V6).ok(),
            None => name.parse::<Ipv4Addr>().map(IpAddr::V4).ok(),
        };
        if self.here.ip().is_loopback() {
            return name == "localhost" || name == "127.0.0.1" || name == "[::1]";
        }
        address == Some(self.here.ip())
    }
}

/// The status and the sentence with which a request is refused; `None` if it may come in.
pub(super) fn refusal(head: &Parts, ends: &Ends) -> Option<(u16, String)> {
    if !matches!(head.method, Method::GET | Method::HEAD | Method::POST) {
        return Some((405, words::METHODS.into()));
    }
    let Some(host) = only(&head.headers, &HOST).filter(|_| head.version == Version::HTTP_11) else {
        return Some((400, words::ONE_HOST.into()));
    };
    // A target may name its server itself (RFC 9112, 3.2.2); then both names must be ours.
    let named = head.uri.authority().map(|authority| authority.as_str());
    if !ends.is_served(host) || named.is_some_and(|named| !ends.is_served(named)) {
        return Some((421, words::not_served(&ends.address())));
    }
    let writes = head.method == Method::POST;
    is_foreign(head, host, writes)
}

/// Whether a request comes from a page that is not this bench's, as far as its browser tells.
fn is_foreign(head: &Parts, host: &str, writes: bool) -> Option<(u16, String)> {
    let other = Some((403, words::OTHER_PAGE.into()));
    let fetch = |name: &'static str| only_or_nothing(&head.headers, &HeaderName::from_static(name));
    let (Some(origin), Some(site), Some(mode), Some(destination)) = (
        only_or_nothing(&head.headers, &ORIGIN),
        fetch("sec-fetch-site"),
        fetch("sec-fetch-mode"),
        fetch("sec-fetch-dest"),
    ) else {
        return other;
    };
    if let Some(origin) = origin
        && !origin.eq_ignore_ascii_case(&format!("http://{host}"))
    {
        return other;
    }
    match site {
        // `none` is what a person typed; no page can cause it (Fetch Metadata, 2.3).
        Some("same-origin" | "none") => {}
        // Another program's page on this machine is `same-site`: not ours either. A link that somebody follows may lead here.
        Some(_) if !writes && mode == Some("navigate") && destination == Some("document") => {}
        Some(_) => return other,
        None => {}
    }
    // A page cannot send this header to another origin without asking first with OPTIONS, which is refused.
    let by_program = head.headers.get("x-trochoid").is_some_and(|value| value == "1");
    let is_own = origin.is_some() || site == Some("same-origin") || (site.is_none() && by_program);
    (writes && !is_own).then(|| (403, words::NO_ORIGIN.into()))
}

/// The one value of a header; `None` if it is not there, there twice, or not plain text.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    only_or_nothing(headers, name).flatten()
}

/// The value of a header, if there is one; `None` if there are several, or it is not plain text.
fn only_or_nothing<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<Option<&'a str>> {
    let mut values = headers.get_all(name).iter();
    let Some(first) = values.next() else { return Some(None) };
    match (values.next(), first.to_str()) {
        (None, Ok(value)) => Some(Some(value)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

    use super::*;

    const OWN: (&str, &str) = ("host", "localhost:8654");

    fn ends(here: &str) -> Ends {
        Ends::new(here.parse().unwrap(), "127.0.0.1:40000".parse().unwrap())
    }

    /// The status a request is refused with; 0 if it is let in.
    fn status(method: &str, target: &str, headers: &[(&str, &str)], here: &str) -> u16 {
        let mut request = hyper::Request::builder().method(method).uri(target);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let (parts, ()) = request.body(()).unwrap().into_parts();
        refusal(&parts, &ends(here)).map_or(0, |(status, _)| status)
    }

    fn host(host: &str, here: &str) -> u16 {
        status("GET", "/", &[("host", host)], here)
    }

    #[test]
    fn only_the_served_addresses_are_answered() {
        for good in ["localhost:8654", "LOCALHOST:8654", "127.0.0.1:8654", "[::1]:8654"] {
            assert_eq!(host(good, "127.0.0.1:8654"), 0, "{good}");
            assert_eq!(host(good, "[::1]:8654"), 0, "{good}");
            assert_eq!(host(good, "192.0.2.7:8654"), 421, "{good} over the network");
        }
        for bad in [
            "",
            "localhost",
            "localhost:80",
            "localhost:8655",
            "localhost:08654",
            "localhost.:8654",
            "evil.example:8654",
            "localhost.evil.example:8654",
            "127.0.0.1.evil.example:8654",
            "127.1:8654",
            "2130706433:8654",
            "0.0.0.0:8654",
            "127.0.0.2:8654",
            "192.0.2.7:8654",
            "[::1]",
            "[::ffff:127.0.0.1]:8654",
            "user@localhost:8654",
            "localhost:8654:8654",
            "localhost :8654",
            "[",
            "]:8654",
            ":8654",
        ] {
            assert_eq!(host(bad, "127.0.0.1:8654"), 421, "{bad}");
        }
        assert_eq!(host("localhost", "127.0.0.1:80"), 0);
        assert_eq!(host("192.0.2.7:8654", "192.0.2.7:8654"), 0);
        assert_eq!(host("192.0.2.8:8654", "192.0.2.7:8654"), 421);
        assert_eq!(host("192.0.2.7:8654", "[::ffff:192.0.2.7]:8654"), 0);
        assert_eq!(host("[2001:DB8::0:7]:8654", "[2001:db8::7]:8654"), 0);
        assert_eq!(status("GET", "/", &[], "127.0.0.1:8654"), 400);
        assert_eq!(status("GET", "/", &[OWN, OWN], "127.0.0.1:8654"), 400);
        assert_eq!(status("GET", "http://localhost:8654/", &[OWN], "127.0.0.1:8654"), 0);
        assert_eq!(status("GET", "http://evil.example/", &[OWN], "127.0.0.1:8654"), 421);
    }

    #[test]
    fn other_methods_are_refused() {
        for method in ["OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "HEAD1"] {
            assert_eq!(status(method, "/", &[OWN], "127.0.0.1:8654"), 405, "{method}");
        }
        assert_eq!(status("HEAD", "/", &[OWN], "127.0.0.1:8654"), 0);
    }

    /// Each combination of the headers with which a browser says where a request comes from.
    #[test]
    fn only_own_pages_write_and_only_links_lead_here() {
        let origins = [
            None,
            Some("http://localhost:8654"),
            Some("null"),
            Some("http://evil.example"),
            Some("http://localhost:3000"),
            Some("https://localhost:8654"),
            Some("http://localhost:8654.evil.example"),
            Some("http://127.0.0.1:8654"),
        ];
        let sites = [None, Some("same-origin"), Some("same-site"), Some("cross-site"), Some("none"), Some("new-word")];
        let modes = [None, Some("navigate"), Some("cors"), Some("no-cors"), Some("same-origin"), Some("websocket")];
        let destinations = [None, Some("document"), Some("iframe"), Some("image"), Some("script"), Some("empty")];
        let mut counted = [0_usize; 2];
        for method in ["GET", "POST"] {
            for origin in origins {
                for site in sites {
                    for mode in modes {
                        for destination in destinations {
                            let named = [
                                ("origin", origin),
                                ("sec-fetch-site", site),
                                ("sec-fetch-mode", mode),
                                ("sec-fetch-dest", destination),
                            ];
                            let mut headers = vec![OWN];
                            headers.extend(named.iter().filter_map(|(name, value)| Some((*name, (*value)?))));
                            let refused = status(method, "/", &headers, "127.0.0.1:8654") != 0;
                            let own_origin = origin == Some("http://localhost:8654");
                            let own_site = matches!(site, None | Some("same-origin" | "none"));
                            let link = mode == Some("navigate") && destination == Some("document");
                            let allowed = match method {
                                "GET" => (origin.is_none() || own_origin) && (own_site || link),
                                _ => own_site && (own_origin || (origin.is_none() && site == Some("same-origin"))),
                            };
                            assert_eq!(refused, !allowed, "{method} {headers:?}");
                            if let Some(count) = counted.get_mut(usize::from(refused)) {
                                *count += 1;
                            }
                        }
                    }
                }
            }
        }
        assert!(counted.iter().all(|count| *count > 100), "{counted:?}");
        let own = [OWN, ("origin", "http://localhost:8654"), ("origin", "http://localhost:8654")];
        assert_eq!(status("POST", "/", &own, "127.0.0.1:8654"), 403, "two origins");
    }

    #[test]
    fn a_program_says_so_with_a_header() {
        let by_program = ("x-trochoid", "1");
        assert_eq!(status("POST", "/", &[OWN], "127.0.0.1:8654"), 403);
        assert_eq!(status("POST", "/", &[OWN, by_program], "127.0.0.1:8654"), 0);
        assert_eq!(status("POST", "/", &[OWN, ("x-trochoid", "0")], "127.0.0.1:8654"), 403);
        assert_eq!(status("POST", "/", &[OWN, by_program, ("origin", "null")], "127.0.0.1:8654"), 403);
        assert_eq!(status("POST", "/", &[OWN, by_program, ("sec-fetch-site", "cross-site")], "127.0.0.1:8654"), 403);
    }
}
