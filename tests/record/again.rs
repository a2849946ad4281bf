//! Work that is refused late is done on a vehicle that is set up for it again, and proven again where people ride on it; what is found late opens
//! what it needs and what certifies it, and nothing else.

use serde_json::Value;

use super::whole::{signed_otherwise, signed_until};
use crate::support::run::Bench;

/// What a supervisor's refusal says.
fn refused(bench: &Bench, task: &str) -> String {
    let sign = ["sign", "job.yaml", task, "--by", "birch", "--yes"];
    let why = ["--act", "rejected", "--note", "it leaks"];
    bench.run(sign.into_iter().chain(why)).done().stdout
}

fn opens(said: &str, task: &str) -> bool {
    said.contains(&format!("falls open: {task},"))
}

/// A box may be ticked late, but nobody reaches under a body of which nobody has said that it stands.
#[test]
fn nothing_goes_between_body_and_chassis_before_the_stands_are_signed() {
    let bench = signed_until("raise-on.cab.left");
    let sign = |task: &str| bench.run(["sign", "job.yaml", task, "--by", "ash", "--ticks"]);
    sign("clean-and-rust-proof.cab.left")
        .failed()
        .complains("error[out-of-turn]")
        .complains("comes after `raise-on.cab.left`, which is not done, and 1 task more");
    sign("raise-on.cab.left").done();
    sign("clean-and-rust-proof.cab.left")
        .failed()
        .complains("comes after `stands-set.cab.left`, which is not done");
    sign("stands-set.cab.left").done();
    sign("clean-and-rust-proof.cab.left").done();
}

/// The road test shows that the brakes hold, and a line that is closed anew after it has to show that again.
#[test]
fn a_brake_line_that_is_refused_after_the_road_test_is_bled_and_driven_again() {
    let bench = signed_until("parked");
    let said = refused(&bench, "brake-pipe-down.correct");
    for task in [
        "battery-off",
        "bleed-brakes",
        "up-to-check",
        "before-battery-on",
        "battery-on",
        "wheels-down",
        "prove-controls",
        "before-first-start",
        "before-it-moves",
        "yard-test",
        "road-test",
    ] {
        assert!(opens(&said, task), "{task} of {said}");
    }
    // Nobody raises the body for it, and what stands chocked stands so.
    for task in [
        "chock-wheels",
        "raise-first.cab.left",
        "front-brake-pipe.refit",
    ] {
        assert!(!opens(&said, task), "{task} of {said}");
    }
    let refit = [
        "sign",
        "job.yaml",
        "brake-pipe-down.correct",
        "--by",
        "willow",
        "--ticks",
    ];
    bench
        .run(refit)
        .failed()
        .complains("comes after `battery-off`, which is not done");
}

/// What has to hold on the slope is tried there again.
#[test]
fn a_parking_brake_that_is_refused_after_the_road_test_is_tried_on_the_slope_again() {
    for task in ["parking-brake.correct", "parking-brake.refit"] {
        let said = refused(&signed_until("parked"), task);
        for opened in ["before-it-moves", "yard-test", "road-test"] {
            assert!(opens(&said, opened), "{opened} of {said}");
        }
        assert!(!opens(&said, "bleed-brakes"), "{said}");
    }
    let bench = signed_until("parking-brake.refit");
    bench
        .run(["record", "job.yaml"])
        .code(1)
        .prints("parking brake let off and partly adjusted");
}

/// A block of the height before the last change of the sheet, or none, shows at its own mount, whatever the body's angles.
#[test]
fn a_gap_that_is_not_wider_by_its_block_is_not_signed_off() {
    let bench = signed_until("sits-square.cab");
    let at = |low: &str| {
        let gaps = ["C1L", "C1R", "C2L", "C2R", "C3L", "C3R"];
        gaps.map(|mount| format!("gap_after.{mount}={}", if low == mount { 67 } else { 70 }))
    };
    let sign = |values: &[String], act: &str, by: &str| {
        let mut words = vec![
            "sign",
            "job.yaml",
            "sits-square.cab",
            "--by",
            by,
            "--act",
            act,
        ];
        for value in values {
            words.extend(["--value", value]);
        }
        words.push("--ticks");
        bench.run(words)
    };
    sign(&at("C2R"), "done", "ash")
        .done()
        .prints("`opened.C2R` of `sits-square.cab` is 37 mm, and 38 mm to 42 mm is needed");
    sign(&[], "checked", "birch")
        .failed()
        .complains("error[outside-limits]");
    // Whoever gives nothing new has done nothing to it.
    sign(&[], "done", "ash")
        .failed()
        .complains("error[outside-limits]: `sits-square.cab` is signed as done, and `opened.C2R`");
    let typed = ["opened.C2R=40".to_owned()];
    sign(&typed, "measured", "ash")
        .failed()
        .complains("worked out from the gaps");
    sign(&at(""), "measured", "ash").done();
    sign(&[], "checked", "birch").done();
}

/// What the engineer did not give is no approval.
#[test]
fn an_approval_is_written_down_by_its_number() {
    let mount = "{id: T1L, group: tub, at: [-1780, 520, 0]";
    let rusty = format!("{mount}, measured: {{rust: scaled}}");
    let bench = signed_otherwise(&[(mount, &rusty)], "mount-T1L.judge-rust");
    let sign = |decision: &str| {
        let task = ["sign", "job.yaml", "mount-T1L.judge-rust", "--by", "rowan"];
        let decision = format!("decision={decision}");
        let values = ["--value", "thickness=3 mm", "--value", &decision];
        bench.run(task.into_iter().chain(values))
    };
    for none in ["none found", "no", "not yet"] {
        sign(none)
            .failed()
            .complains("error[bad-evidence]: `decision` names no paper");
    }
    sign("Rowan (invented), 17 of 2025-03-04").done();
}

/// Each bolt is held against its own figure at the retorque, and a vehicle on which one was loose is nobody's to drive until it is right.
#[test]
fn a_bolt_that_is_loose_at_the_retorque_stops_the_vehicle() {
    let bench = signed_until("retorque-first");
    bench.run(["record", "job.yaml"]).done();
    let done = |km: &str, turned: &str, tub: &str| {
        let mut words = vec!["sign", "job.yaml", "retorque-first", "--by", "ash"];
        words.extend(["--ticks", "--wrench", "W7", "--odometer", km]);
        let cab = ["C1L", "C1R", "C2L", "C2R", "C3L", "C3R"].map(|at| (at, "65 N·m"));
        let tub = ["T1L", "T1R", "T2L", "T2R", "T3L", "T3R"].map(|at| (at, tub));
        let torques = cab.into_iter().chain(tub);
        let torques = torques.map(|(at, torque)| format!("torque.{at}={torque}"));
        let said = [format!("turned={turned}"), "moved=T2R".to_owned()];
        let values: Vec<String> = torques.chain(said).collect();
        for value in &values {
            words.extend(["--value", value]);
        }
        bench.run(words)
    };
    let sign = |act: &[&str]| {
        let words = [
            "sign",
            "job.yaml",
            "retorque-first",
            "--by",
            "birch",
            "--act",
        ];
        bench.run(words.into_iter().chain(act.iter().copied()))
    };
    // Threadlocker leaves the mark alone; what nobody reads on a wrench is no figure.
    done("45310", "360", "mark")
        .done()
        .prints("`turned` of `retorque-first` is 360°");
    sign(&["checked"])
        .failed()
        .complains("error[outside-limits]");
    let stopped = || {
        let account = bench.run(["record", "job.yaml"]).code(1).stdout;
        assert!(
            account.contains("not right since: retorque-first"),
            "{account}"
        );
        bench
            .run(["record", "job.yaml", "--card"])
            .code(1)
            .prints("Do not start, do not move");
    };
    stopped();
    sign(&["rejected", "--note", "loose once more"]).done();
    stopped();
    done("45420", "0", "50 N·m")
        .done()
        .prints("`torque.T1L` of `retorque-first` is 50 N·m, and 62 N·m to 68 N·m is needed");
    stopped();
    done("45420", "0", "mark").done();
    sign(&["checked"]).done();
    bench.run(["record", "job.yaml"]).done();
}

/// Of what hangs on neither brakes nor steering the drives are not made again, unless it is looked at on the road.
#[test]
fn a_loom_that_is_refused_after_the_road_test_is_not_driven_for() {
    let bench = signed_until("parked");
    let said = refused(&bench, "engine-loom.refit");
    assert!(
        opens(&said, "battery-off") && opens(&said, "before-it-moves"),
        "{said}"
    );
    for task in ["yard-test", "road-test", "bleed-brakes"] {
        assert!(!opens(&said, task), "{task} of {said}");
    }
}

/// Who parts what keeps wheels, airbags or coolant in has made that safe, whenever it is done.
#[test]
fn what_is_refused_after_the_first_drive_is_made_safe_first() {
    for (task, first) in [
        ("fan-shroud.refit", "battery-off"),
        ("prove-neutral", "up-to-check"),
        ("steering-shaft.refit", "steering-locked"),
        ("radiator-hose.refit", "drain-coolant"),
        ("new-tyres-on", "up-to-check"),
        ("first-start", "before-first-start"),
        ("torque-check-cold", "before-handover"),
    ] {
        let bench = signed_until("");
        let said = refused(&bench, task);
        for opened in [first, "chock-wheels", "chocks-away"] {
            assert!(opens(&said, opened), "{opened} of {said}");
        }
        // The drive as found, the raise and other connections stay.
        for stays in ["road-test-as-found", "loosen-all-bolts", "intake.refit"] {
            assert!(!opens(&said, stays), "{stays} of {said}");
        }
    }
}

/// A hold point that is refused cleared nothing; one that is only asked again cleared what it did.
#[test]
fn what_a_refused_hold_point_cleared_is_not_cleared() {
    let bench = signed_until("parked");
    let sign = ["sign", "job.yaml", "prove-controls", "--by", "birch"];
    let why = ["--act", "reopened", "--note", "once more", "--dry-run"];
    let said = bench.run(sign.into_iter().chain(why)).done().stdout;
    assert!(!opens(&said, "road-test"), "{said}");
    let said = refused(&bench, "prove-controls");
    for task in [
        "before-first-start",
        "before-it-moves",
        "yard-test",
        "road-test",
    ] {
        assert!(opens(&said, task), "{task} of {said}");
    }
    assert!(
        said.contains("road-test, which was cleared by `prove-controls`"),
        "{said}"
    );
}

/// Whatever the record said, the bolt was never as tight as that.
#[test]
fn a_value_that_is_corrected_out_of_its_limits_opens_what_rests_on_it() {
    let bench = signed_until("parked");
    let lines = std::fs::read_to_string(bench.path().join("job.record.jsonl")).unwrap();
    let entries = lines
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap());
    let mut gave = entries.filter(|entry| entry["values"].get("torque.C2R").is_some());
    let entry = gave.next().unwrap()["number"].to_string();
    let correct = |value: &str| {
        let sign = [
            "sign",
            "job.yaml",
            "mounts-C1L-to-C3R.torque",
            "--by",
            "birch",
            "--yes",
        ];
        let why = ["--act", "corrected", "--note", "misread", "--wrench", "W7"];
        let what = ["--entry", entry.as_str(), "--value", value];
        bench
            .run(sign.into_iter().chain(why).chain(what))
            .done()
            .stdout
    };
    let right = correct("torque.C2R=64 N·m");
    assert!(!right.contains("falls open"), "{right}");
    let wrong = correct("torque.C2R=80 N·m");
    for task in ["sits-square.cab", "before-it-moves"] {
        assert!(opens(&wrong, task), "{task} of {wrong}");
    }
}

/// A jack that is refused while a body stands on it is not a jack to raise that body from.
#[test]
fn jacks_that_are_refused_under_a_raised_body_let_it_down() {
    let bench = signed_until("before-lowering.cab.left");
    let said = refused(&bench, "jacks-under.cab.left");
    for task in [
        "before-raising",
        "raise-first",
        "walk-round",
        "raise-on",
        "stands-set",
    ] {
        let task = format!("{task}.cab.left");
        assert!(opens(&said, &task), "{task} of {said}");
    }
    bench
        .run(["record", "job.yaml", "--next"])
        .code(1)
        .prints("jacks-under.cab.left; first the body is let down, a bolt by hand in every mount");
}

/// A pipe that was overlooked is opened, made, closed and bled: the others, which were closed before it was opened, stay closed.
#[test]
fn a_pipe_that_is_found_after_the_refit_opens_no_other_connection() {
    let bench = signed_until("battery-on");
    let file = bench.path().join("job.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    let begins = text.find("  - id: front-brake-pipe").unwrap();
    let length = text[begins + 4..].find("\n  - id: ").unwrap() + 5;
    let pipe = text[begins..begins + length].replace("front-brake-pipe", "second-pipe");
    std::fs::write(&file, [&text[..begins], &pipe, &text[begins..]].concat()).unwrap();
    let changed = ["sign", "job.yaml", "--act", "changed", "--by", "birch"];
    let why = ["--note", "a second pipe behind the booster", "--yes"];
    let said = bench.run(changed.into_iter().chain(why)).done().stdout;
    for task in ["release-done", "before-battery-on"] {
        assert!(opens(&said, task), "{task} of {said}");
    }
    for other in [
        "front-brake-pipe.refit",
        "brake-pipe-down.refit",
        "intake.refit",
        "raise-first.cab.left",
    ] {
        assert!(!opens(&said, other), "{other} of {said}");
    }
}

/// A bracket that is found cracked opens no block by itself: what was done at its mount is named, and left to whoever looks.
#[test]
fn what_stays_signed_at_a_refused_mount_is_named_with_what_opens_it() {
    let bench = signed_until("parked");
    let said = refused(&bench, "brackets-and-channels:C1L");
    let line = said.lines().find(|line| line.contains("stays signed: "));
    let line = line.unwrap_or_else(|| panic!("{said}"));
    let block = "mounts-C1L-to-C3L.correct";
    for task in [block, "mounts-C1L-to-C3R.torque"] {
        assert!(
            line.contains(task) && !opens(&said, task),
            "{task} of {said}"
        );
    }
    let opening = format!("`liftsheet sign JOB {block}:C1L --act rejected --by birch --note '…'`");
    assert!(line.ends_with(&opening), "{line}");
    let said = refused(&bench, &format!("{block}:C1L"));
    assert!(opens(&said, "mounts-C1L-to-C3R.torque"), "{said}");
    // What opens by itself is not said to stay, and what has no mount says nothing of any.
    assert!(!said.contains("stays signed"), "{said}");
    assert!(!refused(&signed_until("parked"), "carpet-back").contains("stays signed"));
}

/// A captive nut that turns clamps nothing, whatever was torqued on it.
#[test]
fn a_new_captive_nut_that_is_refused_opens_what_it_holds() {
    let blind = "{joint: captive, bolt_length: 60 mm, engagement: 16 mm, blind_depth: 12 mm";
    let spins = format!("{blind}, captive_nut: spins");
    let bench = signed_otherwise(&[(blind, &spins)], "parked");
    let said = refused(&bench, "mount-T2L.new-nut");
    for task in [
        "mount-T2L.correct.captive",
        "mounts-T1L-to-T3R.torque",
        "sits-square.tub",
        "raise-first.tub.left",
        "before-it-moves",
    ] {
        assert!(opens(&said, task), "{task} of {said}");
    }
}
