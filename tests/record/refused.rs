//! Every refusal to sign: its own code, and the whole of what is said.

use serde_json::json;

use super::desk::{Desk, gaps};
use crate::errors::snapshot;
use crate::support::run::Outcome;

/// The kept texts of this file's cases.
pub(crate) const NAMES: &[&str] = &[
    "already-signed",
    "bad-evidence",
    "bad-photo",
    "bad-table",
    "bad-evidence-worked-out",
    "bad-time",
    "built-on",
    "digest-not-found",
    "evidence-missing",
    "job-changed",
    "left-apart",
    "lift-stopped",
    "much-falls-open",
    "no-identification",
    "no-licence",
    "not-adopted",
    "not-done",
    "not-for-apprentice",
    "not-kept",
    "nothing-signed",
    "odometer-missing",
    "odometer-runs-back",
    "other-sheet",
    "other-vehicle",
    "out-of-turn",
    "outside-limits",
    "own-work",
    "provisional-plan",
    "reason-missing",
    "record-broken",
    "record-held",
    "record-not-written",
    "record-shared",
    "record-torn",
    "task-not-in-plan",
    "too-early",
    "two-readings",
    "unknown-person",
    "wrench-missing",
    "wrong-role",
];

/// Keeps what is said, and asserts that the record did not grow by it.
#[track_caller]
pub(crate) fn kept(name: &str, desk: &Desk, before: &[u8], outcome: &Outcome) {
    assert!(NAMES.contains(&name), "`{name}` is not listed");
    assert_eq!(desk.bytes(), before, "`{name}` wrote something");
    snapshot(name, &outcome.stderr);
}

#[track_caller]
pub(crate) fn refused(name: &str, desk: &Desk, (task, by): (&str, &str), more: &[&str]) {
    let before = desk.bytes();
    let outcome = desk.sign(task, by, more).failed();
    kept(name, desk, &before, &outcome);
}

#[test]
fn who_may_not_sign() {
    let desk = Desk::new();
    refused("unknown-person", &desk, ("chocks", "brich"), &[]);
    refused("task-not-in-plan", &desk, ("chock", "ash"), &[]);
    refused("wrong-role", &desk, ("chocks", "rowan"), &[]);
    desk.sign("chocks", "cedar", &["--value", "chocked=yes"])
        .done();
    desk.sign("safe", "birch", &[]).done();
    desk.sign("safe", "ash", &["--act", "checked"])
        .failed()
        .complains(
            "error[wrong-role]: `ash` may not sign `safe` as checked: that takes a supervisor",
        );
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    refused("own-work", &desk, ("safe", "birch"), &["--act", "checked"]);
    refused(
        "already-signed",
        &desk,
        ("chocks", "ash"),
        &["--value", "chocked=yes"],
    );
    refused(
        "nothing-signed",
        &desk,
        ("stripped", "birch"),
        &["--act", "rejected", "--note", "no"],
    );
    refused(
        "reason-missing",
        &desk,
        ("safe", "birch"),
        &["--act", "rejected"],
    );
    refused(
        "not-done",
        &desk,
        ("gaps-before.body", "birch"),
        &["--act", "checked"],
    );
    refused("out-of-turn", &desk, ("stripped", "ash"), &[]);
    refused("not-for-apprentice", &desk, ("up.body.left", "cedar"), &[]);
    refused("no-licence", &desk, ("gas", "birch"), &[]);
    refused(
        "bad-time",
        &desk,
        ("safe", "birch"),
        &["--at", "2999-01-01T00:00Z"],
    );
}

#[test]
fn what_may_not_be_written_down() {
    let desk = Desk::new();
    refused(
        "bad-evidence",
        &desk,
        ("chocks", "ash"),
        &["--value", "choked=yes"],
    );
    desk.sign("chocks", "ash", &["--value", "chocked=maybe"])
        .failed()
        .complains("error[unknown-choice]");
    desk.sign("chocks", "ash", &[]).done();
    refused(
        "evidence-missing",
        &desk,
        ("chocks", "birch"),
        &["--act", "checked"],
    );
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=no", "--odometer", "45210"],
    )
    .done();
    refused(
        "outside-limits",
        &desk,
        ("chocks", "birch"),
        &["--act", "checked"],
    );
    refused(
        "odometer-runs-back",
        &desk,
        ("chocks", "ash"),
        &["--odometer", "45200"],
    );
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    desk.through_all_from("safe", "mounts-BODY-1L-to-BODY-2R.torque");
    refused(
        "wrench-missing",
        &desk,
        ("tight.body", "ash"),
        &gaps("torque", ["90", "90", "90", "90"]),
    );
    let typed = ["--value", "nose_up=0.1"];
    desk.through_all_from("tight.body", "tight.body");
    refused(
        "bad-evidence-worked-out",
        &desk,
        ("square.body", "ash"),
        &typed,
    );
    desk.through_all_from("square.body", "handed-over");
    refused(
        "odometer-missing",
        &desk,
        ("retorque", "ash"),
        &["--value", "marks=yes"],
    );
}

#[test]
fn plans_that_nothing_is_signed_on() {
    let desk = Desk::with(|job| job["links"][0]["measured"] = json!({}));
    refused(
        "provisional-plan",
        &desk,
        ("chocks", "ash"),
        &["--value", "chocked=yes"],
    );
    let desk = Desk::new();
    let rule = desk.bench.path().join("small/connections/hose.yaml");
    let text = std::fs::read_to_string(&rule).unwrap();
    let (head, _) = text.split_once("    verdicts:\n").unwrap();
    let stop = "    verdicts:\n      - {verdict: stop, because: this hose is not to be moved}\n";
    std::fs::write(&rule, format!("{head}{stop}")).unwrap();
    refused(
        "lift-stopped",
        &desk,
        ("chocks", "ash"),
        &["--value", "chocked=yes"],
    );
}

#[test]
fn records_that_nothing_is_signed_on() {
    let desk = Desk::new();
    desk.through_all_to("bonnet-off");
    let whole = desk.bytes();
    let changed = String::from_utf8(whole.clone())
        .unwrap()
        .replacen("Birch", "Ash", 1);
    desk.replace(&changed);
    let outcome = desk.sign("grille-off", "ash", &[]).code(4);
    kept("record-broken", &desk, changed.as_bytes(), &outcome);
    desk.call("record", &[])
        .run()
        .code(4)
        .complains("line 1 was changed: its seal does not fit");
    desk.replace(&whole);
    let lost = ["--expect", "sha256:00ff"];
    let outcome = desk.call("record", &lost).run().code(4);
    kept("digest-not-found", &desk, &whole, &outcome);
    let torn = &whole[..whole.len() - 10];
    desk.replace(torn);
    desk.bench.forget();
    let outcome = desk.call("record", &[]).run().code(1);
    kept("record-torn", &desk, torn, &outcome);
    std::fs::remove_file(desk.path()).unwrap();
    std::fs::create_dir(desk.path()).unwrap();
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .failed()
        .complains("record");
}

#[test]
fn a_record_needs_a_job_of_its_own() {
    let desk = Desk::new();
    for command in [
        &["sign"][..],
        &["record"],
        &["sign", "job.yaml"],
        &["sign", "job.yaml", "chocks"],
    ] {
        desk.bench.run(command.iter().copied()).failed();
    }
    for command in [
        &["sign", "-", "chocks", "--by", "ash"][..],
        &["record", "-"],
    ] {
        desk.bench
            .run(command.iter().copied())
            .failed()
            .complains("a record stands beside its job file");
    }
}
