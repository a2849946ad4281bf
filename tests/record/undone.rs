//! What was undone falls open, along what it was done to; and nothing is signed behind an open task, however far back.

use serde_json::{Value, json};

use super::desk::{Desk, values};
use super::refused::{kept, refused};

/// Signs for a job file that is otherwise now.
const CHANGED: [&str; 6] = [
    "--act",
    "changed",
    "--by",
    "ash",
    "--note",
    "measured again",
];

#[test]
fn nothing_is_signed_behind_an_open_task_however_far_back() {
    let desk = Desk::new();
    desk.through_all_to("bolts-loose.body");
    let why = ["--act", "reopened", "--note", "a chock was kicked away"];
    desk.sign("chocks", "birch", &why).done();
    // Chocks set again undo nothing that was signed while the vehicle stood.
    assert_eq!(desk.open_up_to("bolts-loose.body"), ["chocks"]);
    desk.sign("up.body.left", "ash", &[])
        .failed()
        .complains("error[out-of-turn]: `up.body.left` comes after `chocks`, which is not done");
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    desk.sign("up.body.left", "ash", &[]).done();
    desk.sign("up.body.left", "birch", &["--act", "checked"])
        .failed()
        .complains("comes after `chocks`, which is waiting for the supervisor");
}

#[test]
fn a_changed_measurement_is_signed_for_and_opens_what_it_undoes_and_what_rests_on_that() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    desk.call("record", &[]).run().done().prints("released");
    desk.rewrite(|job| job["links"][0]["measured"]["slack"] = json!("20 mm"));
    // Shown at once, and not released any more.
    let open = [
        "bonnet-off",
        "grille-off",
        "hose.correct",
        "grille-on",
        "bonnet-on",
        "hose.check",
        "checked",
        "handed-over",
    ];
    assert_eq!(desk.open_up_to("handed-over"), open);
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("not released")
        .prints("links.hose.measured.slack was `30 mm` and is `20 mm`")
        .prints("hose.correct: changed: its text")
        .prints("hose.check: rests on `hose.correct`");
    refused("job-changed", &desk, ("hose.correct", "ash"), &[]);
    // A reading may lighten what somebody relies on: not for whoever still learns, and once it is released for a supervisor alone.
    let changed = |by| {
        let mut words = CHANGED;
        words[3] = by;
        desk.call("sign", &words).run()
    };
    for by in ["cedar", "ash"] {
        changed(by).failed().complains("error[wrong-role]");
    }
    changed("birch")
        .done()
        .prints("falls open: hose.check, which rests on `hose.correct`");
    let line = desk.lines().pop().unwrap();
    assert_eq!(
        line["changes"],
        json!([{"place": "links.hose.measured.slack", "before": "30 mm", "after": "20 mm"}])
    );
    assert_eq!(line["person"], "birch");
    assert_eq!(desk.open_up_to("handed-over"), open);
    for task in open {
        desk.through(task, &values(task));
    }
    desk.call("record", &[]).run().done().prints("released");
    let sheet = desk.call("record", &["--format", "md"]).run().done().stdout;
    assert!(sheet.contains("measured again"), "{sheet}");
}

#[test]
fn a_job_that_cannot_be_read_is_not_told_as_released() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    std::fs::write(desk.bench.path().join("job.yaml"), "job: [").unwrap();
    let account = desk.call("record", &[]).run().code(1).stdout;
    let says = "signed off; the job as it stands now cannot be read";
    assert!(account.contains(says), "{account}");
    assert!(!account.contains("released"), "{account}");
}

#[test]
fn what_was_taken_apart_stays_in_the_plan_until_it_is_put_back() {
    let desk = Desk::new();
    desk.rewrite(|job| job["links"][0]["measured"]["slack"] = json!("5 mm"));
    desk.through_all_to("gaps-before.body");
    assert_eq!(desk.state("hose.release"), "signed off");
    // With so much slack the hose could have been left alone; by now it is off.
    let longer = |job: &mut Value| job["links"][0]["measured"]["slack"] = json!("300 mm");
    desk.rewrite(longer);
    let before = desk.bytes();
    let outcome = desk.call("sign", &CHANGED).run().failed();
    kept("left-apart", &desk, &before, &outcome);
    // Whoever writes such a reading is told before, and until it is settled record and card say so.
    let card = desk.call("record", &["--card"]).run().code(1);
    card.prints("link hose: apart, and not in the plan any more");
    desk.rewrite(|job| {
        longer(job);
        job["links"][0]["apart"] = json!("yes");
    });
    desk.call("sign", &CHANGED).run().done();
    let open = desk.open_up_to("handed-over");
    assert!(open.contains(&"hose.refit".to_owned()), "{open:?}");
    for task in open {
        desk.through(&task, &values(&task));
    }
    desk.call("record", &[]).run().done().prints("released");
}

#[test]
fn a_change_that_is_set_back_before_anybody_signs_for_it_leaves_nothing() {
    let desk = Desk::new();
    desk.through_all_to("bonnet-off");
    let rule = desk
        .bench
        .path()
        .join("signing/procedure/10-make-safe.yaml");
    let text = std::fs::read_to_string(&rule).unwrap();
    std::fs::write(&rule, text.replace("Chock the wheels", "Chock every wheel")).unwrap();
    assert_eq!(desk.state("chocks"), "open");
    assert_eq!(desk.task("chocks")["opened"]["why"], "changed: its text");
    assert_eq!(desk.state("safe"), "signed off");
    std::fs::write(&rule, &text).unwrap();
    assert_eq!(desk.state("chocks"), "signed off");
    desk.through("grille-off", &[]);
}

#[test]
fn a_row_that_is_asked_otherwise_opens_alone() {
    let desk = Desk::new();
    desk.through_all_to("gaps-before.body");
    let rule = desk.bench.path().join("signing/procedure/40-raise.yaml");
    let text = std::fs::read_to_string(&rule).unwrap();
    std::fs::write(
        &rule,
        text.replace("ask: gap,", "ask: gap beside the bolt,"),
    )
    .unwrap();
    let rows = desk.task("gaps-before.body")["rows"].clone();
    assert!(
        rows.as_array()
            .unwrap()
            .iter()
            .all(|row| row["state"] == "open")
    );
    std::fs::write(&rule, &text).unwrap();
    // Only a remark changes: nothing is to be signed for.
    desk.rewrite(|job| job["note"] = json!("a remark"));
    desk.through("bolts-loose.body", &[]);
}

#[test]
fn a_row_is_refused_and_done_again_alone() {
    let desk = Desk::new();
    desk.through_all_to("gaps-before.body");
    let why = ["--act", "rejected", "--note", "read at the wrong place"];
    desk.sign("gaps-before.body:BODY-2R", "birch", &why).done();
    let rows = |desk: &Desk| {
        let rows = desk.task("gaps-before.body")["rows"].clone();
        let rows = rows.as_array().unwrap().clone();
        rows.iter()
            .map(|row| row["state"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(
        rows(&desk),
        ["signed off", "signed off", "signed off", "open"]
    );
    assert_eq!(desk.state("gaps-before.body"), "begun");
    desk.sign("bolts-loose.body", "ash", &[])
        .failed()
        .complains("`bolts-loose.body` comes after `gaps-before.body`, which is not wholly done");
    let again = ["--value", "gap_before.BODY-2R=31"];
    desk.sign("gaps-before.body", "ash", &again)
        .done()
        .prints("at BODY-2R done");
    desk.sign("gaps-before.body", "birch", &["--act", "checked"])
        .done();
    assert_eq!(desk.state("gaps-before.body"), "signed off");
    desk.sign("gaps-before.body:BODY-9", "birch", &why)
        .failed()
        .complains("`gaps-before.body` has no row `BODY-9`");
}

#[test]
fn rows_are_done_and_checked_by_different_people() {
    let desk = Desk::new();
    desk.through_all_to("released");
    let gap = |row: &str| format!("gap_before.{row}=31");
    for (row, by) in [
        ("BODY-1L", "ash"),
        ("BODY-1R", "birch"),
        ("BODY-2L", "ash"),
        ("BODY-2R", "ash"),
    ] {
        let value = gap(row);
        let task = format!("gaps-before.body:{row}");
        desk.sign(&task, by, &["--value", &value]).done();
    }
    desk.sign("gaps-before.body", "birch", &["--act", "checked"])
        .failed()
        .complains("error[own-work]");
    desk.sign("gaps-before.body:BODY-1L", "birch", &["--act", "checked"])
        .done();
    assert_eq!(desk.state("gaps-before.body"), "waiting for the supervisor");
}

#[test]
fn a_large_consequence_is_said_before_it_happens() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    let why = ["--act", "rejected", "--note", "one bolt was never out"];
    refused(
        "much-falls-open",
        &desk,
        ("bolts-loose.body", "birch"),
        &why,
    );
    let dry = [&why[..], &["--dry-run"]].concat();
    desk.sign("bolts-loose.body", "birch", &dry)
        .done()
        .prints("falls open: tight.body, which rests on");
    let before = desk.bytes();
    let yes = [&why[..], &["--yes"]].concat();
    desk.sign("bolts-loose.body", "birch", &yes).done();
    assert!(desk.open_up_to("handed-over").len() > 10);
    // The hose was not undone by it.
    assert_eq!(desk.state("hose.correct"), "signed off");
    // A slip has a way back.
    desk.sign("bolts-loose.body", "birch", &["--act", "withdrawn"])
        .done();
    assert_eq!(desk.open_up_to("handed-over"), Vec::<String>::new());
    assert!(desk.bytes().starts_with(&before), "something was taken out");
}
