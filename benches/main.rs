//! Benchmarks: each figure beside what it is compared with, in one run. `cargo bench -- --test` runs each once.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::print_stdout,
    missing_docs,
    unreachable_pub,
    reason = "a benchmark may stop at the first surprise, and prints its figures"
)]

mod compile;
mod devices;
mod generate;
mod language_server;
mod matching;
mod scale;
mod start;

use criterion::{BatchSize, Criterion};
use rayon::prelude::*;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use trochoid::judge::GradeSet;
use trochoid::shop::{Ask, Shop, Shops, shipped};
use trochoid::text::Source;
use trochoid::{bind, book, judge, plan, record, syntax};

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: None };

fn books() -> Vec<Source> {
    // Each after those it uses.
    let order = ["units", "parts", "family"];
    let mut names = shipped::names();
    names.sort_by_key(|name| order.iter().position(|first| name.starts_with(first)).unwrap_or(order.len()));
    names.sort_by_key(|name| name.starts_with("boosted"));
    names.into_iter().filter_map(shipped::book).collect()
}

/// Engines as a shop would note them, some of their readings worn or out.
fn records(count: usize) -> Vec<Source> {
    (0..count).map(|seed| Source::new(format!("B-{seed}.yaml"), generate::engine(seed as u64))).collect()
}

/// Engines with hardly a part in order.
fn wrecks(shop: &Shop, count: usize) -> Vec<Source> {
    let generation = shop.book.generations.get(shop.book.generation("narrow_3mm").expect("a shipped generation"));
    (0..count)
        .map(|seed| Source::new(format!("W-{seed}.yaml"), generate::wreck(&shop.book, generation, seed as u64)))
        .collect()
}

/// How many rows of each record are told of, on average.
fn told(shop: &Shop, sources: &[Source]) -> f64 {
    let told: usize = sources.iter().map(|source| shop.check_source(source, &ASK).findings.len()).sum();
    told as f64 / sources.len() as f64
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
    criterion.bench_function("YAML events alone", |bench| {
        bench.iter(|| {
            let events = saphyr_parser::Parser::new_from_str(source.text());
            black_box(events.filter(|event| event.is_ok()).count())
        });
    });
    criterion.bench_function("read one record", |bench| bench.iter(|| black_box(record::read(&source))));
    criterion
        .bench_function("bind one record", |bench| bench.iter(|| black_box(bind::bind(&shop.book, &sheet, &source))));
    criterion.bench_function("judge one record", |bench| {
        bench.iter(|| black_box(judge::judge(&shop.book, &plan, &readings)));
    });
    let source = Source::new("B-0.yaml", generate::gauged(source.text()));
    let sheet = record::read(&source).0.expect("a sound record");
    let (gauged, said) = bind::bind(&shop.book, &sheet, &source);
    assert!(said.is_empty(), "{said:?}");
    assert!(gauged.all().filter(|reading| reading.gauge.is_some()).count() > 100);
    criterion.bench_function("judge one record, every length by a gauge", |bench| {
        bench.iter(|| black_box(judge::judge(&shop.book, &plan, &gauged)));
    });
    let mut trees: Vec<_> = sources.iter().map(|source| syntax::parse(source).0).collect();
    let house = "rulebook \"A house\" edition 2026-01-01\nhouse \"Kestrel Rotary\" { judge by guard band }\n";
    trees.push(syntax::parse(&Source::new("house.rulebook", house)).0);
    let (guarded, said) = book::compile(&trees);
    assert!(said.iter().all(|finding| !finding.is_error()), "{said:?}");
    let (guarded_plan, _) = plan::Plan::new(&guarded, generation);
    criterion.bench_function("judge one record, every length by a gauge, by guard band", |bench| {
        bench.iter(|| black_box(judge::judge(&guarded, &guarded_plan, &gauged)));
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
            let parser = saphyr_parser::Parser::new_from_str(source.text());
            black_box(parser.filter(|event| event.is_ok()).count());
        }
    });
    let reading = best(runs, || {
        for source in &sources {
            black_box(record::read(source));
        }
    });
    // A letter past ASCII, and the careful reader takes it.
    let odd: Vec<Source> =
        sources.iter().map(|source| Source::new(source.name(), format!("# µ\n{}", source.text()))).collect();
    let careful = best(runs, || {
        for source in &odd {
            black_box(record::read(source));
        }
    });
    let library = best(runs, || {
        for source in &sources {
            black_box(serde_yaml::from_str::<serde_yaml::Value>(source.text()).unwrap());
        }
    });
    let silent = Ask { tell: GradeSet::of(&[]), rulings: false, as_of: None };
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
    let wrecks = wrecks(&shop, count);
    let reading_wrecks = best(runs, || {
        for source in &wrecks {
            black_box(record::read(source));
        }
    });
    let judging_wrecks = best(runs, || {
        for source in &wrecks {
            black_box(shop.check_source(source, &silent));
        }
    });
    let telling_wrecks = best(runs, || {
        for source in &wrecks {
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
        "  the same by the careful reader       {:7.1} µs   {:.2} of the other",
        per(careful),
        ratio(careful, reading)
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
        "  and a finding for each row not good  {:7.1} µs   {:.2} of reading ({:.1} findings a record)",
        per(telling),
        ratio(telling, reading),
        told(&shop, &sources)
    );
    println!(
        "  wrecks: judging {:.2} of reading them, and telling {:.2} ({:.1} findings a record)",
        ratio(judging_wrecks, reading_wrecks),
        ratio(telling_wrecks, reading_wrecks),
        told(&shop, &wrecks)
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
}

fn main() {
    let smoke = std::env::args().any(|argument| argument == "--test");
    let asked = |word: &str| std::env::args().skip(1).any(|argument| argument == word);
    if asked("scale") {
        return scale::figures(smoke);
    }
    if asked("start") {
        return start::figures(smoke);
    }
    if asked("match") {
        return matching::figures(smoke);
    }
    if asked("devices") {
        return devices::devices(smoke);
    }
    if asked("editor") {
        return language_server::figures(smoke);
    }
    let mut criterion = Criterion::default().configure_from_args().warm_up_time(Duration::from_millis(500));
    criterion = criterion.measurement_time(Duration::from_secs(3)).sample_size(30);
    rooms(&mut criterion);
    criterion.final_summary();
    // With a filter only what it names is wanted.
    if std::env::args().skip(1).any(|argument| !argument.starts_with('-') && argument.parse::<f64>().is_err()) {
        return;
    }
    compile::figures(smoke);
    start::figures(smoke);
    language_server::figures(smoke);
    ratios(smoke);
    matching::figures(smoke);
    devices::devices(smoke);
    scale::figures(smoke);
}
