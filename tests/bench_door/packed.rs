//! What a page weighs on the way to a phone: packed for whoever takes it so, and the same text for everybody.

use super::Bench;
use crate::bench_page::root;
use std::io::Read;

/// What a page may weigh on its way: on the network of a shop that a phone hears badly it is there within a second.
const MOST: usize = 150_000;

#[test]
fn pages_are_packed_for_whoever_takes_them_so() {
    let bench = Bench::of(&root().join("examples/kestrel"), &["--port", "0", "--read-only"]).unwrap();
    for page in
        ["/", "/build/builds/K-0144.yaml", "/build/builds/K-0157.yaml", "/shelf", "/rules/light_2mm", "/file/bench.js"]
    {
        let plain = bench.ask(&format!("GET {page}"), "Accept-Encoding: identity\r\n", b"");
        assert_eq!((plain.status, plain.header("content-encoding")), (200, None), "{page}");
        let packed = bench.ask(&format!("GET {page}"), "Accept-Encoding: deflate, gzip\r\n", b"");
        assert_eq!((packed.status, packed.header("content-encoding")), (200, Some("gzip")), "{page}");
        assert_eq!(packed.header("vary"), Some("accept-encoding"));
        let mut text = Vec::new();
        flate2::read::GzDecoder::new(packed.body.as_slice()).read_to_end(&mut text).unwrap();
        assert!(text == plain.body, "{page}: packed, it is another page");
        assert!(packed.body.len() < MOST, "{page}: {} bytes", packed.body.len());
    }
    // A file that a browser has, in the form it has it, is not sent again.
    let packed = bench.ask("GET /file/bench.js", "Accept-Encoding: gzip\r\n", b"");
    let known = format!("Accept-Encoding: gzip\r\nIf-None-Match: {}\r\n", packed.header("etag").unwrap());
    let again = bench.ask("GET /file/bench.js", &known, b"");
    assert_eq!((again.status, again.body.len()), (304, 0));
    assert_eq!(bench.ask("GET /file/bench.js", &known.replace("gzip", "br"), b"").status, 200);
}
