//! The `liftsheet` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    liftsheet::cli::run(std::env::args_os())
}
