//! Nothing is for ever wrong: values, odometers and times put right, own acts taken back; and who is independent through all of it.

use serde_json::json;

use super::desk::{Desk, gaps};
use super::refused::refused;

const CHOCKED: [&str; 2] = ["--value", "chocked=yes"];

#[test]
fn a_wrong_odometer_is_put_right_and_both_readings_stay() {
    let desk = Desk::new();
    desk.sign(
        "chocks",
        "cedar",
        &[
            "--act",
            "noted",
            "--note",
            "came on a trailer",
            "--odometer",
            "452100",
        ],
    )
    .done();
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=yes", "--odometer", "45210"],
    )
    .failed()
    .complains("error[odometer-runs-back]")
    .complains("--act corrected --entry 2");
    let right = |km: &str, by: &str| {
        let more = [
            "--act",
            "corrected",
            "--entry",
            "2",
            "--odometer",
            km,
            "--note",
            "a digit too many",
        ];
        desk.sign("chocks", by, &more)
    };
    right("45210", "ash")
        .failed()
        .complains("error[wrong-role]");
    right("45210", "cedar").done();
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=yes", "--odometer", "45212"],
    )
    .done();
    // Nor can it be put right to where it would run back.
    right("45300", "birch")
        .failed()
        .complains("error[odometer-runs-back]");
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(
        sheet.contains("puts entry 2 right: odometer 45210 km"),
        "{sheet}"
    );
    assert_eq!(desk.signed()[0]["odometer"], 452_100.0);
}

#[test]
fn a_value_put_right_after_its_check_opens_that_check_and_no_more() {
    let desk = Desk::new();
    desk.through_all_to("tight.body");
    let task = desk.task("tight.body");
    let done = task["done"][0]["entry"].as_u64().unwrap().to_string();
    let right = |by: &str, value: &str| {
        let value = format!("torque.BODY-1R={value}");
        desk.sign(
            "tight.body",
            by,
            &[
                "--act",
                "corrected",
                "--entry",
                &done,
                "--value",
                &value,
                "--wrench",
                "W7",
                "--note",
                "misread",
            ],
        )
    };
    right("ash", "88")
        .failed()
        .complains("was checked since, so a supervisor puts it right");
    right("birch", "88").done();
    assert_eq!(desk.state("tight.body"), "waiting for the supervisor");
    assert_eq!(
        desk.task("tight.body")["values"]["torque.BODY-1R"]["value"],
        88.0
    );
    let rows = desk.task("tight.body")["rows"].clone();
    let open: Vec<_> = rows
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["checked"].is_null())
        .collect();
    assert_eq!(open.len(), 1, "{rows}");
    assert_eq!(open[0]["row"], "BODY-1R");
    assert_eq!(desk.state("mounts-BODY-1L-to-BODY-2R.torque"), "signed off");
    // Whoever put the value right does not check it.
    desk.sign("tight.body", "birch", &["--act", "checked"])
        .failed()
        .complains("error[own-work]: `birch` put a value right in `tight.body`");
    // Out of limits it is told at once, and cannot be signed off.
    right("birch", "120")
        .done()
        .prints("is 120 N·m, and 80 N·m to 100 N·m is needed");
    assert_eq!(desk.state("tight.body"), "out of limits");
}

#[test]
fn what_was_given_anew_is_put_right_where_it_was_given() {
    let desk = Desk::new();
    desk.through_all_to("mounts-BODY-1L-to-BODY-2R.torque");
    let given = |value: &str, more: &[&str]| {
        let value = format!("torque.BODY-1R={value}");
        let own = ["--value", &value, "--wrench", "W7"];
        desk.sign("tight.body", "ash", &[&own, more].concat())
    };
    let last = || desk.lines().len().to_string();
    given("98", &[]).done();
    let first = last();
    given("88", &[]).done();
    let second = last();
    let right = |entry: &str| {
        let words = ["--act", "corrected", "--note", "misread", "--entry", entry];
        given("85", &words)
    };
    right(&first)
        .failed()
        .complains(&format!("--entry {second}"));
    right(&second).done();
    let task = desk.task("tight.body");
    assert_eq!(task["values"]["torque.BODY-1R"]["value"], 85.0);
}

#[test]
fn a_time_is_put_right_and_lies_between_the_work_before_and_now() {
    let desk = Desk::new();
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=yes", "--at", "2026-03-02 08:00"],
    )
    .done();
    desk.sign("safe", "ash", &["--at", "2026-03-02 07:59"])
        .failed()
        .complains("error[bad-time]: 2026-03-02 07:59 +11:00 is before `chocks` was done");
    desk.sign("safe", "ash", &["--at", "2026-03-02 10:00"])
        .done();
    desk.sign(
        "chocks",
        "birch",
        &["--act", "checked", "--at", "2026-03-02 07:30"],
    )
    .failed()
    .complains("error[bad-time]");
    desk.sign(
        "chocks",
        "birch",
        &["--act", "checked", "--at", "2026-03-02 10:00"],
    )
    .done();
    let right = [
        "--act",
        "corrected",
        "--at",
        "2026-03-02 09:00",
        "--note",
        "the clock on the wall was behind",
    ];
    desk.sign("safe", "ash", &right).done();
    let observed = &desk.task("safe")["done"][0]["observed"];
    assert_eq!(*observed, json!("2026-03-01T22:00:00Z"));
    assert_eq!(
        desk.signed()[1]["at"],
        "2026-03-01T23:00:00Z",
        "what was written stays"
    );
}

#[test]
fn an_own_last_act_is_taken_back_while_nothing_rests_on_it() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &CHOCKED).done();
    desk.sign("chocks", "birch", &["--act", "withdrawn"])
        .failed()
        .complains("error[nothing-signed]: `birch` signed nothing for `chocks`");
    desk.sign("chocks", "ash", &["--act", "withdrawn"]).done();
    assert_eq!(desk.state("chocks"), "open");
    desk.through("chocks", &CHOCKED);
    desk.through("safe", &[]);
    refused(
        "built-on",
        &desk,
        ("chocks", "birch"),
        &["--act", "withdrawn"],
    );
    desk.sign("safe", "birch", &["--act", "withdrawn"]).done();
    assert_eq!(desk.state("safe"), "waiting for the supervisor");
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(
        sheet.contains("done, taken back") && sheet.contains("checked, taken back"),
        "{sheet}"
    );
}

#[test]
fn whoever_ever_did_a_task_does_not_check_it() {
    let desk = Desk::new();
    desk.through("chocks", &CHOCKED);
    desk.sign("safe", "birch", &[]).done();
    let why = ["--act", "reopened", "--note", "once more"];
    desk.sign("safe", "birch", &why).done();
    desk.sign("safe", "ash", &[]).done();
    desk.sign("safe", "birch", &["--act", "checked"])
        .failed()
        .complains(
            "error[own-work]: `birch` did `safe` (entry 4) and cannot be the one who checks it",
        );
    // Also where it was taken back.
    let desk = Desk::new();
    desk.sign("chocks", "birch", &CHOCKED).done();
    desk.sign("chocks", "birch", &["--act", "withdrawn"]).done();
    desk.sign("chocks", "ash", &CHOCKED).done();
    desk.sign("chocks", "birch", &["--act", "checked"])
        .failed()
        .complains("error[own-work]");
}

#[test]
fn what_cannot_be_real_or_can_be_read_in_two_ways_is_refused() {
    let desk = Desk::new();
    refused(
        "two-readings",
        &desk,
        ("chocks", "ash"),
        &["--value", "chocked=yes", "--odometer", "88.120"],
    );
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=yes", "--odometer=-1"],
    )
    .failed()
    .complains("error[out-of-range]");
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=yes", "--odometer", "88.12 km"],
    )
    .done();
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    desk.through_all_from("safe", "down.body.right");
    desk.through("tight.body", &super::desk::values("tight.body"));
    desk.through("mounts-BODY-1L-to-BODY-2R.torque", &[]);
    // Gaps of 1e308 made an angle that was no number, and a record that nobody could read again.
    let mad = gaps("gap_after", ["1e308", "-1e308", "1e308", "-1e308"]);
    desk.sign("square.body", "ash", &mad)
        .failed()
        .complains("error[out-of-range]: `gap_after.BODY-1L` cannot be");
    desk.call("record", &[]).run().code(1);
    // A year before the count of years could be written, and not read.
    desk.sign("square.body", "ash", &["--at", "0000-01-01T00:00+01:00"])
        .failed()
        .complains("error[bad-time]");
}

#[test]
fn a_word_that_says_nothing_is_no_answer() {
    let desk = Desk::new();
    desk.through_all_to("square.body");
    for word in ["ok", "OK.", "yes", "x", "-"] {
        let value = format!("certificate={word}");
        desk.sign("gas", "rowan", &["--value", &value])
            .failed()
            .complains("error[bad-evidence]");
    }
    desk.sign("gas", "rowan", &["--value", "certificate=R-1"])
        .done();
}
