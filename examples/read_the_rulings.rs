//! Reads every ruling about one record, as a program that keeps them elsewhere would: `cargo run --example read_the_rulings -- RECORD`.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a program that prints")]

use std::path::PathBuf;
use std::process::ExitCode;
use trochoid::{Ask, Grade, Shops};

fn main() -> ExitCode {
    let Some(record) = std::env::args_os().nth(1).map(PathBuf::from) else {
        eprintln!("name a record, such as examples/kestrel/builds/K-0147.yaml");
        return ExitCode::from(2);
    };
    let shop = Shops::new(None).of(&record);
    let checked = shop.check(&record, &Ask { rulings: true, ..Ask::default() });
    for ruling in &checked.rulings {
        let value = ruling.value.as_deref().unwrap_or("not measured");
        let range = ruling.limit.as_deref().or(ruling.standard.as_deref()).unwrap_or("no range");
        println!("{}\t{}\t{value}\t{range}", ruling.path, ruling.grade.word());
    }
    for grade in Grade::ALL {
        println!("{}: {}", grade.word(), checked.counts.of(grade));
    }
    ExitCode::from(if checked.grade.is_none() { 2 } else { 0 })
}
