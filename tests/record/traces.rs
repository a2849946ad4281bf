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
