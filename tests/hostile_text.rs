//! Text made to act on a terminal: in job files, in file names, on the command line. Whatever is printed shows it and does not pass it on.

use clap::Arg;
use serde_json::Value;

use crate::support::commands::{bench, demo, filled, small};
use crate::support::run::{Bench, Outcome};

/// Recolours, clears, rings, reads backwards, and begins a new line; C0, C1 and direction marks.
const HOSTILE: &str = "x\u{1b}[31m\u{1b}]0;owned\u{7}\u{9b}2J\u{202e}\u{2066}y";

#[track_caller]
fn shows(outcome: &Outcome, what: &str) {
    for (stream, text) in [("stdout", &outcome.stdout), ("stderr", &outcome.stderr)] {
        let acts = |c: char| liftsheet::report::is_unsafe_to_print(c) && c != '\n';
        let found = text.chars().position(acts);
        if let Some(at) = found {
            let near: String = text.chars().skip(at.saturating_sub(60)).take(90).collect();
            panic!("{what}: {stream} passes on {near:?}");
        }
        assert!(!text.contains("panicked"), "{what}: {text}");
    }
}

/// The demo with hostile words in every text that somebody may choose freely.
fn hostile_job() -> String {
    let mut job: Value = serde_yaml::from_str(&demo()).unwrap();
    let spoilt = spoil(&mut job);
    assert!(spoilt > 20, "{spoilt}");
    ascii(&serde_json::to_string(&job).unwrap())
}

/// JSON in which every sign beyond ASCII is written as its number, since YAML allows not all of them as they are.
fn ascii(json: &str) -> String {
    let mut out = String::new();
    for c in json.chars() {
        if c.is_ascii() {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut [0; 2]) {
                out.push_str(&format!("\\u{unit:04x}"));
            }
        }
    }
    out
}

fn spoil(value: &mut Value) -> usize {
    const FREE: [&str; 5] = ["job", "note", "name", "title", "identification"];
    match value {
        Value::Object(map) => map
            .iter_mut()
            .map(|(key, value)| match value {
                Value::String(text) if FREE.contains(&key.as_str()) => {
                    text.push_str(HOSTILE);
                    1
                }
                other => spoil(other),
            })
            .sum(),
        Value::Array(list) => list.iter_mut().map(spoil).sum(),
        _ => 0,
    }
}

/// The formats that a command takes; without one it gives one of them. None where it takes none.
fn formats(command: &clap::Command) -> Vec<Vec<String>> {
    let format = command
        .get_arguments()
        .find(|argument| argument.get_id() == "format");
    let formats = format.map(Arg::get_possible_values).unwrap_or_default();
    let formats = formats.iter().filter(|format| !format.is_hide_set());
    let named = formats.map(|format| vec!["--format".to_owned(), format.get_name().to_owned()]);
    let named: Vec<Vec<String>> = named.collect();
    if named.is_empty() {
        vec![Vec::new()]
    } else {
        named
    }
}

#[test]
fn a_job_file_cannot_act_on_the_terminal() {
    let job = hostile_job();
    for called in filled() {
        for format in formats(&called.command) {
            let bench = Bench::new().file("job.yaml", &job);
            let more: Vec<&str> = format.iter().map(String::as_str).collect();
            let outcome = bench.call(called.and(&more).words()).run();
            assert!(
                matches!(outcome.code, Some(0 | 1)),
                "{:?}: {}",
                called.words,
                outcome.stderr
            );
            shows(&outcome, &format!("{:?} {format:?}", called.words));
        }
    }
}

#[test]
fn a_record_cannot_act_on_the_terminal() {
    let bench = Bench::new().file("job.yaml", hostile_job());
    let sign = bench.call([
        "sign",
        "job.yaml",
        "chock-wheels",
        "--by",
        "ash",
        "--act",
        "noted",
        "--note",
    ]);
    let sign = sign.arg(HOSTILE).run().done();
    shows(&sign, "sign");
    for more in [
        &[][..],
        &["--format", "md"],
        &["--format", "html"],
        &["--format", "json"],
    ] {
        let call = bench.call(
            ["record", "job.yaml"]
                .into_iter()
                .chain(more.iter().copied()),
        );
        shows(&call.run(), &format!("record {more:?}"));
    }
}

#[test]
fn a_job_with_mistakes_cannot_act_on_the_terminal() {
    let text = serde_json::to_string(HOSTILE).unwrap();
    let job = demo()
        .replace(
            "construction: ladder frame",
            &format!("construction: {text}"),
        )
        .replace("track: 1520 mm", &format!("track: {text}"))
        .replace("fuel: diesel", &format!("{text}: diesel"));
    for called in filled() {
        let bench = Bench::new().file("job.yaml", &job);
        shows(
            &bench.call(called.words()).run(),
            &format!("{:?}", called.words),
        );
    }
}

#[cfg(unix)]
#[test]
fn a_file_name_cannot_act_on_the_terminal() {
    let name = format!("{HOSTILE}\n.yaml");
    for called in filled() {
        let words = called.words.iter();
        let words = words.map(|word| {
            if word == "job.yaml" {
                name.clone()
            } else {
                word.clone()
            }
        });
        let words: Vec<String> = words.collect();
        let there = Bench::new().file(&name, small());
        shows(
            &there.call(words.iter().map(String::as_str)).run(),
            &format!("{words:?}"),
        );
        let missing = Bench::new();
        shows(
            &missing.call(words.iter().map(String::as_str)).run(),
            &format!("{words:?}"),
        );
        let wrong = Bench::new().file(&name, "job: [");
        shows(
            &wrong.call(words.iter().map(String::as_str)).run(),
            &format!("{words:?}"),
        );
    }
}

#[cfg(unix)]
#[test]
fn the_name_of_what_is_written_cannot_act_on_the_terminal() {
    for (path, occupied) in [(HOSTILE, HOSTILE), ("", "")] {
        let bench = bench();
        let bench = if occupied.is_empty() {
            bench
        } else {
            bench.file(occupied, "mine")
        };
        let target = if path.is_empty() {
            format!("no-such/{HOSTILE}/x.html")
        } else {
            path.to_owned()
        };
        for called in filled() {
            let outcome = bench.call(called.and(&["-o", &target]).words()).run();
            shows(&outcome, &format!("{:?}", called.words));
        }
    }
    let bench = Bench::new();
    let new = bench
        .call(["new", HOSTILE, "--pattern", "wagon"])
        .run()
        .done();
    shows(&new, "new");
    let new = bench
        .call(["new", HOSTILE, "--pattern", "wagon", "-o", "-"])
        .run()
        .done();
    shows(&new, "new -o -");
}

#[test]
fn words_on_the_command_line_cannot_act_on_the_terminal() {
    let bench = bench();
    for called in filled() {
        for argument in called.command.get_arguments() {
            let mut tried = called.words.clone();
            if let Some(long) = argument.get_long() {
                tried.push(format!("--{long}"));
            }
            tried.push(HOSTILE.to_owned());
            shows(
                &bench.call(tried.iter().map(String::as_str)).run(),
                &format!("{tried:?}"),
            );
        }
        for word in [format!("--{HOSTILE}"), format!("{HOSTILE}={HOSTILE}")] {
            shows(
                &bench.call(called.and(&[&word]).words()).run(),
                &format!("{:?} {word:?}", called.words),
            );
        }
    }
    for words in [
        [HOSTILE, ""],
        ["calc", HOSTILE],
        ["explain", HOSTILE],
        ["new", HOSTILE],
    ] {
        shows(&bench.run(words), &format!("{words:?}"));
    }
}
