//! Streams of events, and a bench that is only for showing.

use super::{Bench, PATIENCE, RECORD};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

/// Opens a stream and reads its headers.
fn stream(bench: &Bench, query: &str) -> BufReader<TcpStream> {
    let mut stream = bench.connect();
    let head = format!("GET /events?{query} HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", bench.port);
    stream.write_all(head.as_bytes()).unwrap();
    let mut stream = BufReader::new(stream);
    let head = until(&mut stream, |line| line.trim().is_empty());
    assert!(head.starts_with("HTTP/1.1 200") && head.contains("content-type: text/event-stream"), "{head}");
    assert!(
        head.contains("cache-control: no-store") && head.contains("content-security-policy: default-src 'none'"),
        "{head}"
    );
    assert!(until(&mut stream, |line| line.starts_with("retry: ")).contains("retry: 2000"));
    stream
}

/// Everything up to a line, with it.
fn until(stream: &mut BufReader<TcpStream>, is_last: impl Fn(&str) -> bool) -> String {
    let mut all = String::new();
    loop {
        let mut line = String::new();
        assert_ne!(stream.read_line(&mut line).unwrap(), 0, "closed after {all:?}");
        all.push_str(&line);
        if is_last(&line) {
            return all;
        }
    }
}

#[test]
fn a_change_of_the_file_is_told() {
    let mut bench = Bench::open(&[]);
    let mut streams = [stream(&bench, "record=builds/P-1.yaml"), stream(&bench, "record=builds%2FP-1.yaml")];
    for value in ["3.01", "3.02"] {
        std::fs::write(
            bench.shop().join("builds/P-1.yaml"),
            RECORD.replace("3.00", value) + &"# more\n".repeat(value.len()),
        )
        .unwrap();
        for stream in &mut streams {
            let told = until(stream, |line| line.starts_with("data: "));
            assert!(told.contains("data: {\"record\":\"builds/P-1.yaml\""), "{told}");
        }
        std::thread::sleep(std::time::Duration::from_millis(600));
    }
    std::fs::remove_file(bench.shop().join("builds/P-1.yaml")).unwrap();
    until(&mut streams[0], |line| line.starts_with("data: "));
    // Without news it says that it is still here.
    assert!(until(&mut streams[1], |line| line.starts_with(": still here")).contains(": still here\n"));
    assert_eq!(bench.ask("GET /events", "", b"").status, 404);
    assert_eq!(bench.ask("GET /events?record=nothing.yaml", "", b"").status, 404);
    assert_eq!(bench.ask("HEAD /events?record=builds/P-1.yaml", "", b"").status, 405, "a stream has no end to tell of");
    bench.is_well();
}

#[test]
fn the_oldest_stream_makes_room() {
    let mut bench = Bench::open(&[]);
    let mut first = stream(&bench, "record=builds/P-1.yaml");
    let mut others: Vec<_> = (0..200).map(|_| stream(&bench, "record=builds/P-1.yaml")).collect();
    first.get_mut().set_read_timeout(Some(PATIENCE)).unwrap();
    // The last piece of a body that is sent in pieces (RFC 9112, 7.1).
    until(&mut first, |line| line == "0\r\n");
    std::fs::write(bench.shop().join("builds/P-1.yaml"), format!("{RECORD}# more\n")).unwrap();
    for other in &mut others {
        until(other, |line| line.starts_with("data: "));
    }
    bench.is_well();
}

#[test]
fn a_bench_for_showing_writes_nothing() {
    let mut bench = Bench::open(&["--read-only"]);
    bench.says("Nothing can be written");
    for path in ["/", "/write", "/photo", "/build/builds/P-1.yaml", "/grades", "//x/grade"] {
        let reply = bench.ask(&format!("POST {path}"), "X-Trochoid: 1\r\n", b"a=1");
        assert_eq!(
            (reply.status, reply.text().as_str()),
            (403, "This bench is read-only: nothing can be written.\n"),
            "{path}"
        );
    }
    // Grading reads only.
    assert_ne!(bench.ask("POST /grade", "X-Trochoid: 1\r\n", b"a=1").status, 403);
    assert_eq!(bench.ask("GET /", "", b"").status, 200);
    assert_eq!(std::fs::read_to_string(bench.shop().join("builds/P-1.yaml")).unwrap(), RECORD);
    bench.is_well();
}

#[test]
fn a_dropped_page_closes_its_stream() {
    let mut bench = Bench::open(&[]);
    for _ in 0..300 {
        let mut stream = bench.connect();
        let head = format!("GET /events?record=builds/P-1.yaml HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", bench.port);
        stream.write_all(head.as_bytes()).unwrap();
        let mut some = [0; 12];
        stream.read_exact(&mut some).unwrap();
        assert_eq!(&some, b"HTTP/1.1 200");
    }
    let mut one = stream(&bench, "record=builds/P-1.yaml");
    std::fs::write(bench.shop().join("builds/P-1.yaml"), format!("{RECORD}# more\n")).unwrap();
    until(&mut one, |line| line.starts_with("data: "));
    bench.is_well();
}
