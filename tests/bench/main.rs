//! `cargo bench`: each budget of DEVELOPERS.md as a ratio against a baseline of the same run, so that it holds on any machine.
//!
//! Times are the least of several, since other work on the machine only ever adds to them. Where memory counts, this program calls
//! itself, runs one thing and reads its own peak from `/proc`, so that no measurement sees another's memory.

// What measures prints its table, and fails by panicking.
#![allow(
    clippy::cast_precision_loss,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used
)]

mod cold;
mod links;
mod many;
mod page;
mod served;
mod vehicle;

use std::time::{Duration, Instant};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [what, rest @ ..] if what == "run" => cold::child(rest),
        [what, count] if what == "links" => links::child(count.parse().unwrap()),
        [what, format] if what == "worst" => links::worst(format),
        _ => {
            println!(
                "{:<58} {:>12} {:>12} {:>8} {:>8}",
                "", "baseline", "measured", "ratio", "budget"
            );
            cold::table();
            page::table();
            links::table();
            many::table();
            served::table();
        }
    }
}

/// One line of the table.
fn line(what: &str, baseline: f64, measured: f64, unit: &str, budget: &str) {
    let ratio = measured / baseline;
    println!(
        "{what:<58} {baseline:>9.2} {unit:<2} {measured:>9.2} {unit:<2} {ratio:>7.2}× {budget:>8}"
    );
}

/// The least time of several runs, in milliseconds.
fn least(runs: usize, mut run: impl FnMut()) -> f64 {
    let time = |()| {
        let start = Instant::now();
        run();
        start.elapsed()
    };
    let times = std::iter::repeat_n((), runs).map(time);
    times
        .min()
        .map_or(0.0, |least: Duration| least.as_secs_f64() * 1e3)
}

/// This process's peak of resident memory, in MiB; none where there is no `/proc`.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kib / 1024.0)
}
