//! The plan: what is done in which order, and why. The first half uses the few rules of `cases/rules/small`, so that it does not hang
//! on the wording of the shipped ones; the second asks the shipped rules for the order that keeps people whole.

use serde_json::{Value, json};

use crate::support::plan::{Plan, after, id};
use crate::support::run::{Bench, Outcome, case};
use crate::support::vehicle::{Link, Vehicle};

/// Runs `sheet` with the few rules and, over them, more files of a test's own.
fn sheet(vehicle: &Vehicle, more: &[(&str, &str)]) -> Outcome {
    let mut bench = Bench::new()
        .folder(&case("rules/small"), "rules")
        .file("job.yaml", vehicle.yaml());
    for (path, text) in more {
        let text =
            format!("source: [{{document: common practice, status: common practice}}]\n{text}");
        bench = bench.file(&format!("more/{path}"), text);
    }
    let call = bench.call([
        "sheet",
        "job.yaml",
        "--format",
        "json",
        "--only-own-rules",
        "--rules",
        "rules",
    ]);
    if more.is_empty() {
        call.run()
    } else {
        call.arg("--rules").arg("more").run()
    }
}

fn small(vehicle: &Vehicle) -> Plan {
    Plan(sheet(vehicle, &[]).done().json())
}

/// A hose from the bulkhead to the engine with so much slack, mm.
fn hose(id: &str, slack: f64) -> Link {
    Link::new(id, "hose")
        .end("bulkhead", [0.0, 100.0, 500.0])
        .end("engine", [200.0, 100.0, 400.0])
        .free()
        .measured("slack", slack)
}

/// The only task of a stage that is done for a link.
#[track_caller]
fn only_task<'a>(plan: &'a Plan, link: &str, stage: &str) -> &'a Value {
    let of_link = |task: &&Value| {
        task["stage"] == stage && task["for"].as_array().unwrap().contains(&json!(link))
    };
    let tasks: Vec<&Value> = plan.tasks().iter().filter(of_link).collect();
    assert_eq!(
        tasks.len(),
        1,
        "tasks of `{stage}` for `{link}`: {tasks:#?}"
    );
    tasks[0]
}

#[test]
fn every_edge_is_kept_and_names_an_earlier_task() {
    let plan = small(
        &Vehicle::dual_cab(40.0)
            .link(hose("a", 5.0))
            .link(hose("b", 50.0)),
    );
    for (position, task) in plan.tasks().iter().enumerate() {
        for before in after(task) {
            assert!(
                plan.position(before) < position,
                "`{}` waits for the later `{before}`",
                id(task)
            );
        }
    }
}

#[test]
fn access_is_made_once_and_closed_once() {
    let plan = small(
        &Vehicle::wagon(40.0)
            .link(hose("a", 5.0))
            .link(hose("b", 6.0))
            .link(hose("c", 7.0)),
    );
    for once in ["grille-off", "grille-on", "bonnet-off", "bonnet-on"] {
        assert_eq!(
            plan.ids().iter().filter(|id| **id == once).count(),
            1,
            "{once}"
        );
    }
    for link in ["a", "b", "c"] {
        plan.in_order(&["bonnet-off", "grille-off", &format!("{link}.release")]);
        assert!(
            plan.waits_for("grille-on")
                .contains(format!("{link}.correct").as_str())
        );
    }
}

#[test]
fn access_that_nothing_needs_is_not_made() {
    let plan = small(&Vehicle::wagon(40.0).link(hose("long", 300.0)));
    assert!(
        !plan
            .ids()
            .iter()
            .any(|id| id.starts_with("grille-off") || id.starts_with("bonnet-off"))
    );
}

#[test]
fn refits_mirror_removals_in_reverse() {
    let plan = small(&Vehicle::wagon(40.0).link(hose("a", 5.0)));
    // Off: bonnet, grille, hose. On: hose, grille, bonnet.
    plan.in_order(&[
        "bonnet-off",
        "grille-off",
        "a.release",
        "a.refit",
        "grille-on",
        "bonnet-on",
    ]);
    assert!(
        plan.waits_for("grille-on").contains("a.refit"),
        "the hose is put back while the grille is off"
    );
    assert!(plan.waits_for("bonnet-on").contains("grille-on"));
}

#[test]
fn what_is_done_while_raised_is_done_in_the_space_stage() {
    let plan = small(&Vehicle::dual_cab(40.0));
    for (mount, group, side) in [
        ("CAB-1L", "cab", "left"),
        ("CAB-2R", "cab", "right"),
        ("TUB-1L", "tub", "left"),
    ] {
        let task = only_task(&plan, &format!("mount-{mount}"), "space");
        assert_eq!(
            (&task["group"], &task["side"]),
            (&json!(group), &json!(side)),
            "{mount}"
        );
        plan.in_order(&[
            &format!("up.{group}.{side}"),
            id(task),
            &format!("blocks-in.{group}.{side}"),
            &format!("down.{group}.{side}"),
        ]);
        let torque = only_task(&plan, &format!("mount-{mount}"), "lower and tighten");
        assert_eq!(
            (&torque["group"], &torque["side"]),
            (&json!(group), &Value::Null)
        );
    }
}

#[test]
fn nothing_is_corrected_before_the_last_body_is_tightened() {
    let plan = small(&Vehicle::dual_cab(40.0).link(hose("a", 5.0)));
    let first = plan
        .tasks()
        .iter()
        .position(|task| task["stage"] == "correct")
        .unwrap();
    let last = plan
        .tasks()
        .iter()
        .rposition(|task| task["stage"] == "lower and tighten")
        .unwrap();
    assert!(last < first);
    let correct: Vec<&Value> = plan
        .tasks()
        .iter()
        .filter(|task| task["stage"] == "correct")
        .collect();
    for task in correct {
        let waits = plan.waits_for(id(task));
        assert!(
            waits.contains("tight.cab") && waits.contains("tight.tub"),
            "`{}` does not wait",
            id(task)
        );
    }
}

#[test]
fn every_correction_is_checked_after_it() {
    let plan = small(
        &Vehicle::wagon(40.0)
            .link(hose("a", 5.0))
            .link(hose("b", 50.0).measured("gain", 60)),
    );
    assert_eq!(
        (plan.verdict("a"), plan.verdict("b")),
        ("extend", "reposition")
    );
    for (link, work) in [
        ("a", "correct"),
        ("b", "correct"),
        ("mount-BODY-1L", "space"),
    ] {
        let check = id(only_task(&plan, link, "check"));
        assert!(
            plan.waits_for(check)
                .contains(id(only_task(&plan, link, work))),
            "{check}"
        );
    }
    assert!(
        plan.waits_for("a.check").contains("a.refit"),
        "what was off is on again when it is checked"
    );
}

#[test]
fn what_is_to_be_measured_comes_first_and_the_plan_is_provisional() {
    let unmeasured = Link {
        measured: serde_json::Map::new(),
        ..hose("unknown", 0.0)
    };
    let plan = Plan(
        sheet(
            &Vehicle::wagon(40.0).link(unmeasured).link(hose("a", 5.0)),
            &[],
        )
        .code(0)
        .json(),
    );
    assert_eq!(plan.0["provisional"], true);
    assert_eq!(plan.verdict("unknown"), "measure");
    assert_eq!(plan.ids()[0], "unknown.measure");
    let task = plan.task("unknown.measure");
    assert_eq!(task["stage"], "measure");
    // 40 mm of rise and 25 mm of reserve: 65 mm or more is left, less is lengthened.
    let steps = task["steps"].to_string();
    assert!(
        steps.contains("65 mm or more: leave; less: extend"),
        "{steps}"
    );
    assert!(
        !plan.ids().contains(&"unknown.correct"),
        "nothing is planned on a guess"
    );
    for task in plan
        .tasks()
        .iter()
        .filter(|task| task["stage"] != "measure")
    {
        assert!(
            plan.waits_for(id(task)).contains("unknown.measure"),
            "`{}` does not wait",
            id(task)
        );
    }
}

#[test]
fn what_is_due_later_comes_last_and_keeps_its_distance() {
    let plan = small(&Vehicle::wagon(40.0));
    assert_eq!(plan.ids().last(), Some(&"retorque"));
    assert_eq!(plan.task("retorque")["due"], json!({"km": 100.0}));
    assert!(plan.waits_for("retorque").contains("handed-over"));
    assert!(!plan.waits_for("handed-over").contains("retorque"));
}

#[test]
fn a_circle_is_printed_whole_with_the_reason_of_every_step() {
    let circle = "stage: make safe\ntasks:\n\
        \x20 - {id: one, task: {title: One, minutes: [1, 2, 3], after: [{task: three, because: x}]}}\n\
        \x20 - {id: two, task: {title: Two, minutes: [1, 2, 3], after: [{task: one, because: x}]}}\n\
        \x20 - {id: three, task: {title: Three, minutes: [1, 2, 3], after: [{task: two, because: x}]}}\n";
    let outcome = sheet(
        &Vehicle::wagon(40.0),
        &[("procedure/15-circle.yaml", circle)],
    )
    .failed();
    let step = "(listed in `after`)";
    outcome.complains("error[cycle]").complains(&format!(
        "`one` → `two` {step} → `three` {step} → `one` {step}"
    ));
}

#[test]
fn a_task_that_needs_what_it_makes_waits_for_nobody() {
    let own = "stage: strip\ntasks:\n\
        \x20 - {id: one, always: true, task: {title: One, minutes: [1, 2, 3], makes: {grille: taken off}, while: {grille: taken off}}}\n";
    let outcome = sheet(&Vehicle::wagon(40.0), &[("procedure/25-own.yaml", own)]);
    assert!(Plan(outcome.json()).ids().contains(&"one"));
}

#[test]
fn an_earlier_stage_cannot_wait_for_a_later_one() {
    let late = "source: [{document: common practice, status: common practice}]\nstage: make safe\ntasks:\n\
        \x20 - {id: early, task: {title: Early, minutes: [1, 2, 3], after: [{task: checked, because: x}]}}\n";
    let bench = Bench::new()
        .folder(&case("rules/small"), "rules")
        .file("more/procedure/15-late.yaml", late);
    let outcome = bench
        .run([
            "check",
            "--only-own-rules",
            "--rules",
            "rules",
            "--rules",
            "more",
        ])
        .failed();
    outcome
        .complains("more/procedure/15-late.yaml")
        .complains("`early`");
}

#[test]
fn what_stands_together_comes_together_and_ties_go_by_area_in_walking_order() {
    let areas = [
        "rear outside",
        "tank and rear",
        "right under",
        "tunnel",
        "left under",
        "front outside",
        "engine bay",
        "cab",
    ];
    let task = |area: &str| {
        let name = area.replace(' ', "-");
        format!(
            "  - {{id: at-{name}, task: {{title: {area}, area: {area}, minutes: [1, 2, 3]}}}}\n"
        )
    };
    let tasks = format!("stage: make safe\ntasks:\n{}", areas.map(task).concat());
    let plan = Plan(
        sheet(&Vehicle::wagon(40.0), &[("procedure/15-walk.yaml", &tasks)])
            .done()
            .json(),
    );
    // The chocks are set beside the vehicle, and what else is done there follows.
    let walk = [
        "front-outside",
        "rear-outside",
        "cab",
        "engine-bay",
        "left-under",
        "tunnel",
        "right-under",
        "tank-and-rear",
    ];
    let walk: Vec<String> = walk.iter().map(|area| format!("at-{area}")).collect();
    plan.in_order(&walk.iter().map(String::as_str).collect::<Vec<_>>());
}

#[test]
fn the_longest_chain_is_a_chain_and_no_task_is_longer() {
    let plan = small(&Vehicle::wagon(40.0).link(hose("a", 5.0)));
    let chain: Vec<&str> = plan.0["longest_chain"]
        .as_array()
        .unwrap()
        .iter()
        .map(|id| id.as_str().unwrap())
        .collect();
    for pair in chain.windows(2) {
        assert!(
            after(plan.task(pair[1])).contains(&pair[0]),
            "`{}` does not wait for `{}`",
            pair[1],
            pair[0]
        );
    }
    // Worked out anew: the longest way through the graph by likely minutes, task by task in the order of work.
    let likely = |task: &Value| task["minutes"]["likely"].as_f64().unwrap();
    let mut longest = std::collections::BTreeMap::new();
    for task in plan.tasks().iter().filter(|task| task["due"].is_null()) {
        let before = after(task)
            .iter()
            .map(|id| longest.get(*id).copied().unwrap_or(0.0))
            .fold(0.0, f64::max);
        longest.insert(id(task), before + likely(task));
    }
    let best = longest.values().copied().fold(0.0, f64::max);
    let of_chain: f64 = chain.iter().map(|id| likely(plan.task(id))).sum();
    assert!(
        (of_chain - best).abs() < 1e-9,
        "the chain takes {of_chain} minutes, the longest {best}"
    );
}

/// A dual cab with work at everything that a hold point guards, by the shipped rules.
fn shipped() -> Plan {
    let link = |id: &str, class: &str, on: &str| {
        Link::new(id, class)
            .end(on, [100.0, 100.0, 500.0])
            .end("engine", [200.0, 100.0, 400.0])
            .free()
    };
    let vehicle = Vehicle::dual_cab(40.0)
        .measured_mounts()
        .part("shroud", "cab")
        .link(
            link("heater", "heater-hoses", "bulkhead")
                .measured("slack", 5)
                .measured("sound", "yes"),
        )
        .link(link("cable", "accelerator-cable", "bulkhead").measured("slack", 5))
        .link(
            link("fan", "fan-and-shroud", "shroud")
                .measured("shroud_radius", 228)
                .measured("fan_radius", 205)
                .measured("offset", 2)
                .measured("lowering", 30),
        );
    let bench = Bench::new().file("job.yaml", vehicle.yaml());
    Plan(
        bench
            .run(["sheet", "job.yaml", "--format", "json"])
            .done()
            .json(),
    )
}

/// Asserts that a task waits for every task that `of` picks.
#[track_caller]
fn guards(plan: &Plan, hold: &str, what: &str, of: impl Fn(&Value) -> bool) {
    assert_eq!(
        plan.task(hold)["hold"],
        "supervisor",
        "`{hold}` is signed by a second person"
    );
    let waits = plan.waits_for(hold);
    let picked: Vec<&str> = plan
        .tasks()
        .iter()
        .filter(|task| of(task))
        .map(id)
        .collect();
    assert!(!picked.is_empty(), "there is no {what}");
    for task in picked {
        assert!(
            waits.contains(task),
            "hold point `{hold}` does not wait for {what} `{task}`"
        );
    }
}

/// Asserts that every task that `of` picks waits for the hold point.
#[track_caller]
fn precedes(plan: &Plan, hold: &str, what: &str, of: impl Fn(&Value) -> bool) {
    let picked: Vec<&str> = plan
        .tasks()
        .iter()
        .filter(|task| of(task))
        .map(id)
        .collect();
    assert!(!picked.is_empty(), "there is no {what}");
    for task in picked {
        assert!(
            plan.waits_for(task).contains(hold),
            "{what} `{task}` does not wait for hold point `{hold}`"
        );
    }
}

fn of_stage(stage: &'static str) -> impl Fn(&Value) -> bool {
    move |task| task["stage"] == stage
}

fn named(names: &'static [&'static str]) -> impl Fn(&Value) -> bool {
    move |task| names.contains(&id(task))
}

/// A job with each of its connections once more, under another id.
fn twice(text: &str) -> String {
    let (before, rest) = text.split_once("\nlinks:\n").unwrap();
    let below = |line: &&str| line.is_empty() || line.starts_with([' ', '#']);
    let links: Vec<&str> = rest.lines().take_while(below).collect();
    let links = links.join("\n") + "\n";
    let again = links.replace("  - id: ", "  - id: again-");
    format!("{before}\nlinks:\n{links}{again}{}", &rest[links.len()..])
}

#[test]
fn a_vehicle_may_have_each_of_its_connections_twice() {
    for name in [
        "rules/demo/forestry-crew.yaml",
        "tests/cases/jobs/sixty-links.yaml",
    ] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
        let text = std::fs::read_to_string(path).unwrap();
        let bench = Bench::new().file("job.yaml", twice(&text));
        let plan = Plan(
            bench
                .call(["sheet", "job.yaml", "--format", "json"])
                .run()
                .done()
                .json(),
        );
        assert!(plan.tasks().len() > 100, "{name}");
    }
}

#[test]
fn hold_point_1_comes_before_anything_is_taken_apart() {
    let plan = shipped();
    guards(&plan, "before-release", "task that makes safe", |task| {
        task["stage"] == "make safe" && id(task) != "before-release"
    });
    precedes(&plan, "before-release", "release", of_stage("release"));
    precedes(&plan, "before-release", "removal", of_stage("strip"));
}

#[test]
fn hold_point_2_comes_before_a_body_goes_up() {
    let plan = shipped();
    for group in ["cab", "tub"] {
        for (side, hold) in [
            ("left", "before-raising"),
            ("right", "before-raising-again"),
        ] {
            let hold = format!("{hold}.{group}.{side}");
            guards(&plan, &hold, "release", of_stage("release"));
            guards(
                &plan,
                &hold,
                "preparation",
                named(&["gaps-before", "brackets-and-channels", "loosen-all-bolts"]),
            );
            precedes(&plan, &hold, "raising", |task| {
                let up = ["raise-first", "walk-round", "raise-on", "stands-set"];
                up.iter()
                    .any(|up| id(task) == format!("{up}.{group}.{side}"))
            });
        }
    }
}

#[test]
fn hold_point_3_comes_after_the_first_stop_of_every_side() {
    let plan = shipped();
    for (group, side) in [
        ("cab", "left"),
        ("cab", "right"),
        ("tub", "left"),
        ("tub", "right"),
    ] {
        let hold = format!("walk-round.{group}.{side}");
        guards(&plan, &hold, "on jacks at the first stop", |task| {
            id(task) == format!("raise-first.{group}.{side}")
        });
        precedes(&plan, &hold, "raising on", |task| {
            id(task) == format!("raise-on.{group}.{side}")
                || id(task) == format!("raise-in-two-steps.{group}.{side}")
        });
    }
}

#[test]
fn hold_points_4_and_5_stand_between_block_and_torque_wrench() {
    let plan = shipped();
    for group in ["cab", "tub"] {
        for side in ["left", "right"] {
            let here = |task: &Value, stage: &str| {
                task["stage"] == stage && task["group"] == group && task["side"] == side
            };
            let hold = format!("before-lowering.{group}.{side}");
            guards(&plan, &hold, "block", |task| {
                here(task, "space") && id(task) != hold
            });
            precedes(&plan, &hold, "lowering", |task| {
                here(task, "lower and tighten")
            });
        }
        let hold = format!("before-tightening.{group}");
        guards(&plan, &hold, "bolt by hand", |task| {
            id(task).starts_with(&format!("bolts-by-hand.{group}."))
        });
        precedes(&plan, &hold, "torque", |task| {
            task["group"] == group && id(task).ends_with(".torque")
        });
    }
}

#[test]
fn hold_point_6_comes_before_the_battery_goes_on() {
    let plan = shipped();
    guards(&plan, "before-battery-on", "refit", of_stage("refit"));
    precedes(
        &plan,
        "before-battery-on",
        "battery",
        named(&["battery-on"]),
    );
}

#[test]
fn hold_point_7_comes_before_the_engine_is_started() {
    let plan = shipped();
    guards(
        &plan,
        "before-first-start",
        "battery",
        named(&["battery-on"]),
    );
    guards(
        &plan,
        "before-first-start",
        "coolant",
        named(&["fill-and-bleed-coolant"]),
    );
    precedes(
        &plan,
        "before-first-start",
        "start",
        named(&["first-start"]),
    );
}

#[test]
fn the_fan_clears_its_shroud_before_the_engine_is_started() {
    let plan = Plan(
        Bench::new()
            .run(["sheet", "--format", "json"])
            .done()
            .json(),
    );
    plan.in_order(&["fan-shroud.check", "before-first-start", "first-start"]);
}

#[test]
fn hold_point_8_comes_after_every_check_and_before_the_road() {
    let plan = shipped();
    guards(&plan, "before-it-moves", "check", |task| {
        let later = ["yard", "road", "after the road, cold"];
        let later = later.iter().any(|moment| task["moment"] == *moment);
        task["stage"] == "check" && !later && id(task) != "before-it-moves"
    });
    precedes(&plan, "before-it-moves", "road test", named(&["road-test"]));
}

#[test]
fn hold_point_9_comes_after_the_road_test_and_before_all_that_is_due_later() {
    let plan = shipped();
    guards(
        &plan,
        "before-handover",
        "road test",
        named(&["road-test", "torque-check-cold"]),
    );
    precedes(&plan, "before-handover", "task due later", |task| {
        !task["due"].is_null()
    });
    let hold = plan.position("before-handover");
    for (position, task) in plan.tasks().iter().enumerate() {
        assert_eq!(position > hold, !task["due"].is_null(), "`{}`", id(task));
    }
}

#[test]
fn a_tilt_over_the_limit_is_taken_in_two_steps() {
    // asin((100 + 15)/1100) = 6.0°, over the 5° that are common practice; asin((40 + 15)/1100) = 2.9°.
    let bench =
        |spacer| Bench::new().file("job.yaml", Vehicle::wagon(spacer).measured_mounts().yaml());
    let plan = |spacer| {
        Plan(
            bench(spacer)
                .run(["sheet", "job.yaml", "--format", "json"])
                .json(),
        )
    };
    let (low, high) = (plan(40.0), plan(100.0));
    low.position("raise-on.body.left");
    assert!(!low.ids().contains(&"raise-in-two-steps.body.left"));
    // Both sides stand on packers, and somebody has looked, before the one is raised on.
    let half = [
        "walk-round",
        "half-way",
        "half-way-across",
        "half-way-seen",
        "raise-in-two-steps",
    ];
    let half = half.map(|task| format!("{task}.body.left"));
    high.in_order(&half.each_ref().map(String::as_str));
    assert_eq!(high.task("half-way-seen.body.left")["hold"], "supervisor");
    assert!(!high.ids().contains(&"raise-on.body.left"));
    // The second side goes up by the clearance alone: 15 mm of 1100, and needs no second step.
    high.position("raise-on.body.right");
}

/// Of a lever's gates each that is short is opened, not only the worst.
#[test]
fn every_gate_that_is_short_has_its_task() {
    let json = Bench::new().run(["sheet", "--format", "json"]).json();
    let tasks = json["tasks"].as_array().unwrap();
    let titles = |tasks: &[Value]| -> Vec<String> {
        let cuts = tasks.iter().filter_map(|task| task["title"].as_str());
        let cuts = cuts.filter(|title| title.starts_with("Cut the floor opening"));
        cuts.map(str::to_owned).collect()
    };
    // The demo's gates ask for 67.3 mm aft and 60.3 mm fore, and have 60 mm.
    assert_eq!(
        titles(tasks),
        [
            "Cut the floor opening of gear lever to 68 mm aft of the lever's old centre-line",
            "Cut the floor opening of gear lever to 61 mm fore of the lever's old centre-line",
        ]
    );
}
