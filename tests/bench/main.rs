//! `cargo bench`: each budget of DEVELOPERS.md as a ratio against a baseline of the same run, so that it holds on any machine.
//!
//! Times are the least of several, since other work on the machine only ever adds to them. Where memory counts, this program calls
//! itself, runs one thing and reads its own peak from `/proc`, so that no measurement sees another's memory. What misses its budget is
//! printed first, the furthest beyond it before all.

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
mod signed;
mod vehicle;

use std::time::{Duration, Instant};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [what, rest @ ..] if what == "run" => cold::child(rest),
        [what, count] if what == "links" => links::child(count.parse().unwrap()),
        [what, format] if what == "worst" => links::worst(format),
        _ => {
            let tables = [
                cold::table,
                page::table,
                links::table,
                many::table,
                signed::table,
                served::table,
            ];
            let mut lines: Vec<Line> = tables.iter().flat_map(|table| table()).collect();
            lines.sort_by(|one, other| other.beyond().total_cmp(&one.beyond()));
            print(&lines);
        }
    }
}

/// What a measurement may come to at most, or must come to at least.
enum Budget {
    /// So many times the baseline.
    Times(f64),
    /// So many times the baseline, or more.
    AtLeast(f64),
    /// So much, whatever the baseline is.
    Most(f64),
    /// Whatever it comes to.
    None,
}

/// One line of the table.
struct Line {
    what: String,
    baseline: f64,
    measured: f64,
    unit: &'static str,
    budget: Budget,
}

impl Line {
    /// How many times its budget it takes; at most 1 where it keeps it.
    fn beyond(&self) -> f64 {
        match self.budget {
            Budget::Times(most) => self.measured / self.baseline / most,
            Budget::AtLeast(least) => least / (self.measured / self.baseline),
            Budget::Most(most) => self.measured / most,
            Budget::None => 0.0,
        }
    }

    fn budget(&self) -> String {
        match self.budget {
            Budget::Times(most) => format!("{most} ×"),
            Budget::AtLeast(least) => format!("≥ {least} ×"),
            Budget::Most(most) => format!("{most} {}", self.unit),
            Budget::None => String::new(),
        }
    }
}

fn print(lines: &[Line]) {
    let missed = lines.iter().filter(|line| line.beyond() > 1.0).count();
    println!(
        "{missed} of {} miss their budget, and stand first",
        lines.len()
    );
    println!(
        "{:<66} {:>12} {:>12} {:>8} {:>8}",
        "", "baseline", "measured", "ratio", "budget"
    );
    for line in lines {
        let Line {
            what,
            baseline,
            measured,
            unit,
            ..
        } = line;
        let (ratio, budget) = (measured / baseline, line.budget());
        println!(
            "{what:<66} {baseline:>9.2} {unit:<2} {measured:>9.2} {unit:<2} {ratio:>7.2}× {budget:>8}"
        );
    }
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
