//! Many writers at once, and writers killed at any moment: what was reported as signed stands, and the chain is whole.

use std::collections::BTreeSet;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use super::desk::Desk;

/// Starts a remark by its own process, without waiting for it.
fn start(desk: &Desk, note: &str) -> Child {
    let arguments = [
        "sign",
        "job.yaml",
        "chocks",
        "--by",
        "ash",
        "--act",
        "noted",
        "--only-own-rules",
        "--rules",
        "small",
        "--rules",
        "signing",
        "--note",
        note,
    ];
    Command::new(env!("CARGO_BIN_EXE_liftsheet"))
        .args(arguments)
        .current_dir(desk.bench.path())
        .env(desk.bench.home().0, desk.bench.home().1)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn notes(desk: &Desk) -> Vec<String> {
    let note = |line: &serde_json::Value| line["note"].as_str().unwrap().to_owned();
    desk.signed().iter().map(note).collect()
}

#[test]
fn two_hundred_signers_at_once() {
    let desk = Desk::new();
    let texts: BTreeSet<String> = (0..200).map(|number| format!("remark {number}")).collect();
    let children: Vec<Child> = texts.iter().map(|note| start(&desk, note)).collect();
    for child in children {
        let output = child.wait_with_output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "{said}");
    }
    assert_eq!(notes(&desk).len(), 200);
    assert_eq!(
        notes(&desk).into_iter().collect::<BTreeSet<String>>(),
        texts
    );
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("201 entries, every line as it was written");
}

#[test]
fn writers_killed_at_any_moment_lose_nothing_that_was_reported() {
    let desk = Desk::new();
    let begun = std::time::Instant::now();
    assert!(
        start(&desk, "first")
            .wait_with_output()
            .unwrap()
            .status
            .success()
    );
    let whole = begun.elapsed();
    let mut reported = vec!["first".to_owned()];
    let (mut killed, rounds) = (0, 60_u32);
    for round in 0..rounds {
        let note = format!("round {round}");
        let mut child = start(&desk, &note);
        // From the very beginning to a little after the usual end, in no order.
        std::thread::sleep(
            whole.mul_f64(f64::from(round * 37 % rounds) / f64::from(rounds) * 1.3)
                + Duration::from_micros(1),
        );
        // One that has ended cannot be killed; that is fine.
        let _ = child.kill();
        let output = child.wait_with_output().unwrap();
        killed += u32::from(!output.status.success());
        if output.status.success() || String::from_utf8_lossy(&output.stdout).contains("signed:") {
            reported.push(note);
        }
    }
    assert!(killed > 0, "no writer was killed in time");
    assert!(
        start(&desk, "last")
            .wait_with_output()
            .unwrap()
            .status
            .success()
    );
    let notes = notes(&desk);
    for note in &reported {
        assert_eq!(
            notes.iter().filter(|own| *own == note).count(),
            1,
            "`{note}` is lost"
        );
    }
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("every line as it was written");
}
