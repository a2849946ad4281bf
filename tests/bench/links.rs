//! Vehicles of 1,000, 10,000 and 100,000 links, from the text of the job to its page: time and peak memory for each link, which may
//! grow with the logarithm of their number at most. And the worst megabyte: ten thousand levers of which nothing was measured.

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
    for format in ["md", "html", "json"] {
        line(
            &format!("unmeasured levers as {format} : their job file"),
            vehicle::levers().len() as f64 / f64::from(1 << 20),
            told(&["megabyte", format])[0],
            "MB",
            "256 MB",
        );
    }
}

/// Microseconds and KiB for each link.
fn measured(count: usize) -> (f64, f64) {
    let numbers = told(&["links", &count.to_string()]);
    (numbers[0], numbers[1])
}

/// The numbers that this program prints when it is called so.
fn told(arguments: &[&str]) -> Vec<f64> {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let output = command.args(arguments).output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let words = said.split_whitespace();
    words.map(|word| word.parse().unwrap()).collect()
}

/// Says what memory the sheet of the worst megabyte takes, the program included.
pub(super) fn megabyte(format: &str) {
    let folder = tempfile::tempdir().unwrap();
    let (job, page) = (folder.path().join("job.yaml"), folder.path().join("page"));
    std::fs::write(&job, vehicle::levers()).unwrap();
    let arguments = [
        "liftsheet".into(),
        "sheet".into(),
        job.into(),
        "--format".into(),
        format.into(),
        "-o".into(),
        page.clone().into(),
    ];
    liftsheet::cli::run(arguments);
    assert!(std::fs::metadata(page).unwrap().len() > 1 << 20);
    println!("{}", peak().unwrap_or(f64::NAN));
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
