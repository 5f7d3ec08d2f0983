//! The `trochoid` program: hands its arguments to [`trochoid::cli`] and exits with its answer.

fn main() -> std::process::ExitCode {
    trochoid::cli::run(std::env::args_os())
}
