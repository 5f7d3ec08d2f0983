//! The real program over very many records on disk: beside its reader alone, beside a script, with a cache and without, and how
//! time and memory grow with their number.

use crate::generate;
use rayon::prelude::*;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use trochoid::disk::{Kind, MOST_RECORD_BYTES, read_walked, walk};
use trochoid::text::Source;

/// Records in one folder where they lie in several.
const EACH_FOLDER: usize = 200;

/// How many records each figure is taken over.
struct Counts {
    few: usize,
    many: usize,
    very_many: usize,
    /// For the script, which is slow.
    script: usize,
    runs: usize,
}

/// Takes and prints all figures of this file.
pub fn figures(smoke: bool) {
    let counts = if smoke {
        Counts { few: 40, many: 80, very_many: 400, script: 40, runs: 1 }
    } else {
        Counts { few: 2_000, many: 20_000, very_many: 200_000, script: 2_000, runs: 5 }
    };
    let folder = tempfile::tempdir().unwrap();
    let few = laid_out(folder.path(), "few", counts.few, EACH_FOLDER);
    let many = laid_out(folder.path(), "many", counts.many, EACH_FOLDER);
    println!("\nthe program over {} records on disk, two threads, best of {}:", counts.many, counts.runs);
    let [check, reading, events, one] = best_of_each(
        counts.runs,
        [
            &|| check(&many, 2, &[]),
            &|| read_and_forget(&many, |source| drop(black_box(trochoid::record::read(source)))),
            &|| {
                read_and_forget(&many, |source| {
                    let events = saphyr_parser::Parser::new_from_str(source.text());
                    black_box(events.filter(|event| event.is_ok()).count());
                })
            },
            &|| self::check(&many, 1, &[]),
        ],
    );
    let ratio = |a: Duration, b: Duration| a.as_secs_f64() / b.as_secs_f64();
    let per = |time: Duration, count: usize| time.as_secs_f64() * 1e6 / count as f64;
    println!("  a check, quiet                       {:7.1} µs a record", per(check, counts.many));
    println!("  reading the same files alone         {:7.1} µs", per(reading, counts.many));
    println!("  throughput of a check beside that    {:7.2}   (goal: at least 0.8)", ratio(reading, check));
    println!("  YAML events of the same files alone  {:7.1} µs", per(events, counts.many));
    println!("  throughput of a check beside that    {:7.2}", ratio(events, check));
    println!("  two threads beside one               {:7.2}   (goal: at least 1.7)", ratio(one, check));
    // Best of several as well, if of fewer: it is slow.
    match (0..counts.runs.min(2)).filter_map(|_| script(&few, counts.script)).min() {
        Some(time) => println!(
            "  a script with plain range checks     {:7.1} µs   {:.0} times as long (goal: at least 40)",
            per(time, counts.script),
            per(time, counts.script) / per(check, counts.many)
        ),
        None => println!(
            "  no script to compare with: `pip install pyyaml jsonschema`, or TROCHOID_PYTHON for a python that has them"
        ),
    }
    cached(folder.path(), &many, check, counts.runs);
    grown(folder.path(), &few, &counts, check);
}

/// What a cache spares.
fn cached(folder: &Path, many: &Path, check_alone: Duration, runs: usize) {
    let ratio = |a: Duration, b: Duration| a.as_secs_f64() / b.as_secs_f64();
    let cache = folder.join("bench.cache");
    let forget = || {
        for ending in ["", "-wal", "-shm"] {
            drop(std::fs::remove_file(folder.join(format!("bench.cache{ending}"))));
        }
    };
    let with = |more: &[&str]| {
        let mut all = vec!["--cache", cache.to_str().unwrap()];
        all.extend(more);
        check(many, 2, &all)
    };
    let first = best(runs.min(3), || {
        forget();
        with(&[])
    });
    let second = best(runs, || with(&[]));
    println!(
        "  a second check with a cache          {:7.2} times as fast as the first with it, {:.2} as one without (goal: 8)",
        ratio(first, second),
        ratio(check_alone, second)
    );
    let size = std::fs::metadata(&cache).unwrap().len();
    let records = walk(many, Kind::Records).count() as u64;
    println!("  and the cache is {} kB, {} bytes a record", size / 1000, size / records);
    let books = |name: &str, limit: &str| {
        let below = folder.join(name);
        std::fs::create_dir_all(&below).unwrap();
        for book in trochoid::shop::shipped::names() {
            let source = trochoid::shop::shipped::book(book).unwrap();
            let was = "limit at least 0.10 mm also at least 0.004 in";
            let meant = |line: &str| line.trim_start().starts_with("rotor.side_clearance ");
            let changed = |line: &str| line.replace(was, &format!("limit at least {limit}"));
            let lines = source.text().lines().map(|line| if meant(line) { changed(line) } else { line.into() } + "\n");
            let text: String = lines.collect();
            assert_eq!(
                text == source.text(),
                !book.starts_with("family"),
                "the row that is to change is not in {book}"
            );
            std::fs::write(below.join(book), text).unwrap();
        }
        below
    };
    let (before, after, later) = (books("before", "0.10 mm"), books("after", "0.11 mm"), books("later", "0.12 mm"));
    let audit = |after: &Path, more: &[&str]| {
        let mut all = vec!["--before", before.to_str().unwrap(), "--after", after.to_str().unwrap()];
        all.extend(more);
        run("audit", many, 2, &all)
    };
    let kept = ["--cache", cache.to_str().unwrap()];
    let alone = best(runs.min(3), || audit(&after, &[]));
    let first = best(runs.min(3), || {
        forget();
        audit(&after, &kept)
    });
    let second = best(runs, || audit(&after, &kept));
    // Each time after a row that was never audited: only the records are in the cache.
    let changed = audit(&later, &kept);
    println!("  an audit                             {:7.2} times as long as a check", ratio(alone, check_alone));
    println!(
        "  a second audit with a cache          {:7.2} times as fast as the first with it, {:.2} as one without (goal: 8)",
        ratio(first, second),
        ratio(alone, second)
    );
    println!(
        "  an audit after a row changed         {:7.2} times as fast as one without a cache",
        ratio(alone, changed)
    );
}

/// How time and memory grow with the number of records.
fn grown(folder: &Path, few: &Path, counts: &Counts, check_many: Duration) {
    let very_many = laid_out(folder, "very-many", counts.very_many, EACH_FOLDER);
    let check_few = best(counts.runs, || check(few, 2, &[]));
    let check_very_many = best(1, || check(&very_many, 2, &[]));
    let exponent = |(time, count): (Duration, usize), (more_time, more): (Duration, usize)| {
        (more_time.as_secs_f64() / time.as_secs_f64()).ln() / (more as f64 / count as f64).ln()
    };
    let sizes = [(check_few, counts.few), (check_many, counts.many), (check_very_many, counts.very_many)];
    println!(
        "  time grows with the number of records to the power {:.3} from {} to {}, {:.3} from there to {} (goal: below 1.05)",
        exponent(sizes[0], sizes[1]),
        counts.few,
        counts.many,
        exponent(sizes[1], sizes[2]),
        counts.very_many
    );
    let least = peak(few, &[]);
    let cache = folder.join("memory.cache");
    let cache = ["--cache", cache.to_str().unwrap()];
    for (words, below, count, more) in [
        ("in folders of 200", &very_many, counts.very_many, &[][..]),
        ("in folders of 200, with a cache", &very_many, counts.very_many, &cache),
        ("all in one folder", &laid_out(folder, "heap", counts.many, counts.many), counts.many, &[]),
    ] {
        let most = peak(below, more);
        println!(
            "memory: {least} kB at its peak over {} records, {most} kB over {count} {words}: {:.2} times (goal: flat, below 200 MB)",
            counts.few,
            most as f64 / least as f64
        );
    }
}

/// Records that all differ, so many in each folder.
fn laid_out(folder: &Path, name: &str, count: usize, each: usize) -> PathBuf {
    for number in 0..count {
        let below = folder.join(name).join(format!("{:04}", number / each));
        if number % each == 0 {
            std::fs::create_dir_all(&below).unwrap();
        }
        std::fs::write(below.join(format!("{number:06}.yaml")), generate::engine(number as u64)).unwrap();
    }
    folder.join(name)
}

fn program(command: &str, folder: &Path, threads: usize, more: &[&str]) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_trochoid"));
    program.arg(command).arg(folder).args(["--threads", &threads.to_string()]).args(more);
    program.stdout(Stdio::null()).stderr(Stdio::null());
    program
}

fn run(command: &str, folder: &Path, threads: usize, more: &[&str]) -> Duration {
    let began = Instant::now();
    let status = program(command, folder, threads, more).status().unwrap();
    // Some of the builds fail, and none is more than that.
    assert!(matches!(status.code(), Some(0 | 1)), "{command} {more:?}: {status}");
    began.elapsed()
}

fn check(folder: &Path, threads: usize, more: &[&str]) -> Duration {
    run("check", folder, threads, &[&["--quiet"], more].concat())
}

/// Reads every file, and does nothing with what is read.
fn read_and_forget(folder: &Path, read: impl Fn(&Source) + Sync) -> Duration {
    let began = Instant::now();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2).build().unwrap();
    let paths: Vec<PathBuf> = walk(folder, Kind::Records).map(Result::unwrap).collect();
    pool.install(|| {
        paths.par_iter().for_each(|path| {
            read(&read_walked(path, MOST_RECORD_BYTES).unwrap());
        });
    });
    began.elapsed()
}

/// How long the script takes over so many of the records, once it has begun; none where it cannot be run here.
fn script(folder: &Path, count: usize) -> Option<Duration> {
    let python = std::env::var("TROCHOID_PYTHON").unwrap_or_else(|_| "python3".into());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peers/range_checks.py");
    let output = Command::new(python).arg(script).arg(folder).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let seconds: f64 = text.split(' ').next()?.parse().ok()?;
    assert_eq!(walk(folder, Kind::Records).count(), count);
    Some(Duration::from_secs_f64(seconds))
}

fn best(runs: usize, mut work: impl FnMut() -> Duration) -> Duration {
    (0..runs).map(|_| work()).min().unwrap()
}

/// The best time of each of several works, done in turn: what slows the machine down for a while slows them all.
fn best_of_each<const N: usize>(runs: usize, works: [&dyn Fn() -> Duration; N]) -> [Duration; N] {
    let mut best = [Duration::MAX; N];
    for _ in 0..runs {
        for (best, work) in best.iter_mut().zip(works) {
            *best = work().min(*best);
        }
    }
    best
}

/// The most memory the real program ever held while it checked a folder, in kB.
fn peak(folder: &Path, more: &[&str]) -> u64 {
    let mut child = program("check", folder, 2, &[&["--quiet"], more].concat()).spawn().unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0_u64;
    while child.try_wait().unwrap().is_none() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        if let Some(kilobytes) = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()) {
            peak = peak.max(kilobytes);
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    assert!(peak > 0, "the program's memory was never seen");
    peak
}
