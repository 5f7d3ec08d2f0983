//! Pages of others: a name rebound to this machine, and everything a hostile page in another tab can make a browser send.

use super::{Bench, Reply};
use std::net::{Ipv6Addr, TcpListener, TcpStream};

#[test]
fn only_a_served_address_is_answered() {
    let mut bench = Bench::open(&[]);
    let port = bench.port;
    let of = |host: &str| {
        let request = format!("GET / HTTP/1.1\r\n{host}Connection: close\r\n\r\n");
        Reply::to(bench.connect(), request.as_bytes())
    };
    for good in ["localhost", "127.0.0.1", "[::1]", "LocalHost"] {
        assert_eq!(of(&format!("Host: {good}:{port}\r\n")).status, 200, "{good}");
    }
    for bad in
        ["evil.example", "localhost.evil.example", "0.0.0.0", "127.0.0.2", "192.0.2.1", "localhost.", "a@localhost"]
    {
        let reply = of(&format!("Host: {bad}:{port}\r\n"));
        assert_eq!(reply.status, 421, "{bad}");
        assert_eq!(reply.text(), format!("This address is not served here. Open http://localhost:{port}/ instead.\n"));
    }
    assert_eq!(of("Host: localhost\r\n").status, 421);
    assert_eq!(of(&format!("Host: localhost:{}\r\n", port ^ 1)).status, 421);
    assert_eq!(of("").status, 400);
    assert_eq!(of("Host:\r\n").status, 421);
    assert_eq!(of(&format!("Host: localhost:{port}\r\nHost: evil.example\r\n")).status, 400);
    let old = format!("GET / HTTP/1.0\r\nHost: localhost:{port}\r\n\r\n");
    assert_eq!(Reply::to(bench.connect(), old.as_bytes()).status, 400);
    match TcpStream::connect((Ipv6Addr::LOCALHOST, port)) {
        Ok(stream) => {
            let request = format!("GET / HTTP/1.1\r\n{}\r\n", bench.own());
            assert_eq!(Reply::to(stream, request.as_bytes()).status, 200);
        }
        // A bench that does not listen there is a fault only where a program can.
        Err(error) => assert!(TcpListener::bind((Ipv6Addr::LOCALHOST, 0)).is_err(), "{error}"),
    }
    bench.is_well();
}

#[test]
fn other_methods_are_refused() {
    let mut bench = Bench::open(&[]);
    for method in ["OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "BREW"] {
        let reply = bench.ask(&format!("{method} /"), "", b"");
        assert_eq!((reply.status, reply.header("allow")), (405, Some("GET, HEAD, POST")), "{method}");
    }
    let (get, head) = (bench.ask("GET /nowhere", "", b""), bench.ask("HEAD /nowhere", "", b""));
    assert_eq!((head.status, head.body.len()), (get.status, 0));
    assert_eq!(head.header("content-length"), get.header("content-length"));
    assert_eq!(head.header("content-length"), Some(get.body.len().to_string().as_str()));
    bench.is_well();
}

/// What browsers send for each way in which a page of another origin can reach this one (Fetch Metadata, 2; Fetch Standard, 3.1).
#[test]
fn a_hostile_page_reads_and_writes_nothing() {
    let mut bench = Bench::open(&[]);
    let form = "Content-Type: application/x-www-form-urlencoded\r\n";
    let fetch = |site: &str, mode: &str, destination: &str| {
        format!("Sec-Fetch-Site: {site}\r\nSec-Fetch-Mode: {mode}\r\nSec-Fetch-Dest: {destination}\r\n")
    };
    for site in ["cross-site", "same-site"] {
        for origin in ["null", "http://evil.example", "http://localhost:1", "https://localhost", "http://127.0.0.1:1"] {
            let ways = [
                ("POST /write", fetch(site, "navigate", "document")),
                ("POST /write", fetch(site, "navigate", "iframe")),
                ("POST /write", fetch(site, "no-cors", "empty")),
                ("POST /write", fetch(site, "cors", "empty")),
                ("POST /write", fetch(site, "no-cors", "report")),
                ("GET /events?record=builds/P-1.yaml", fetch(site, "cors", "empty")),
                ("GET /", fetch(site, "cors", "empty")),
                ("GET /", fetch(site, "cors", "script")),
                // A browser without Fetch Metadata still sends the origin.
                ("POST /write", String::new()),
                ("GET /events?record=builds/P-1.yaml", String::new()),
            ];
            for (line, metadata) in ways {
                let reply = bench.ask(line, &format!("Origin: {origin}\r\n{metadata}{form}"), b"value=1");
                assert_eq!(reply.status, 403, "{line} {origin} {metadata}");
            }
        }
        // Without an origin: pictures, scripts, styles, frames, prefetched pages.
        for (mode, destination) in [
            ("no-cors", "image"),
            ("no-cors", "script"),
            ("no-cors", "style"),
            ("navigate", "iframe"),
            ("navigate", "object"),
        ] {
            let reply = bench.ask("GET /file/sheet.css", &fetch(site, mode, destination), b"");
            assert_eq!(reply.status, 403, "{mode} {destination}");
        }
        // A link that somebody follows leads to the page, and only reads.
        assert_eq!(bench.ask("GET /", &fetch(site, "navigate", "document"), b"").status, 200);
        assert_eq!(bench.ask("POST /", &fetch(site, "navigate", "document"), b"a=1").status, 403);
    }
    // The question a browser asks before it sends a header of a page's own.
    let asks = "Origin: http://evil.example\r\nAccess-Control-Request-Method: POST\r\nAccess-Control-Request-Headers: x-trochoid\r\n";
    assert_eq!(bench.ask("OPTIONS /write", asks, b"").status, 405);
    // Neither an origin nor another sign of where it comes from.
    assert_eq!(bench.ask("POST /write", form, b"value=1").status, 403);
    // Our own pages and programs get past the door; there is just no such page.
    let own = format!("Origin: http://localhost:{}\r\n", bench.port);
    for good in [own.as_str(), "Sec-Fetch-Site: same-origin\r\n", "X-Trochoid: 1\r\n"] {
        assert_eq!(bench.ask("POST /no/such/page", good, b"value=1").status, 404, "{good}");
    }
    bench.is_well();
}
