//! Devices of the network: each needs the code that is shown, wrong codes are slowed and shut out, and a dropped device stays out.
//!
//! A device of the network is this machine itself, by its own address on the network: that is not loopback.

use super::{Bench, Reply, connect, network_address};
use std::io::{Read, Write};
use std::net::{IpAddr, SocketAddr};
use std::time::{Duration, Instant};

/// A bench that is open to the network, and its address there.
struct Network(Bench, IpAddr);

impl Network {
    /// `None` if this machine has no address but loopback: then nothing here can be tested.
    fn open() -> Option<Network> {
        let address = network_address()?;
        let bench = Bench::open(&["--network"]);
        bench.says("Code for the next device: ");
        Some(Network(bench, address))
    }

    fn at(&self) -> SocketAddr {
        SocketAddr::new(self.1, self.0.port)
    }

    /// The code that was shown last.
    fn code(&self) -> String {
        let said = self.0.said();
        let (_, last) = said.rsplit_once("Code for the next device: ").unwrap();
        last.lines().next().unwrap().replace(' ', "")
    }

    fn ask(&self, line: &str, headers: &str, body: &str) -> Reply {
        let length = if body.is_empty() { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
        let head =
            format!("{line} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n{headers}{length}\r\n{body}", self.at());
        Reply::to(connect(self.at()), head.as_bytes())
    }

    fn try_code(&self, code: &str) -> Reply {
        self.ask("POST /pair", &format!("Origin: http://{}\r\n", self.at()), &format!("code={code}"))
    }

    /// Pairs a device and gives the header with its cookie.
    fn pair(&self) -> String {
        let reply = self.try_code(&self.code());
        assert_eq!((reply.status, reply.header("location")), (303, Some("/")), "{}", reply.text());
        let cookie = reply.header("set-cookie").unwrap();
        let (pair, attributes) = cookie.split_once("; ").unwrap();
        assert_eq!(attributes, "HttpOnly; SameSite=Strict; Path=/; Max-Age=57600");
        let (name, token) = pair.split_once('=').unwrap();
        assert_eq!((name, token.len()), (&*format!("trochoid-{}", self.0.port), 64));
        format!("Cookie: {pair}\r\n")
    }
}

#[test]
fn a_device_needs_the_code_that_is_shown() {
    let Some(mut bench) = Network::open() else { return };
    // This machine itself needs none.
    assert_eq!(bench.0.ask("GET /", "", b"").status, 200);
    // Nothing is shown or written before.
    let to_pair = bench.ask("GET /", "", "");
    assert_eq!((to_pair.status, to_pair.header("location")), (303, Some("/pair")));
    let own = format!("Origin: http://{}\r\n", bench.at());
    assert_eq!(bench.ask("POST /write", &own, "a=1").status, 401);
    assert_eq!(bench.ask("POST /file/x", &own, "a=1").status, 401);
    assert_eq!(bench.ask("GET /events?record=builds/P-1.yaml", "", "").status, 401);
    assert_eq!(bench.ask("GET /", &format!("Cookie: trochoid-{}=\r\n", bench.0.port), "").status, 303);
    assert_eq!(bench.ask("GET /file/none", "", "").status, 404, "files of the program are for everybody");
    // A name of this machine that it was not asked by.
    let by_other_name = format!("GET /pair HTTP/1.1\r\nHost: localhost:{}\r\nConnection: close\r\n\r\n", bench.0.port);
    assert_eq!(Reply::to(connect(bench.at()), by_other_name.as_bytes()).status, 421);
    // The page of the square code has the code in it.
    let first = bench.code();
    bench.0.says(&format!("http://{}/pair?code={first}\n", bench.at()));
    let page = bench.ask(&format!("GET /pair?code={first}"), "", "");
    assert!(page.status == 200 && page.text().contains(&format!("value=\"{first}\"")), "{}", page.text());
    assert_eq!(page.header("set-cookie"), None, "reading pairs nobody");
    // Another page cannot type the code.
    let foreign = bench.ask("POST /pair", "Origin: http://evil.example\r\n", &format!("code={first}"));
    assert_eq!(foreign.status, 403);
    let cookie = bench.pair();
    assert_eq!(bench.ask("GET /", &cookie, "").status, 200);
    assert_eq!(bench.ask("POST /no/such/page", &format!("{cookie}{own}"), "a=1").status, 404);
    let among_others = cookie.replace("Cookie: ", "Cookie: a=b; c; ");
    assert_eq!(bench.ask("GET /", &among_others, "").status, 200);
    assert_eq!(bench.ask("GET /", &cookie.replace("trochoid-", "x-"), "").status, 303);
    // The code is used up, and a new one is shown.
    bench.0.says("Device 1 is paired");
    let until = Instant::now() + super::PATIENCE;
    while bench.code() == first {
        assert!(Instant::now() < until);
    }
    assert_eq!(bench.try_code(&first).status, 403);
    bench.0.is_well();
}

#[test]
fn a_dropped_device_is_out_at_once() {
    let Some(mut bench) = Network::open() else { return };
    let cookie = bench.pair();
    bench.0.says("Device 1 is paired");
    let mut stream = connect(bench.at());
    let head = format!("GET /events?record=builds/P-1.yaml HTTP/1.1\r\nHost: {}\r\n{cookie}\r\n", bench.at());
    stream.write_all(head.as_bytes()).unwrap();
    stream.read_exact(&mut [0; 12]).unwrap();
    bench.0.key("d");
    bench.0.says(&format!("   1  {}\n", bench.1));
    bench.0.key("7");
    bench.0.says("There is no device 7.");
    bench.0.key("what");
    bench.0.says("a number drops that device");
    bench.0.key("1");
    bench.0.says("Device 1 is dropped.");
    assert_eq!(bench.ask("GET /", &cookie, "").status, 303);
    // What it listened to has ended, with the last piece of a body in pieces.
    let mut rest = Vec::new();
    stream.read_to_end(&mut rest).unwrap();
    assert!(rest.ends_with(b"0\r\n\r\n"), "{}", String::from_utf8_lossy(&rest));
    bench.0.key("d");
    bench.0.says("No device is paired.");
    let before = bench.code();
    bench.0.key("n");
    let until = Instant::now() + super::PATIENCE;
    while bench.code() == before {
        assert!(Instant::now() < until, "no new code is shown");
    }
    // The end of what is typed does not end the bench.
    bench.0.keys = None;
    std::thread::sleep(Duration::from_millis(300));
    bench.0.is_well();
}

#[test]
fn q_ends_it() {
    let Some(mut bench) = Network::open() else { return };
    bench.0.key("q");
    assert_eq!(bench.0.status(), Some(0));
}

#[test]
fn wrong_codes_are_slowed() {
    let Some(bench) = Network::open() else { return };
    let since = Instant::now();
    assert_eq!(bench.try_code("WRONGONE").status, 403);
    assert!(since.elapsed() >= Duration::from_secs(1), "{:?}", since.elapsed());
    // Several connections guess no faster than one: of two at once only one is looked at, and the other is told to wait.
    let since = Instant::now();
    let mut two = std::thread::scope(|scope| {
        let tries = ["WRONGTWO", "WRONGTHREE"].map(|code| {
            let bench = &bench;
            scope.spawn(move || bench.try_code(code))
        });
        tries.map(|one| one.join().unwrap())
    });
    two.sort_by_key(|reply| reply.status);
    let [wrong, too_soon] = two;
    assert!(since.elapsed() >= Duration::from_secs(2), "{:?}", since.elapsed());
    assert!(wrong.status == 403 && wrong.text().contains("This is not the code."), "{}", wrong.text());
    assert_eq!((too_soon.status, too_soon.header("retry-after")), (429, Some("2")), "{}", too_soon.head);
    assert!(too_soon.text().contains("Wait 2 seconds, then type the code again."), "{}", too_soon.text());
    // Whoever then types it right comes in.
    bench.pair();
    // What is not a form, or much too long.
    let own = format!("Origin: http://{}\r\n", bench.at());
    assert_eq!(bench.ask("POST /pair", &own, "other=1").status, 400);
    assert_eq!(bench.ask("POST /pair", &own, &format!("code={}", "A".repeat(5_000))).status, 413);
}

/// The waits add up to five minutes, so this one is asked for by name.
#[test]
#[ignore = "takes five minutes"]
fn ten_wrong_codes_shut_an_address_out() {
    let Some(bench) = Network::open() else { return };
    let mut wrong = 0;
    let until = Instant::now() + Duration::from_secs(900);
    // Each answer takes longer than the last, up to a minute; whoever does not wait for it is told to.
    while wrong < 10 {
        assert!(Instant::now() < until);
        let reply = bench.try_code("WRONGONE");
        match reply.status {
            403 => wrong += 1,
            other => panic!("{other}: {}", reply.text()),
        }
    }
    bench.0.says("sent too many wrong codes and is shut out");
    let reply = bench.try_code(&bench.code());
    assert_eq!(reply.status, 429, "not even with the right code: {}", reply.text());
    assert!(!reply.text().contains("<form"));
}
