//! The `liftsheet` program.

use std::process::ExitCode;

/// A command lives for milliseconds, and the system's own took a fifth of them.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    liftsheet::cli::run(std::env::args_os())
}
