//! The `trochoid` program: hands its arguments to [`trochoid::cli`] and exits with its answer.

/// Gives memory out faster than the system's own, and back whole: a bench is open for days.
#[cfg(feature = "allocator")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    trochoid::cli::run(std::env::args_os())
}
