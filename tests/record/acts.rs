//! What may be signed, in which order, and what stands afterwards.

use serde_json::json;

use super::desk::{Desk, gaps, values};

#[test]
fn what_is_done_waits_for_the_supervisor_and_is_signed_off_by_another() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done()
        .prints("signed: record begun for INVENTED-1 by Ash (invented) as fitter, entry 1 of ")
        .prints(
            "signed: 1 chocks (Chock the wheels) done by Ash (invented) as fitter, entry 2 of ",
        );
    assert_eq!(desk.state("chocks"), "waiting for the supervisor");
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    assert_eq!(desk.state("chocks"), "signed off");
    let lines = desk.lines();
    assert_eq!(lines.len(), 3);
    assert_eq!(lines[0]["before"], "0".repeat(64));
    let lines = desk.signed();
    assert_eq!(lines[0]["values"], json!({"chocked": true}));
    assert_eq!(lines[0]["how"], "said");
    assert_eq!(lines[1]["person"], "birch");
    assert_eq!(lines[1]["role"], "supervisor");
    assert_eq!(lines[1]["plan"], desk.plan().0["plan_digest"]);
    assert_eq!(
        lines[1]["task_digest"],
        desk.plan().task("chocks")["digest"]
    );
}

/// Whoever did it signs once; a second who did it, too, says so.
#[test]
fn work_is_signed_once_by_each_who_did_it() {
    let desk = Desk::new();
    let again = |by: &str, value: &[&str]| desk.sign("chocks", by, value);
    again("ash", &["--value", "chocked=yes"]).done();
    again("ash", &[])
        .failed()
        .complains("error[already-signed]: `ash` signed it as done before, as entry 2");
    again("birch", &[]).done();
    again("ash", &["--value", "chocked=yes"]).done();
}

#[test]
fn work_goes_on_behind_work_that_is_done_and_behind_a_hold_point_only_when_it_is_signed_off() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    desk.sign("safe", "ash", &[]).done();
    desk.sign("bonnet-off", "ash", &[])
        .failed()
        .complains("error[out-of-turn]");
    desk.sign("safe", "birch", &["--act", "checked"])
        .failed()
        .complains("`safe` comes after `chocks`, which is waiting for the supervisor");
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    desk.sign("safe", "birch", &["--act", "checked"]).done();
    desk.sign("bonnet-off", "ash", &[]).done();
}

#[test]
fn several_tasks_are_signed_in_the_order_of_work_and_all_of_them_or_none() {
    let desk = Desk::new();
    let chocked = ["--value", "chocked=yes"];
    let several = |more: &[&str], by: &str| {
        let all = [&["safe", "chocks"], more].concat();
        desk.call("sign", &all).arg("--by").arg(by).run()
    };
    several(&["stripped", chocked[0], chocked[1]], "ash")
        .failed()
        .complains("`stripped` comes after");
    assert_eq!(desk.bytes(), b"", "nothing is signed, and no file is left");
    assert!(!desk.path().exists());
    several(&chocked, "ash").done();
    several(&["--act", "checked"], "birch").done();
    let signed = desk.signed();
    let signed: Vec<_> = signed.iter().map(|line| line["task"].clone()).collect();
    assert_eq!(signed, ["chocks", "safe", "chocks", "safe"]);
}

#[test]
fn a_dry_run_says_the_same_and_writes_nothing() {
    let desk = Desk::new();
    let dry = ["--value", "chocked=yes", "--dry-run"];
    desk.sign("chocks", "ash", &dry)
        .done()
        .prints("would be signed: 1 chocks (Chock the wheels) done");
    assert!(!desk.path().exists());
    desk.sign("safe", "ash", &["--dry-run"])
        .failed()
        .complains("error[out-of-turn]");
}

#[test]
fn a_value_outside_its_limits_is_written_down_and_cannot_be_signed_off() {
    let desk = Desk::new();
    desk.through_all_to("closed-up");
    desk.sign("hose.check", "ash", &["--value", "left=24 mm"])
        .done()
        .prints("  `left` of `hose.check` is 24 mm, and at least 25 mm is needed; it cannot be signed off so");
    assert_eq!(desk.state("hose.check"), "out of limits");
    desk.sign("hose.check", "birch", &["--act", "checked"])
        .failed()
        .complains(
            "error[outside-limits]: `left` of `hose.check` is 24 mm, and at least 25 mm is needed",
        );
    for (typed, code) in [
        ("left=wide", "not-a-number"),
        ("left=4 kg", "wrong-unit"),
        ("left=nan", "not-finite"),
    ] {
        let refused = desk.sign("hose.check", "ash", &["--value", typed]).failed();
        refused.complains(&format!("error[{code}]"));
    }
    // The tolerance counts: the worse end is outside.
    let close = ["--act", "measured", "--value", "left=26 mm ±2"];
    desk.sign("hose.check", "ash", &close).done();
    desk.sign("hose.check", "birch", &["--act", "checked"])
        .failed();
    let inches = ["--act", "measured", "--value", "left=1.1 in"];
    desk.sign("hose.check", "birch", &inches).done();
    desk.sign("hose.check", "birch", &["--act", "checked"])
        .done();
    let value = &desk.task("hose.check")["values"]["left"];
    assert_eq!(
        *value,
        json!({"value": 1.1 * 25.4, "unit": "mm", "least": 25.0})
    );
}

#[test]
fn what_is_still_to_be_written_down_is_said_at_once() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &[])
        .done()
        .prints("still to be written down for `chocks`: chocked (all wheels chocked)");
    desk.sign("chocks", "ash", &["--value", "chocked=no"])
        .done()
        .prints("`chocked` of `chocks` is no, and a yes is needed; it cannot be signed off so");
}

#[test]
fn refused_work_opens_what_rests_on_it_and_nothing_is_signed_behind_it() {
    let desk = Desk::new();
    desk.through_all_to("gas");
    let why = ["--act", "rejected", "--note", "wheel 3 not chocked behind"];
    desk.sign("safe", "birch", &why).done();
    // Nothing was done to the vehicle by it, so nothing that was done since is undone.
    assert_eq!(desk.open_up_to("gas"), ["safe"]);
    desk.sign("hose.correct", "ash", &[])
        .failed()
        .complains("`hose.correct` comes after `safe`, which is not done");
    desk.through("safe", &[]);
    desk.through("hose.correct", &[]);
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(sheet.contains("wheel 3 not chocked behind"));
    assert!(sheet.contains("checked, no longer stands"));
}

#[test]
fn a_reopened_task_opens_alone_where_nothing_rests_on_it() {
    let desk = Desk::new();
    desk.through_all_to("stripped");
    let why = [
        "--act",
        "reopened",
        "--reason",
        "grille went back on for the night",
    ];
    desk.sign("grille-off", "ash", &why)
        .failed()
        .complains("error[wrong-role]");
    desk.sign("grille-off", "birch", &why).done();
    assert_eq!(desk.state("grille-off"), "open");
    assert_eq!(desk.state("stripped"), "signed off");
    desk.through("grille-off", &[]);
    assert_eq!(desk.state("grille-off"), "signed off");
}

#[test]
fn a_late_entry_keeps_both_times_and_is_read_by_the_workshops_clock() {
    let desk = Desk::new();
    let late = ["--value", "chocked=yes", "--at", "2024-02-29T23:30-01:30"];
    desk.sign("chocks", "ash", &late)
        .done()
        .prints("done 2024-03-01 12:00 +11:00");
    let line = &desk.signed()[0];
    assert_eq!(line["at"], "2024-03-01T01:00:00Z");
    assert!(line["time"].as_str().unwrap() > "2025");
    desk.sign("safe", "ash", &["--at", "2024-06-01 08:00"])
        .done();
    assert_eq!(
        desk.signed()[1]["at"],
        "2024-05-31T22:00:00Z",
        "winter: ten hours before UTC"
    );
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(sheet.contains("(late: done 2024-03-01 12:00 +11:00)"));
}

#[test]
fn the_gaps_of_a_body_go_through_the_plane() {
    let desk = Desk::new();
    desk.through_all_to("tight.body");
    // Ten millimetres more rise at the front over 2700 mm: atan(10/2700) = 0.212°; 15 mm: 0.318°, too much.
    desk.sign(
        "square.body",
        "ash",
        &gaps("gap_after", ["86", "87", "70", "70.5"]),
    )
    .done();
    let found = desk.task("square.body");
    assert_eq!(found["state"], "out of limits");
    assert_eq!(found["wrong"], json!(["nose_up"]));
    let nose = found["values"]["nose_up"]["value"].as_f64().unwrap();
    assert!((nose - (15.0_f64 / 2700.0).atan().to_degrees()).abs() < 1e-6);
    desk.sign("square.body", "birch", &["--act", "checked"])
        .failed()
        .complains("error[outside-limits]: `nose_up`");
    let twist = gaps("gap_after", ["81", "72", "70", "80.5"]);
    let twist = [twist, vec!["--act", "measured"]].concat();
    desk.sign("square.body", "ash", &twist).done();
    // One diagonal 10 mm higher is a twist: each mount is off its plane by a quarter of 20 mm.
    let found = desk.task("square.body");
    assert_eq!(found["wrong"], json!(["out_of_plane"]));
    assert_eq!(found["values"]["out_of_plane"]["value"], 5.0);
    let right = [values("square.body"), vec!["--act", "measured"]].concat();
    desk.sign("square.body", "ash", &right).done();
    desk.sign("square.body", "birch", &["--act", "checked"])
        .done();
}

#[test]
fn a_task_that_is_gone_is_named() {
    let desk = Desk::new();
    desk.through_all_to("grille-off");
    // With slack enough nothing is done to the hose, so nothing needs the grille off.
    desk.rewrite(|job| job["links"][0]["measured"]["slack"] = json!("200 mm"));
    let status = desk.status();
    let gone: Vec<_> = status["gone"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| &e["task"])
        .collect();
    assert_eq!(
        gone,
        ["bonnet-off", "bonnet-off", "grille-off", "grille-off"]
    );
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("the plan has this task no longer");
}

#[test]
fn retorques_count_from_the_hand_over_and_stay_open_after_release() {
    let desk = Desk::new();
    desk.through_all_to("checked");
    desk.sign("retorque", "ash", &values("retorque"))
        .failed()
        .complains("out-of-turn");
    desk.sign("handed-over", "ash", &[]).failed().complains(
        "error[odometer-missing]: `handed-over` is the hand-over, from which the retorques count",
    );
    desk.sign("handed-over", "ash", &["--odometer", "45210 km"])
        .done();
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("not released");
    desk.sign("handed-over", "birch", &["--act", "checked"])
        .done();
    desk.call("record", &[])
        .run()
        .done()
        .prints("released: ")
        .prints("retorque: 100 km after the lift: open");
    let sheet = desk.call("record", &["--format", "md"]).run().done().stdout;
    assert!(
        sheet.contains("**RELEASED**") && sheet.contains("| 45310 km |"),
        "{sheet}"
    );
    desk.sign("retorque", "ash", &["--value", "marks=yes"])
        .failed()
        .complains("error[odometer-missing]");
    let early = ["--value", "marks=yes", "--odometer", "45299"];
    super::refused::refused("too-early", &desk, ("retorque", "ash"), &early);
    let why = ["--act", "noted", "--note", "sent off on a long tow"];
    desk.sign("retorque", "ash", &why).done();
    desk.sign("retorque", "ash", &early).failed();
    desk.sign("retorque", "birch", &why).done();
    desk.sign("retorque", "ash", &early).done();
    desk.sign("retorque", "birch", &["--act", "checked"]).done();
    assert_eq!(desk.state("retorque"), "signed off");
    // What comes at each service comes again, and every time stays readable.
    for km in ["46000", "47000"] {
        desk.through("retorque-service", &["--odometer", km]);
    }
    assert_eq!(
        desk.task("retorque-service")["rounds"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    desk.sign("retorque-service", "ash", &["--odometer", "46999"])
        .failed()
        .complains("error[odometer-runs-back]");
    let sheet = desk.call("record", &["--format", "md"]).run().done().stdout;
    assert!(sheet.contains("odometer 46000 km") && sheet.contains("odometer 47000 km"));
}

#[test]
fn whoever_checks_several_is_told_of_each_that_is_not_as_it_must_be() {
    let bench =
        crate::support::run::Bench::new().file("ridge.yaml", crate::support::commands::demo());
    let sign = |tasks: &[&str], by: &str, act: &str| {
        let args = ["sign", "ridge.yaml", "--by", by, "--act", act];
        bench.run(args.into_iter().chain(tasks.iter().copied()))
    };
    sign(&["1", "2"], "ash", "done").done();
    let refused = sign(&["3"], "elm", "checked").code(1);
    let refused = refused.complains("`codes` is not written down for `read-faults`");
    let refused = refused.complains("`photographs` is not written down for `photographs`");
    refused.complains("`oiled` is not written down for `penetrating-oil`");
}
