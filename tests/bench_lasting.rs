//! No value is lost at the bench: the program killed at any moment, a disk that takes nothing, records changed, moved and deleted
//! while they are open.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A small kind of machine, so that the program opens at once. Invented.
const BOOK: &str = "rulebook \"Gear pump\" edition 2026-03-01\n\
    unit mm = 0.001 m\n\
    source sheet \"Works sheet\"\n\
    part pump {\n    gap : mm, 1 reading or more\n    lift : mm\n    worn : yes/no\n}\n\
    generation small \"small pump\" {\n    smallest of pump.gap standard 0.05 to 0.10 mm limit at most 0.50 mm { from sheet \"1\" }\n}\n";

const RECORD: &str = "# Invented.\nbuild: P-1\nfinished: 2026-05-08\ngeneration: small\n\nlift: 3.0 mm   # by hand\ngap: 0.01 mm\nworn: no\n";

fn shop(folder: &Path) -> PathBuf {
    std::fs::create_dir_all(folder.join("builds")).unwrap();
    std::fs::write(folder.join("pump.rulebook"), BOOK).unwrap();
    std::fs::write(folder.join("trochoid.yaml"), "shop: Pumps\nbooks: [pump.rulebook]\n").unwrap();
    let record = folder.join("builds/P-1.yaml");
    std::fs::write(&record, RECORD).unwrap();
    record
}

/// The program, serving; it is killed when the test is done with it.
struct Served {
    child: Child,
    port: u16,
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn serve(mut command: Command) -> Served {
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::inherit()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let port = lines.find_map(|line| {
        let line = line.unwrap();
        let (_, rest) = line.split_once("http://localhost:")?;
        rest.split('/').next()?.parse().ok()
    });
    // What else is said has a reader as long as it is said.
    std::thread::spawn(move || lines.for_each(drop));
    Served { child, port: port.expect("it says where it is") }
}

fn program(folder: &Path) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin("trochoid"));
    command.env("TROCHOID_TODAY", "2026-11-28").arg("bench").arg(folder).args(["--port", "0"]);
    command
}

/// Asks, and gives the status and the JSON that came back; `None` if nobody answered.
fn post(port: u16, to: &str, value: &Value) -> Option<(u16, Value)> {
    let body = value.to_string();
    let mut stream = TcpStream::connect(("127.0.0.1", port)).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(60))).ok()?;
    let head = format!(
        "POST {to} HTTP/1.1\r\nHost: localhost:{port}\r\nOrigin: http://localhost:{port}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    );
    stream.write_all(format!("{head}{body}").as_bytes()).ok()?;
    let mut text = String::new();
    stream.read_to_string(&mut text).ok()?;
    let status = text.split(' ').nth(1)?.parse().ok()?;
    Some((status, serde_json::from_str(text.split_once("\r\n\r\n")?.1).ok()?))
}

fn wish(key: &str, was: &str, text: &str) -> Value {
    json!({ "record": "builds/P-1.yaml", "wish": { "value": { "key": key, "item": 0, "was": was, "text": text } } })
}

/// The record with another gap, and nothing else changed.
fn with_gap(gap: &str) -> String {
    RECORD.replace("gap: 0.01 mm", &format!("gap: {gap}"))
}

fn nothing_beside(folder: &Path) {
    let names: Vec<_> =
        std::fs::read_dir(folder.join("builds")).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert!(names.iter().all(|name| name.to_string_lossy().ends_with(".part") || name == "P-1.yaml"), "{names:?}");
}

#[test]
fn killed_at_any_moment_it_loses_no_value_that_was_kept() {
    killed_so_often(60);
}

#[test]
#[ignore = "a minute: .ci/run runs it beside the others"]
fn lasting_killed_a_thousand_times_it_loses_no_value_that_was_kept() {
    killed_so_often(1_000);
}

fn killed_so_often(kills: u64) {
    const THREADS: u64 = 4;
    std::thread::scope(|scope| {
        for thread in 0..THREADS {
            scope.spawn(move || killed(thread, kills / THREADS));
        }
    });
}

/// Kills the program again and again while values are sent. Afterwards the file has the last value that was kept, or the one
/// that was under way.
fn killed(thread: u64, times: u64) {
    let papers = tempfile::tempdir().unwrap();
    let record = shop(papers.path());
    let mut kept = 0;
    let mut last = "0.01 mm".to_owned();
    let mut number: u64 = 0;
    for time in 0..times {
        let served = serve(program(papers.path()));
        let port = served.port;
        let (begin, begun) = std::sync::mpsc::channel();
        // Some values are kept first; then it dies anywhere between the first byte of a request and its answer, or the next one's.
        let before = kept + 1 + time % 3;
        let pause = Duration::from_micros((time * 7_919 + thread * 104_729) % 20_000);
        let killer = std::thread::spawn(move || {
            begun.recv().unwrap();
            std::thread::sleep(pause);
            drop(served);
        });
        let under_way = loop {
            if kept == before {
                begin.send(()).unwrap();
            }
            number += 1;
            let next = format!("0.{:05} mm", 1_000 + number % 40_000);
            match post(port, "/keep", &wish("gap", &last, &next)) {
                Some((200, said)) => {
                    assert_eq!(said["kept"], true);
                    kept += 1;
                    last = next;
                }
                Some((status, said)) => panic!("{status}: {said}"),
                None => break next,
            }
        };
        killer.join().unwrap();
        let text = std::fs::read_to_string(&record).unwrap();
        if text == with_gap(&under_way) {
            last = under_way;
        } else {
            assert_eq!(text, with_gap(&last), "the last value that was kept is there, and the file is whole");
        }
        // What a kill leaves beside it is no record, and is not taken for one.
        nothing_beside(papers.path());
    }
}

#[cfg(unix)]
#[test]
fn a_disk_that_takes_nothing_costs_no_value_and_is_said() {
    let papers = tempfile::tempdir().unwrap();
    let record = shop(papers.path());
    // Longer than the largest file that the program may write here: one block.
    let long = format!("{}{}", "# A remark of the shop that takes its place.\n".repeat(40), RECORD);
    std::fs::write(&record, &long).unwrap();
    let mut command = Command::new("sh");
    let own = program(papers.path());
    command.env("TROCHOID_TODAY", "2026-11-28").arg("-c").arg("trap '' XFSZ; ulimit -f 1; exec \"$@\"").arg("sh");
    command.arg(own.get_program()).args(own.get_args());
    let served = serve(command);
    let (status, said) = post(served.port, "/keep", &wish("gap", "0.01 mm", "0.06 mm")).unwrap();
    assert_eq!(status, 507, "{said}");
    let why = said["why"].as_str().unwrap();
    assert!(why.starts_with("the disk refused it, so the file is unchanged: "), "{why}");
    assert_eq!(std::fs::read_to_string(&record).unwrap(), long);
    let names = std::fs::read_dir(papers.path().join("builds")).unwrap().count();
    assert_eq!(names, 1, "nothing is left beside the record");
    // And it goes on.
    let (status, _) = post(served.port, "/grade", &wish("gap", "0.01 mm", "0.06 mm")).unwrap();
    assert_eq!(status, 200);
}

#[test]
fn a_record_changed_moved_or_deleted_meanwhile_costs_no_value() {
    let papers = tempfile::tempdir().unwrap();
    let record = shop(papers.path());
    let served = serve(program(papers.path()));
    let port = served.port;
    // Another reading was changed in an editor: both are there.
    std::fs::write(&record, RECORD.replace("lift: 3.0 mm", "lift: 3.1 mm")).unwrap();
    assert_eq!(post(port, "/keep", &wish("gap", "0.01 mm", "0.06 mm")).unwrap().0, 200);
    let text = std::fs::read_to_string(&record).unwrap();
    assert_eq!(text, RECORD.replace("lift: 3.0 mm", "lift: 3.1 mm").replace("gap: 0.01 mm", "gap: 0.06 mm"));
    // The same reading was: both are shown, nothing is written.
    std::fs::write(&record, text.replace("0.06 mm", "0.07 mm")).unwrap();
    let (status, said) = post(port, "/keep", &wish("gap", "0.06 mm", "0.08 mm")).unwrap();
    assert_eq!((status, &said["theirs"], &said["kept"]), (409, &json!("0.07 mm"), &json!(false)), "{said}");
    assert_eq!(std::fs::read_to_string(&record).unwrap(), text.replace("0.06 mm", "0.07 mm"));
    // What stands there already is kept without writing.
    assert_eq!(post(port, "/keep", &wish("gap", "0.06 mm", "0.07 mm")).unwrap().0, 200);
    // Moved and deleted: nothing is made anew.
    let moved = papers.path().join("moved.txt");
    std::fs::rename(&record, &moved).unwrap();
    let (status, said) = post(port, "/keep", &wish("gap", "0.07 mm", "0.08 mm")).unwrap();
    assert_eq!((status, &said["kept"]), (404, &json!(false)), "{said}");
    assert!(!record.exists());
    std::fs::rename(&moved, &record).unwrap();
    std::thread::sleep(Duration::from_millis(700));
    assert_eq!(post(port, "/keep", &wish("gap", "0.07 mm", "0.08 mm")).unwrap().0, 200);
    // Text that is not YAML any more is not written over.
    let broken = std::fs::read_to_string(&record).unwrap() + "}\n";
    std::fs::write(&record, &broken).unwrap();
    let (status, said) = post(port, "/keep", &wish("gap", "0.08 mm", "0.09 mm")).unwrap();
    assert!(status == 422 || status == 409, "{status} {said}");
    assert_eq!(std::fs::read_to_string(&record).unwrap(), broken);
}

#[test]
fn forty_devices_at_one_build_lose_nothing() {
    let papers = tempfile::tempdir().unwrap();
    let record = shop(papers.path());
    std::fs::write(&record, RECORD.replace("gap: 0.01 mm", "gap:")).unwrap();
    let served = serve(program(papers.path()));
    let port = served.port;
    // Each adds one value; whoever was not first sees that the place is taken and takes the next one.
    let all: Vec<String> = (0..40).map(|number| format!("0.{:03} mm", 100 + number)).collect();
    std::thread::scope(|scope| {
        for text in &all {
            scope.spawn(move || {
                for item in 0..200 {
                    let wish = json!({ "record": "builds/P-1.yaml", "all_the_same": true, "wish": { "value": { "key": "gap", "item": item, "was": "", "text": text } } });
                    loop {
                        match post(port, "/keep", &wish).unwrap() {
                            (200, _) => return,
                            (409, said) if said["reason"] == "again" => {}
                            (409, said) if said["reason"] == "changed" => break,
                            (status, said) => panic!("{status}: {said}"),
                        }
                    }
                }
                panic!("{text} found no place");
            });
        }
    });
    let text = std::fs::read_to_string(&record).unwrap();
    assert!(all.iter().all(|value| text.contains(value.as_str())), "{text}");
}
