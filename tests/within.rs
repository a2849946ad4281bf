//! A verdict, a size and a limit hold at every reading within its tolerance: each case is judged with its tolerances and again at exact
//! readings within them, through the real program.
//!
//! The numbers of bolts are worked out by hand from the lengths of ISO 4014 and the nut of ISO 4032 (12.2 mm wide nuts of M12: 10.8 mm
//! high), as `tests/calc` has them with their sources; what must stand out of a nut is common practice.

use serde_json::{Value, json};

use crate::support::plan::{Plan, weight};
use crate::support::run::Bench;
use crate::support::vehicle::{Link, Vehicle};

/// The plan of a job, by the program.
fn planned(job: &Value) -> Plan {
    let bench = Bench::new().file("job.yaml", serde_json::to_string(job).unwrap());
    let outcome = bench.run(["sheet", "job.yaml", "--format", "json"]);
    let found = serde_json::from_str(&outcome.stdout);
    Plan(found.unwrap_or_else(|_| panic!("{}", outcome.stderr)))
}

/// A wagon on blocks of 50 mm whose mounts were measured so, beside what all of them share.
fn mounts(measured: &[(&str, &str)]) -> Plan {
    let mut vehicle = Vehicle::wagon(50.0).measured_mounts();
    let every = vehicle.every_mount.as_object_mut().unwrap();
    every.insert("thread".to_owned(), json!("M12"));
    every.insert("class".to_owned(), json!("10.9"));
    every.insert("nut_class".to_owned(), json!("10"));
    every.insert("maker_torque".to_owned(), json!("110 N·m"));
    // A sleeve that the block stands on firmly, so that nothing but the bolt decides.
    every.insert("sleeve_outer".to_owned(), json!("40 mm"));
    for (name, value) in measured {
        if value.is_empty() {
            every.remove(*name);
        } else {
            every.insert((*name).to_owned(), json!(value));
        }
    }
    // Light enough that nothing but the bolt's length decides.
    let mut job = vehicle.value();
    job["vehicle"]["body_mass"] = json!("250 kg");
    job["vehicle"]["body_mass_laden"] = json!("300 kg");
    planned(&job)
}

const MOUNT: &str = "mount-BODY-1L";

/// A result of the first mount.
fn result(plan: &Plan, name: &str) -> f64 {
    let results = &plan.link(MOUNT)["results"];
    results[name]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("no `{name}` in {results:#}"))
}

#[test]
fn a_bolt_is_ordered_that_serves_at_every_grip_within_its_tolerance() {
    // 45 + 50 + 10.8 + 2·1.75 = 109.3 at the stated grip, 110.3 a millimetre above it.
    let exact = |grip: &str| result(&mounts(&[("grip", grip)]), "nut.order_length");
    assert_eq!((exact("45 mm"), exact("46 mm")), (110.0, 120.0));
    let within = mounts(&[("grip", "45 mm ±1")]);
    assert_eq!(within.verdict(MOUNT), "replace");
    assert_eq!(result(&within, "nut.order_length"), 120.0);
    let least = result(&within, "nut.least_length");
    assert!((least - 110.3).abs() < 1e-9, "{least}");
}

fn captive(depth: &str) -> Plan {
    mounts(&[
        ("joint", "captive"),
        ("grip", ""),
        ("bolt_length", "85 mm"),
        ("engagement", "14 mm"),
        ("blind_depth", depth),
    ])
}

#[test]
fn a_bolt_that_may_bottom_is_kept_off_the_end_of_its_nut() {
    let washers = |plan: &Plan| plan.0.to_string().contains("bottoms out by");
    assert!(!washers(&captive("5.5 mm")), "5 mm are left");
    assert!(
        washers(&captive("4.5 mm")),
        "a 140 mm bolt bottoms by half a millimetre"
    );
    assert!(
        washers(&captive("5.5 mm ±1")),
        "4.5 mm is within the tolerance"
    );
    let fix = captive("5.5 mm ±1").link(MOUNT)["results"]["captive.washer_fix"].clone();
    assert!(
        (fix["most"].as_f64().or(fix["value"].as_f64()).unwrap() - 0.5).abs() < 1e-9,
        "{fix}"
    );
}

/// The steering shaft as the survey asks for it: each reading with its tolerance.
fn shaft(tolerance: bool, shift: f64) -> Link {
    let readings = [
        ("ahead", 500.0, 2.0, "mm"),
        ("left", -20.0, 2.0, "mm"),
        ("below", 200.0, 2.0, "mm"),
        ("column_fall", 42.0, 2.0, "mm"),
        ("column_left", 0.0, 2.0, "mm"),
        ("box_fall", 36.0, 2.0, "mm"),
        ("box_left", 0.0, 2.0, "mm"),
        ("overlap", 70.0, 1.0, "mm"),
        ("phase", 0.0, 5.0, "deg"),
    ];
    let link = Link::new("link", "steering-intermediate-shaft")
        .end("bulkhead", [900.0, 300.0, 500.0])
        .end("engine", [1400.0, 280.0, 300.0])
        .free()
        .measured("joints", "sound");
    readings
        .into_iter()
        .fold(link, |link, (name, value, half, unit)| {
            let text = if tolerance {
                format!("{value} {unit} ±{half}")
            } else {
                format!("{} {unit}", value + half * shift)
            };
            link.measured(name, text)
        })
}

#[test]
fn nine_readings_are_judged_as_the_survey_asks_and_bounded() {
    let at = |link: Link| planned(&Vehicle::wagon(40.0).measured_mounts().link(link).value());
    let within = at(shaft(true, 0.0));
    for shift in [-1.0, -0.4, 0.0, 0.7, 1.0] {
        let exact = at(shaft(false, shift));
        assert!(weight(exact.verdict("link")) <= weight(within.verdict("link")));
        let (exact, within) = (
            &exact.link("link")["results"],
            &within.link("link")["results"],
        );
        for (name, found) in exact.as_object().unwrap() {
            let (Some(found), Some(least), Some(most)) = (
                found["value"].as_f64(),
                within[name]["least"].as_f64(),
                within[name]["most"].as_f64(),
            ) else {
                continue;
            };
            assert!(
                (least - 1e-6..=most + 1e-6).contains(&found),
                "{name} is {found} at {shift} of the tolerances, and said to be {least} to {most}"
            );
        }
    }
    let angle = &within.link("link")["results"]["drive.upper_angle"];
    assert!(angle["least"].as_f64() < angle["most"].as_f64(), "{angle}");
}

/// A class of a strap with two named measurements for the distance of its fixings.
fn strap(applies: &str, [plan, level]: [&str; 2]) -> String {
    format!(
        "title: Trial strap\narea: engine bay\nwhere: here\nwhy: it is pulled\nif_missed: it tears\nleft_alone: it rides along\n\
         customer: {{group: engine, what: a strap, watch: a knock}}\n\
         source: [{{document: common practice, status: common practice}}]\n\
         measurements:\n\
         \x20 slack: {{label: slack, how: Pull., unit: mm, range: [0, 200], tolerance: 2, optional: true}}\n\
         \x20 {plan}: {{role: plan, label: along, how: Tape., unit: mm, range: [0, 900], of: span}}\n\
         \x20 {level}: {{role: level, label: up, how: Tape., unit: mm, range: [-900, 900], of: span}}\n\
         checks:\n\
         \x20 - id: pull\n    applies: {applies}\n    verdicts:\n\
         \x20     - {{when: slack >= 90, verdict: leave, because: enough is left}}\n\
         \x20     - {{verdict: stop, because: it is too short}}\n\
         release:\n  when: working.length > 40\n\
         \x20 task: {{title: \"Undo {{{{ link }}}}\", minutes: [1, 2, 3], evidence: [{{name: off, ask: off, kind: \"yes\"}}]}}\n\
         \x20 refit: {{title: \"Fix {{{{ link }}}}\", minutes: [1, 2, 3], evidence: [{{name: on, ask: on, kind: \"yes\"}}]}}\n"
    )
}

fn strapped(class: &str, measured: &[(&str, &str)]) -> Plan {
    let link = Link::new("link", "trial-strap")
        .end_somewhere("bulkhead")
        .end_somewhere("engine")
        .free();
    let link = measured
        .iter()
        .fold(link, |link, (name, value)| link.measured(name, *value));
    let job = Vehicle::wagon(50.0).measured_mounts().link(link).value();
    laid_over(&job, "trial-strap", class)
}

/// The plan of a job under a workshop's own class.
fn laid_over(job: &Value, class: &str, rules: &str) -> Plan {
    let bench = Bench::new()
        .file("job.yaml", serde_json::to_string(job).unwrap())
        .file(&format!("own/connections/{class}.yaml"), rules);
    let outcome = bench.run(["sheet", "job.yaml", "--format", "json", "--rules", "own"]);
    let found = serde_json::from_str(&outcome.stdout);
    Plan(found.unwrap_or_else(|_| panic!("{}", outcome.stderr)))
}

#[test]
fn a_link_on_which_no_check_applies_is_asked_about_and_not_left_alone() {
    let class = strap("known.slack", ["plan", "level"]);
    let blank = strapped(&class, &[]);
    assert_eq!(blank.verdict("link"), "measure");
    let missing = blank.link("link")["missing"].to_string();
    assert!(missing.contains("measured.slack"), "{missing}");
    assert_eq!(
        strapped(&class, &[("slack", "120 mm")]).verdict("link"),
        "leave"
    );
}

#[test]
fn a_stop_at_some_readings_only_is_a_reading_to_be_taken_again() {
    let class = strap("known.slack", ["plan", "level"]);
    let verdict = |slack| {
        strapped(&class, &[("slack", slack)])
            .verdict("link")
            .to_owned()
    };
    assert_eq!(verdict("95 mm ±2"), "leave");
    assert_eq!(verdict("80 mm ±2"), "stop");
    let open = strapped(&class, &[("slack", "91 mm ±2")]);
    assert_eq!(open.verdict("link"), "measure");
    let text = open.task("link.measure").to_string();
    assert!(text.contains("90 mm or more: leave; less: stop"), "{text}");
}

#[test]
fn what_the_distance_is_called_decides_nothing() {
    let release = |names: [&str; 2]| {
        let measured = [
            (names[0], "10 mm"),
            (names[1], "300 mm"),
            ("slack", "120 mm"),
        ];
        let far = strapped(&strap("known.slack", names), &measured);
        let measured = [
            (names[0], "800 mm"),
            (names[1], "0 mm"),
            ("slack", "120 mm"),
        ];
        let near = strapped(&strap("known.slack", names), &measured);
        [far, near].map(|plan| plan.link("link")["release"].clone())
    };
    let plain = release(["plan", "level"]);
    assert_eq!(plain, release(["across", "upward"]));
    assert_eq!(plain, [json!(true), json!(false)]);
}
