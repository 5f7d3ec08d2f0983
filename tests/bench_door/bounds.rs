//! How much and how many: headers, bodies, half requests, ten thousand connections that never ask anything.

use super::{Bench, PATIENCE, Reply, connect};
use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Instant;

/// So many connections that never ask anything.
const SLOW: usize = 10_000;

#[test]
fn headers_are_bounded() {
    let mut bench = Bench::open(&[]);
    let fields = |count: usize, length: usize| -> String {
        (0..count).map(|number| format!("X-{number}: {}\r\n", "a".repeat(length))).collect()
    };
    assert_eq!(bench.ask("GET /", &fields(40, 10), b"").status, 200);
    assert_eq!(bench.ask("GET /", &fields(65, 10), b"").status, 431);
    assert_eq!(bench.ask("GET /", &fields(1, 15_000), b"").status, 200);
    assert_eq!(bench.ask("GET /", &fields(1, 17_000), b"").status, 431);
    assert!(
        matches!(bench.ask("GET /", &fields(1, 10_000_000), b"").status, 431 | 0),
        "it may close while more is sent"
    );
    // Headers that never end.
    let mut stream = bench.connect();
    let sent = stream.write_all(format!("GET / HTTP/1.1\r\n{}", bench.own()).as_bytes()).and_then(|()| {
        (0..100_000).try_for_each(|number| stream.write_all(format!("X-{number}: more\r\n").as_bytes()))
    });
    assert!(sent.is_err() || Reply::read(stream).status == 431);
    bench.is_well();
}

#[test]
fn bodies_are_bounded() {
    let mut bench = Bench::open(&[]);
    let own = "X-Trochoid: 1\r\n";
    let (mebibyte, large) = (vec![b'a'; 1 << 20], vec![b'a'; (1 << 20) + 1]);
    assert_eq!(bench.ask("POST /no/such/page", own, &mebibyte).status, 404);
    let refused = bench.ask("POST /no/such/page", own, &large);
    assert_eq!((refused.status, refused.text().as_str()), (413, "This is too large: at most 1 MiB can be sent.\n"));
    // A photo may be larger, as far as the door is concerned.
    assert_ne!(bench.ask("POST /photo", own, &large).status, 413);
    let huge = vec![b'a'; (16 << 20) + 1];
    assert_eq!(bench.ask("POST /photo", own, &huge).status, 413);
    // A length that is not kept, and one that nobody can keep: refused before anything arrives.
    for length in ["1048577", "99999999999999", "18446744073709551615"] {
        let head = format!("POST /x HTTP/1.1\r\n{}{own}Content-Length: {length}\r\n\r\n", bench.own());
        let reply = Reply::to(bench.connect(), head.as_bytes());
        assert!(matches!(reply.status, 413 | 431), "{length}: {}", reply.status);
    }
    for length in ["-1", "1, 2", "x", "18446744073709551616"] {
        let head = format!("POST /x HTTP/1.1\r\n{}{own}Content-Length: {length}\r\n\r\n", bench.own());
        assert_eq!(Reply::to(bench.connect(), head.as_bytes()).status, 400, "{length}");
    }
    // In pieces, without a length.
    let head = format!("POST /x HTTP/1.1\r\n{}{own}Transfer-Encoding: chunked\r\n\r\n", bench.own());
    let piece = format!("10000\r\n{}\r\n", "a".repeat(0x10000));
    let reply = Reply::to(bench.connect(), [head.clone(), piece.repeat(17), "0\r\n\r\n".into()].concat().as_bytes());
    assert!(matches!(reply.status, 413 | 0), "{}", reply.status);
    let reply = Reply::to(bench.connect(), [head.clone(), piece.repeat(16), "0\r\n\r\n".into()].concat().as_bytes());
    assert_eq!(reply.status, 404);
    let reply = Reply::to(bench.connect(), [head, "zz\r\n".into()].concat().as_bytes());
    assert_eq!(reply.status, 400);
    bench.is_well();
}

#[test]
fn half_requests_are_closed_in_time() {
    let mut bench = Bench::open(&[]);
    let whole = format!("GET / HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", bench.port);
    let half_body = format!("POST /x HTTP/1.1\r\n{}X-Trochoid: 1\r\nContent-Length: 10\r\n\r\nhalf", bench.own());
    let half_foreign = format!("POST /x HTTP/1.1\r\n{}Content-Length: 10\r\n\r\nhalf", bench.own());
    let begun = [
        ("", 0),
        ("GET / HT", 0),
        (&whole[..whole.len() - 2], 0),
        (&half_body, 408),
        (&half_foreign, 403),
        (&whole, 200),
    ];
    let waiting: Vec<TcpStream> = begun
        .iter()
        .map(|(text, _)| {
            let mut stream = bench.connect();
            stream.write_all(text.as_bytes()).unwrap();
            stream
        })
        .collect();
    // One that sends a letter now and then gains no time by it.
    let mut dribbling = bench.connect();
    dribbling.write_all(b"GET / HTTP/1.1\r\nX: ").unwrap();
    let since = Instant::now();
    let dribbled = loop {
        std::thread::sleep(std::time::Duration::from_millis(500));
        if dribbling.write_all(b"a").is_err() {
            break since.elapsed();
        }
        assert!(since.elapsed() < PATIENCE, "it is listened to for ever");
    };
    assert!(dribbled.as_secs() >= 5, "it was closed at once: {dribbled:?}");
    for (stream, (text, status)) in waiting.into_iter().zip(begun) {
        assert_eq!(Reply::read(stream).status, status, "{text}");
    }
    bench.is_well();
}

/// How many files this process may have open, with some left for everything else.
fn at_once() -> usize {
    let limits = std::fs::read_to_string("/proc/self/limits").unwrap_or_default();
    let open =
        limits.lines().find_map(|line| line.strip_prefix("Max open files")?.split_whitespace().next()?.parse().ok());
    open.unwrap_or(1024_usize).saturating_sub(600).clamp(200, SLOW)
}

#[test]
fn ten_thousand_slow_connections_keep_nobody_waiting() {
    let mut bench = Bench::open(&[]);
    let here = bench.here();
    let half =
        format!("POST / HTTP/1.1\r\nHost: localhost:{}\r\nX-Trochoid: 1\r\nContent-Length: 9\r\n\r\n1", bench.port);
    let is_over = AtomicBool::new(false);
    let answered = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        // Whoever asks properly meanwhile is answered each time.
        scope.spawn(|| {
            while !is_over.load(Ordering::Relaxed) {
                assert_eq!(bench.ask("GET /", "", b"").status, 200);
                answered.fetch_add(1, Ordering::Relaxed);
            }
        });
        let mut begun = 0;
        while begun < SLOW {
            let wave: Vec<TcpStream> = (0..at_once().min(SLOW - begun))
                .map(|number| {
                    let mut stream = connect(here);
                    // Nothing, half of the headers, or half of a body; the other end may have closed it already.
                    let length = [0, 20, half.len()][number % 3];
                    let _ = stream.write_all(&half.as_bytes()[..length]);
                    stream
                })
                .collect();
            begun += wave.len();
            assert_eq!(bench.ask("GET /", "", b"").status, 200, "with {begun} connections");
        }
        is_over.store(true, Ordering::Relaxed);
    });
    assert!(answered.load(Ordering::Relaxed) > 0);
    bench.is_well();
}

#[test]
fn the_oldest_half_request_makes_room() {
    let mut bench = Bench::open(&[]);
    let mut first = bench.connect();
    first.write_all(b"GET / HTTP/1.1\r\n").unwrap();
    let others: Vec<TcpStream> = (0..600).map(|_| bench.connect()).collect();
    bench.is_well();
    let mut rest = Vec::new();
    match first.read_to_end(&mut rest) {
        Ok(read) => assert_eq!(read, 0),
        Err(error) => assert_eq!(error.kind(), ErrorKind::ConnectionReset),
    }
    drop(others);
}
