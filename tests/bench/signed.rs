//! A record of 2,000 entries, which no job reaches: one more signed, and its page, each from a cold process against `--version`.

use std::path::Path;
use std::process::{Command, Stdio};

use liftsheet::chain::Chained as _;
use liftsheet::record::{Entry, sha256};
use liftsheet::rules::builtin;

use super::{Budget, Line, least};

const ENTRIES: u64 = 2_000;
const RUNS: usize = 5;
const NOTE: [&str; 9] = [
    "sign",
    "job.yaml",
    "bonnet-open",
    "--by",
    "ash",
    "--act",
    "noted",
    "--note",
    "its strut is weak",
];

pub(super) fn table() -> Vec<Line> {
    let folder = tempfile::tempdir().unwrap();
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    std::fs::write(folder.path().join("job.yaml"), demo.text()).unwrap();
    run(folder.path(), &NOTE);
    let path = folder.path().join("job.record.jsonl");
    let begun = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, grown(begun)).unwrap();
    let version = least(RUNS, || run(folder.path(), &["--version"]));
    let commands: [&[&str]; 2] = [&["record", "job.yaml"], &NOTE];
    let lines = commands.iter().map(|command| Line {
        what: format!(
            "cold process, {} at {ENTRIES} entries : --version",
            command[0]
        ),
        baseline: version,
        measured: least(RUNS, || run(folder.path(), command)),
        unit: "ms",
        budget: Budget::Times(7.0),
    });
    lines.collect()
}

/// The record with its last entry said again, each tied to the one before it, until there are so many.
fn grown(mut record: String) -> String {
    let mut last = record.lines().last().unwrap().to_owned();
    let mut entry: Entry = serde_json::from_str(&last).unwrap();
    while entry.number < ENTRIES {
        entry.tie(entry.number + 1, &sha256(last.as_bytes()));
        entry.seal(sha256(entry.bare(true).as_bytes()));
        last = entry.line();
        record += &format!("{last}\n");
    }
    record
}

fn run(folder: &Path, arguments: &[&str]) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_liftsheet"));
    let status = command
        .args(arguments)
        .env(liftsheet::keys::HOME, folder.join("home"))
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    // Work is open, which `record` says by ending with 1.
    assert!(status.unwrap().code().is_some_and(|code| code <= 1));
}
