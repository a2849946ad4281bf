//! Examples of the calculations, asked as a person asks them. Their figures were worked by hand from each calculation's own formula: they stand
//! for no authority, and what is published is in `published`.

use liftsheet::calc::{Evaluation, Value};

use super::ask::{ask, expect, flag, refusal};

/// Asks, and expects these numbers among the results, to half a thousandth.
fn example(calc: &str, text: &str, numbers: &[(&str, f64)]) -> Evaluation {
    let found = ask(calc, text);
    for (name, expected) in numbers {
        expect(&found, name, *expected, 5e-4);
    }
    found
}

/// Bending stress M/Z of a rectangle: across its width a plate is far stiffer.
#[test]
fn plates_that_bend() {
    let plates = "load=5000 arm=60 width=80 thickness=8 plates=2 allowable=160 rise=50";
    example(
        "bracket",
        &format!("bends=across_thickness {plates}"),
        &[
            ("stress_before", 175.781),
            ("stress_after", 322.266),
            ("thickness_same", 10.832),
            ("thickness_allowed", 11.354),
        ],
    );
    example(
        "bracket",
        &format!("bends=across_width {plates}"),
        &[
            ("stress_after", 32.227),
            ("thickness_same", 14.667),
            ("shortfall", 0.0),
        ],
    );
}

/// The block clamps on the ring on which it meets the face: its own bore where that is the wider.
#[test]
fn a_block_on_the_end_of_a_sleeve() {
    let load =
        "height=50 bearing_limit=230 clamp_least=30 clamp_most=30 body_mass_laden=1000 mounts=8";
    example(
        "spacer",
        &format!("outer=60 inner=12 {load}"),
        &[("tipping_moment", 49.033), ("tipping_margin", 4.772)],
    );
    let block = |rest: &str| format!("contact_outer=30 contact_inner=16 {rest} {load}");
    let found = ask("spacer", &block("outer=60 inner=20"));
    expect(&found, "pressure", 30_000.0 / 392.699, 1e-3);
    assert!(flag(&found, "sleeve_supported"));
    for beside in ["outer=60 inner=32", "outer=28 inner=20"] {
        let found = ask("spacer", &block(beside));
        assert!(!flag(&found, "sleeve_supported"), "{beside}");
    }
    let refused = refusal("spacer", &block("outer=60 inner=60"));
    assert!(refused.starts_with("`inner`"), "{refused}");
    let no_wall = format!("outer=60 inner=20 contact_outer=30 contact_inner=30 {load}");
    let refused = refusal("spacer", &no_wall);
    assert!(refused.starts_with("`contact_inner`"), "{refused}");
}

#[test]
fn a_gap_goes_one_way_and_asks_for_its_own_bound() {
    let limit = ("rise_limit", 0.0);
    for (text, numbers) in [
        (
            "gap=60 direction=closes least_gap=20 rise=50",
            [
                ("gap_after", 10.0),
                ("shortfall", 10.0),
                ("rise_limit", 40.0),
            ],
        ),
        (
            "gap=10 direction=opens most_gap=45 rise=50",
            [("gap_after", 60.0), ("excess", 15.0), ("rise_limit", 35.0)],
        ),
        (
            "gap=15 direction=closes least_gap=20 rise=0",
            [("gap_after", 15.0), ("shortfall", 5.0), limit],
        ),
        (
            "gap=50 direction=opens most_gap=45 rise=0",
            [("gap_after", 50.0), ("excess", 5.0), limit],
        ),
    ] {
        example("gap", text, &numbers);
    }
    let wide = ask("gap", "gap=400 direction=closes least_gap=20 rise=50");
    assert_eq!(wide.result("rise_limit").unwrap().value, Value::Nothing);
    let refused = refusal("gap", "gap=60 direction=opens least_gap=20 rise=50");
    assert!(refused.starts_with("`most_gap`"), "{refused}");
}

#[test]
fn a_tube_takes_its_offset_where_two_bends_have_room() {
    let tight = example(
        "jog",
        "offset=50 length=40 bend_radius=20 spare=32",
        &[
            ("bend_angle", 90.0),
            ("straight", 10.0),
            ("tube_length", 72.832),
        ],
    );
    assert!(!flag(&tight, "tube_serves"));
    let even = [("bend_angle", 0.0), ("extra_length", 0.0)];
    let even = example("jog", "offset=0 length=200 bend_radius=20", &even);
    assert!(flag(&even, "tube_serves"));
    let short = ask("jog", "offset=50 length=39 bend_radius=20");
    let names: Vec<&str> = short.results.iter().map(|result| result.name).collect();
    assert_eq!(names, ["fits", "least_length"]);
    assert!(!flag(&short, "fits"));
}

#[test]
fn slack_equal_to_the_reserve_holds_only_where_nothing_grows() {
    for (place, numbers) in [
        ("plan=300 level=120 slack=25", [("rise_limit", 0.0)]),
        ("plan=300 level=-30 slack=25", [("rise_limit", 60.0)]),
        ("plan=300 level=120 slack=24", [("rise_limit", 0.0)]),
        ("plan=300 level=120 slack=60", [("rise_limit", 75.557)]),
        ("travel=5 slack=60", [("rise_limit", 30.0)]),
    ] {
        example("run", &format!("{place} reserve=25 rise=50"), &numbers);
    }
}

#[test]
fn a_duct_is_limited_by_the_lesser_of_bend_and_stretch() {
    let duct = "free_length=200 angle_limit=15 rise=50";
    let numbers = [
        ("angle", 14.036),
        ("stretch", 6.155),
        ("rise_limit", 53.590),
    ];
    example(
        "duct",
        &format!("{duct} level=0 stretch_limit=10"),
        &numbers,
    );
    // √(204² − 200²).
    let stiff = [("rise_limit", 40.200)];
    example("duct", &format!("{duct} level=0 stretch_limit=4"), &stiff);
    let refused = refusal("duct", &format!("{duct} level=200 stretch_limit=10"));
    assert!(refused.starts_with("`level`"), "{refused}");
    let steep = "free_length=200 level=195 angle_limit=20 stretch_limit=400 rise=50";
    let steep = ask("duct", steep);
    assert_eq!(steep.result("rise_limit").unwrap().value, Value::Nothing);
}

#[test]
fn a_fan_strikes_below_and_a_rise_that_centres_it_opens_the_gap() {
    let fan = |rest: &str| format!("shroud_radius=240 fan_radius=215 {rest}");
    let numbers = |tip_gap, short, limit| {
        [
            ("tip_gap", tip_gap),
            ("shortfall", short),
            ("drop_needed", short),
            ("rise_limit", limit),
        ]
    };
    for (call, numbers) in [
        ("offset=5 clearance=15 rise=50", numbers(-20.0, 35.0, 15.0)),
        ("offset=5 clearance=15 rise=5", numbers(25.0, 0.0, 15.0)),
        // It is too high already.
        ("offset=12 clearance=15 rise=12", numbers(25.0, 0.0, 0.0)),
    ] {
        example("fan", &fan(call), &numbers);
    }
    let refused = refusal("fan", &fan("offset=5 clearance=30 rise=50"));
    assert!(refused.starts_with("`fan_radius`"), "{refused}");
}

#[test]
fn a_lean_toward_the_swing_needs_more_and_one_away_less() {
    let gear = |rest: &str| format!("floor_height=150 radius=8 rise=50 {rest}");
    let upright = "throw=12 lean=0 aperture=60 clearance=15 length=420";
    let numbers = [
        ("aperture_needed", 65.690),
        ("shortfall", 5.690),
        ("extension", 50.0),
        ("throw_ratio", 1.119),
        ("rise_limit", 23.230),
    ];
    example("lever", &gear(upright), &numbers);
    for (lean, needed) in [(10, 77.984), (-10, 56.438)] {
        let call = format!("throw=12 lean={lean} aperture=60 clearance=15 length=420");
        example("lever", &gear(&call), &[("aperture_needed", needed)]);
    }
    // A swing that ends upright has no limit, or fails at once.
    let away = "throw=12 lean=-20 length=420";
    let passes = ask("lever", &gear(&format!("{away} aperture=60 clearance=15")));
    assert_eq!(passes.result("rise_limit").unwrap().value, Value::Nothing);
    let tight = gear(&format!("{away} aperture=10 clearance=40"));
    example("lever", &tight, &[("rise_limit", 0.0)]);
    for (call, input) in [
        (
            "throw=12 lean=0 aperture=60 clearance=15 length=150",
            "`length`",
        ),
        (
            "throw=80 lean=0 aperture=60 clearance=15 length=420",
            "`throw`",
        ),
    ] {
        let refused = refusal("lever", &gear(call));
        assert!(refused.starts_with(input), "{refused}");
    }
}

#[test]
fn a_stiff_hose_loses_the_whole_rise_and_a_flexible_one_the_chord() {
    example(
        "spigot",
        "overlap=38 least_overlap=25 slide=20 flexible=no rise=50",
        &[
            ("overlap_left", -12.0),
            ("overlap_moved", 8.0),
            ("length_to_add", 37.0),
            ("joiner_length", 87.0),
            ("rise_limit", 13.0),
            ("rise_limit_moved", 33.0),
        ],
    );
    let hose = "least_overlap=25 slide=10 flexible=yes";
    let chord = format!("overlap=40 {hose} plan=300 level=120 rise=50");
    example("spigot", &chord, &[("growth", 21.709)]);
    // Without its place it is taken as stiff; what is short already fails at once.
    let short = format!("overlap=20 {hose} rise=50");
    let at_once = [
        ("growth", 50.0),
        ("rise_limit", 0.0),
        ("rise_limit_moved", 0.0),
    ];
    let short = example("spigot", &short, &at_once);
    assert!(short.result("fall_before").is_none());
    let long = format!("overlap=40 {hose} rise=5");
    let nothing = [("length_to_add", 0.0), ("joiner_length", 0.0)];
    example("spigot", &long, &nothing);
}
