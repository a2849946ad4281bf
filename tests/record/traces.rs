//! What was written down wrong: it stands until somebody answers it by its name, and stays visible when it is replaced.

use super::desk::{Desk, values};

const CHECKED: [&str; 2] = ["--act", "checked"];

/// Whoever ticks what is left has not looked at what somebody found wrong.
#[test]
fn a_no_is_not_ticked_away() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=no"])
        .done();
    for by in ["ash", "cedar"] {
        desk.sign("chocks", by, &["--ticks"])
            .done()
            .prints("`chocked` of `chocks` is no, and a yes is needed");
    }
    desk.sign("chocks", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .failed()
        .complains("error[outside-limits]: `chocked` of `chocks` is no, and a yes is needed");
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    desk.sign("chocks", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .done();
    assert!(
        desk.signed().last().unwrap()["values"]
            .as_object()
            .unwrap()
            .is_empty()
    );
    // What nobody answered, the check may answer.
    desk.through_all_from("safe", "handed-over");
    desk.sign("retorque", "ash", &["--odometer", "45310"])
        .done();
    desk.sign("retorque", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .done();
}

/// What was out of limits, or answered no, is not gone from the paper because it was written anew.
#[test]
fn what_was_once_wrong_is_listed_with_its_value() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=no"])
        .done();
    desk.through("chocks", &["--value", "chocked=yes"]);
    desk.through_all_from("safe", "down.body.right");
    let torque = |act: &str, value: &str| {
        let value = format!("torque.BODY-1R={value}");
        let more = ["--act", act, "--value", &value, "--wrench", "W7"];
        desk.sign("tight.body", "ash", &more).done();
    };
    desk.sign("tight.body", "ash", &values("tight.body")).done();
    for (act, value) in [
        ("measured", "108"),
        ("measured", "92"),
        ("done", "70"),
        ("done", "91"),
    ] {
        torque(act, value);
    }
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    let events = sheet
        .split("## Corrections and late entries")
        .nth(1)
        .unwrap();
    for said in [
        "`chocks` | done; no longer stands: chocked no (yes needed) |",
        "`tight.body` | measured, no longer stands: torque.BODY-1R 108 N·m (80 N·m to 100 N·m needed) |",
        "`tight.body` | measured, no longer stands: torque.BODY-1R 92 N·m",
        "`tight.body` | done; no longer stands: torque.BODY-1R 70 N·m (80 N·m to 100 N·m needed) |",
    ] {
        assert!(events.contains(said), "{said} in {events}");
    }
    // What was right and is written anew, and what stands, is no correction.
    assert!(
        !events.contains("90 N·m") && !events.contains("91 N·m"),
        "{events}"
    );
}

/// Whoever put a value right checks it when that was taken back, or when somebody else did the work anew: nothing of it stands.
#[test]
fn a_correction_that_stands_no_more_bars_nobody() {
    let desk = Desk::new();
    desk.through_all_to("square.body");
    desk.through("gas", &["--value", "certificate=R-1"]);
    let corrected = || {
        let more = [
            "--act",
            "corrected",
            "--value",
            "certificate=R-2",
            "--note",
            "misread",
        ];
        desk.sign("gas", "birch", &more).done();
        desk.sign("gas", "birch", &CHECKED)
            .failed()
            .complains("error[own-work]: `birch` put a value right in `gas`");
    };
    corrected();
    desk.sign("gas", "birch", &["--act", "withdrawn"]).done();
    desk.sign("gas", "birch", &CHECKED)
        .failed()
        .complains("error[already-signed]");
    corrected();
    let why = ["--act", "reopened", "--note", "done anew"];
    desk.sign("gas", "birch", &why).done();
    desk.through("gas", &["--value", "certificate=R-3"]);
}

/// Nobody looks up the number of the entry that gave a value: the check that came after it gave none.
#[test]
fn a_correction_finds_the_entry_that_gave_the_value() {
    let desk = Desk::new();
    desk.through_all_to("down.body.right");
    let rows = |act: &str, rows: [&str; 2], more: &[&str]| {
        for (row, value) in rows.iter().zip(["91", "92"]) {
            let value = format!("torque.{row}={value}");
            let task = format!("tight.body:{row}");
            let give = ["--act", act, "--value", &value, "--wrench", "W7"];
            desk.sign(&task, "ash", &[&give[..], more].concat()).done();
        }
    };
    rows("done", ["BODY-1L", "BODY-1R"], &[]);
    rows("done", ["BODY-2L", "BODY-2R"], &[]);
    desk.sign("tight.body", "birch", &CHECKED).done();
    let correct = |values: &[&str]| {
        let why = ["--act", "corrected", "--note", "misread", "--wrench", "W7"];
        desk.sign("tight.body", "birch", &[&why[..], values].concat())
    };
    let gave = |desk: &Desk, value: &str| {
        let lines = desk.signed();
        let gave = lines.iter().find(|line| !line["values"][value].is_null());
        gave.unwrap()["number"].clone()
    };
    correct(&["--value", "torque.BODY-1R=88"]).done();
    assert_eq!(
        desk.signed().last().unwrap()["entry"],
        gave(&desk, "torque.BODY-1R")
    );
    // Once more: it is still the entry that gave it, and not the correction.
    correct(&["--value", "torque.BODY-1R=87"]).done();
    assert_eq!(
        desk.signed().last().unwrap()["entry"],
        gave(&desk, "torque.BODY-1R")
    );
    let other = gave(&desk, "torque.BODY-2L").to_string();
    correct(&[
        "--value",
        "torque.BODY-1R=86",
        "--value",
        "torque.BODY-2L=86",
    ])
    .failed()
    .complains("gave no `torque.BODY-2L` that could be put right")
    .complains(&format!("entry {other} gave it: `--entry {other}`"));
    // What is worked out of gaps that several entries gave follows what is put right.
    desk.sign(
        "tight.body",
        "birch",
        &["--act", "reopened", "--note", "anew"],
    )
    .done();
    rows("done", ["BODY-1L", "BODY-1R"], &[]);
    rows("done", ["BODY-2L", "BODY-2R"], &[]);
    desk.sign("tight.body", "birch", &CHECKED).done();
    desk.through("mounts-BODY-1L-to-BODY-2R.torque", &[]);
    for (row, gap) in [("1L", "71"), ("1R", "72"), ("2L", "70"), ("2R", "75")] {
        let value = format!("gap_after.BODY-{row}={gap}");
        desk.sign(
            "square.body",
            "ash",
            &["--act", "measured", "--value", &value],
        )
        .done();
    }
    let why = [
        "--act",
        "corrected",
        "--note",
        "misread",
        "--value",
        "gap_after.BODY-1L=70.5",
    ];
    desk.sign("square.body", "ash", &why).done();
}
