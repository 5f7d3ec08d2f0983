//! Chooses parts of a shop's shelf that go together: `cargo run --example match_a_pile -- SHOP GENERATION`.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a program that prints")]

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{Duration, Instant};
use trochoid::{Shops, best_sets};

/// How many sets are shown.
const BEST: usize = 3;

fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1);
    let (Some(folder), Some(generation)) = (arguments.next().map(PathBuf::from), arguments.next()) else {
        eprintln!("name a shop and a generation, such as examples/kestrel light_2mm");
        return ExitCode::from(2);
    };
    // A shop is found from a record that lies in its folder, whether it is there yet or not.
    let shop = Shops::new(None).of(&folder.join("record.yaml"));
    let until = Instant::now() + Duration::from_secs(60);
    let go_on = || Instant::now() < until;
    let Some(matched) = best_sets(&shop, &generation.to_string_lossy(), &[], None, BEST, &go_on) else {
        eprintln!("there is no shelf, or nothing on it for this generation");
        return ExitCode::from(2);
    };
    for set in &matched.sets {
        let parts: Vec<String> = set.parts.iter().map(|(place, tag)| format!("{place} {tag}")).collect();
        println!("{}, {} rows: {}", set.grade.word(), set.rows, parts.join(", "));
    }
    println!("{}", if matched.proved { "no set is better" } else { "there was no time to compare every set" });
    ExitCode::from(u8::from(matched.sets.is_empty()))
}
