//! Hands over to the library and returns its exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    benchlight::cli::run(std::env::args_os())
}
