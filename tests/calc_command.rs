//! `calc` on the command line: one calculation as text or JSON, and calls that cannot be made. What the calculations come to is tested in
//! `calc`.

use crate::support::run::{Bench, Outcome};

fn calc<'a>(arguments: impl IntoIterator<Item = &'a str>) -> Outcome {
    Bench::new().run(std::iter::once("calc").chain(arguments))
}

/// A length of hose, the published example of this calculation.
const RUN: [&str; 6] = [
    "run",
    "plan=300",
    "level=120",
    "slack=60",
    "reserve=25",
    "rise=50",
];

/// One more input behind the others of a run.
fn run_with(replaced: &str) -> Outcome {
    let name = replaced.split('=').next().unwrap();
    let kept = RUN
        .into_iter()
        .filter(|input| !input.starts_with(&format!("{name}=")));
    calc(kept.chain([replaced]))
}

#[test]
fn the_text_shows_what_was_given_the_working_and_the_result() {
    // √(300² + 170²) − √(300² + 120²) = 21.709 by hand.
    let outcome = calc(RUN).done();
    let text = &outcome.stdout;
    let parts: Vec<usize> = ["given", "working", "results", "source:"]
        .iter()
        .map(|part| text.find(part).unwrap())
        .collect();
    assert!(parts.is_sorted(), "{text}");
    outcome.prints("slack").prints("60 mm").prints("21.7");
}

#[test]
fn the_json_keeps_full_precision_and_the_same_bytes_in_every_unit() {
    let metric = calc(RUN.into_iter().chain(["--format", "json"])).done();
    let inches = calc(RUN.into_iter().chain(["--format", "json", "--units", "in"])).done();
    assert_eq!(metric.stdout, inches.stdout);
    let json = metric.json();
    assert_eq!(json["calc"], "run");
    assert_eq!(
        json["inputs"]["plan"],
        serde_json::json!({"value": 300.0, "unit": "mm"})
    );
    assert_eq!(json["results"]["growth"]["least"], serde_json::Value::Null);
    let growth = json["results"]["growth"]["value"].as_f64().unwrap();
    assert!((growth - (300_f64.hypot(170.0) - 300_f64.hypot(120.0))).abs() < 1e-12);
}

#[test]
fn the_same_length_in_another_unit_is_the_same_calculation() {
    let json = |rise: &str| run_with(rise).done();
    // 2 in are 50.8 mm exactly (international yard and pound agreement, 1959).
    assert_eq!(json("rise=2in").stdout, json("rise=50.8 mm").stdout);
    assert_ne!(json("rise=2in").stdout, json("rise=50 mm").stdout);
}

#[test]
fn inches_are_printed_on_request() {
    let outcome = calc(RUN.into_iter().chain(["--units", "in"])).done();
    outcome.prints(" in");
}

#[test]
fn a_tolerance_gives_least_and_most() {
    let json = calc([
        "gap",
        "gap=60 mm ±2",
        "direction=opens",
        "most_gap=300",
        "rise=50",
        "--format",
        "json",
    ])
    .done()
    .json();
    assert_eq!(
        json["inputs"]["gap"],
        serde_json::json!({"value": 60.0, "unit": "mm", "tolerance": 2.0})
    );
    assert_eq!(
        json["inputs"]["direction"],
        serde_json::json!({"value": "opens", "unit": null})
    );
    assert_eq!(
        json["results"]["gap_after"],
        serde_json::json!({"value": 110.0, "unit": "mm", "least": 108.0, "most": 112.0})
    );
    let limit = &json["results"]["rise_limit"];
    assert_eq!(
        (&limit["value"], &limit["unit"]),
        (&serde_json::Value::Null, &serde_json::json!("mm"))
    );
}

#[test]
fn without_a_name_every_calculation_is_listed() {
    let outcome = calc([]).done();
    for name in [
        "bolt",
        "bracket",
        "duct",
        "fan",
        "gap",
        "jog",
        "lamp",
        "lever",
        "plane",
        "run",
        "shaft",
        "spacer",
        "spigot",
        "stability",
        "stack",
        "tilt",
        "tyre",
    ] {
        assert!(outcome.stdout.contains(&format!("{name}: ")), "{name}");
    }
}

#[test]
fn an_unknown_calculation_is_refused_with_the_nearest() {
    calc(["leaver"])
        .failed()
        .complains("no calculation `leaver`")
        .complains("did you mean `lever`?");
}

#[test]
fn an_unknown_input_is_refused_with_those_there_are() {
    run_with("raise=50")
        .failed()
        .complains("`raise`")
        .complains("rise");
}

/// Asserts that a refusal names the input, what was given and what is allowed.
#[track_caller]
fn names(outcome: Outcome, input: &str, given: &str, allowed: &str) {
    let outcome = outcome
        .failed()
        .complains(&format!("`{input}`"))
        .complains(given)
        .complains(allowed);
    for absurd in ["NaN", "inf", "panicked"] {
        assert!(
            given.contains(absurd) || !outcome.stderr.contains(absurd),
            "{}",
            outcome.stderr
        );
    }
}

#[test]
fn a_unit_of_another_kind_is_refused() {
    names(run_with("plan=300 kg"), "plan", "300 kg", "mm");
    names(run_with("rise=2 deg"), "rise", "2 deg", "mm");
    let lever = [
        "lever",
        "floor_height=150",
        "throw=12mm",
        "lean=0",
        "radius=8",
        "aperture=60",
        "clearance=15",
        "length=420",
        "rise=50",
    ];
    names(calc(lever), "throw", "12mm", "angle");
}

#[test]
fn impossible_numbers_are_refused() {
    names(run_with("plan=-1"), "plan", "−1 mm", "0 or above");
    names(run_with("rise=151"), "rise", "151", "0 to 150");
    names(run_with("rise=149 ±2"), "rise", "149 mm ±2", "0 to 150");
    names(run_with("rise=nan"), "rise", "nan", "number");
    names(run_with("rise=1e999"), "rise", "1e999", "number");
    names(run_with("slack=lots"), "slack", "lots", "mm");
    names(run_with("slack="), "slack", "", "mm");
    names(run_with("slack=60 ±-2"), "slack", "-2", "tolerance");
}

#[test]
fn what_is_no_length_is_refused_with_the_way_out() {
    let waits = "put the `#` back in front of its line";
    for (typed, way_out) in [
        ("forty", "a bare number is in mm"),
        ("38,5 mm", "`38.5 mm`"),
        ("0,350 mm", "`0.350 mm`"),
        ("1,350 kg", "write thousands without a comma: `1350 kg`"),
        ("12,345,678", "`12345678`"),
        ("40-45", "`42.5 ±2.5`"),
        ("40 – 44 mm", "`42 ±2 mm`"),
        ("?", waits),
        ("unknown", waits),
        ("", waits),
        ("--", waits),
        ("TBD", waits),
        (".inf", "is not a finite number"),
        ("1/0 in", "is not a finite number"),
        ("40 furlong", "`furlong` is not a unit known here"),
        ("40 kg", "this is a mass, and the field takes a length"),
        ("40 ±-2", "the tolerance `-2` is below zero"),
        ("−−5 mm", "is not a length"),
        ("−-5 mm", "is not a length"),
        ("-−5 mm", "is not a length"),
        ("−+5 mm", "is not a length"),
        ("− 5 mm", "is not a length"),
    ] {
        names(run_with(&format!("slack={typed}")), "slack", typed, way_out);
    }
}

#[test]
fn numbers_that_do_not_fit_together_are_refused() {
    let fan = [
        "fan",
        "shroud_radius=200",
        "fan_radius=195",
        "offset=0",
        "clearance=10",
        "rise=10",
    ];
    names(calc(fan), "fan_radius", "195", "at most");
    names(
        calc(["tilt", "across=1000", "side_rise=1200", "y=0", "z=0"]),
        "side_rise",
        "1200",
        "across",
    );
}

#[test]
fn what_is_left_out_is_named() {
    let outcome = calc(["run", "slack=60", "reserve=25"]).failed();
    outcome.complains("`rise` is missing; allowed: 0 to 150, in mm");
}

#[test]
fn an_input_given_twice_or_without_a_value_is_refused() {
    calc(RUN.into_iter().chain(["slack=61"]))
        .failed()
        .complains("`slack` is given twice");
    calc(["run", "slack"])
        .failed()
        .complains("write it as `name=value`");
}

#[test]
fn every_wrong_input_is_named_in_one_run() {
    let outcome = calc(["run", "plan=300 kg", "slack=lots", "rise=151"]).failed();
    for name in ["`plan`", "`slack`"] {
        assert!(outcome.stderr.contains(name), "{name}: {}", outcome.stderr);
    }
}
