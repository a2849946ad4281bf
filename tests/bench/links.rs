//! Vehicles of 1,000, 10,000 and 100,000 links, from the text of the job to its page: time and peak memory for each link, which may
//! grow with the logarithm of their number at most.

use std::process::Command;
use std::time::Instant;

use super::{line, peak, vehicle};

pub(super) fn table() {
    let [small, middle, large] = [1_000, 10_000, 100_000].map(measured);
    for (count, (time, memory)) in [("10,000", middle), ("100,000", large)] {
        line(
            &format!("each of {count} links : each of 1,000, time"),
            small.0,
            time,
            "µs",
            "2",
        );
        line(
            &format!("each of {count} links : each of 1,000, memory"),
            small.1,
            memory,
            "kB",
            "2",
        );
    }
}

/// Microseconds and KiB for each link.
fn measured(count: usize) -> (f64, f64) {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let output = command
        .args(["links", &count.to_string()])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let numbers: Vec<f64> = said
        .split_whitespace()
        .map(|word| word.parse().unwrap())
        .collect();
    (numbers[0], numbers[1])
}

pub(super) fn child(count: usize) {
    let folder = tempfile::tempdir().unwrap();
    let (job, page) = (
        folder.path().join("job.yaml"),
        folder.path().join("page.md"),
    );
    std::fs::write(&job, vehicle::job(count)).unwrap();
    let before = peak().unwrap_or(f64::NAN);
    let start = Instant::now();
    let arguments = [
        "liftsheet".into(),
        "sheet".into(),
        job.into(),
        "-o".into(),
        page.clone().into(),
    ];
    liftsheet::cli::run(arguments);
    let time = start.elapsed().as_secs_f64() * 1e6 / count as f64;
    let memory = (peak().unwrap_or(f64::NAN) - before) * 1024.0 / count as f64;
    assert!(std::fs::metadata(page).unwrap().len() > 100 * count as u64);
    println!("{time} {memory}");
}
