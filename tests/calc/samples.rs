//! One or more sound calls of every calculation, and ways to move away from them. Values are invented.

use liftsheet::calc::{Calculation, Given, InputKind, Inputs, Range, Value, all, find};

use super::ask::inputs;

/// Calls that every calculation answers, as (calculation, inputs).
pub(super) const SAMPLES: &[(&str, &str)] = &[
    ("bolt", "thread=M12 class=10.9 nut_class=8 surface=dry"),
    (
        "bolt",
        "thread=M10x1.25 class=8.8 nut_factor=0.18 proof_share=0.7 friction=0.14",
    ),
    ("bolt", "thread=3/8-24 class=grade_5 surface=lubricated"),
    (
        "bolt",
        "thread=M12x1.25 class=8.8 surface=dry torque=55 friction_least=0.12 friction_most=0.2",
    ),
    (
        "bolt",
        "thread=1/2-20 class=grade_8 surface=lubricated torque=110",
    ),
    (
        "bracket",
        "load=5000 arm=60 bends=across_thickness width=80 thickness=8 plates=2 allowable=160 rise=50",
    ),
    (
        "bracket",
        "load=5000 arm=60 bends=across_width width=80 thickness=8 plates=2 allowable=160 rise=50",
    ),
    (
        "duct",
        "free_length=200 level=0 angle_limit=15 stretch_limit=10 rise=50",
    ),
    (
        "duct",
        "free_length=180 level=-60 angle_limit=20 stretch_limit=12 rise=70",
    ),
    (
        "fan",
        "shroud_radius=240 fan_radius=215 offset=5 clearance=12 rise=40",
    ),
    (
        "driveline",
        "plan=1200 level=80 gearbox_slope=3 pinion_slope=2 drop=25 tilt=-1",
    ),
    (
        "driveline",
        "plan=700 aside=40 level=-30 gearbox_slope=-4 pinion_slope=-1 drop=10",
    ),
    ("gap", "gap=60 direction=closes least_gap=20 rise=50"),
    ("gap", "gap=20 direction=opens most_gap=60 rise=50"),
    (
        "ground",
        "height=730 rides_with=body tyre=old rise=50 axle_rise=59.7 most=1200 least=500",
    ),
    (
        "ground",
        "height=420 rides_with=chassis tyre=new rise=50 axle_rise=20",
    ),
    ("jog", "offset=50 length=200 bend_radius=20"),
    ("jog", "offset=50 length=60 bend_radius=30 spare=10"),
    ("lamp", "height=780 centre=850 dip=1.2 nose_up=0.1 rise=40"),
    ("lamp", "height=980 dip=1.3 rise=40 axle_rise=25"),
    (
        "lever",
        "floor_height=150 throw=12 lean=0 radius=8 aperture=60 clearance=15 length=420 rise=50",
    ),
    (
        "lever",
        "floor_height=150 throw=14 lean=-8 radius=10 aperture=45 clearance=15 length=420 rise=40",
    ),
    (
        "lever",
        "floor_height=12 throw=20 lean=-22 radius=30 aperture=60 clearance=10 length=300 rise=5",
    ),
    (
        "plane",
        "points=1200,550,50;1200,-550,51;-1100,550,49;-1100,-550,50 at=2000,0;0,0",
    ),
    (
        "rod",
        "arm=90 slope=10 rod=160 lean=5 pivot_on=body turn_limit=15 rise=40",
    ),
    (
        "rod",
        "arm=60 slope=-20 rod=120 pivot_on=chassis turn_limit=10 rise=30",
    ),
    ("run", "plan=300 level=120 slack=60 reserve=25 rise=50"),
    (
        "run",
        "plan=200 level=-60 slack=40 reserve=25 travel=30 rise=70",
    ),
    ("run", "slack=60 reserve=25 travel=10 rise=40"),
    (
        "shaft",
        "upper=0,0,0 lower=300,40,-400 column_axis=3,0,-3.6 box_axis=3,0.6,-3.5 overlap=60 least_overlap=30 room=25 joint_limit=30 phase=10 rise=50",
    ),
    (
        "shaft",
        "upper=0,0,0 lower=400,30,60 column_axis=4,0,1 box_axis=4,1,0 overlap=40 least_overlap=30 room=5 joint_limit=25 rise=60",
    ),
    (
        "shaft",
        "upper=0,0,0 lower=300,0,-400 column_axis=3,0,-4 box_axis=3,0,-4 overlap=60 least_overlap=30 joint_limit=30 phase=0 rise=50",
    ),
    (
        "shank",
        "thread=M12x1.25 class=8.8 length=40 force=900 tension=20 ends=one",
    ),
    (
        "shank",
        "thread=1/2-13 class=grade_5 length=60 force=700 ends=both",
    ),
    (
        "spacer",
        "outer=60 inner=20 height=50 contact_outer=34 contact_inner=16 bearing_limit=230 clamp_least=20 clamp_most=30 body_mass_laden=1000 mounts=8 thread=M12 sleeve_length=55",
    ),
    (
        "spacer",
        "outer=60 inner=14 height=40 bearing_limit=230 clamp_least=30 clamp_most=30 body_mass_laden=1000 mounts=8 lateral=0.7 friction=0.2",
    ),
    (
        "spigot",
        "overlap=38 least_overlap=25 slide=10 flexible=no plan=250 level=150 rise=40",
    ),
    (
        "spigot",
        "overlap=38 least_overlap=25 slide=10 flexible=yes plan=250 level=-40 rise=60",
    ),
    (
        "spigot",
        "overlap=38 least_overlap=25 slide=0 flexible=yes rise=20",
    ),
    (
        "stability",
        "body_mass=900 total_mass=2000 cg_height=700 track=1500 rise=50 axle_rise=15",
    ),
    ("stack", "joint=nut thread=M12 grip=45 spacer=50 washers=5"),
    (
        "stack",
        "joint=nut thread=1/2-13 grip=45 spacer=50 washers=5 nut_height=11 threads_out=3",
    ),
    (
        "stack",
        "joint=captive thread=M12 bolt_length=85 spacer=50 engagement=14 blind_depth=3",
    ),
    (
        "stack",
        "joint=captive thread=M10 grip=60 bolt_length=75 spacer=40 engagement=12 blind_depth=6 least_engagement=11",
    ),
    ("tilt", "across=1100 side_rise=65 y=300 z=600"),
    ("tilt", "across=900 side_rise=300 y=-200 z=-250"),
    (
        "tyre",
        "old=235/75R15 new=31x10.5R15 guard_gap=40 least_gap=30 over_read=4",
    ),
];

/// A sample with its calculation.
pub(super) fn sample(index: usize) -> (&'static Calculation, Inputs) {
    let (calc, text) = SAMPLES[index % SAMPLES.len()];
    (find(calc).unwrap(), inputs(calc, text))
}

/// Moves every number and place of a call by a share of itself (0 to 1, with a half meaning: stay), within its range.
pub(super) fn shift(calc: &Calculation, call: &mut Inputs, shares: &[f64]) {
    for (index, spec) in calc.inputs.iter().enumerate() {
        let share = |offset: usize| shares[(index + 3 * offset) % shares.len()] - 0.5;
        let Some(given) = call.get_mut(spec.name) else {
            continue;
        };
        match &mut given.value {
            Value::Number(value) if matches!(spec.kind, InputKind::Number(_)) => {
                let moved = *value + share(0) * (value.abs() + 4.0) * 0.8;
                if spec.range.allows(moved) {
                    *value = moved;
                }
            }
            Value::Vector(vector) => {
                let size = vector
                    .iter()
                    .fold(0.0_f64, |most, part| most.max(part.abs()));
                for (offset, part) in vector.iter_mut().enumerate() {
                    *part += share(offset) * size * 0.5;
                }
            }
            _ => {}
        }
    }
}

/// Gives up to `most` numbers of a call a tolerance of up to a fifth of themselves, within their range.
pub(super) fn loosen(calc: &Calculation, call: &mut Inputs, shares: &[f64], most: usize) {
    let mut loosened = 0;
    for (spec, share) in calc.inputs.iter().zip(shares) {
        let Some(given) = call.get_mut(spec.name) else {
            continue;
        };
        let (InputKind::Number(_), Value::Number(value)) = (spec.kind, &given.value) else {
            continue;
        };
        // Half of the numbers stay exact.
        let half = (share - 0.5) * 0.4 * (value.abs() + 3.0);
        if half > 0.0
            && loosened < most
            && spec.range.allows(value - half)
            && spec.range.allows(value + half)
        {
            given.tolerance = half;
            loosened += 1;
        }
    }
}

/// The call at one place of its tolerance box, exact.
pub(super) fn place(calc: &Calculation, call: &Inputs, shares: &[f64]) -> Inputs {
    let mut exact = call.clone();
    for (spec, share) in calc.inputs.iter().zip(shares) {
        let Some(given) = exact.get_mut(spec.name) else {
            continue;
        };
        if let Value::Number(value) = given.value {
            *given = Given::number(value + (2.0 * share - 1.0) * given.tolerance);
        }
    }
    exact
}

#[test]
fn every_calculation_has_a_sample() {
    for calc in all() {
        assert!(
            SAMPLES.iter().any(|(name, _)| *name == calc.name),
            "{}",
            calc.name
        );
    }
}

#[test]
fn every_input_and_result_of_the_contract_occurs_in_some_sample() {
    for calc in all() {
        let found: Vec<_> = SAMPLES
            .iter()
            .filter(|(name, _)| *name == calc.name)
            .map(|(name, text)| super::ask::ask(name, text))
            .collect();
        for spec in calc.results {
            let occurs = found.iter().any(|found| found.result(spec.name).is_some());
            assert!(occurs, "`{}` of `{}`", spec.name, calc.name);
        }
        // What the other points of a tolerance box say is the judging's to give; `within` has it tried.
        let by_judging = ["wanted", "serves_from", "serves_to"];
        let typed = calc.inputs.iter();
        for spec in typed.filter(|spec| !by_judging.contains(&spec.name)) {
            let occurs = found
                .iter()
                .any(|found| found.inputs.iter().any(|(name, ..)| *name == spec.name));
            assert!(occurs, "`{}` of `{}`", spec.name, calc.name);
        }
    }
}

#[test]
fn results_come_in_the_order_and_with_the_absences_of_the_contract() {
    for (name, text) in SAMPLES {
        let found = super::ask::ask(name, text);
        let calc = find(name).unwrap();
        let given: Vec<&str> = found.results.iter().map(|outcome| outcome.name).collect();
        let listed: Vec<&str> = calc
            .results
            .iter()
            .map(|spec| spec.name)
            .filter(|name| given.contains(name))
            .collect();
        assert_eq!(given, listed, "{name} {text}");
        for spec in calc.results.iter().filter(|spec| !spec.may_be_absent) {
            let value = found.result(spec.name).map(|outcome| &outcome.value);
            assert!(
                value.is_some_and(|value| *value != Value::Nothing),
                "{} {name}",
                spec.name
            );
        }
    }
}

#[test]
fn a_default_lies_in_its_own_range() {
    for calc in all() {
        for spec in calc.inputs {
            if let liftsheet::calc::Need::Default(value) = spec.need {
                assert!(
                    spec.range.allows(value),
                    "`{}` of `{}`",
                    spec.name,
                    calc.name
                );
            }
            assert!(matches!(spec.kind, InputKind::Number(_)) || spec.range == Range::Any);
        }
    }
}
