//! The vehicle has a state: on the demo and on a vehicle that has everything, each fault of an order that a workshop would meet.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::support::plan::{Plan, id};
use crate::support::reader;
use crate::support::run::Bench;

fn demo() -> Plan {
    let bench = Bench::new();
    Plan(bench.run(["sheet", "--format", "json"]).done().json())
}

/// The tasks that make a step of a state.
fn makers<'a>(plan: &'a Plan, state: &str, step: &str) -> Vec<&'a str> {
    let makes = |task: &&Value| task["makes"][state] == step;
    plan.tasks().iter().filter(makes).map(id).collect()
}

/// The one task that makes a step of a state.
#[track_caller]
fn maker<'a>(plan: &'a Plan, state: &str, step: &str) -> &'a str {
    let makers = makers(plan, state, step);
    assert_eq!(makers.len(), 1, "makers of `{state}: {step}`: {makers:?}");
    makers[0]
}

#[test]
fn the_demo_can_be_walked_through() {
    assert_eq!(reader::faults(&demo().0), Vec::<String>::new());
}

/// The reader itself must be able to fail.
#[test]
fn a_plan_out_of_order_is_found() {
    let plan = demo();
    let swapped = |one: &str, other: &str| {
        let mut json = plan.0.clone();
        let (a, b) = (plan.position(one), plan.position(other));
        json["tasks"].as_array_mut().unwrap().swap(a, b);
        reader::faults(&json)
    };
    assert!(!swapped("battery-on", "first-start").is_empty());
    assert!(!swapped("chock-wheels", "before-release").is_empty());
    assert!(!swapped("bleed-brakes", "before-it-moves").is_empty());
    let mut json = plan.0.clone();
    json["tasks"][plan.position("clean-and-rust-proof.cab.left")]["place"] = json!("inside");
    assert_eq!(
        reader::faults(&json).len(),
        1,
        "{:?}",
        reader::faults(&json)
    );
    let mut json = plan.0.clone();
    let tasks = json["tasks"].as_array_mut().unwrap();
    tasks.retain(|task| task["id"] != "chocks-away");
    assert_eq!(reader::faults(&json), ["`chocks` ends as `in again`"]);
}

#[test]
fn nothing_that_needs_power_is_asked_before_the_battery_is_on() {
    let plan = demo();
    let on = plan.position(maker(&plan, "battery", "connected again"));
    let off = plan.position(maker(&plan, "battery", "isolated"));
    for task in &plan.tasks()[off..on] {
        for tool in ["scan tool", "voltmeter", "trailer socket tester"] {
            let tools = task["tools"].as_array().unwrap();
            assert!(!tools.contains(&json!(tool)), "{tool}: `{}`", id(task));
        }
        for evidence in task["evidence"].as_array().unwrap() {
            let ask = evidence["ask"].as_str().unwrap();
            for word in [
                "fault stored",
                "cranking",
                "self-test",
                "working heat",
                "engine running",
                "vents cold",
                "reverse goes in",
            ] {
                assert!(
                    !ask.contains(word),
                    "`{}` asks before the battery is on: {ask}",
                    id(task)
                );
            }
        }
    }
}

#[test]
fn brakes_are_bled_and_levers_proven_before_the_engine_is_started() {
    let plan = demo();
    plan.in_order(&[
        "bleed-brakes",
        "prove-controls",
        "before-first-start",
        "first-start",
        "pedal-with-booster",
        "before-it-moves",
    ]);
    plan.in_order(&["prove-neutral", "wheels-down", "before-first-start"]);
    assert_eq!(
        plan.task("prove-neutral")["while"]["vehicle"],
        "up to check"
    );
}

/// It certifies the timber, so that jacks that are refused open it.
#[test]
fn hold_point_2_rests_on_the_jacks_that_it_certifies() {
    let plan = demo();
    for (hold, side) in [
        ("before-raising", "left"),
        ("before-raising-again", "right"),
    ] {
        let hold = plan.task(&format!("{hold}.cab.{side}"));
        let under = json!(format!("jacks-under.cab.{side}"));
        assert!(hold["after"].as_array().unwrap().contains(&under), "{hold}");
    }
}

#[test]
fn coolant_is_drained_before_a_hose_of_it_comes_off() {
    demo().in_order(&[
        "splash-shield-off",
        "drain-coolant",
        "radiator-hose-lower.release",
    ]);
}

#[test]
fn what_is_tied_chocked_and_carried_away_comes_back() {
    let plan = demo();
    for (state, steps) in [
        ("key", ["in the box", "given back"]),
        ("steering", ["tied and marked", "tie off"]),
        ("chocks", ["in", "taken away"]),
        ("vehicle", ["up to check", "wheels down"]),
        ("console", ["taken off", "back in place"]),
        ("bonnet", ["open", "shut again"]),
        ("wheels", ["changed", "nuts torqued"]),
    ] {
        plan.in_order(&steps.map(|step| maker(&plan, state, step)));
    }
}

#[test]
fn a_lever_s_clearance_is_looked_at_before_console_and_boots_hide_it() {
    let plan = demo();
    plan.in_order(&["gear-lever.check", "console-on", "prove-controls"]);
    assert_eq!(plan.task("gear-lever.check")["moment"], "open");
    assert_eq!(
        plan.task("gear-lever.check")["while"]["console"],
        "taken off"
    );
    // How it is measured stands where it is measured.
    let told = |task: &str| plan.task(task)["steps"].to_string();
    assert!(told("gear-lever.check").contains("engine rocked"));
    assert!(!told("gear-lever.check.still").contains("engine rocked"));
    assert!(told("clutch-line.check").contains("Rock the engine"));
    assert!(!told("clutch-line.check.idling").contains("Rock the engine"));
}

#[test]
fn nothing_is_taken_off_that_is_not_there() {
    let plan = demo();
    // A bar stands in the bumper's place.
    assert!(!plan.ids().iter().any(|id| id.starts_with("front-bumper")));
}

#[test]
fn the_tank_is_filled_and_the_road_driven_only_when_it_may_move() {
    let plan = demo();
    plan.in_order(&[
        "before-it-moves",
        "yard-test",
        "road-test",
        "filler-hose.check.road",
        "torque-check-cold",
        "before-handover",
    ]);
}

#[test]
fn what_can_stop_the_job_is_looked_at_before_anything_is_undone() {
    let plan = demo();
    let first = plan
        .tasks()
        .iter()
        .position(|task| task["stage"] == "make safe")
        .unwrap();
    for early in [
        "read-faults",
        "road-test-as-found",
        "photographs",
        "gaps-before",
        "brackets-and-channels",
        "follow-every-link",
        "bars-and-anchorages",
        "penetrating-oil",
    ] {
        assert!(plan.position(early) < first, "`{early}`");
    }
    plan.in_order(&["read-faults", "battery-off"]);
}

#[test]
fn a_steering_shaft_that_moves_is_signed_for_whatever_its_verdict() {
    // A lift of 5 mm leaves whatever can be left.
    let job = include_str!("../rules/demo/forestry-crew.yaml");
    let job = job.replace("spacer: 40 mm", "spacer: 5 mm");
    let bench = Bench::new().file("job.yaml", job);
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    let shaft = plan.link("steering-shaft");
    assert_eq!(
        (&shaft["verdict"], &shaft["disturbed"]),
        (&json!("leave"), &json!(true))
    );
    plan.position("steering-shaft.check");
    assert_eq!(plan.task("steering-shaft.check")["hold"], "supervisor");
}

#[test]
fn each_hold_point_clears_what_it_guards() {
    let plan = demo();
    for (hold, cleared, guarded) in [
        ("before-release", "release", "loosen-all-bolts"),
        (
            "before-raising.cab.left",
            "raising cab left",
            "raise-first.cab.left",
        ),
        (
            "walk-round.cab.left",
            "raising on cab left",
            "raise-on.cab.left",
        ),
        (
            "before-lowering.cab.left",
            "lowering cab left",
            "lower-side.cab.left",
        ),
        ("before-tightening.cab", "tightening cab", "sits-square.cab"),
        ("before-battery-on", "battery on", "battery-on"),
        ("before-first-start", "first start", "first-start"),
        ("before-it-moves", "moving", "yard-test"),
    ] {
        assert_eq!(maker(&plan, cleared, "cleared"), hold);
        assert_eq!(plan.task(guarded)["while"][cleared], "cleared", "{guarded}");
        assert!(plan.waits_for(guarded).contains(hold), "{guarded}");
    }
    assert_eq!(maker(&plan, "handing over", "cleared"), "before-handover");
}

#[test]
fn what_a_correction_moves_along_is_looked_at_though_it_is_left_alone() {
    let plan = demo();
    // The air box is lowered for the intake, and the duct from the raised intake hangs on it, too.
    assert_eq!(plan.link("intake")["verdict"], "reposition");
    assert_eq!(plan.link("snorkel-duct")["verdict"], "leave");
    let look = plan.task("snorkel-duct.moved-along.intake");
    assert_eq!(
        (&look["moment"], &look["sign"]),
        (&json!("still"), &json!("checked"))
    );
    plan.in_order(&["intake.correct", "snorkel-duct.moved-along.intake"]);
    assert!(!plan.ids().contains(&"booster-hose.moved-along.intake"));
}

#[test]
fn nobody_is_under_the_vehicle_or_in_the_engine_bay_while_it_is_started_or_steered() {
    let plan = demo();
    for (task, shut) in [
        ("first-start", ["engine bay", "under"]),
        ("prove-controls", ["engine bay", "under"]),
        ("battery-on", ["inside", "under"]),
    ] {
        let shuts = plan.task(task)["shuts_out"].as_array().unwrap();
        assert!(
            shut.iter().all(|place| shuts.contains(&json!(place))),
            "{task}"
        );
    }
    // Mounts are torqued long before anything is started.
    plan.in_order(&[
        "sits-square.tub",
        "battery-on",
        "prove-controls",
        "first-start",
    ]);
}

/// A bolt's head is held inside, in the engine bay or beside, as the job says what lies over it, while its nut is turned below: two people.
/// A captive nut takes one (common practice).
#[test]
fn who_holds_a_bolts_head_is_elsewhere_than_who_turns_its_nut() {
    let plan = demo();
    for (task, also) in [
        ("loosen-all-bolts", json!(["inside"])),
        ("mounts-C1L-to-C3R.torque", json!(["inside", "engine bay"])),
        ("mounts-T1L-to-T3R.torque", json!(["beside"])),
    ] {
        let task = plan.task(task);
        assert_eq!((&task["place"], &task["also_at"]), (&json!("under"), &also));
        assert_eq!(task["people"], 2);
    }
    let captive = "{joint: captive, bolt_length: 60 mm, engagement: 16 mm, blind_depth: 12 mm}";
    let mut job = include_str!("../rules/demo/forestry-crew.yaml").to_owned();
    for at in [
        "[-1780, 520, 0]",
        "[-1780, -520, 0]",
        "[-3150, 520, 0]",
        "[-3150, -520, 0]",
    ] {
        job = job.replace(&format!("{at}}}"), &format!("{at}, measured: {captive}}}"));
    }
    let bench = Bench::new().file("job.yaml", job);
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    let of_tub = plan
        .tasks()
        .iter()
        .find(|task| task["group"] == "tub" && id(task).ends_with(".torque"));
    let of_tub = of_tub.unwrap();
    assert_eq!(
        (&of_tub["also_at"], &of_tub["people"]),
        (&json!([]), &json!(1))
    );
}

/// Bleeding follows the making of the tube, and charging the closing of its joints, so that each trade comes once for both.
#[test]
fn a_trade_does_in_one_visit_what_needs_no_other() {
    let plan = demo();
    assert_eq!(plan.task("bleed-brakes")["stage"], "correct");
    assert_eq!(plan.task("recharge-refrigerant")["stage"], "refit");
    let bench = Bench::new();
    let crew = bench.run(["crew", "--format", "json"]).done().json();
    let visits = crew["visits"].as_array().unwrap();
    assert_eq!(visits.len(), 4, "{visits:?}");
}

/// An engineer decides before anything is undone; what is decided is done by the workshop's own people, and what hangs on the bolt is held.
#[test]
fn what_an_engineer_approves_is_fitted_by_the_workshop() {
    let job = include_str!("../rules/demo/forestry-crew.yaml");
    let job = job.replacen("{behind: carpet}", "{behind: carpet, also_holds: belt}", 1);
    let bench = Bench::new().file("job.yaml", job);
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    let steps = ["approve-bolt", "hold-up", "correct", "torque"];
    let steps = steps.map(|step| format!("mount-C3L.{step}"));
    plan.in_order(&steps.each_ref().map(String::as_str));
    let by = steps.map(|step| plan.task(&step)["trade"].clone());
    assert_eq!(
        by,
        [json!("engineer"), json!(null), json!(null), json!(null)]
    );
}

/// The channel that was opened to a spun nut is open at that mount alone, and how the vehicle stands says so until it is closed.
#[test]
fn a_state_may_belong_to_one_mount() {
    let job = include_str!("../rules/demo/forestry-crew.yaml");
    let mount = "bolt_length: 60 mm, engagement: 16 mm";
    let job = job.replacen(mount, &format!("captive_nut: spins, {mount}"), 1);
    let bench = Bench::new().file("job.yaml", job);
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    assert_eq!(reader::faults(&plan.0), Vec::<String>::new());
    let channel = &plan.0["states"]["channel"];
    assert_eq!(
        (&channel["of"], &channel["instances"]),
        (&json!("mount"), &json!(["channel T2L"]))
    );
    plan.in_order(&[
        maker(&plan, "channel T2L", "open"),
        "raise-first.tub.left",
        maker(&plan, "channel T2L", "closed and rust-proofed"),
    ]);
    let page = bench.run(["sheet", "job.yaml"]).stdout;
    assert!(page.contains("channel T2L open"), "{page}");
}

/// A workshop's own state of each connection: the plugs in a hose's ends are out before it is put back.
#[test]
fn a_state_may_belong_to_one_connection() {
    let class = include_str!("../rules/connections/fuel-filler-hose.yaml");
    let class = class
        .replace(
            "    cautions: [<fuel>]\n  refit:",
            "    cautions: [<fuel>]\n    makes: {ends: plugged}\n  refit:",
        )
        .replace(
            "steps: [\"To its mark",
            "makes: {ends: plugs out}\n    steps: [\"To its mark",
        );
    let states = "source: [{document: a workshop's own, status: common practice}]\nstates:\n  ends: {of: link, course: [as found, plugged, plugs out]}\n";
    let bench = Bench::new()
        .file("own/connections/fuel-filler-hose.yaml", class)
        .file("own/states.yaml", states);
    let plan = Plan(
        bench
            .run(["sheet", "--rules", "own", "--format", "json"])
            .json(),
    );
    assert_eq!(reader::faults(&plan.0), Vec::<String>::new());
    assert_eq!(
        plan.0["states"]["ends"]["instances"],
        json!(["ends filler-hose"])
    );
    assert_eq!(
        maker(&plan, "ends filler-hose", "plugs out"),
        "filler-hose.refit"
    );
}

/// How many jacks a side takes and how long the coat dries are the shop's to say: who works them, what is waited for, and whether a day is
/// long enough for a body with its bolts out.
#[test]
fn jacks_and_drying_are_facts_of_the_job() {
    let job = |more: &str| {
        let job = include_str!("../rules/demo/forestry-crew.yaml");
        let line = "  insertion_clearance: 15 mm\n";
        Bench::new().file("job.yaml", job.replace(line, &format!("{line}{more}")))
    };
    let bench = job("  jacks: 2\n  coat_hours: 2\n");
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    assert_eq!(reader::faults(&plan.0), Vec::<String>::new());
    for raising in [
        "raise-first.cab.left",
        "stands-set.tub.right",
        "lower-side.cab.left",
    ] {
        // One at each jack, and one who only watches.
        assert_eq!(plan.task(raising)["people"], 3, "{raising}");
        assert_eq!(demo().task(raising)["people"], 2, "{raising}");
    }
    let waits = &plan.task("before-lowering.cab.left")["waits"];
    assert_eq!(waits[0]["hours"], 2.0, "{waits}");
    assert!(
        !bench
            .run(["check", "job.yaml"])
            .stderr
            .contains("longer-than-a-day")
    );
    let long = job("  coat_hours: 12\n").run(["check", "job.yaml"]).stderr;
    assert_eq!(
        long.matches("warning[longer-than-a-day]").count(),
        4,
        "{long}"
    );
    assert!(
        long.contains(
            "from `bolts-out.cab.left` to `bolts-by-hand.cab.left` nothing may be left overnight"
        ),
        "{long}"
    );
    let wrong = job("  jacks: 0\n  coat_hours: 300\n")
        .run(["check", "job.yaml"])
        .stderr;
    assert_eq!(wrong.matches("error[").count(), 2, "{wrong}");
}

#[test]
fn a_soft_top_is_not_emptied_on_a_roof_that_it_lacks() {
    let bench = Bench::new();
    bench.run(["new", "soft", "--pattern", "soft-top"]).done();
    let sheet = bench.run(["sheet", "soft.yaml", "--format", "json"]);
    let plan = Plan(sheet.json());
    let title = |id: &str| plan.task(id)["title"].as_str().unwrap().to_lowercase();
    let steps = plan.task("taken-in")["steps"].to_string().to_lowercase();
    for absent in ["tray", "tub", "roof"] {
        assert!(
            !title("taken-in").contains(absent) && !steps.contains(absent),
            "{absent}"
        );
    }
    assert!(!plan.ids().contains(&"tray-side-access"));
}

#[test]
fn raising_to_tightening_takes_two_people_a_working_day_at_most() {
    // Common practice: 5 to 9 hours for two, twelve mounts, from the first bolt that is cracked loose to the last that is tight.
    let plan = demo();
    let raising = ["raise", "space", "lower and tighten"];
    let tasks = plan.tasks().iter();
    let tasks = tasks.filter(|task| {
        raising.contains(&task["stage"].as_str().unwrap()) || task["id"] == "loosen-all-bolts"
    });
    let minutes = |task: &Value| {
        task["minutes"]["likely"].as_f64().unwrap() * task["people"].as_f64().unwrap()
    };
    let hours = tasks.map(minutes).sum::<f64>() / 60.0 / 2.0;
    assert!((5.0..=9.0).contains(&hours), "{hours}");
}

#[test]
fn hold_points_have_nine_numbers_and_a_wrench_is_named_once_a_body() {
    let plan = demo();
    let title = |task: &Value| task["title"].as_str().unwrap().to_owned();
    let holds: BTreeSet<String> = plan
        .tasks()
        .iter()
        .filter_map(|task| {
            title(task)
                .strip_prefix("Hold point ")
                .map(|rest| rest[..1].to_owned())
        })
        .collect();
    assert_eq!(holds.len(), 9, "{holds:?}");
    let lift = plan.tasks().iter().filter(|task| task["due"].is_null());
    let asked = lift.flat_map(|task| task["evidence"].as_array().unwrap());
    let wrench = |asked: &&Value| asked["ask"].as_str().unwrap().contains("wrench");
    assert_eq!(asked.filter(wrench).count(), 2);
    // Who ticks a box signs nothing, and a propped bonnet is a box.
    assert_eq!(plan.task("bonnet-open")["sign"], "tick");
}

#[test]
fn without_a_pressure_bleeder_brakes_and_clutch_are_bled_by_two_with_the_wheels_down() {
    let job = include_str!("../rules/demo/forestry-crew.yaml");
    let job = job.replace(
        "things: {hoist: 1,",
        "things: {hoist: 1, pressure bleeder: 0,",
    );
    let bench = Bench::new().file("job.yaml", job);
    let plan = Plan(bench.run(["sheet", "job.yaml", "--format", "json"]).json());
    assert_eq!(reader::faults(&plan.0), Vec::<String>::new());
    let by_pedal = plan.task("bleed-brakes-by-pedal");
    assert_eq!(by_pedal["people"], 2);
    plan.in_order(&[
        "wheels-down",
        "bleed-brakes-by-pedal",
        "prove-controls",
        "before-first-start",
    ]);
    assert!(!plan.ids().contains(&"bleed-brakes"));
    demo().in_order(&["bleed-brakes", "wheels-down", "prove-controls"]);
}
