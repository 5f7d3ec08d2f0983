//! What a start costs: the example shop opened and one plain record judged, by the program as a user runs it. In instructions,
//! which are the same on every machine, where `valgrind` is to be had; in time beside a run that opens no shop.

use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

fn command(program: &str) -> Command {
    let mut command = Command::new(program);
    command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds"));
    command.env("TROCHOID_TODAY", "2026-11-28");
    command
}

const PROGRAM: &str = env!("CARGO_BIN_EXE_trochoid");
const CHECK: [&str; 5] = ["check", "--quiet", "--threads", "1", "K-0142.yaml"];

/// The instructions of a run, if they can be counted here.
fn instructions(arguments: &[&str]) -> Option<f64> {
    let mut counted = command("valgrind");
    counted.args(["--tool=callgrind", "--callgrind-out-file=/dev/null", PROGRAM]).args(arguments);
    let output: Output = counted.output().ok()?;
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let count = said.lines().find_map(|line| line.split_once("Collected : "))?.1.trim().parse().ok()?;
    Some(count)
}

/// The best time of some runs.
fn time(arguments: &[&str], runs: usize) -> Duration {
    let one = || {
        let began = Instant::now();
        let output = command(PROGRAM).args(arguments).output().unwrap();
        assert_ne!(output.status.code(), Some(2), "{output:?}");
        began.elapsed()
    };
    (0..runs).map(|_| one()).min().unwrap_or_default()
}

/// Prints all figures of this file.
pub fn figures(smoke: bool) {
    let runs = if smoke { 1 } else { 30 };
    let (check, version) = (time(&CHECK, runs), time(&["--version"], runs));
    println!("\nstart, shop opened and one plain record judged, one thread, the real program:");
    println!(
        "  {:.1} ms; without a shop, only its version told, {:.1} ms",
        check.as_secs_f64() * 1e3,
        version.as_secs_f64() * 1e3
    );
    match (instructions(&CHECK), instructions(&["--version"])) {
        (Some(check), Some(version)) => {
            println!("  {:.1} million instructions, {:.1} of them without a shop", check / 1e6, version / 1e6);
        }
        _ => println!("  instructions are counted where valgrind is installed"),
    }
}
