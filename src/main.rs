//! The `undershell` program: reads its arguments, runs, sets the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    undershell::cli::run()
}
