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
fn a_thousand_levels_of_indentation() {
    let mut text = String::new();
    for level in 0..1_000 {
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

/// The demo with other links, in the flow style, one for each number.
fn with_links(count: usize, link: impl Fn(usize) -> String) -> String {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let (before, rest) = demo.split_once("\nlinks:\n").unwrap();
    let after = &rest[rest.find("\n\n").unwrap()..];
    let links: Vec<String> = (0..count)
        .map(|number| format!("- {{id: l{number}, {}}}\n", link(number)))
        .collect();
    format!("{before}\nlinks:\n{}{after}", links.concat())
}

/// The same with other body mounts behind its own.
fn with_mounts(count: usize) -> String {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let mounts: Vec<String> = (0..count)
        .map(|number| format!("  - {{id: m{number}, group: tub, at: [{number}, 500, 60]}}\n"))
        .collect();
    demo.replacen("\nmounts:\n", &format!("\nmounts:\n{}", mounts.concat()), 1)
}

/// Runs the program with no more than so many addresses, which is more than its memory; the shell's `ulimit` counts KiB.
#[cfg(unix)]
fn in_little_memory(bench: &Bench, arguments: &str) -> (Option<i32>, String, String) {
    let start = Instant::now();
    let program = crate::support::run::PROGRAM;
    // A sheet of a thousand such links takes less than 128 MiB, and its addresses are handed out in large pieces, beside those of a program that
    // is built for tests; what plans many times over may take twice that.
    let most = match arguments {
        sheet if sheet.starts_with("sheet") => 168 * 1024,
        _ => 256 * 1024,
    };
    let line = format!("ulimit -v {most} && exec '{program}' {arguments}");
    let output = std::process::Command::new("sh")
        .args(["-c", &line])
        .current_dir(bench.path())
        .env(bench.home().0, bench.home().1)
        .output()
        .unwrap();
    assert!(
        start.elapsed() < 3 * PATIENCE,
        "{arguments} took {:?}",
        start.elapsed()
    );
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[cfg(unix)]
#[test]
fn a_thousand_links_that_lack_the_same_values_fit_into_little_memory() {
    let lever = |_| "class: gear-lever, ends: [gearbox, floor]".to_owned();
    let bench = Bench::new().file("job.yaml", with_links(1_000, lever));
    let (code, _, complaint) = in_little_memory(&bench, "check job.yaml");
    assert_eq!(code, Some(0), "{complaint}");
}

#[cfg(unix)]
#[test]
fn links_that_all_lack_values_in_situations_of_their_own_end_with_a_plain_sentence() {
    let lever = |number: usize| {
        format!(
            "class: gear-lever, ends: [{{part: gearbox, at: [{number}, 0, 0]}}, {{part: floor, at: [0, 0, 9]}}]"
        )
    };
    let bench = Bench::new().file("job.yaml", with_links(600, lever));
    let (code, page, complaint) = in_little_memory(&bench, "survey job.yaml");
    assert_eq!(code, Some(0), "{complaint}");
    assert!(page.contains("not worked out, because this job lacks too many different values"));
    // What came up first is worked out.
    assert!(page.contains("or more: "));
}

#[cfg(unix)]
#[test]
fn a_thousand_measured_links_fit_into_little_memory_in_every_format() {
    let two_tasks = |number: usize| {
        format!(
            "class: heater-hoses, ends: [heater, engine], held_by: none, measured: {{slack: {} mm, sound: yes}}",
            60 + number % 40
        )
    };
    // Each task of a slot waits for all that the slot before ends with: a million pairs.
    let five_tasks = |number: usize| {
        format!(
            "class: radiator-hoses, ends: [radiator, engine], held_by: none, \
             measured: {{overlap: {} mm, slide: 0 mm, flexible: yes, plan: 342 mm, level: 20 mm, stuck: no}}",
            32 + number % 4
        )
    };
    for job in [with_links(1_000, two_tasks), with_links(1_000, five_tasks)] {
        let bench = Bench::new().file("job.yaml", job);
        for format in ["md", "html", "json"] {
            let (code, page, complaint) =
                in_little_memory(&bench, &format!("sheet job.yaml --format {format}"));
            assert!(
                code.is_some_and(|code| [0, 1, 3].contains(&code)),
                "{format}: {complaint}"
            );
            assert!(page.len() > 100_000, "{format}: {} bytes", page.len());
        }
    }
}

#[cfg(unix)]
#[test]
fn more_than_any_vehicle_has_is_refused_with_the_limit() {
    let many = |count: usize| ["floor", "engine"].repeat(count).join(", ");
    let hose = "class: heater-hoses, ends: [heater, engine]";
    let held = |links, count| with_links(links, |_| format!("{hose}, held_by: [{}]", many(count)));
    let key = |number| format!("k{number}: {{a: 1}}");
    let keys: Vec<String> = (0..21).map(key).collect();
    let entries = with_links(1, |_| {
        format!("{hose}, measured: {{slack: {{{}}}}}", keys.join(", "))
    });
    let parts: Vec<String> = (0..2_001)
        .map(|number| format!("  part{number}: {{fixed_to: chassis}}\n"))
        .collect();
    let people: Vec<String> = (0..201)
        .map(|number| format!("  - {{id: p{number}, name: P, roles: fitter}}\n"))
        .collect();
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let people = demo.replacen("\npeople:\n", &format!("\npeople:\n{}", people.concat()), 1);
    let parts = demo.replacen("\nparts:\n", &format!("\nparts:\n{}", parts.concat()), 1);
    for (text, limit) in [
        (with_mounts(201), "at most 200"),
        (with_links(1_001, |_| hose.to_owned()), "at most 1000"),
        (parts, "at most 2000"),
        (held(1, 26), "at most 50"),
        (held(41, 25), "at most 2000"),
        (entries, "at most 20"),
        (people, "at most 200"),
    ] {
        let bench = Bench::new().file("job.yaml", text);
        let (code, _, complaint) = in_little_memory(&bench, "check job.yaml");
        assert_eq!(code, Some(1), "{complaint}");
        assert!(
            complaint.contains("error[too-many]") && complaint.contains(limit),
            "{complaint}"
        );
    }
}

#[cfg(unix)]
#[test]
fn what_tries_many_heights_or_schedules_is_refused_for_a_thousand_links() {
    let strap = |_| {
        "class: heater-hoses, ends: [heater, engine], held_by: none, measured: {slack: 60 mm, sound: yes}".to_owned()
    };
    let bench = Bench::new().file("job.yaml", with_links(1_000, strap));
    for command in ["heights", "crew"] {
        let (code, page, complaint) = in_little_memory(&bench, &format!("{command} job.yaml"));
        assert_eq!(
            (code, page.as_str()),
            (Some(1), ""),
            "{command}: {complaint}"
        );
        assert!(
            complaint.contains("error[too-many]") && complaint.contains("at most"),
            "{complaint}"
        );
    }
}

/// What is not measured is asked for link by link.
#[cfg(unix)]
#[test]
fn a_thousand_unmeasured_links_fit_into_little_memory_in_every_format() {
    let lever = |_| "class: gear-lever, ends: [gearbox, floor], held_by: none".to_owned();
    let bench = Bench::new().file("job.yaml", with_links(1_000, lever));
    for arguments in [
        "sheet job.yaml --format html",
        "survey job.yaml --format html",
    ] {
        let (code, page, complaint) = in_little_memory(&bench, arguments);
        assert!(
            code.is_some_and(|code| [0, 1, 3].contains(&code)),
            "{arguments}: {complaint}"
        );
        assert!(page.len() > 200_000, "{arguments}: {} bytes", page.len());
    }
}

/// Texts, values and files beyond what anybody writes are refused before they are worked on, each with its limit.
#[cfg(unix)]
#[test]
fn what_is_longer_than_anybody_writes_is_refused_with_the_limit() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let named = |length: usize| {
        let (_, rest) = demo.split_once("\njob: ").unwrap();
        let rest = &rest[rest.find('\n').unwrap()..];
        format!("job: {}{rest}", "x".repeat(length))
    };
    let accepted = Bench::new().file("job.yaml", named(4_000));
    accepted.run(["check", "job.yaml"]).code(0);
    let values = format!("{demo}\nmore: [{}]\n", "1,".repeat(100_000));
    let large = format!("{demo}\n#{}\n", "x".repeat(2 << 20));
    for (text, limit) in [
        (
            named(4_001),
            "this text has 4001 bytes; at most 4000 are read",
        ),
        (values, "more than 100000 values"),
        (large, "larger than 2 MiB"),
    ] {
        let bench = Bench::new().file("job.yaml", text);
        let (code, _, complaint) = in_little_memory(&bench, "check job.yaml");
        assert_eq!(code, Some(1), "{complaint}");
        assert!(
            complaint.contains("error[too-large]") && complaint.contains(limit),
            "{complaint}"
        );
    }
}
