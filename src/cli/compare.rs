//! `record --compare`: the first line in which two copies of a record differ.
//!
//! Takes two records, or the job files beside which they stand; says what each has there. Neither is verified, so that a broken one can be
//! compared with a whole one.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::{End, fail, print, refused};
use crate::record;
use crate::report::{Problem, in_message, numbered};

pub(super) fn run(one: &Path, other: &Path) -> End {
    match read(one).and_then(|one| Ok((one, read(other)?))) {
        Ok((one, other)) => told(&one, &other),
        Err(end) => end,
    }
}

/// A record's place and its bytes; what stands in the way is said.
fn read(path: &Path) -> Result<(PathBuf, Vec<u8>), End> {
    let path = record_of(path).map_err(refused)?;
    match std::fs::read(&path) {
        Ok(bytes) => Ok((path, bytes)),
        Err(error) => Err(fail(&format!("{}: {error}", path.display()))),
    }
}

/// A record is named by its job file, or by itself.
fn record_of(path: &Path) -> Result<PathBuf, Problem> {
    let ending = path.extension().and_then(|ending| ending.to_str());
    match ending {
        Some("yaml" | "yml") => record::place_of(path),
        _ => Ok(path.to_owned()),
    }
}

fn told((one, first): &(PathBuf, Vec<u8>), (other, second): &(PathBuf, Vec<u8>)) -> End {
    let (first, second) = (lines(first), lines(second));
    let same = first
        .iter()
        .zip(&second)
        .take_while(|(a, b)| a == b)
        .count();
    let names = [one, other].map(|path| in_message(&path.display().to_string()));
    let [one, other] = &names;
    let text = match (first.get(same), second.get(same)) {
        (None, None) => {
            print(&format!(
                "{} in both, each the same\n",
                numbered(same, "line")
            ));
            return End::Done;
        }
        (Some(_), None) => more((one, other), same, first.len()),
        (None, Some(_)) => more((other, one), same, second.len()),
        (Some(a), Some(b)) => format!(
            "line {} is the first that differs\n  in {one}: {}\n  in {other}: {}\n",
            same + 1,
            says(a),
            says(b)
        ),
    };
    print(&text).max(End::Open)
}

fn more((longer, shorter): (&str, &str), same: usize, all: usize) -> String {
    let more = numbered(all - same, "line");
    format!(
        "line {} is the first that differs: {longer} has {more} more, and {shorter} ends after line {same}\n",
        same + 1
    )
}

fn lines(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|byte| *byte == b'\n').collect()
}

/// What a line says, as far as it can be read.
fn says(line: &[u8]) -> String {
    let Ok(entry) = serde_json::from_slice::<Value>(line) else {
        return format!("{} bytes that are no entry", line.len());
    };
    let text = |key: &str| in_message(entry.get(key).and_then(Value::as_str).unwrap_or_default());
    let what = [text("task"), text("act")];
    let what: Vec<String> = what.into_iter().filter(|word| !word.is_empty()).collect();
    format!("{} by {}, {}", what.join(" "), text("person"), text("time"))
}
