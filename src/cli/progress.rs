//! How many of many jobs are done, on one line that is drawn over: only on a terminal that can do so.
//!
//! Takes counts; draws to standard error. Where that is a file, or a terminal that knows no control codes, it draws nothing.

use std::env;
use std::io::{self, IsTerminal as _};

use super::output;

/// Signs between the brackets: the line fits into 40 columns.
const WIDTH: usize = 16;

/// A line of progress.
pub(super) struct Progress {
    count: usize,
    draws: bool,
    drawn: bool,
}

impl Progress {
    /// For so many jobs.
    pub(super) fn new(count: usize) -> Self {
        let able = env::var_os("TERM").is_some_and(|kind| !kind.is_empty() && kind != "dumb");
        Self {
            count,
            draws: able && io::stderr().is_terminal(),
            drawn: false,
        }
    }

    /// Draws the line anew.
    pub(super) fn show(&mut self, done: usize) {
        if self.draws {
            output::draw(&format!("\r{}", line(done, self.count)));
            self.drawn = true;
        }
    }

    /// Takes the line away, so that something else can be printed.
    pub(super) fn clear(&mut self) {
        if self.drawn {
            output::draw("\r\u{1b}[K");
            self.drawn = false;
        }
    }
}

/// `[#####-----] 5 of 10 jobs`.
fn line(done: usize, count: usize) -> String {
    let full = (done * WIDTH).checked_div(count).unwrap_or_default();
    let full = full.min(WIDTH);
    let bar = "#".repeat(full) + &"-".repeat(WIDTH - full);
    format!("[{bar}] {done} of {count} jobs")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_fills_from_left_to_right() {
        assert_eq!(line(0, 2), format!("[{}] 0 of 2 jobs", "-".repeat(16)));
        let half = format!("[{}{}] 1 of 2 jobs", "#".repeat(8), "-".repeat(8));
        assert_eq!(line(1, 2), half);
        assert_eq!(line(2, 2), format!("[{}] 2 of 2 jobs", "#".repeat(16)));
    }
}
