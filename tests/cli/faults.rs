//! A full disk, a right that is missing, a record replaced while it is read, a run broken off, a reader that goes away, very
//! many empty files, two runs at once: nothing half written, nothing lost, and all of it said.
#![cfg(unix)]

use super::{Papers, Ran, record};
use std::io::{BufRead, BufReader, Read};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Stdio};

fn program() -> std::path::PathBuf {
    assert_cmd::cargo::cargo_bin("trochoid")
}

fn ran(output: std::process::Output) -> Ran {
    Ran {
        status: output.status.code().expect("the program ends by itself"),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Every file below a folder, by its name.
fn files(folder: &Path) -> Vec<String> {
    let entries = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().filter_map(Result::ok);
    let files = entries.filter(|entry| entry.file_type().is_file());
    files.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect()
}

/// Every verdict sheet in a folder, each whole, and no other file.
fn sheets(folder: &Path) -> usize {
    let names = files(folder);
    for name in &names {
        assert!(name.ends_with(".verdict.json"), "{names:?}");
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        trochoid::audit::Signed::read(&text).unwrap_or_else(|fault| panic!("{name}: {fault:?}"));
    }
    names.len()
}

// -- a full disk ------------------------------------------------------------------------------------------------------

/// Runs where no file may grow past some blocks of 512 bytes: a write fails in the middle, as on a full disk.
fn run_cramped(papers: &Papers, blocks: u32, arguments: &str) -> Ran {
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec {} {arguments}", program().display());
    ran(Command::new("sh").args(["-c", &script]).current_dir(papers.path()).output().unwrap())
}

#[test]
fn a_full_disk_leaves_no_half_of_a_verdict_sheet() {
    let papers = Papers::new();
    (0..4).for_each(|number| papers.build(&format!("P-{number}"), 7));
    let cramped = run_cramped(&papers, 1, "check builds --sheets signed --signed 2026-06-01");
    assert_eq!(cramped.status, 2, "{}", cramped.out);
    assert!(cramped.err.contains("P-0.verdict.json") && cramped.err.contains("File too large"), "{}", cramped.err);
    assert!(cramped.out.contains("4 builds: 4 good"), "the verdicts are said all the same: {}", cramped.out);
    assert_eq!(files(&papers.path().join("signed")), Vec::<String>::new());
    let roomy = papers.run(&["check", "builds", "--sheets", "signed", "--signed", "2026-06-01"]);
    assert_eq!((roomy.status, sheets(&papers.path().join("signed"))), (0, 4));
    // What was signed before is not lost to a write that fails.
    (0..4).for_each(|number| papers.build(&format!("P-{number}"), 30));
    let before = std::fs::read(papers.path().join("signed/P-0.verdict.json")).unwrap();
    let cramped = run_cramped(&papers, 1, "check builds --sheets signed --replace --signed 2026-06-02");
    assert_eq!(cramped.status, 2);
    assert_eq!(std::fs::read(papers.path().join("signed/P-0.verdict.json")).unwrap(), before);
    assert_eq!(sheets(&papers.path().join("signed")), 4);
}

#[test]
fn a_full_disk_ends_the_cache_and_not_the_run() {
    let papers = Papers::new();
    (0..300).for_each(|number| papers.build(&format!("P-{number}"), 4 + number % 14));
    let plain = papers.run(&["check", "builds"]);
    // No room at all; room for the file and not for what is to be kept in it.
    for blocks in [1, 40] {
        let cramped = run_cramped(&papers, blocks, "check builds --cache shop.cache");
        assert_eq!((cramped.out, cramped.status), (plain.out.clone(), plain.status), "{blocks}");
        assert!(
            cramped.err.contains("the cache shop.cache") && cramped.err.contains("nothing is lost"),
            "{}",
            cramped.err
        );
        assert_eq!(cramped.err.lines().count(), 1, "{}", cramped.err);
    }
    let roomy = papers.run(&["check", "builds", "--cache", "shop.cache"]);
    assert_eq!((roomy.out, roomy.status, roomy.err), (plain.out, plain.status, String::new()));
}

#[test]
fn a_report_that_cannot_be_written_is_no_success() {
    if !Path::new("/dev/full").exists() {
        return;
    }
    let papers = Papers::new();
    papers.build("P-1", 7);
    for arguments in
        [&["check", "builds"][..], &["check", "builds", "--format", "json"], &["audit", "builds", "--before", "books"]]
    {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut command = Command::new(program());
        let run = ran(command.args(arguments).current_dir(papers.path()).stdout(full).output().unwrap());
        assert_eq!(run.status, 2, "{arguments:?}");
        assert!(run.err.contains("cannot be written: No space left on device"), "{}", run.err);
    }
}

// -- a right that is missing ------------------------------------------------------------------------------------------

/// Runs as somebody whom rights bind: root may read everything.
fn run_bound(papers: &Papers, arguments: &[&str]) -> Ran {
    let is_root = Command::new("id").arg("-u").output().unwrap().stdout == b"0\n";
    let mut command = if is_root {
        // Where the program lies, nobody may be allowed to look.
        let copy = papers.path().join("bin/trochoid");
        if !copy.exists() {
            std::fs::create_dir_all(copy.parent().unwrap()).unwrap();
            std::fs::copy(program(), &copy).unwrap();
            std::fs::set_permissions(papers.path(), std::fs::Permissions::from_mode(0o755)).unwrap();
        }
        let mut command = Command::new("setpriv");
        command.args(["--reuid", "65534", "--regid", "65534", "--clear-groups"]).arg(copy);
        command
    } else {
        Command::new(program())
    };
    ran(command.args(arguments).current_dir(papers.path()).output().unwrap())
}

fn mode(papers: &Papers, path: &str, mode: u32) {
    std::fs::set_permissions(papers.path().join(path), std::fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn what_may_not_be_read_or_written_is_named_and_the_rest_is_done() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.build("P-2", 7);
    papers.put("builds/shut/P-3.yaml", record("P-3", 7));
    papers.put("signed/.keep", "");
    mode(&papers, "builds/P-2.yaml", 0o000);
    mode(&papers, "builds/shut", 0o000);
    mode(&papers, "signed", 0o555);
    let run = run_bound(&papers, &["check", "builds", "--cache", "signed/shop.cache"]);
    assert_eq!(run.status, 2, "{}", run.out);
    assert_eq!(run.out.matches("file-unreadable").count(), 2, "{}", run.out);
    assert!(
        run.out.contains("P-2.yaml") && run.out.contains("builds/shut") && run.out.contains("1 build: 1 good"),
        "{}",
        run.out
    );
    assert!(run.err.contains("the cache signed/shop.cache is not used"), "{}", run.err);
    let run = run_bound(&papers, &["check", "builds/P-1.yaml", "--sheets", "signed", "--signed", "2026-06-01"]);
    assert_eq!(run.status, 2, "{}", run.out);
    assert!(run.err.contains("signed/P-1.verdict.json") && run.err.contains("ermission denied"), "{}", run.err);
    assert_eq!(files(&papers.path().join("signed")), [".keep"]);
    mode(&papers, "books/pump.rulebook", 0o000);
    let run = run_bound(&papers, &["check", "builds/P-1.yaml"]);
    assert!(run.out.contains("file-unreadable") && run.out.contains("not judged"), "{}", run.out);
    assert_eq!(run.status, 2);
    // So that the folder can be removed.
    mode(&papers, "builds/shut", 0o755);
    mode(&papers, "signed", 0o755);
}

// -- a record replaced while it is read -------------------------------------------------------------------------------

#[test]
fn a_record_replaced_meanwhile_is_judged_as_one_of_the_two() {
    let papers = Papers::new();
    let large = |gap: u32, word: &str| format!("{}notes: \"{}\"\n", record("P-1", gap), word.repeat(60_000));
    let (good, out) = (large(7, "good "), large(30, "out  "));
    papers.put("builds/P-1.yaml", &good);
    let place = papers.path().join("builds/P-1.yaml");
    let stop = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for turn in 0_u32.. {
                if stop.load(std::sync::atomic::Ordering::Relaxed) {
                    break;
                }
                let beside = papers.path().join("P-1.new");
                std::fs::write(&beside, if turn % 2 == 0 { &out } else { &good }).unwrap();
                std::fs::rename(&beside, &place).unwrap();
            }
        });
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..1000 {
            let source = trochoid::disk::read_source(&place, trochoid::disk::MOST_RECORD_BYTES).unwrap();
            assert!(source.text() == good || source.text() == out, "a mixture of two records");
            seen.insert(source.text() == good);
        }
        assert_eq!(seen.len(), 2, "it was never replaced");
        // What is signed is what was judged, whichever of the two that was.
        for _ in 0..6 {
            let run = papers.run(&[
                "check",
                "builds",
                "--sheets",
                "signed",
                "--replace",
                "--signed",
                "2026-06-01",
                "--format",
                "json",
            ]);
            let verdict: serde_json::Value = serde_json::from_str(&run.out).unwrap();
            let text = std::fs::read_to_string(papers.path().join("signed/P-1.verdict.json")).unwrap();
            let signed = trochoid::audit::Signed::read(&text).unwrap();
            let grade = verdict["records"][0]["grade"].as_str().unwrap();
            let judged = if grade == "good" { &good } else { &out };
            assert_eq!(
                (signed.grade.word(), signed.record.sha256),
                (grade, trochoid::audit::digest(judged.as_bytes()))
            );
        }
        stop.store(true, std::sync::atomic::Ordering::Relaxed);
    });
}

// -- a run broken off -------------------------------------------------------------------------------------------------

/// More than fits into a pipe that nobody reads.
const MANY: u32 = 3000;

/// A run over very many records whose first lines were read: it waits for somebody to read on.
fn under_way(papers: &Papers, arguments: &[&str]) -> (Child, BufReader<std::process::ChildStdout>, String) {
    let mut command = Command::new(program());
    command.args(arguments).current_dir(papers.path()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut out = BufReader::with_capacity(256, child.stdout.take().unwrap());
    let mut first = String::new();
    out.read_line(&mut first).unwrap();
    (child, out, first)
}

fn signal(child: &Child, name: &str) {
    assert!(Command::new("kill").args([name, &child.id().to_string()]).status().unwrap().success());
}

/// Whether a run has a handler for SIGINT, which is the second bit.
fn minds_signals(child: &Child) -> bool {
    let text = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap();
    let caught = text.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap().trim();
    u64::from_str_radix(caught, 16).unwrap() & 2 != 0
}

/// Breaks a run off and gives all it wrote.
fn broken_off(papers: &Papers, arguments: &[&str], name: &str) -> Ran {
    let (mut child, mut out, mut text) = under_way(papers, arguments);
    signal(&child, name);
    out.read_to_string(&mut text).unwrap();
    let mut err = String::new();
    child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    Ran { status: child.wait().unwrap().code().expect("it ends by itself"), out: text, err }
}

#[test]
fn a_run_broken_off_says_so_and_leaves_nothing_half_written() {
    let papers = Papers::new();
    (0..MANY).for_each(|number| papers.build(&format!("P-{number:04}"), 7));
    let plain = ["check", "builds", "--format", "plain"];
    for name in ["-INT", "-TERM"] {
        let run = broken_off(&papers, &plain, name);
        assert_eq!(run.status, 2, "{name}: {}", run.err);
        let judged = run.out.lines().filter(|line| line.contains(": good: P-")).count();
        assert!(judged > 0 && judged < MANY as usize, "{judged}");
        let said = format!("fault, run-interrupted: the run was stopped after {judged} records");
        assert!(run.out.contains(&said), "{said} in {}", &run.out[run.out.len() - 900..]);
        assert!(run.out.contains(&format!("{judged} builds: {judged} good")) && run.out.ends_with('\n'));
    }
    let run = broken_off(&papers, &["check", "builds", "--format", "json"], "-INT");
    let document: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let judged = document["records"].as_array().unwrap().len();
    assert!(judged < MANY as usize && document["summary"]["records"] == judged);
    assert_eq!((run.status, &document["summary"]["status"]), (2, &2.into()));
    assert_eq!(document["paths"][0]["code"], "run-interrupted");
    // Of builds that fail, for SARIF says nothing of those that pass.
    let failing = Papers::new();
    (0..MANY).for_each(|number| failing.build(&format!("P-{number:04}"), 30));
    let run = broken_off(&failing, &["check", "builds", "--format", "sarif"], "-INT");
    let document: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let results = document["runs"][0]["results"].as_array().unwrap();
    assert_eq!(results.last().unwrap()["ruleId"], "run-interrupted");
    assert!(results.len() < MANY as usize && run.status == 2);
    assert_eq!(document["runs"][0]["invocations"][0]["executionSuccessful"], false);
    let run = broken_off(&papers, &["check", "builds", "--format", "csv"], "-INT");
    assert!(run.err.contains("run-interrupted") && run.status == 2, "{}", run.err);
    let sheets_too = ["check", "builds", "--format", "plain", "--sheets", "signed", "--cache", "shop.cache"];
    let run = broken_off(&papers, &sheets_too, "-INT");
    let judged = run.out.lines().filter(|line| line.contains(": good: P-")).count();
    assert_eq!((run.status, sheets(&papers.path().join("signed"))), (2, judged));
    // What was kept until then is sound, and the next run goes on from there.
    let rest = papers.run(&["check", "builds", "--quiet", "--cache", "shop.cache"]);
    assert_eq!((rest.status, rest.err.as_str()), (0, ""));
}

#[test]
fn asked_twice_it_ends_at_once() {
    let papers = Papers::new();
    (0..MANY).for_each(|number| papers.build(&format!("P-{number:04}"), 7));
    let (mut child, out, _) = under_way(&papers, &["check", "builds", "--format", "plain"]);
    // Nobody reads on: the first signal is heard and cannot be obeyed.
    std::thread::sleep(std::time::Duration::from_millis(300));
    signal(&child, "-INT");
    std::thread::sleep(std::time::Duration::from_millis(300));
    assert!(child.try_wait().unwrap().is_none(), "it waits for its reader");
    signal(&child, "-INT");
    assert_eq!(child.wait().unwrap().code(), Some(2));
    drop(out);
}

#[test]
fn an_audit_broken_off_says_so() {
    let papers = Papers::new();
    (0..MANY).for_each(|number| papers.build(&format!("P-{number:04}"), 14));
    papers.put("old/pump.rulebook", super::BOOK.replace("most 0.15", "most 0.12"));
    let mut command = Command::new(program());
    command.args(["audit", "builds", "--before", "old", "--format", "json", "--threads", "1"]);
    let child = command.current_dir(papers.path()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // As soon as it minds signals, which is before the first record: an audit writes nothing before it is through.
    while !minds_signals(&child) {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    signal(&child, "-INT");
    let run = ran(child.wait_with_output().unwrap());
    let document: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let judged: u64 = document["fates"].as_object().unwrap().values().map(|count| count.as_u64().unwrap()).sum();
    assert!(judged < u64::from(MANY), "it was through before the signal came");
    assert_eq!((&document["interrupted"], &document["status"], run.status), (&true.into(), &2.into(), 2));
}

/// A search that takes longer than anybody waits: what was found so far is said, and that it is not proved.
#[test]
fn a_search_broken_off_says_the_best_so_far() {
    let mut command = Command::new(program());
    let asked = "match light_2mm examples/kestrel --only rotor --builds all --seconds 600 --format json";
    command.args(asked.split(' '));
    let root = env!("CARGO_MANIFEST_DIR");
    let child = command.current_dir(root).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    while !minds_signals(&child) {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    // Pairs of twenty rotors, one after the other, are there in a moment: that they are the best takes minutes.
    std::thread::sleep(std::time::Duration::from_secs(6));
    signal(&child, "-INT");
    let run = ran(child.wait_with_output().unwrap());
    let document: serde_json::Value =
        serde_json::from_str(&run.out).unwrap_or_else(|_| panic!("{}{}", run.out, run.err));
    assert_eq!((&document["proved"], run.status), (&false.into(), 2), "{}", run.err);
    let sets = document["sets"].as_array().unwrap();
    assert!(sets.len() > 1 && sets.iter().all(|set| set["grade"] != "out"), "{}", run.out);
    // No part stands in two of them.
    let tags = |set: &serde_json::Value| set["parts"].as_array().unwrap().clone();
    let mut all: Vec<String> = sets.iter().flat_map(tags).map(|part| part["tag"].to_string()).collect();
    let count = all.len();
    all.sort();
    all.dedup();
    assert_eq!(all.len(), count, "{}", run.out);
}

// -- a reader that goes away ------------------------------------------------------------------------------------------

#[test]
fn a_reader_that_goes_away_ends_the_run_without_a_fuss() {
    let papers = Papers::new();
    (0..MANY).for_each(|number| papers.build(&format!("P-{number:04}"), 7));
    for more in [&[][..], &["--format", "json"], &["--format", "csv"], &["--sheets", "signed", "--cache", "shop.cache"]]
    {
        let (mut child, out, _) = under_way(&papers, &[&["check", "builds"], more].concat());
        drop(out);
        let mut err = String::new();
        child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
        assert_eq!((child.wait().unwrap().code(), err.as_str()), (Some(141), ""), "{more:?}");
    }
    let written = sheets(&papers.path().join("signed"));
    assert!(written < MANY as usize, "{written}");
    let rest = papers.run(&["check", "builds", "--quiet", "--cache", "shop.cache"]);
    assert_eq!((rest.status, rest.err.as_str()), (0, ""));
}

// -- very many empty files --------------------------------------------------------------------------------------------

/// Checks a folder of so many empty files and gives the most memory it took, in kB.
fn empty_files(count: usize) -> u64 {
    let papers = Papers::new();
    let folder = papers.path().join("builds");
    std::fs::create_dir(&folder).unwrap();
    for number in 0..count {
        std::fs::File::create(folder.join(format!("{number}.yaml"))).unwrap();
    }
    let mut command = Command::new(program());
    command.args(["check", "builds", "--quiet"]).current_dir(papers.path()).stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let status = format!("/proc/{}/status", child.id());
    let (mut told, mut peak, mut last) = (0, 0, String::new());
    for line in BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap) {
        if line.contains("record-empty") {
            told += 1;
            if told % 1000 == 0 || told == count {
                let text = std::fs::read_to_string(&status).unwrap_or_default();
                let held = text.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or("");
                peak = peak.max(held.trim().trim_end_matches(" kB").parse().unwrap_or(0));
            }
        }
        last = line;
    }
    assert_eq!(child.wait().unwrap().code(), Some(2));
    assert_eq!(told, count);
    assert!(last.contains(&format!("{count} records could not be judged")), "{last}");
    assert!(peak > 0, "its memory was never seen");
    peak
}

#[test]
fn very_many_empty_files_are_each_named() {
    empty_files(4000);
}

#[test]
#[ignore = "a minute or two, and a million files in the folder for temporary files: .ci/run asks for it"]
fn a_million_empty_files_are_each_named_in_less_than_200_megabytes() {
    let peak = empty_files(1_000_000);
    assert!(peak < 200_000, "{peak} kB");
}

// -- two runs at once -------------------------------------------------------------------------------------------------

#[test]
fn two_runs_at_once_on_one_cache_say_what_one_says() {
    let papers = Papers::new();
    (0..400).for_each(|number| papers.build(&format!("P-{number:03}"), 4 + number % 14));
    let plain = papers.run(&["check", "builds"]);
    for _ in 0..3 {
        let runs: Vec<Child> = (0..3)
            .map(|_| {
                let mut command = Command::new(program());
                command.args(["check", "builds", "--cache", "shop.cache"]).current_dir(papers.path());
                command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
            })
            .collect();
        // Each is read by a thread of its own, or one would wait for the other to be read.
        let ends: Vec<_> = runs.into_iter().map(|run| std::thread::spawn(|| run.wait_with_output().unwrap())).collect();
        for end in ends {
            let run = ran(end.join().unwrap());
            assert_eq!((run.out, run.status, run.err), (plain.out.clone(), plain.status, String::new()));
        }
        let cache = trochoid::cache::Cache::open(&papers.path().join("shop.cache"), 1).unwrap();
        assert_eq!(cache.len(), 800);
        drop(cache);
        // Again from nothing, and once over what is there.
        if papers.path().join("once").exists() {
            continue;
        }
        papers.put("once", "");
        for file in ["shop.cache", "shop.cache-wal", "shop.cache-shm"] {
            drop(std::fs::remove_file(papers.path().join(file)));
        }
    }
}
