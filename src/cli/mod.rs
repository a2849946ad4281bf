//! The command line: the only stage that prints, touches files or reads the clock.
//!
//! Takes the arguments of a process; gives its exit code. Each command's work is a file of its own.

mod args;
mod calc;
mod check;
mod crew;
mod explain;
mod load;
mod new;
mod output;
mod page;
mod record;
mod sheet;
mod sign;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use self::args::{Cli, Command};
use self::load::Loaded;
use crate::report::{self, Look};

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    /// Done.
    Done,
    /// Done, with findings that stop the work.
    Findings,
    /// Could not run.
    Failed,
}

impl From<End> for ExitCode {
    fn from(end: End) -> Self {
        Self::from(match end {
            End::Done => 0,
            End::Findings => 1,
            End::Failed => 2,
        })
    }
}

/// Runs the program with the arguments of a process, its own name first.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(error) => {
            let failed = error.use_stderr();
            // Nobody is left to tell when even this cannot be printed.
            let _ = error.print();
            return if failed {
                End::Failed.into()
            } else {
                End::Done.into()
            };
        }
    };
    let end = match &cli.command {
        Command::New(args) => new::run(args),
        Command::Check(args) => check::run(args),
        Command::Survey(args) => sheet::survey(args),
        Command::Sheet(args) => sheet::run(args),
        Command::Crew(args) => crew::run(args),
        Command::Calc(args) => calc::run(args),
        Command::Sign(args) => sign::run(args),
        Command::Record(args) => record::run(args),
        Command::Explain { code } => explain::run(code.as_deref()),
    };
    end.into()
}

/// Prints every problem found so far; gives how the run ends because of them.
fn complain(loaded: &Loaded) -> End {
    if loaded.report.is_empty() {
        return End::Done;
    }
    let text = report::render(&loaded.report, &loaded.sources, Look::default());
    output::complain(&text);
    if loaded.report.has_errors() {
        End::Failed
    } else {
        End::Done
    }
}

/// Prints a text to standard output.
fn print(text: &str) -> End {
    match output::print(text) {
        Ok(()) => End::Done,
        Err(error) => fail(&error.to_string()),
    }
}

/// Says why a run failed.
fn fail(message: &str) -> End {
    output::complain(&format!("liftsheet: {message}\n"));
    End::Failed
}
