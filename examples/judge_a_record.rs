//! Judges one record by the rules of its shop, and says what is wrong: `cargo run --example judge_a_record -- RECORD`.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a program that prints")]

use std::path::PathBuf;
use std::process::ExitCode;
use trochoid::{Ask, GradeSet, Shops};

fn main() -> ExitCode {
    let Some(record) = std::env::args_os().nth(1).map(PathBuf::from) else {
        eprintln!("name a record, such as examples/kestrel/builds/K-0147.yaml");
        return ExitCode::from(2);
    };
    let shop = Shops::new(None).of(&record);
    if !shop.is_sound() {
        for finding in shop.findings() {
            eprintln!("{}: {}", finding.code, finding.message);
        }
        return ExitCode::from(2);
    }
    let checked = shop.check(&record, &Ask { tell: GradeSet::NOT_GOOD, ..Ask::default() });
    let grade = checked.grade.map_or("not judged", |grade| grade.word());
    println!("{}: {grade}, {} rows", checked.build, checked.counts.total());
    for finding in &checked.findings {
        let place = finding.place.as_ref().map(|(place, _)| format!("line {}: ", place.line_column().line));
        println!("{}{}", place.unwrap_or_default(), finding.message);
    }
    ExitCode::from(u8::from(!checked.passes()))
}
