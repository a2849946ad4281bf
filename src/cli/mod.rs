//! The command line: the only stage that prints, touches files or reads the clock.
//!
//! Takes the arguments of a process; gives its exit code. Each command's work is a file of its own.

mod about;
mod args;
mod backup;
mod calc;
mod check;
mod classes;
mod compare;
mod documents;
mod fill;
mod manual;
mod many;
mod new;
mod output;
mod page;
mod people;
mod pins;
mod progress;
mod questions;
mod record;
#[cfg(feature = "serve")]
mod serve;
mod sheet;
mod sign;
mod study;
mod terminal;
mod workshop_args;

use std::ffi::OsString;
use std::path::Path;
use std::process::ExitCode;

use clap::FromArgMatches;

pub use self::args::command;
use self::args::{Cli, Command};
use crate::desk::load::Loaded;
use crate::report::{self, Code, Place, Problem, Severity};
use crate::rules;

/// How a run ended, the worse the further down. The same in every command; the table stands in the README.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    Done,
    /// There are mistakes in what was given, or work is open.
    Open,
    /// Done, and the lift must not be done so.
    Stopped,
    /// The record is not as it was written.
    Broken,
    /// It could not run.
    Failed,
}

impl End {
    /// How a run ends that had an error of this kind.
    fn of(code: Code) -> Self {
        match code {
            Code::UnreadableFile | Code::RecordNotWritten | Code::RecordHeld | Code::NotFilled => {
                Self::Failed
            }
            Code::RecordBroken | Code::DigestNotFound | Code::NotKept | Code::RecordCutShort => {
                Self::Broken
            }
            _ => Self::Open,
        }
    }
}

impl From<End> for ExitCode {
    fn from(end: End) -> Self {
        Self::from(match end {
            End::Done => 0,
            End::Open => 1,
            End::Failed => 2,
            End::Stopped => 3,
            End::Broken => 4,
        })
    }
}

/// Runs the program with the arguments of a process, its own name first.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    match read(arguments) {
        Ok(cli) => dispatch(&cli.command).into(),
        Err(error) if error.use_stderr() => {
            output::complain_styled(&cleaned(&error));
            End::Failed.into()
        }
        Err(asked) => {
            match output::print_styled(&terminal::fit_stdout(&asked.render().ansi().to_string())) {
                Ok(()) => End::Done.into(),
                Err(why) => fail(&why).into(),
            }
        }
    }
}

fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<Cli, clap::Error> {
    let mut command = args::command()
        .styles(terminal::styles())
        .term_width(terminal::help_columns());
    let matches = command.try_get_matches_from_mut(arguments)?;
    Cli::from_arg_matches(&matches).map_err(|error| error.format(&mut command))
}

/// What is said of a wrong command line. It quotes what was typed, so it is bold only where nothing in it could act on the terminal.
fn cleaned(error: &clap::Error) -> String {
    let plain = error.render().to_string();
    let clean = terminal::fit_stderr(&report::in_lines(&plain));
    if clean == plain {
        error.render().ansi().to_string()
    } else {
        clean
    }
}

fn dispatch(command: &Command) -> End {
    match command {
        Command::New(args) => new::run(args),
        Command::Check(args) => check::run(args),
        Command::Classes(args) => classes::run(args),
        Command::Fill(args) => fill::run(args),
        Command::Survey(args) => sheet::survey(args),
        Command::Sheet(args) => ended(sheet::run(args)),
        Command::Heights(args) => documents::heights(args),
        Command::Study(args) => ended(study::run(args)),
        Command::Brief(args) => documents::brief(args),
        Command::Reasons(args) => sheet::reasons(args),
        Command::Parts(args) => documents::parts(args),
        Command::Crew(args) => documents::crew(args),
        Command::Calc(args) => calc::run(args),
        #[cfg(feature = "serve")]
        Command::Serve(args) => serve::run(args),
        Command::Sign(args) => sign::run(args),
        Command::Record(args) => ended(record::run(args)),
        Command::People(args) => people::run(args),
        Command::Pin(args) => people::pin(args),
        Command::Backup(args) => backup::run(args),
        Command::Explain { code } => about::explain(code.as_deref()),
        Command::Schema(args) => about::of_files(args),
        Command::Completions(args) => about::completions(args),
        Command::Manual(args) => ended(manual::run(args)),
    }
}

/// Prints every problem found so far; gives how the run ends because of them.
fn complain(loaded: &Loaded) -> End {
    let (end, text) = complaints(loaded);
    output::complain_styled(&text);
    end
}

/// How the run ends because of the problems found so far, and the text of them all.
fn complaints(loaded: &Loaded) -> (End, String) {
    if loaded.report.is_empty() {
        return (End::Done, String::new());
    }
    let report = rules::at_origins(&loaded.report, &loaded.files);
    let text = report::render(&report, &loaded.sources, terminal::look());
    let problems = loaded.report.problems.iter();
    let errors = problems.filter(|problem| problem.severity == Severity::Error);
    let end = errors.map(|problem| End::of(problem.code)).max();
    (end.unwrap_or(End::Done), text)
}

/// Prints a problem for which nothing was done; gives how the run ends.
fn refused(problem: Problem) -> End {
    let mut loaded = Loaded::default();
    loaded.report.push(problem);
    complain(&loaded).max(End::Open)
}

/// The same with all problems of what was asked of a file; those without a place are told of the file as a whole.
fn refused_all(mut loaded: Loaded, problems: Vec<Problem>, file: &Path) -> End {
    let placed = |problem: Problem| match problem.at {
        Some(_) => problem,
        None => problem.at(Place::at(file)),
    };
    loaded.report.extend(problems.into_iter().map(placed));
    complain(&loaded).max(End::Open)
}

/// Prints a text for somebody at a terminal to standard output: clean, and broken to its width.
fn print(text: &str) -> End {
    print_page(&terminal::fit_stdout(&report::in_lines(text)))
}

/// Prints a page, or anything else that another program reads, to standard output as it is.
fn print_page(text: &str) -> End {
    ended(output::print(text).map(|()| End::Done))
}

/// How a run ends that may have failed for a reason.
fn ended(run: Result<End, String>) -> End {
    run.unwrap_or_else(|why| fail(&why))
}

/// Says why a run failed.
fn fail(message: &str) -> End {
    output::complain_styled(&failure(message));
    End::Failed
}

/// The line that says why a run failed.
fn failure(message: &str) -> String {
    terminal::fit_stderr(&report::in_lines(&format!("liftsheet: {message}\n")))
}
