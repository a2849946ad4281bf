//! Vehicles of 50 and of 1,000 links, the most that there may be, from the text of the job to its page: time and peak memory for each
//! link, which may grow with the logarithm of their number at most. And the worst job of the permitted size: levers of which nothing was
//! measured, and as many mounts as there may be.

use std::process::Command;
use std::time::Instant;

use super::{Budget, Line, peak, vehicle};

pub(super) fn table() -> Vec<Line> {
    let [small, large] = [50, 1_000].map(measured);
    let each = |what: &str, baseline, measured, unit| Line {
        what: format!("each of 1,000 links : each of 50, {what}"),
        baseline,
        measured,
        unit,
        budget: Budget::Times(2.0),
    };
    let mut lines = vec![
        each("time", small.0, large.0, "µs"),
        each("memory", small.1, large.1, "kB"),
    ];
    let size = vehicle::worst().len() as f64 / f64::from(1 << 20);
    for format in ["md", "html", "json"] {
        let worst = told(&["worst", format]);
        for (baseline, measured, unit, most) in
            [(size, worst[1], "MB", 128.0), (0.0, worst[0], "s", 2.0)]
        {
            lines.push(Line {
                what: format!("the largest job as {format} : its file"),
                baseline,
                measured,
                unit,
                budget: Budget::Most(most),
            });
        }
    }
    lines
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
    // The sheet says before that where it was written.
    let words = said.lines().last().unwrap_or_default().split_whitespace();
    words.map(|word| word.parse().unwrap()).collect()
}

/// Says what time and memory the sheet of the worst job takes, the program included.
pub(super) fn worst(format: &str) {
    let (time, _) = sheet(&vehicle::worst(), format);
    println!("{time} {}", peak().unwrap_or(f64::NAN));
}

pub(super) fn child(count: usize) {
    let before = peak().unwrap_or(f64::NAN);
    let (time, length) = sheet(&vehicle::job(count), "md");
    let time = time * 1e6 / count as f64;
    let memory = (peak().unwrap_or(f64::NAN) - before) * 1024.0 / count as f64;
    assert!(length > 100 * count as u64);
    println!("{time} {memory}");
}

/// Makes a sheet; gives the seconds that it took and the bytes that it has.
fn sheet(text: &str, format: &str) -> (f64, u64) {
    let folder = tempfile::tempdir().unwrap();
    let (job, page) = (folder.path().join("job.yaml"), folder.path().join("page"));
    std::fs::write(&job, text).unwrap();
    let start = Instant::now();
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
    let seconds = start.elapsed().as_secs_f64();
    (seconds, std::fs::metadata(page).unwrap().len())
}
