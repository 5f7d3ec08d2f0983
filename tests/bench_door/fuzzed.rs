//! Anything at all, in the program and over a connection: it answers or closes, and goes on.

use super::{Bench, PATIENCE, Reply, shop};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::io::{ErrorKind, Read, Write};
use std::net::Shutdown;
use trochoid::bench::{Asked, Method, Watching, Workshop, answer, picture_kind};

/// Targets that are nearly right, and some that are not.
fn target() -> impl Strategy<Value = String> {
    let step = prop_oneof![
        Just("build".to_owned()),
        Just("builds".to_owned()),
        Just("P-1.yaml".to_owned()),
        Just("file".to_owned()),
        Just("events".to_owned()),
        Just("%2e%2e".to_owned()),
        Just("..".to_owned()),
        "[ -~]{0,12}",
        "(%[0-9a-f]{2}){0,6}",
        any::<String>(),
    ];
    let query =
        prop_oneof![Just(String::new()), Just("?record=builds/P-1.yaml".to_owned()), "\\?[ -~]{0,40}", any::<String>()];
    (proptest::collection::vec(step, 0..6), query).prop_map(|(steps, query)| format!("/{}{query}", steps.join("/")))
}

fn body() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        proptest::collection::vec(any::<u8>(), 0..200),
        "([a-z]{1,8}=[ -~]{0,12}&?){0,6}".prop_map(String::into_bytes),
        "\\{(\"[a-z]{1,8}\":\"[ -~]{0,12}\",?){0,4}\\}?".prop_map(String::into_bytes),
    ]
}

#[test]
fn any_request_is_answered_in_the_program() {
    let folder = shop();
    let workshop = Workshop::new(folder.path(), None, false, || trochoid::quantity::Date::parse("2026-11-28"));
    let mut runner = TestRunner::new(Config { cases: 2_000, failure_persistence: None, ..Config::default() });
    let run = runner.run(&(any::<bool>(), target(), body()), |(writes, target, body)| {
        let _ = picture_kind(&body);
        let method = if writes { Method::Post } else { Method::Get };
        if let Some(asked) = Asked::new(method, &target, body) {
            let answered = answer(&workshop, &asked);
            prop_assert!((200..600).contains(&answered.status), "{target}: {}", answered.status);
            let _ = asked.form();
            if let Some(mut watching) = Watching::new(&workshop, &asked) {
                prop_assert!(asked.value("record").is_some());
                let _ = watching.next(&workshop);
            }
        }
        Ok(())
    });
    run.unwrap();
}

#[test]
fn any_bytes_over_a_connection_are_answered_or_closed() {
    let mut bench = Bench::open(&[]);
    let line = prop_oneof![
        (prop_oneof![Just("GET"), Just("POST"), Just("HEAD"), Just("get")], target())
            .prop_map(|(method, target)| format!("{method} {target} HTTP/1.1\r\n").into_bytes()),
        proptest::collection::vec(any::<u8>(), 0..60),
    ];
    let host = format!("Host: localhost:{}\r\n", bench.port);
    let header = prop_oneof![
        Just(host.into_bytes()),
        Just(b"X-Trochoid: 1\r\n".to_vec()),
        Just(b"Transfer-Encoding: chunked\r\n".to_vec()),
        Just(b"Expect: 100-continue\r\n".to_vec()),
        Just(b"Upgrade: websocket\r\nConnection: Upgrade\r\n".to_vec()),
        (0_u32..300).prop_map(|length| format!("Content-Length: {length}\r\n").into_bytes()),
        "[A-Za-z-]{1,12}: [ -~]{0,30}\r\n".prop_map(String::into_bytes),
        proptest::collection::vec(any::<u8>(), 0..40),
    ];
    let bytes = (line, proptest::collection::vec(header, 0..6), body(), any::<bool>()).prop_map(
        |(line, headers, body, ends)| {
            [line, headers.concat(), if ends { b"\r\n".to_vec() } else { Vec::new() }, body].concat()
        },
    );
    let mut runner = TestRunner::new(Config { cases: 400, failure_persistence: None, ..Config::default() });
    let run = runner.run(&bytes, |bytes| {
        let mut stream = bench.connect();
        let _ = stream.write_all(&bytes);
        // Whoever has nothing more to say gets an answer or is left.
        let _ = stream.shutdown(Shutdown::Write);
        let mut answered = [0; 64];
        // An open stream of events ends when we go.
        match stream.read(&mut answered) {
            Ok(0) => {}
            Ok(_) => prop_assert!(answered.starts_with(b"HTTP/1.1 "), "{answered:?}"),
            Err(error) => prop_assert!(error.kind() != ErrorKind::WouldBlock, "not within {PATIENCE:?}: {bytes:?}"),
        }
        Ok(())
    });
    run.unwrap();
    bench.is_well();
    assert_eq!(Reply::to(bench.connect(), b"\0\r\n\r\n").status, 400);
}
