//! Paths that try to leave the shop's folder, and targets in every form.

use super::{Bench, RECORD, Reply, put_shop};

#[test]
fn no_path_leaves_the_folder() {
    let whole = tempfile::tempdir().unwrap();
    let inner = whole.path().join("shop");
    put_shop(&inner);
    std::fs::write(whole.path().join("outside.yaml"), format!("{RECORD}# root: not for anybody\n")).unwrap();
    let mut bench = Bench::of(&inner, &["--port", "0"]).unwrap();
    let up = [
        "..",
        "%2e%2e",
        ".%2e",
        "%2E.",
        "..%2f..",
        "..%2F..%2fetc%2fpasswd",
        "..%5c..",
        "%2e%2e%5c",
        "x%00",
        "%00",
        "a%2fb",
        "%2fetc%2fpasswd",
        "%5c%5cserver%5cshare",
        "%252e%252e",
        "%c0%ae%c0%ae",
        "%ff",
        "....//",
        ";/..;/",
        "C:%5cx",
        "%u002e",
    ];
    for way in up {
        for first in ["build", "file", "photo", "part", "sheet", "x"] {
            for last in ["", "/etc/passwd", "/outside.yaml", "/trochoid.yaml"] {
                let reply = bench.ask(&format!("GET /{first}/{way}{last}"), "", b"");
                assert!(matches!(reply.status, 400 | 404), "/{first}/{way}{last}: {}", reply.status);
                assert!(!reply.text().contains("root:"), "{}", reply.text());
            }
        }
    }
    for name in [
        "/etc/passwd",
        "..%2f..%2fetc%2fpasswd",
        "../outside.yaml",
        "../trochoid.yaml",
        "builds/../trochoid.yaml",
        "",
        "%00",
        "builds",
    ] {
        let reply = bench.ask(&format!("GET /events?record={name}"), "", b"");
        assert_eq!(reply.status, 404, "{name}");
    }
    bench.is_well();
}

#[test]
fn targets_in_every_form() {
    let mut bench = Bench::open(&[]);
    let port = bench.port;
    assert_eq!(bench.ask(&format!("GET http://localhost:{port}/"), "", b"").status, 200);
    assert_eq!(bench.ask("GET http://evil.example/", "", b"").status, 421);
    assert_eq!(bench.ask("GET //evil.example/", "", b"").status, 404);
    assert_eq!(bench.ask("GET ///", "", b"").status, 200, "only slashes are the first page");
    assert_eq!(bench.ask("GET /?", "", b"").status, 200);
    assert!(matches!(bench.ask("CONNECT localhost:1", "", b"").status, 400 | 405));
    assert!(matches!(bench.ask("OPTIONS *", "", b"").status, 400 | 405));
    assert_eq!(bench.ask("GET nothing", "", b"").status, 421, "a name without a path");
    assert_eq!(bench.ask("GET /\u{1}", "", b"").status, 400);
    let long = format!("GET /{}", "a".repeat(12_000));
    assert_eq!(bench.ask(&long, "", b"").status, 404);
    let longer = format!("GET /{}", "a".repeat(70_000));
    assert!(matches!(bench.ask(&longer, "", b"").status, 414 | 431));
    let request = format!("GET / HTTP/1.1\r\n{}\r\nGET /smuggled HTTP/1.1\r\n\r\n", bench.own());
    assert_eq!(Reply::to(bench.connect(), request.as_bytes()).text().matches("HTTP/1.1").count(), 0);
    bench.is_well();
}
