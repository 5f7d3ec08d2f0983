//! Benchmarks: each figure beside what it is compared with, in one run. `cargo bench -- --test` runs each once.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs,
    unreachable_pub,
    reason = "a benchmark may stop at the first surprise, and prints its figures"
)]

mod generate;

use criterion::{BatchSize, Criterion};
use rayon::prelude::*;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use trochoid::judge::GradeSet;
use trochoid::shop::{Ask, Shop, Shops, shipped};
use trochoid::text::Source;
use trochoid::{bind, book, judge, plan, record, syntax};

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false };

fn books() -> Vec<Source> {
    // Each after those it uses.
    let order = ["units", "parts", "family"];
    let mut names = shipped::names();
    names.sort_by_key(|name| order.iter().position(|first| name.starts_with(first)).unwrap_or(order.len()));
    names.sort_by_key(|name| name.starts_with("boosted"));
    names.into_iter().filter_map(shipped::book).collect()
}

fn records(count: usize) -> Vec<Source> {
    let shop = Shop::shipped();
    let generation = shop.book.generations.get(shop.book.generation("narrow_3mm").expect("a shipped generation"));
    (0..count)
        .map(|seed| Source::new(format!("B-{seed}.yaml"), generate::record(&shop.book, generation, seed as u64)))
        .collect()
}

fn rooms(criterion: &mut Criterion) {
    let sources = books();
    criterion.bench_function("compile the shipped books", |bench| {
        bench.iter(|| {
            let trees: Vec<_> = sources.iter().map(|source| syntax::parse(source).0).collect();
            black_box(book::compile(&trees))
        });
    });
    let shop = Shop::shipped();
    let source = records(1).remove(0);
    let (sheet, said) = record::read(&source);
    assert!(said.is_empty(), "{said:?}");
    let sheet = sheet.expect("a sound record");
    let (readings, said) = bind::bind(&shop.book, &sheet, &source);
    assert!(said.is_empty(), "{said:?}");
    let generation = readings.generation.expect("a known generation");
    let (plan, _) = plan::Plan::new(&shop.book, generation);
    println!("one record: {} bytes, {} readings, {} checks", source.text().len(), readings.count(), plan.checks.len());
    criterion.bench_function("YAML events alone, with places", |bench| {
        bench.iter(|| {
            let events = granit_parser::Parser::new_from_str(source.text());
            black_box(events.filter(|event| event.is_ok()).count())
        });
    });
    criterion.bench_function("read one record", |bench| bench.iter(|| black_box(record::read(&source))));
    criterion
        .bench_function("bind one record", |bench| bench.iter(|| black_box(bind::bind(&shop.book, &sheet, &source))));
    criterion.bench_function("judge one record", |bench| {
        bench.iter(|| black_box(judge::judge(&shop.book, &plan, &readings)));
    });
    criterion.bench_function("plan one generation", |bench| {
        bench.iter_batched(|| (), |()| black_box(plan::Plan::new(&shop.book, generation)), BatchSize::SmallInput);
    });
}

/// The best of several runs: what the machine can do when nothing else disturbs it.
fn best(runs: usize, mut work: impl FnMut()) -> Duration {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

fn write_records(folder: &Path, count: usize) -> Vec<PathBuf> {
    records(count)
        .iter()
        .map(|source| {
            let path = folder.join(source.name());
            std::fs::write(&path, source.text()).unwrap();
            path
        })
        .collect()
}

/// The figures that only mean something beside each other.
fn ratios(smoke: bool) {
    let (count, runs) = if smoke { (60, 3) } else { (2_000, 5) };
    let sources = records(count);
    let shop = Shop::shipped();
    assert!(shop.is_sound());
    let events = best(runs, || {
        for source in &sources {
            let parser = granit_parser::Parser::new_from_str(source.text());
            black_box(parser.filter(|event| event.is_ok()).count());
        }
    });
    let reading = best(runs, || {
        for source in &sources {
            black_box(record::read(source));
        }
    });
    let library = best(runs, || {
        for source in &sources {
            black_box(serde_yaml::from_str::<serde_yaml::Value>(source.text()).unwrap());
        }
    });
    let silent = Ask { tell: GradeSet::of(&[]), rulings: false };
    let judging = best(runs, || {
        for source in &sources {
            black_box(shop.check_source(source, &silent));
        }
    });
    let telling = best(runs, || {
        for source in &sources {
            black_box(shop.check_source(source, &ASK));
        }
    });
    let per = |time: Duration| time.as_secs_f64() * 1e6 / count as f64;
    let ratio = |a: Duration, b: Duration| a.as_secs_f64() / b.as_secs_f64();
    println!("\n{count} records, one thread, best of {runs}:");
    println!("  YAML events alone                    {:7.1} µs a record", per(events));
    println!(
        "  reading with places                  {:7.1} µs   {:.2} of the events",
        per(reading),
        ratio(reading, events)
    );
    println!(
        "  serde_yaml to a value, no places     {:7.1} µs   {:.2} of the events",
        per(library),
        ratio(library, events)
    );
    println!(
        "  reading, binding, judging            {:7.1} µs   {:.2} of the events, {:.2} of reading",
        per(judging),
        ratio(judging, events),
        ratio(judging, reading)
    );
    println!(
        "  and a finding for each row not good  {:7.1} µs   {:.2} of reading",
        per(telling),
        ratio(telling, reading)
    );

    let folder = tempfile::tempdir().unwrap();
    let paths = write_records(folder.path(), count);
    let shops = Shops::new(None);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        best(runs, || {
            pool.install(|| {
                paths.par_iter().for_each(|path| {
                    black_box(shops.of(path).check(path, &silent));
                });
            });
        })
    };
    let (one, two) = (with(1), with(2));
    println!(
        "from disk: one thread {:.1} µs a record, two threads {:.1}: {:.2} times as fast",
        per(one),
        per(two),
        ratio(one, two)
    );

    memory(folder.path(), if smoke { 40 } else { 20_000 }, count);
}

/// Peak memory of the real program over few and many records.
fn memory(folder: &Path, most: usize, few: usize) {
    let all = folder.join("all");
    std::fs::create_dir(&all).unwrap();
    let texts = records(50);
    for number in 0..most {
        std::fs::write(all.join(format!("{number:06}.yaml")), texts[number % texts.len()].text()).unwrap();
    }
    let peak = |path: &Path| {
        let program = env!("CARGO_BIN_EXE_trochoid");
        let mut child = std::process::Command::new(program)
            .args(["check", "--quiet", "--threads", "2"])
            .arg(path)
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
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
        peak
    };
    let small = folder.join("few");
    std::fs::create_dir(&small).unwrap();
    for (number, text) in texts.iter().cycle().take(few).enumerate() {
        std::fs::write(small.join(format!("{number:06}.yaml")), text.text()).unwrap();
    }
    let (few_peak, most_peak) = (peak(&small), peak(&all));
    println!(
        "memory: {few_peak} kB at its peak over {few} records, {most_peak} kB over {most}: {:.2} times",
        most_peak as f64 / few_peak.max(1) as f64
    );
}

fn main() {
    let smoke = std::env::args().any(|argument| argument == "--test");
    let mut criterion = Criterion::default().configure_from_args().warm_up_time(Duration::from_millis(500));
    criterion = criterion.measurement_time(Duration::from_secs(3)).sample_size(30);
    rooms(&mut criterion);
    criterion.final_summary();
    ratios(smoke);
}
