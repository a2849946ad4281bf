//! Pipes: closed early, in and out by `-`, full disks, another locale. Every command is tried.

use std::process::{Command, Stdio};

use crate::support::commands::{
    Called, bare, bench, filled, named, small, usually, with_and_without,
};
use crate::support::run::{Bench, LOOKED_AT, PROGRAM};

/// The program, ready to be called in a folder.
fn program(bench: &Bench, called: &Called) -> Command {
    let mut command = Command::new(PROGRAM);
    for name in LOOKED_AT {
        command.env_remove(name);
    }
    let (name, home) = bench.home();
    command.env(name, home);
    command.args(&called.words).current_dir(bench.path());
    command.stdin(Stdio::null());
    command
}

/// The end of a pipe that nobody reads.
fn closed() -> Stdio {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    writer.into()
}

/// The commands with what they need and without, and their help.
fn all() -> Vec<Called> {
    let help = named().into_iter().map(|called| called.and(&["--help"]));
    let wrong = named()
        .into_iter()
        .map(|called| called.and(&["--no-such-option"]));
    let all = with_and_without().into_iter();
    all.chain(help).chain(wrong).collect()
}

#[test]
fn a_reader_that_goes_away_changes_nothing_but_what_is_read() {
    for called in all() {
        let usual = usually(&called);
        let code = usual.code;
        let words = &called.words;
        let lonely = bench();
        let output = program(&lonely, &called)
            .stdout(closed())
            .stderr(Stdio::piped())
            .spawn();
        let output = output.unwrap().wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(
            (output.status.code(), said.as_str()),
            (code, usual.stderr.as_str()),
            "{words:?}"
        );
        assert!(!said.contains("panicked"), "{words:?}: {said}");

        let silent = bench();
        let output = program(&silent, &called)
            .stdout(Stdio::piped())
            .stderr(closed())
            .spawn();
        let output = output.unwrap().wait_with_output().unwrap();
        let printed = String::from_utf8(output.stdout).unwrap();
        // `sign` prints the time, and a minute may have ended since.
        let again = || bench().call(called.words()).run().stdout;
        let same = printed == usual.stdout || printed == again();
        assert_eq!((output.status.code(), same), (code, true), "{words:?}");

        let nobody = bench();
        let status = program(&nobody, &called)
            .stdout(closed())
            .stderr(closed())
            .status();
        assert_eq!(status.unwrap().code(), code, "{words:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error() {
    for called in all() {
        let usual = usually(&called);
        if usual.stdout.is_empty() {
            continue;
        }
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .unwrap();
        let bench = bench();
        let output = program(&bench, &called)
            .stdout(full)
            .stderr(Stdio::piped())
            .output();
        let output = output.unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{:?}: {said}", called.words);
        assert!(
            said.contains("standard output: No space left"),
            "{:?}: {said}",
            called.words
        );
    }
}

#[test]
fn every_command_can_run_and_says_so() {
    for called in bare() {
        let outcome = usually(&called);
        match outcome.code {
            Some(0 | 1) if !called.needs_more() => {}
            Some(2) if called.needs_more() => {
                assert!(outcome.stderr.contains("Usage: "), "{}", outcome.stderr);
            }
            code => panic!("{:?} ends with {code:?}: {}", called.words, outcome.stderr),
        }
    }
    for called in filled() {
        let outcome = usually(&called);
        assert!(
            matches!(outcome.code, Some(0 | 1)),
            "{:?}: {}",
            called.words,
            outcome.stderr
        );
        let said = outcome.stdout.len() + outcome.stderr.len();
        assert!(said > 0, "{:?} says nothing", called.words);
    }
}

#[test]
fn a_job_may_come_through_standard_input_wherever_it_needs_no_place_of_its_own() {
    for called in filled() {
        let Some(at) = called.words.iter().position(|word| word == "job.yaml") else {
            continue;
        };
        let named = usually(&called);
        let mut piped = called.clone();
        "-".clone_into(&mut piped.words[at]);
        let outcome = Bench::new().call(piped.words()).stdin(small()).run();
        if outcome.code == Some(2) && named.code != Some(2) {
            // What stands beside a file, or is written into it, needs to know which.
            outcome.failed().complains("give the file's name");
        } else {
            assert_eq!(outcome.code, named.code, "{:?}", piped.words);
            assert_eq!(outcome.stdout, named.stdout, "{:?}", piped.words);
        }
    }
}

#[test]
fn standard_input_is_read_once() {
    let bench = bench();
    for words in [
        &["check", "-", "-"][..],
        &["sheet", "-", "job.yaml", "-", "-o", "out/"],
    ] {
        let call = bench.call(words.iter().copied()).stdin(small());
        call.run()
            .failed()
            .complains("standard input can be read only once");
    }
    let one = ["sheet", "-", "job.yaml", "-o", "out/"];
    let outcome = bench.call(one).stdin(small()).run();
    outcome.code(0).complains("2 of 2 jobs written");
    for file in ["out/stdin.sheet.html", "out/job.sheet.html"] {
        assert!(bench.path().join(file).is_file(), "{file}");
    }
}

#[test]
fn what_is_written_may_go_to_standard_output() {
    let mut tried = 0;
    for called in filled() {
        let mut arguments = called.command.get_arguments();
        // A copy is no text, and always has a file of its own.
        if !arguments.any(|one| one.get_id() == "output" && !one.is_required_set()) {
            continue;
        }
        let bench = bench();
        let outcome = bench.call(called.words()).arg("-o").arg("-").run();
        assert!(
            matches!(outcome.code, Some(0 | 1)),
            "{:?}: {}",
            called.words,
            outcome.stderr
        );
        assert!(!outcome.stdout.is_empty(), "{:?}", called.words);
        assert!(!bench.path().join("-").exists(), "{:?}", called.words);
        tried += 1;
    }
    assert!(tried >= 4, "{tried}");
}

#[test]
fn output_is_utf8_in_every_locale() {
    for called in filled() {
        let usual = usually(&called);
        let plain = bench();
        let plain = plain
            .call(called.words())
            .env("LC_ALL", "C")
            .env("LANG", "C")
            .run();
        if called.words[0] != "sign" {
            assert_eq!(plain.stdout, usual.stdout, "{:?}", called.words);
        }
        assert_eq!(
            (plain.code, plain.stderr),
            (usual.code, usual.stderr),
            "{:?}",
            called.words
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_file_name_need_not_be_utf8() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;

    let name = OsStr::from_bytes(b"job-\xff.yaml");
    for called in filled() {
        let Some(at) = called.words.iter().position(|word| word == "job.yaml") else {
            continue;
        };
        let bench = Bench::new();
        std::fs::write(bench.path().join(name), small()).unwrap();
        let (before, after) = called.words.split_at(at);
        let call = bench.call(before.iter().map(String::as_str)).arg(name);
        let call = after[1..].iter().fold(call, crate::support::run::Call::arg);
        let outcome = call.run();
        assert!(
            matches!(outcome.code, Some(0 | 1)),
            "{:?}: {}",
            called.words,
            outcome.stderr
        );
    }
    let bench = bench();
    let page = OsStr::from_bytes(b"sheet-\xff.html");
    bench
        .call(["sheet", "job.yaml", "-o"])
        .arg(page)
        .run()
        .done();
    assert!(bench.path().join(page).is_file());
    let missing = OsStr::from_bytes(b"\xfe.yaml");
    bench
        .call(["check"])
        .arg(missing)
        .run()
        .failed()
        .complains("\u{fffd}.yaml");
}
