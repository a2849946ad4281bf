//! Files that do harm: too large, too deep, growing without end, not text, not there. Each is refused with a clear problem and
//! exit code 2, without a panic and in bounded time.

use std::time::{Duration, Instant};

use crate::errors::snapshot;
use crate::support::run::{Bench, Outcome};

/// The kept texts of this file's cases.
pub(crate) const NAMES: &[&str] = &[
    "unreadable-file",
    "unreadable-file-rules",
    "too-large",
    "too-deep-flow",
    "too-deep-block",
    "too-many-problems",
];

/// Far above what any of these takes, and far below what the harm would take.
const PATIENCE: Duration = Duration::from_secs(20);

/// Checks a file named `job.yaml` and keeps what is said.
fn refused(name: &str, text: impl AsRef<[u8]>) -> Outcome {
    let bench = Bench::new().file("job.yaml", text);
    let start = Instant::now();
    let outcome = bench.run(["check", "job.yaml"]).failed();
    assert!(
        start.elapsed() < PATIENCE,
        "{name} took {:?}",
        start.elapsed()
    );
    assert!(NAMES.contains(&name));
    snapshot(name, &outcome.stderr);
    outcome
}

#[test]
fn ten_thousand_brackets() {
    refused(
        "too-deep-flow",
        format!("job: {}{}", "[".repeat(10_000), "]".repeat(10_000)),
    );
}

#[test]
fn ten_thousand_levels_of_indentation() {
    let mut text = String::new();
    for level in 0..10_000 {
        text.push_str(&" ".repeat(level));
        text.push_str("a:\n");
    }
    refused("too-deep-block", text);
}

#[test]
fn ten_thousand_dashes_in_a_line() {
    let bench = Bench::new().file("job.yaml", "- ".repeat(10_000));
    bench
        .run(["check", "job.yaml"])
        .failed()
        .complains("error[too-deep]");
}

#[test]
fn seventy_megabytes() {
    refused(
        "too-large",
        "# as long as a novel\n".repeat(70 * 1024 * 1024 / 21 + 1),
    );
}

#[test]
fn seventy_megabytes_through_a_pipe() {
    let text = "# as long as a novel\n".repeat(70 * 1024 * 1024 / 21 + 1);
    let bench = Bench::new();
    bench
        .call(["check", "-"])
        .stdin(text)
        .run()
        .failed()
        .complains("error[too-large]");
}

#[test]
fn a_thousand_mistakes() {
    let fields: Vec<String> = (0..1000).map(|n| format!("    wrong{n}: 1\n")).collect();
    let fields = fields.concat();
    let bench = Bench::new().file(
        "job.yaml",
        format!("job: Many\nparts:\n  engine:\n{fields}"),
    );
    let outcome = bench.run(["check", "job.yaml"]).failed();
    assert_eq!(outcome.stderr.matches("error[unknown-field]").count(), 100);
    let blocks = outcome
        .stderr
        .split("\n\n")
        .filter(|block| !block.starts_with("error[unknown-field]"));
    snapshot(
        "too-many-problems",
        &blocks.collect::<Vec<_>>().join("\n\n"),
    );
}

#[test]
fn a_file_that_is_not_there() {
    let outcome = Bench::new().run(["check", "no-such-job.yaml"]).failed();
    snapshot("unreadable-file", &outcome.stderr);
}

#[test]
fn a_folder_of_rules_that_is_not_there() {
    let outcome = Bench::new()
        .run(["sheet", "--rules", "no-such-rules"])
        .failed();
    snapshot("unreadable-file-rules", &outcome.stderr);
}

#[test]
fn bytes_that_mean_nothing() {
    // Every byte once, then again in reverse: not UTF-8, not YAML.
    let bytes: Vec<u8> = (0..=255_u8).chain((0..=255).rev()).collect();
    let bench = Bench::new().file("job.yaml", &bytes);
    bench
        .run(["check", "job.yaml"])
        .failed()
        .complains("error[not-utf8]");
    bench
        .call(["check", "-"])
        .stdin(&bytes)
        .run()
        .failed()
        .complains("<stdin>");
}

#[test]
fn a_long_line_is_shown_in_part() {
    let bench = Bench::new().file(
        "job.yaml",
        format!("job: {}\nlinks: 5\n", "x".repeat(1_000_000)),
    );
    let outcome = bench.run(["check", "job.yaml"]).failed();
    assert!(
        outcome.stderr.len() < 20_000,
        "{} bytes of complaint",
        outcome.stderr.len()
    );
}

#[test]
fn a_hostile_name_does_not_reach_the_terminal() {
    let bench = Bench::new().file(
        "job.yaml",
        "job: \"\\e]0;owned\\a\"\nvehicle: \"\\e[2Jgone\"\n",
    );
    let outcome = bench.run(["check", "job.yaml"]).failed();
    assert!(!outcome.stderr.contains('\u{1b}'), "{:?}", outcome.stderr);
}

#[test]
fn an_alias_bomb_is_refused_at_once() {
    let line = |n: usize| {
        let before = n.checked_sub(1).map_or("a".to_owned(), |n| format!("b{n}"));
        format!("b{n}: &b{n} [*{before}, *{before}]\n")
    };
    let lines: Vec<String> = (0..60).map(line).collect();
    let text = format!("a: &a [lol, lol]\n{}", lines.concat());
    let start = Instant::now();
    let bench = Bench::new().file("job.yaml", text);
    bench
        .run(["check", "job.yaml"])
        .failed()
        .complains("error[alias-bomb]");
    assert!(start.elapsed() < PATIENCE);
}
