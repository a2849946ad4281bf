//! A verdict, a size and a limit hold at every reading within its tolerance: each case is judged with its tolerances and again at exact
//! readings within them, through the real program.
//!
//! The numbers of bolts are worked out by hand from the lengths of ISO 4014 and the nut of ISO 4032 (12.2 mm wide nuts of M12: 10.8 mm
//! high), as `tests/calc` has them with their sources; what must stand out of a nut is common practice.

use serde_json::{Value, json};

use crate::properties::dice;
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

/// Layers that the trial stack below clamps: with `slack` and `gap`, more readings than are judged point by point.
const LAYERS: usize = 13;

/// A class whose checks go by thirteen readings and more: a bolt through all layers, a strap beside it, and a gap that both leave.
fn stack() -> String {
    let layers: Vec<String> = (1..=LAYERS)
        .map(|number| format!("layer_{number}"))
        .collect();
    let reading = |layer: &String| {
        format!(
            "  {layer}: {{label: {layer}, how: Caliper., unit: mm, range: [0, 20], tolerance: 0.5}}"
        )
    };
    let measurements = layers.iter().map(reading).collect::<Vec<_>>().join("\n");
    let sum = layers.join(" + ");
    format!(
        "title: Trial stack\narea: engine bay\nwhere: here\nwhy: it is clamped\nif_missed: it slips\nleft_alone: it rides along\n\
         customer: {{group: engine, what: a stack, watch: a knock}}\n\
         source: [{{document: common practice, status: common practice}}]\n\
         measurements:\n{measurements}\n\
         \x20 slack: {{label: slack, how: Pull., unit: mm, range: [0, 200], tolerance: 2}}\n\
         \x20 gap: {{label: gap, how: Feel., unit: mm, range: [0, 300], tolerance: 1}}\n\
         checks:\n\
         \x20 - id: nut\n    calc: stack\n    with: {{joint: \"'nut'\", thread: \"'M12'\", grip: {sum}, spacer: rise}}\n    verdicts:\n\
         \x20     - {{when: nut.grip_after > 115 and nut.grip_after < 160, verdict: fabricate, because: \"{{{{ nut.grip_after | mm }}}} is too thick\"}}\n\
         \x20     - verdict: replace\n        because: \"a bolt of {{{{ nut.order_length | mm }}}}\"\n\
         \x20       task: {{title: \"Put a new bolt into {{{{ link }}}}\", minutes: [1, 2, 3], steps: [\"It is {{{{ (nut.least_length - 1) | mm_up }}}} or more.\"], \
         evidence: [{{name: bolt, ask: its length, kind: number, unit: mm, least: nut.least_length, most: nut.most_length}}]}}\n\
         \x20 - id: left\n    calc: gap\n    with: {{gap: gap - layer_1 - layer_2 / 2, direction: \"'closes'\", least_gap: 5, rise: rise}}\n    verdicts:\n\
         \x20     - {{when: left.gap_after + slack - nut.grip_after < 20 and slack < 60, verdict: stop, because: nothing is left}}\n\
         \x20     - {{when: slack - left.gap_after > 30, verdict: reposition, because: it is slack, trade: engineer}}\n\
         \x20     - {{verdict: leave, because: enough is left}}\n"
    )
}

/// The trial stack with these readings.
fn stacked(readings: &[(String, String)]) -> Plan {
    let link = Link::new("link", "trial-stack")
        .end_somewhere("bulkhead")
        .end_somewhere("engine")
        .free();
    let link = readings
        .iter()
        .fold(link, |link, (name, text)| link.measured(name, text.clone()));
    let job = Vehicle::wagon(50.0).measured_mounts().link(link).value();
    laid_over(&job, "trial-stack", &stack())
}

/// Least and most of each number of a link; of an exact one its value twice.
fn ends(plan: &Plan) -> Vec<(String, f64, f64)> {
    let results = plan.link("link")["results"].as_object().unwrap();
    let ends = results.iter().filter_map(|(name, found)| {
        let value = found["value"].as_f64()?;
        let end = |end: &str| found[end].as_f64().unwrap_or(value);
        Some((name.clone(), end("least"), end("most")))
    });
    ends.collect()
}

/// What is chosen for the whole of a box, and what hangs on it.
const CHOSEN: [&str; 6] = [
    "order",
    "length",
    "extra",
    "protru",
    "plain_shank",
    "thread",
];

/// Holds what is said within tolerances against an exact job within them.
fn holds_at(within: &Plan, exact: &Plan) {
    let (there, said) = (exact.verdict("link"), within.verdict("link"));
    let lighter = said != "measure" && weight(there) > weight(said);
    assert!(!lighter, "{there}, and said to be {said}");
    let bounds = ends(within);
    for (name, at, _) in ends(exact) {
        let of = bounds.iter().find(|(other, ..)| *other == name);
        let (_, least, most) = of.unwrap_or_else(|| panic!("no `{name}`"));
        assert!(
            CHOSEN.iter().any(|word| name.contains(word))
                || (least - 1e-6..=most + 1e-6).contains(&at),
            "{name}: {at} is not in {least} to {most}"
        );
    }
    if [there, said] == ["replace"; 2] {
        let window = |plan: &Plan, end: &str| {
            let found = &plan.link("link")["results"][format!("nut.{end}_length")];
            found["value"].as_f64().unwrap()
        };
        assert!(window(within, "least") >= window(exact, "least") - 1e-6);
        assert!(window(within, "most") <= window(exact, "most") + 1e-6);
        let serves = window(exact, "least")..=window(exact, "most");
        assert!(serves.contains(&window(within, "order")));
    }
}

#[test]
fn more_readings_than_can_be_judged_point_by_point_are_bounded() {
    let mut dice = dice(5);
    let mut share = move || f64::from(u32::try_from(dice(2001)).unwrap()) / 1000.0 - 1.0;
    let mut verdicts = std::collections::BTreeSet::new();
    for round in 0..10 {
        let layers = (1..=LAYERS).map(|number| format!("layer_{number}"));
        let mut readings: Vec<(String, f64, f64)> = layers
            .map(|layer| (layer, 4.0 + 2.5 * share(), 0.05 + 0.04 * share()))
            .collect();
        let slack = [40.0, 130.0, 55.0, 90.0][round % 4];
        readings.push(("slack".to_owned(), slack + 6.0 * share(), 2.0));
        readings.push(("gap".to_owned(), 110.0 + 40.0 * share(), 1.0));
        let loose = readings
            .iter()
            .map(|(name, value, half)| (name.clone(), format!("{value:.3} mm ±{half:.3}")));
        let within = stacked(&loose.collect::<Vec<_>>());
        verdicts.insert(within.verdict("link").to_owned());
        assert!(ends(&within).iter().any(|(_, least, most)| least < most));
        for draw in 0..3 {
            let exact = readings.iter().map(|(name, value, half)| {
                let share = share();
                // Corners are the hardest, so most draws are of them.
                let share = if draw < 2 { share.signum() } else { share };
                let value = (value * 1e3).round() / 1e3 + half * 0.98 * share;
                (name.clone(), format!("{value:.6} mm"))
            });
            holds_at(&within, &stacked(&exact.collect::<Vec<_>>()));
        }
    }
    assert!(verdicts.len() > 2, "{verdicts:?}");
}
