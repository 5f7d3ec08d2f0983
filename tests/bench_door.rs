//! The door of `trochoid bench`, on the real program over real connections: who may come in, how much, how many, and how it ends.

mod bounds;
mod ends;
mod foreign;
mod fuzzed;
mod packed;
mod pairing;
mod paths;
mod told;

use assert_cmd::cargo::cargo_bin;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpStream, UdpSocket};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Nothing here takes this long unless it never ends.
const PATIENCE: Duration = Duration::from_secs(90);

const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'none'";

/// A shop with one build, in a folder that goes when the test ends.
fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    put_shop(folder.path());
    folder
}

fn put_shop(folder: &Path) {
    let put = |name: &str, text: &str| {
        let path = folder.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    put("books/pump.rulebook", crate::cli::BOOK);
    put("builds/P-1.yaml", RECORD);
}

const RECORD: &str = "build: P-1\ngeneration: small\npump:\n  vane: 3.00 mm\n  slot: 3.08 mm\n";

/// A bench that is open, and closed when the test ends.
struct Bench {
    child: Child,
    keys: Option<ChildStdin>,
    said: Arc<Mutex<String>>,
    port: u16,
    shop: Option<tempfile::TempDir>,
}

impl Bench {
    /// Opens the bench of a shop of its own.
    fn open(arguments: &[&str]) -> Bench {
        let shop = shop();
        let mut bench = Bench::of(shop.path(), &[&["--port", "0"], arguments].concat()).unwrap();
        bench.shop = Some(shop);
        bench
    }

    /// Opens the bench of a folder; the exit status and what was said if it does not open.
    fn of(folder: &Path, arguments: &[&str]) -> Result<Bench, (i32, String)> {
        let mut child = Command::new(cargo_bin("trochoid"))
            .arg("bench")
            .arg(folder)
            .args(arguments)
            .env("TROCHOID_TODAY", "2026-11-28")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let said = Arc::new(Mutex::new(String::new()));
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        let mut first = String::new();
        lines.read_line(&mut first).unwrap();
        if first.is_empty() {
            let mut said = String::new();
            child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
            return Err((child.wait().unwrap().code().unwrap(), said));
        }
        let (_, port) = first.trim().trim_end_matches('/').rsplit_once(':').unwrap();
        let port = port.parse().unwrap_or_else(|_| panic!("{first}"));
        let heard = said.clone();
        std::thread::spawn(move || {
            let mut line = first;
            while !line.is_empty() {
                heard.lock().unwrap().push_str(&line);
                line.clear();
                lines.read_line(&mut line).unwrap();
            }
        });
        Ok(Bench { keys: child.stdin.take(), child, said, port, shop: None })
    }

    fn shop(&self) -> &Path {
        self.shop.as_ref().unwrap().path()
    }

    fn said(&self) -> String {
        self.said.lock().unwrap().clone()
    }

    /// Waits until the terminal says something.
    fn says(&self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.said().contains(text) {
            assert!(Instant::now() < until, "it never says {text:?}:\n{}", self.said());
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn key(&mut self, key: &str) {
        let keys = self.keys.as_mut().unwrap();
        writeln!(keys, "{key}").unwrap();
        keys.flush().unwrap();
    }

    fn here(&self) -> SocketAddr {
        SocketAddr::from((Ipv4Addr::LOCALHOST, self.port))
    }

    fn connect(&self) -> TcpStream {
        connect(self.here())
    }

    /// The headers every proper request has.
    fn own(&self) -> String {
        format!("Host: localhost:{}\r\nConnection: close\r\n", self.port)
    }

    /// A request with headers beside the usual ones.
    fn ask(&self, line: &str, headers: &str, body: &[u8]) -> Reply {
        let length = if body.is_empty() { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
        let head = format!("{line} HTTP/1.1\r\n{}{headers}{length}\r\n", self.own());
        Reply::to(self.connect(), &[head.as_bytes(), body].concat())
    }

    /// Asserts that a proper request is still answered.
    fn is_well(&mut self) {
        assert_eq!(self.ask("GET /", "", b"").status, 200);
        assert_eq!(self.child.try_wait().unwrap(), None, "it ended");
    }

    /// Sends a signal by its name.
    fn signal(&self, name: &str) {
        let sent = Command::new("kill").arg(format!("-{name}")).arg(self.child.id().to_string()).status().unwrap();
        assert!(sent.success());
    }

    /// Waits for the end, and gives the exit status.
    fn status(&mut self) -> Option<i32> {
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            assert!(Instant::now() < until, "it does not end");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    stream.set_write_timeout(Some(PATIENCE)).unwrap();
    stream
}

/// What was answered. The status is 0 if the connection was closed without an answer.
#[derive(Debug)]
struct Reply {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Reply {
    /// Sends a request and reads until the connection is closed.
    fn to(mut stream: TcpStream, request: &[u8]) -> Reply {
        // The other end may have heard enough and closed: then what it said is still there to be read.
        let _ = stream.write_all(request);
        Reply::read(stream)
    }

    /// Reads until the connection is closed. Whatever is an answer of the program has the headers that bind a page.
    fn read(mut stream: TcpStream) -> Reply {
        let mut bytes = Vec::new();
        if let Err(error) = stream.read_to_end(&mut bytes) {
            assert_ne!(error.kind(), std::io::ErrorKind::WouldBlock, "neither answered nor closed");
        }
        let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") else {
            return Reply { status: 0, head: String::new(), body: bytes };
        };
        let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        let reply = Reply { status, head, body: bytes[end + 4..].to_vec() };
        if reply.header("content-type").is_some() {
            assert_eq!(reply.header("content-security-policy"), Some(POLICY));
            assert_eq!(reply.header("x-content-type-options"), Some("nosniff"));
            assert_eq!(reply.header("x-frame-options"), Some("DENY"));
            assert_eq!(reply.header("referrer-policy"), Some("same-origin"));
            assert_eq!(reply.header("cross-origin-opener-policy"), Some("same-origin"));
            assert_eq!(reply.header("cross-origin-resource-policy"), Some("same-origin"));
            assert!(reply.header("cache-control").is_some(), "{}", reply.head);
        } else {
            assert!(reply.body.is_empty(), "{reply:?}");
        }
        assert_eq!(reply.header("access-control-allow-origin"), None);
        reply
    }

    fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.into_iter().find(|(other, _)| other.eq_ignore_ascii_case(name)).map(|(_, value)| value)
    }

    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

/// The address of this machine that is not loopback: by choosing a way to an address for documentation (RFC 5737), with nothing
/// sent. Without one, what needs it is not tested, and that is said even of a test that passes.
fn network_address() -> Option<IpAddr> {
    let address = || {
        let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
        let address = socket.local_addr().ok()?.ip();
        (!address.is_loopback() && !address.is_unspecified()).then_some(address)
    };
    let address = address();
    if address.is_none() {
        // Past what the tests' own printing would keep to itself.
        std::io::stderr().write_all(b"NOT TESTED: this machine has no address but loopback\n").unwrap();
    }
    address
}
