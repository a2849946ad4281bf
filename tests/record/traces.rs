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
            .failed()
            .complains("`chocks` is signed as done, and `chocked` is out of its limits");
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

/// Tightens two mounts in each of two calls, and checks it.
fn tightened(desk: &Desk) {
    for rows in [["BODY-1L", "BODY-1R"], ["BODY-2L", "BODY-2R"]] {
        let tasks = rows.map(|row| format!("tight.body:{row}"));
        let [one, other] = rows.map(|row| format!("torque.{row}=91"));
        let give = ["--value", &one, "--value", &other, "--wrench", "W7"];
        desk.sign(&tasks[0], "ash", &[&[&*tasks[1]], &give[..]].concat())
            .done();
    }
    desk.sign("tight.body", "birch", &CHECKED).done();
}

/// Nobody looks up the number of the entry that gave a value: the check that came after it gave none.
#[test]
fn a_correction_finds_the_entry_that_gave_the_value() {
    let desk = Desk::new();
    desk.through_all_to("down.body.right");
    tightened(&desk);
    let correct = |values: &[&str]| {
        let why = ["--act", "corrected", "--note", "misread", "--wrench", "W7"];
        desk.sign("tight.body", "birch", &[&why[..], values].concat())
    };
    let gave = |value: &str| {
        let lines = desk.signed();
        let gave = lines.iter().find(|line| !line["values"][value].is_null());
        gave.unwrap()["number"].clone()
    };
    // Once more it is still the entry that gave it, and not the correction.
    for value in ["torque.BODY-1R=88", "torque.BODY-1R=87"] {
        correct(&["--value", value]).done();
        let last = desk.signed().pop().unwrap();
        assert_eq!(last["entry"], gave("torque.BODY-1R"));
    }
    let other = gave("torque.BODY-2L").to_string();
    let both = ["torque.BODY-1R=86", "torque.BODY-2L=86"];
    correct(&["--value", both[0], "--value", both[1]])
        .failed()
        .complains("gave no `torque.BODY-2L` that could be put right")
        .complains(&format!("entry {other} gave it: `--entry {other}`"));
}

/// Angles that are worked out of gaps of several entries were given by none of them, and follow what is put right.
#[test]
fn what_is_worked_out_follows_a_correction() {
    let desk = Desk::new();
    desk.through_all_to("mounts-BODY-1L-to-BODY-2R.torque");
    desk.through("tight.body", &values("tight.body"));
    for (row, gap) in [("1L", "71"), ("1R", "72"), ("2L", "70"), ("2R", "75")] {
        let value = format!("gap_after.BODY-{row}={gap}");
        let more = ["--act", "measured", "--value", &value];
        desk.sign("square.body", "ash", &more).done();
    }
    let worst = || desk.task("square.body")["values"]["out_of_plane"]["value"].clone();
    let before = worst();
    let right = [
        "--act",
        "corrected",
        "--note",
        "misread",
        "--value",
        "gap_after.BODY-1L=75",
    ];
    desk.sign("square.body", "ash", &right).done();
    assert_ne!(worst(), before);
}
