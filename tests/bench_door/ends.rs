//! How it begins and ends: ports, folders and books that are not right, signals, requests under way.

use super::{Bench, Reply, connect, shop};
use assert_cmd::cargo::cargo_bin;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

#[test]
fn it_says_where_it_is() {
    let shop = shop();
    let bench = Bench::of(shop.path(), &["--port", "0"]).unwrap();
    bench.says("Press Ctrl-C to stop.");
    assert_eq!(bench.said(), format!("Lapwing Pumps: http://localhost:{}/\nPress Ctrl-C to stop.\n", bench.port));
}

#[test]
fn a_shop_that_cannot_be_opened_is_told() {
    let folder = shop();
    let (status, said) = Bench::of(&folder.path().join("nowhere"), &[]).err().unwrap();
    assert!(status == 2 && said.contains("there is no folder") && said.contains("nowhere"), "{said}");
    let (status, said) = Bench::of(folder.path(), &["--books", "/no/such/books"]).err().unwrap();
    assert!(status == 2 && said.contains("no/such/books"), "{said}");
    std::fs::write(folder.path().join("books/pump.rulebook"), "rulebook \"Pump\" edition 2026-03-01\nunit mm = \n")
        .unwrap();
    let (status, said) = Bench::of(folder.path(), &["--port", "0"]).err().unwrap();
    assert!(status == 2 && said.contains("pump.rulebook:2:") && said.contains("text-unexpected"), "{said}");
}

#[test]
fn a_port_that_is_taken() {
    let folder = shop();
    let other = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let port = other.local_addr().unwrap().port();
    let (status, said) = Bench::of(folder.path(), &["--port", &port.to_string()]).err().unwrap();
    assert_eq!(
        (status, said.as_str()),
        (2, &*format!("trochoid: port {port} is used by another program; choose another with `--port`\n"))
    );
    // If no port was asked for, the next one is taken. Somebody else may have the usual one already.
    let _usual = TcpListener::bind((Ipv4Addr::LOCALHOST, 8654));
    let mut bench = Bench::of(folder.path(), &[]).unwrap();
    assert!((8655..=8674).contains(&bench.port), "{}", bench.port);
    bench.is_well();
    let (status, said) = Bench::of(folder.path(), &["--port", "0", "--network=203.0.113.77"]).err().unwrap();
    assert_eq!((status, said.as_str()), (2, "trochoid: 203.0.113.77 is not an address of this machine\n"));
}

#[test]
fn an_address_that_means_nothing() {
    let folder = shop();
    for (given, said) in [("here", "write an address of this machine"), ("::", "write one address of this machine")] {
        let (status, told) = Bench::of(folder.path(), &[&format!("--network={given}")]).err().unwrap();
        assert!(status == 2 && told.contains(said), "{told}");
    }
    // The shop's folder is not taken for an address.
    assert!(Bench::of(Path::new("--network"), &[folder.path().to_str().unwrap(), "--port", "0"]).is_ok());
}

#[test]
fn only_this_machine_is_listened_to() {
    let Some(address) = super::network_address() else { return };
    let bench = Bench::open(&[]);
    assert!(std::net::TcpStream::connect((address, bench.port)).is_err(), "{address}");
}

#[test]
fn signals_end_it_with_0_and_requests_under_way_first() {
    for signal in ["TERM", "INT", "HUP"] {
        let mut bench = Bench::open(&[]);
        // Connections that ask nothing, or listen, do not hold it up.
        let idle = bench.connect();
        let mut stream = bench.connect();
        let watching = format!("GET /events?record=builds/P-1.yaml HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", bench.port);
        stream.write_all(watching.as_bytes()).unwrap();
        stream.read_exact(&mut [0; 12]).unwrap();
        // A request whose end is still on its way.
        let mut asking = bench.connect();
        let head =
            format!("POST /no/such/page HTTP/1.1\r\n{}X-Trochoid: 1\r\nContent-Length: 9\r\n\r\nhalf", bench.own());
        asking.write_all(head.as_bytes()).unwrap();
        bench.is_well();
        bench.signal(signal);
        // Nobody new is let in any more.
        let until = std::time::Instant::now() + super::PATIENCE;
        while std::net::TcpStream::connect(bench.here()).is_ok() {
            assert!(std::time::Instant::now() < until, "it still listens");
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        asking.write_all(b"whole").unwrap();
        assert_eq!(Reply::read(asking).status, 404, "{signal}: a request under way is answered");
        assert_eq!(bench.status(), Some(0), "{signal}");
        drop((idle, stream));
    }
}

#[test]
fn it_goes_on_where_nobody_reads_what_it_says() {
    let folder = shop();
    let mut child = Command::new(cargo_bin("trochoid"))
        .arg("bench")
        .arg(folder.path())
        .args(["--port", "0", "--network"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap());
    let mut first = String::new();
    lines.read_line(&mut first).unwrap();
    let port: u16 = first.trim().trim_end_matches('/').rsplit_once(':').unwrap().1.parse().unwrap();
    drop(lines);
    // It has to say something, and then the end of what is typed comes.
    writeln!(child.stdin.take().unwrap(), "n").unwrap();
    let request = format!("GET / HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
    for _ in 0..3 {
        assert_eq!(Reply::to(connect((Ipv4Addr::LOCALHOST, port).into()), request.as_bytes()).status, 200);
        std::thread::sleep(Duration::from_millis(200));
    }
    assert_eq!(child.try_wait().unwrap(), None);
    child.kill().unwrap();
    child.wait().unwrap();
}
