//! One sheet, and each other command, from a cold process against the same program's `--version`: time, and peak of resident memory. And
//! how large the program is.

use std::process::{Command, Stdio};

use super::{Budget, Line, least, peak};

const PROGRAM: &str = env!("CARGO_BIN_EXE_liftsheet");
const RUNS: usize = 60;
const FEW: usize = 5;

/// What a cold process is asked for of the demos, and how many times as long as `--version` it may take: by instructions as many times
/// a sheet's as this is of a sheet's 3.
const COMMANDS: [(&[&str], usize, f64); 8] = [
    (&["sheet", "--format", "md"], RUNS, 3.0),
    (&["sheet", "--format", "html"], RUNS, 4.5),
    (&["survey"], FEW, 5.5),
    (&["brief"], FEW, 7.0),
    (&["study"], FEW, 9.0),
    (&["crew"], FEW, 23.0),
    (&["check"], FEW, 32.0),
    (&["heights"], FEW, 42.0),
];
/// What memory, MiB, some of them may take.
const MEMORY: [(&[&str], f64); 3] = [
    (&["sheet", "--format", "md"], 15.0),
    (&["sheet", "--format", "html"], 15.0),
    (&["heights"], 24.0),
];
/// How large the program may be, MiB, without the workshop's page.
const LARGEST: f64 = 8.0;

pub(super) fn table() -> Vec<Line> {
    let version = least(RUNS, || run(&["--version"]));
    let times = COMMANDS.iter().map(|(command, runs, budget)| Line {
        what: format!("cold process, {} : --version", command.join(" ")),
        baseline: version,
        measured: least(*runs, || run(command)),
        unit: "ms",
        budget: Budget::Times(*budget),
    });
    let alone = peak_of(&["--version"]);
    let memory = MEMORY.iter().map(|(command, most)| Line {
        what: format!("resident memory, {} : --version", command.join(" ")),
        baseline: alone,
        measured: peak_of(command),
        unit: "MB",
        budget: Budget::Most(*most),
    });
    let bytes = std::fs::metadata(PROGRAM).unwrap().len() as f64;
    let size = Line {
        what: "the program : its budget without the workshop's page".to_owned(),
        baseline: LARGEST,
        measured: bytes / f64::from(1 << 20),
        unit: "MB",
        budget: if cfg!(feature = "serve") {
            Budget::None
        } else {
            Budget::Most(LARGEST)
        },
    };
    times.chain(memory).chain([size]).collect()
}

fn run(arguments: &[&str]) {
    let mut command = Command::new(PROGRAM);
    let status = command
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    assert!(status.unwrap().success());
}

fn peak_of(arguments: &[&str]) -> f64 {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let output = command.arg("run").args(arguments).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    said.trim().parse().unwrap_or(f64::NAN)
}

/// Runs the command line in this process, as the program does, and says on standard error what memory it took at most.
pub(super) fn child(arguments: &[String]) {
    let name = ["liftsheet".to_owned()];
    let arguments = name.iter().chain(arguments).map(Into::into);
    liftsheet::cli::run(arguments);
    say(&mut std::io::stderr(), peak());
}

fn say(out: &mut impl std::io::Write, number: Option<f64>) {
    write!(out, "{}", number.unwrap_or(f64::NAN)).unwrap();
}
