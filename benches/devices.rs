//! Fifty devices typing at the bench: how long a grade takes, whether memory grows, whether every value is kept.
//!
//! `TROCHOID_LOAD_SECONDS=600 cargo bench -- devices` runs for ten minutes; without it the run is short.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const DEVICES: usize = 50;
/// Between two keys of somebody who types with one finger, in milliseconds. Common practice.
const BETWEEN_KEYS: u64 = 150;
/// Between two readings: a part is measured for longer than its reading is typed. Common practice.
const BETWEEN_READINGS: Duration = Duration::from_secs(3);
/// What a grade may take on the server at the 95th percentile.
const GOAL: Duration = Duration::from_millis(20);

/// A connection that is kept open.
struct Device {
    stream: BufReader<TcpStream>,
    port: u16,
}

impl Device {
    fn new(port: u16) -> Device {
        let stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.set_nodelay(true).unwrap();
        Device { stream: BufReader::new(stream), port }
    }

    fn ask(&mut self, method: &str, to: &str, body: &str) -> (u16, String) {
        let port = self.port;
        let request = format!(
            "{method} {to} HTTP/1.1\r\nHost: localhost:{port}\r\nOrigin: http://localhost:{port}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        );
        self.stream.get_mut().write_all(request.as_bytes()).unwrap();
        let (mut status, mut length) = (0, 0);
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line).unwrap();
            let line = line.trim_end();
            if line.is_empty() {
                break;
            }
            if let Some(code) = line.strip_prefix("HTTP/1.1 ") {
                status = code[..3].parse().unwrap();
            }
            if let Some(bytes) = line.to_lowercase().strip_prefix("content-length: ") {
                length = bytes.parse().unwrap();
            }
        }
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body).unwrap();
        (status, String::from_utf8(body).unwrap())
    }

    fn post(&mut self, to: &str, value: &Value) -> (u16, Value) {
        let (status, body) = self.ask("POST", to, &value.to_string());
        (status, serde_json::from_str(&body).unwrap())
    }
}

/// The numbers of a page that have a value: the way and the text.
fn fields(page: &str) -> Vec<(String, String)> {
    let attribute = |text: &str, name: &str| {
        let (_, rest) = text.split_once(&format!("{name}=\""))?;
        Some(rest.split('"').next()?.to_owned())
    };
    let fields = page.split("<div class=\"field\"").skip(1);
    let number = |field: &str| {
        let key = attribute(field, "data-key")?;
        let was = attribute(field, "data-was").filter(|was| was.contains('.') && was.contains(" mm"))?;
        (attribute(field, "data-entry")? == "number").then_some((key, was))
    };
    fields.filter_map(number).collect()
}

/// The same with another last digit.
fn next_value(text: &str) -> String {
    let (figures, unit) = text.split_once(' ').unwrap();
    let last = figures.chars().last().and_then(|digit| digit.to_digit(10)).unwrap();
    let other = if last == 0 { 1 } else { last - 1 };
    format!("{}{other} {unit}", &figures[..figures.len() - 1])
}

struct Served(Child);

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn resident(child: &Child) -> usize {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    line.and_then(|line| line.trim().split(' ').next()?.parse().ok()).unwrap_or(0)
}

fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let place = to.join(entry.file_name());
        if entry.path().is_dir() {
            copied(&entry.path(), &place);
        } else {
            std::fs::copy(entry.path(), place).unwrap();
        }
    }
}

pub fn devices(is_smoke: bool) {
    let seconds = std::env::var("TROCHOID_LOAD_SECONDS").ok().and_then(|seconds| seconds.parse().ok());
    let time = Duration::from_secs(seconds.unwrap_or(if is_smoke { 2 } else { 20 }));
    let folder = tempfile::tempdir().unwrap();
    copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel"), folder.path());
    let builds = folder.path().join("builds");
    let text = std::fs::read_to_string(builds.join("K-0147.yaml")).unwrap();
    for number in 0..DEVICES {
        std::fs::write(builds.join(format!("D-{number}.yaml")), text.replace("K-0147", &format!("D-{number}")))
            .unwrap();
    }
    let mut child = Command::new(env!("CARGO_BIN_EXE_trochoid"))
        .args(["bench", &folder.path().to_string_lossy(), "--port", "0"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let port: u16 = lines
        .find_map(|line| line.unwrap().split_once("http://localhost:")?.1.split('/').next()?.parse().ok())
        .unwrap();
    std::thread::spawn(move || lines.for_each(drop));
    let served = Served(child);
    let page = Device::new(port).ask("GET", "/build/builds/D-0.yaml", "").1;
    let all = fields(&page);
    assert!(all.len() > 50, "{} fields", all.len());
    let end = Instant::now() + time;
    let (mut grades, mut kept) = (Vec::new(), 0);
    let (mut early, mut late) = (0, 0);
    std::thread::scope(|scope| {
        let run = |number: usize| {
            let all = &all;
            scope.spawn(move || typing(number, port, all, end))
        };
        let handles: Vec<_> = (0..DEVICES).map(run).collect();
        std::thread::sleep(time / 5);
        early = resident(&served.0);
        while Instant::now() + Duration::from_millis(200) < end {
            std::thread::sleep(Duration::from_millis(100));
        }
        late = resident(&served.0);
        for handle in handles {
            let (mut took, sent) = handle.join().unwrap();
            grades.append(&mut took);
            kept += sent.len();
            // Every value that was kept is in the file, the last one of each reading.
            let (number, last) = sent.into_iter().fold((0, std::collections::BTreeMap::new()), |(_, mut last), one| {
                last.insert(one.1, one.2);
                (one.0, last)
            });
            let page = Device::new(port).ask("GET", &format!("/build/builds/D-{number}.yaml"), "").1;
            let now: std::collections::BTreeMap<_, _> = fields(&page).into_iter().collect();
            for (key, text) in last {
                assert_eq!(now.get(&key), Some(&text), "D-{number} {key}");
            }
        }
    });
    grades.sort();
    let at = |share: usize| grades[(grades.len() - 1) * share / 100];
    println!(
        "{DEVICES} devices, {} s: {} grades, median {:.1} ms, 95th percentile {:.1} ms (goal {} ms), longest {:.1} ms; {kept} values kept, none lost; memory {early} KiB after a fifth of the time, {late} KiB at the end",
        time.as_secs(),
        grades.len(),
        at(50).as_secs_f64() * 1e3,
        at(95).as_secs_f64() * 1e3,
        GOAL.as_millis(),
        at(100).as_secs_f64() * 1e3,
    );
}

/// One device at its build: each key is graded, the whole value kept. Gives what each grade took, and what was kept.
fn typing(
    number: usize,
    port: u16,
    all: &[(String, String)],
    end: Instant,
) -> (Vec<Duration>, Vec<(usize, String, String)>) {
    let mut device = Device::new(port);
    let record = format!("builds/D-{number}.yaml");
    let mut now: Vec<(String, String)> = all.to_vec();
    let (mut took, mut kept) = (Vec::new(), Vec::new());
    // They do not all begin in one moment.
    let round = BETWEEN_READINGS + Duration::from_millis(6 * BETWEEN_KEYS);
    std::thread::sleep(
        (round * u32::try_from(number).unwrap() / DEVICES as u32)
            .min(end.saturating_duration_since(Instant::now()) / 2),
    );
    let fields = now.len();
    for field in (0..fields).cycle().skip(number * 7 % fields) {
        let (key, was) = now[field].clone();
        let text = next_value(&was);
        let wish = |text: &str| json!({ "record": record, "all_the_same": true, "wish": { "value": { "key": key, "item": 0, "was": was, "text": text } } });
        let figures = text.split(' ').next().unwrap();
        for typed in 1..=figures.len() {
            let from = Instant::now();
            let _ = device.post("/grade", &wish(&format!("{} mm", &figures[..typed])));
            took.push(from.elapsed());
            std::thread::sleep(Duration::from_millis(BETWEEN_KEYS));
            if Instant::now() >= end {
                return (took, kept);
            }
        }
        let (status, said) = device.post("/keep", &wish(&text));
        assert_eq!(status, 200, "{said}");
        now[field].1.clone_from(&text);
        kept.push((number, key, text));
        std::thread::sleep(BETWEEN_READINGS.min(end.saturating_duration_since(Instant::now())));
        if Instant::now() >= end {
            break;
        }
    }
    (took, kept)
}
