//! The command line (to come).

/// Runs the program.
pub fn run(_arguments: impl IntoIterator<Item = std::ffi::OsString>) -> std::process::ExitCode {
    std::process::ExitCode::from(2)
}
