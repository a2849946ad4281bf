//! A propeller shaft whose gearbox end is moved: a body lift leaves it alone, a gearbox that is let down or tilted does not. Takes both
//! joints and both slopes; gives the joint angles and how unevenly the axle is turned, before and after. Which angles are too much
//! is left to the rule.

use super::shaft::{Pose, Shaft, poses};
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// A propeller shaft, its yokes in one plane: its inputs by name, now or with the gearbox's end moved.
#[derive(Clone, Copy)]
struct Driveline {
    plan: f64,
    aside: f64,
    level: f64,
    gearbox_slope: f64,
    pinion_slope: f64,
}

/// How a propeller shaft stands.
///
/// Both joint angles are those between the shaft's line (−plan, aside, −level) and the axes (−cos slope, 0, −sin slope); the uneven
/// turning is that of [`super::shaft::speed`] with the yokes in phase. Lengths in mm, angles in degrees, plan above 0. Fails when a
/// joint stands at over 80°. Source: vector geometry, and the displacement of a Hooke joint taken twice.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let driveline = find("driveline").unwrap();
/// let given = read_inputs(driveline, &["plan=1200", "level=0", "gearbox_slope=3", "pinion_slope=3", "drop=0"]).unwrap();
/// let found = evaluate(driveline, &given).unwrap();
/// assert!((found.number("gearbox_angle").unwrap() - 3.0).abs() < 1e-9);
/// assert!((found.number("pinion_angle").unwrap() - 3.0).abs() < 1e-9);
/// assert!(found.number("residual_angle").unwrap() < 1e-6);
/// ```
fn pose(given: &Driveline) -> Result<Pose, CalcError> {
    let axis = |slope: f64| {
        let (sin, cos) = slope.to_radians().sin_cos();
        [-cos, 0.0, -sin]
    };
    let line = Shaft {
        upper: [0.0; 3],
        lower: [-given.plan, given.aside, -given.level],
        column_axis: axis(given.gearbox_slope),
        box_axis: axis(given.pinion_slope),
        overlap: 0.0,
        least_overlap: 0.0,
        room: None,
        joint_limit: 80.0,
        phase: Some(0.0),
        rise: 0.0,
    };
    let named = |mut error: CalcError| {
        let slope = if error.input == "column_axis" {
            "gearbox_slope"
        } else {
            "pinion_slope"
        };
        slope.clone_into(&mut error.input);
        error
    };
    let [pose, _] = poses(&line).map_err(named)?;
    Ok(pose)
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "driveline",
    title: "joint angles of a propeller shaft when its gearbox end is moved",
    source: "vector geometry, and the displacement of a Hooke joint taken twice",
    inputs: &[
        InputSpec::length(
            "plan",
            "level distance from the gearbox's joint to the axle's",
        ),
        InputSpec::signed_length("aside", "how far one joint stands to the side of the other")
            .or(0.0),
        InputSpec::signed_length(
            "level",
            "how far the gearbox's joint stands above the axle's",
        ),
        slope(
            "gearbox_slope",
            "how far the gearbox's output points down toward the axle",
        ),
        slope(
            "pinion_slope",
            "how far the line of the axle's pinion falls, in the same sense",
        ),
        InputSpec::signed_length(
            "drop",
            "how far the gearbox's joint is let down; up is below 0",
        ),
        slope(
            "tilt",
            "how much further down the gearbox's output then points",
        )
        .or(0.0),
    ],
    results: &[
        ResultSpec::degrees(
            "gearbox_angle_before",
            "angle of the joint at the gearbox now",
        ),
        ResultSpec::degrees("gearbox_angle", "the same after"),
        ResultSpec::degrees("pinion_angle_before", "angle of the joint at the axle now"),
        ResultSpec::degrees("pinion_angle", "the same after"),
        ResultSpec::degrees("difference", "difference of both after"),
        ResultSpec::degrees(
            "residual_angle_before",
            "the one joint that would be as uneven, now",
        ),
        ResultSpec::degrees(
            "residual_angle",
            "the one joint that would be as uneven, after",
        ),
        ResultSpec::length("growth", "how much longer the shaft gets"),
    ],
    run: adapt,
    turning,
};

const fn slope(name: &'static str, meaning: &'static str) -> InputSpec {
    InputSpec::number(name, Unit::Degree, Range::Within(-45.0, 45.0), meaning)
}

fn given(inputs: &Inputs) -> Result<(Driveline, Driveline), CalcError> {
    let now = Driveline {
        plan: take::number(inputs, "plan")?,
        aside: take::number(inputs, "aside")?,
        level: take::number(inputs, "level")?,
        gearbox_slope: take::number(inputs, "gearbox_slope")?,
        pinion_slope: take::number(inputs, "pinion_slope")?,
    };
    let then = Driveline {
        level: now.level - take::number(inputs, "drop")?,
        gearbox_slope: now.gearbox_slope + take::number(inputs, "tilt")?,
        ..now
    };
    Ok((now, then))
}

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let (now, then) = given(inputs)?;
    let (before, after) = (pose(&now)?, pose(&then)?);
    let residual = |pose: &Pose| pose.speed.map_or(0.0, |speed| speed.residual_angle);
    Ok(Found {
        results: vec![
            ("gearbox_angle_before", before.upper_angle.into()),
            ("gearbox_angle", after.upper_angle.into()),
            ("pinion_angle_before", before.lower_angle.into()),
            ("pinion_angle", after.lower_angle.into()),
            (
                "difference",
                (after.upper_angle - after.lower_angle).abs().into(),
            ),
            ("residual_angle_before", residual(&before).into()),
            ("residual_angle", residual(&after).into()),
            ("growth", (after.length - before.length).into()),
        ],
        formulas: formulas(&before, &after),
    })
}

fn formulas(before: &Pose, after: &Pose) -> Vec<Formula> {
    let words = |name, text| Formula::said(name, text);
    let length = |name, text, pose: &Pose| Formula::step(name, text, pose.length, Unit::Mm);
    vec![
        words(
            "gearbox_angle_before",
            "angle between the gearbox's output and the shaft",
        ),
        words(
            "gearbox_angle",
            "the same, the joint lower by drop and the output tilted by tilt",
        ),
        words(
            "pinion_angle_before",
            "angle between the shaft and the pinion",
        ),
        words("pinion_angle", "the same after"),
        Formula::of("difference", "|gearbox_angle − pinion_angle|"),
        words(
            "residual_angle_before",
            "of both joints, yokes in phase, as of the steering shaft",
        ),
        words("residual_angle", "the same after"),
        length("length_before", "√(plan² + aside² + level²)", before),
        length("length_after", "√(plan² + aside² + (level − drop)²)", after),
        Formula::of("growth", "length_after − length_before"),
    ]
}

/// A joint is straight where the slope of its axis is that of the shaft, and both cancel where the shaft halves their slopes; for the
/// rest places are spread.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let mut turns = vec![("aside", 0.0)];
    turns.extend(spans.spread());
    let Ok((now, then)) = given(inputs) else {
        return turns;
    };
    let drop = now.level - then.level;
    let tilt = then.gearbox_slope - now.gearbox_slope;
    for (at, drop, tilt) in [(now, 0.0, 0.0), (then, drop, tilt)] {
        let shaft = at.level.atan2(at.plan).to_degrees();
        let (gearbox, pinion) = (at.gearbox_slope, at.pinion_slope);
        for slope in [gearbox, pinion, f64::midpoint(gearbox, pinion)] {
            let level = at.plan * slope.to_radians().tan();
            turns.extend([("level", level + drop), ("drop", now.level - level)]);
            turns.push(("plan", at.level / slope.to_radians().tan()));
        }
        for slope in [shaft, pinion, 2.0 * shaft - pinion] {
            turns.extend([
                ("gearbox_slope", slope - tilt),
                ("tilt", slope - now.gearbox_slope),
            ]);
        }
        turns.extend([shaft, gearbox, 2.0 * shaft - gearbox].map(|slope| ("pinion_slope", slope)));
    }
    turns
}
