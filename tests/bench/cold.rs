//! One sheet, and each other command, from a cold process against the same program's `--version`: time, and peak of resident memory.

use std::process::{Command, Stdio};

use super::{least, line, peak};

const RUNS: usize = 60;
const FEW: usize = 5;

/// What else a cold process is asked for of the demos, and how many times as long as `--version` it may take: by instructions as many times
/// a sheet's as this is of a sheet's 3.
const OTHERS: [(&str, f64); 6] = [
    ("survey", 5.5),
    ("brief", 7.0),
    ("study", 9.0),
    ("crew", 23.0),
    ("check", 32.0),
    ("heights", 42.0),
];

pub(super) fn table() {
    let version = least(RUNS, || run(&["--version"]));
    for format in ["md", "html"] {
        let sheet = least(RUNS, || run(&["sheet", "--format", format]));
        line(
            &format!("cold process, sheet as {format} : --version"),
            version,
            sheet,
            "ms",
            "3",
        );
    }
    let measured = |(command, budget)| (least(FEW, || run(&[command])), command, budget);
    let mut others = OTHERS.map(measured);
    // Those furthest beyond their budget first.
    others.sort_by(|one, other| (other.0 / other.2).total_cmp(&(one.0 / one.2)));
    for (time, command, budget) in others {
        let what = format!("cold process, {command} : --version");
        line(&what, version, time, "ms", &budget.to_string());
    }
    for format in ["md", "html"] {
        let (baseline, sheet) = (
            peak_of(&["--version"]),
            peak_of(&["sheet", "--format", format]),
        );
        line(
            &format!("resident memory, sheet as {format} : --version"),
            baseline,
            sheet,
            "MB",
            "16 MB",
        );
    }
}

fn run(arguments: &[&str]) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_liftsheet"));
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
