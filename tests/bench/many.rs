//! Many jobs in one call on one core against the same call on all of them.
//!
//! `taskset` holds the baseline to one core. Where there is none, the baseline is a call for each job, one after the other.

use std::path::Path;
use std::process::{Command, Stdio};

use super::{Budget, Line, least, vehicle};

const PROGRAM: &str = env!("CARGO_BIN_EXE_liftsheet");
const JOBS: usize = 24;
const RUNS: usize = 5;

pub(super) fn table() -> Vec<Line> {
    let folder = tempfile::tempdir().unwrap();
    let names: Vec<String> = (0..JOBS).map(|number| format!("j{number}.yaml")).collect();
    for name in &names {
        std::fs::write(folder.path().join(name), vehicle::job(200)).unwrap();
    }
    let held = Command::new("taskset").arg("--version").output().is_ok();
    let on_one = least(RUNS, || {
        if held {
            let mut command = Command::new("taskset");
            command.args(["-c", "0", PROGRAM]);
            sheet(command, folder.path(), &names);
        } else {
            for name in &names {
                sheet(
                    Command::new(PROGRAM),
                    folder.path(),
                    std::slice::from_ref(name),
                );
            }
        }
    });
    let on_all = least(RUNS, || sheet(Command::new(PROGRAM), folder.path(), &names));
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    vec![Line {
        what: format!("{JOBS} jobs, all {cores} cores : one core (× faster)"),
        baseline: on_all,
        measured: on_one,
        unit: "ms",
        budget: Budget::AtLeast(1.8),
    }]
}

fn sheet(mut command: Command, folder: &Path, jobs: &[String]) {
    let command = command
        .current_dir(folder)
        .arg("sheet")
        .args(jobs)
        .args(["-o", "out/"]);
    let status = command.stderr(Stdio::null()).status().unwrap();
    assert!(status.code().is_some_and(|code| code != 2));
}
