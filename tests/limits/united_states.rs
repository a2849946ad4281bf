//! Heights of some of the United States, by class of gross mass.

use super::trial;

/// California, Vehicle Code s. 24008.5 (b), (c), (d), effective 1988, read on the state's page: the body's floor not more than 5 in above
/// the top of the frame; 5 in = 127.0 mm.
#[test]
fn california_floor_over_frame() {
    let at = |floor: &'static str| trial("california", floor, "50 mm");
    at("floor_over_frame: 77 mm").expect("floor-over-frame", "kept", 127.0, 127.0);
    at("floor_over_frame: 77.1 mm").expect("floor-over-frame", "passed", 127.1, 127.0);
    at("floor_over_frame: 3 in").expect("floor-over-frame", "kept", 126.2, 127.0);
    let (held, plan) = at("floor_over_frame: 90 mm").held();
    assert_eq!(held["floor-over-frame"].verdict, "stop");
    assert_eq!(plan["limits"][0]["verdict"], "stop");
}

/// The same, frame heights: passenger vehicle 23 in; others up to 4 500 lb 27 in, 4 501 to 7 500 lb 30 in, 7 501 to 10 000 lb 31 in.
#[test]
fn california_frame_heights() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let expect = |facts: &str, limit, state, value, most| {
        trial("california", &format!("{facts}, {SAME}"), "40 mm").expect(limit, state, value, most);
    };
    let car = "passenger_car: yes, gross_mass: 4000 lb";
    expect(
        &format!("{car}, frame_height: 23 in"),
        "frame-height-car",
        "kept",
        584.2,
        584.2,
    );
    expect(
        &format!("{car}, frame_height: 585 mm"),
        "frame-height-car",
        "passed",
        585.0,
        584.2,
    );
    for (mass, most) in [
        ("4500 lb", 685.8),
        ("4501 lb", 762.0),
        ("7500 lb", 762.0),
        ("7501 lb", 787.4),
        ("10000 lb", 787.4),
    ] {
        let truck = format!("passenger_car: no, gross_mass: {mass}, frame_height: 700 mm");
        let state = if most < 700.0 { "passed" } else { "kept" };
        expect(&truck, "frame-height-truck", state, 700.0, most);
    }
    let heavy =
        "passenger_car: no, gross_mass: 10001 lb, frame_height: 900 mm, floor_over_frame: 50 mm";
    let words = trial("california", &format!("{heavy}, {SAME}"), "40 mm").words();
    let heavy: Vec<&str> = words.iter().map(|(_, state, _)| *state).collect();
    assert_eq!(heavy, ["kept", "does not apply", "does not apply"]);
}

/// A body lift leaves the frame where it is; bigger tyres raise it by half of what their diameter grows.
#[test]
fn tyres_and_not_blocks_raise_the_frame() {
    let facts = "passenger_car: no, gross_mass: 6000 lb, frame_height: 500 mm, done: {tyre_before: 235/75R15, tyre_after: 265/75R15}";
    trial("california", facts, "75 mm").expect("frame-height-truck", "kept", 522.5, 762.0);
}

/// Nevada, NRS 484.7385, 2006 text, secondary copy: lowest portion of the body, cars 24 in; trucks up to 4 500 lb 28 in, 4 501 to 7 500 lb
/// 30 in, 7 501 to 10 000 lb 32 in.
#[test]
fn nevada_body_heights() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let expect = |facts: &str, limit, state, value, most| {
        trial("nevada", &format!("{facts}, {SAME}"), "40 mm").expect(limit, state, value, most);
    };
    let car = "passenger_car: yes, gross_mass: 4000 lb";
    expect(
        &format!("{car}, body_height: 569.6 mm"),
        "body-height-car",
        "kept",
        609.6,
        609.6,
    );
    expect(
        &format!("{car}, body_height: 569.7 mm"),
        "body-height-car",
        "passed",
        609.7,
        609.6,
    );
    for (mass, most) in [
        ("4500 lb", 711.2),
        ("4501 lb", 762.0),
        ("7501 lb", 812.8),
        ("10000 lb", 812.8),
    ] {
        let truck = format!("passenger_car: no, gross_mass: {mass}, body_height: 710 mm");
        let state = if most < 750.0 { "passed" } else { "kept" };
        expect(&truck, "body-height-truck", state, 750.0, most);
    }
}

/// North Dakota, NDCC 39-21-45.1, read on the highway patrol's page: bumper 27 in (685.8 mm), cargo floor 42 in (1066.8 mm).
#[test]
fn north_dakota_bumper_and_floor() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let at = |facts: &str| trial("north-dakota", &format!("{facts}, {SAME}"), "50 mm").held();
    let (held, _) = at("bumper_height: 635.8 mm, bumper_on_body: yes, floor_height: 1016.8 mm");
    assert_eq!(held["bumper-height"].state, "kept");
    assert_eq!(held["floor-height"].state, "kept");
    let (held, _) = at("bumper_height: 636 mm, bumper_on_body: yes, floor_height: 1017 mm");
    assert_eq!(
        (held["bumper-height"].state, held["bumper-height"].verdict),
        ("passed", "stop")
    );
    assert_eq!(held["floor-height"].state, "passed");
    // On the chassis the bumper stays where it is.
    let (held, _) = at("bumper_height: 685.8 mm, bumper_on_body: no, floor_height: 800 mm");
    assert_eq!(held["bumper-height"].state, "kept");
}
