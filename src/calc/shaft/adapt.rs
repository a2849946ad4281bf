//! The steering shaft as a calculation of the registry: its inputs, results, formulas, and where results turn inside a
//! tolerance box. The mechanics are left to the parent module.

use super::super::{
    Calculation, Formula, Found, InputKind, InputSpec, Inputs, Range, ResultSpec, Spans, Value,
    take,
};
use super::{CalcError, Pose, STEEPEST, Shaft, cross, dot, line, pose, poses, reach};
use crate::quantity::Unit;

pub(in super::super) const CALCULATION: Calculation = Calculation {
    name: "shaft",
    title: "does the steering shaft reach, and how evenly does it still turn",
    source: "vector geometry, and the displacement of a Hooke joint taken twice",
    inputs: &[
        InputSpec::other(
            "upper",
            InputKind::Vector(Unit::Mm),
            "joint centre on the column",
        ),
        InputSpec::other(
            "lower",
            InputKind::Vector(Unit::Mm),
            "joint centre on the box",
        ),
        InputSpec::other(
            "column_axis",
            InputKind::Vector(Unit::One),
            "direction of the column, down the drive",
        ),
        InputSpec::other(
            "box_axis",
            InputKind::Vector(Unit::One),
            "direction of the box's input, down the drive",
        ),
        InputSpec::length_or_zero("overlap", "overlap of the sliding joint now"),
        InputSpec::length("least_overlap", "overlap that must be left"),
        InputSpec::length_or_zero("room", "travel left before the sliding joint bottoms")
            .optional(),
        InputSpec::number(
            "joint_limit",
            Unit::Degree,
            Range::Within(0.0, STEEPEST),
            "largest joint angle allowed",
        ),
        InputSpec::number(
            "phase",
            Unit::Degree,
            Range::Any,
            "angle from the upper to the lower yoke of the shaft, right-handed about upper→lower",
        )
        .optional(),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("length_before", "joint centre to joint centre now"),
        ResultSpec::length("length_after", "joint centre to joint centre after"),
        ResultSpec::length("growth", "how much longer the shaft gets"),
        ResultSpec::length("overlap_left", "overlap of the sliding joint after"),
        ResultSpec::answer("bottoms", "whether the sliding joint bottoms").may_be_absent(),
        ResultSpec::degrees("upper_angle_before", "upper joint angle now"),
        ResultSpec::degrees("upper_angle", "upper joint angle after"),
        ResultSpec::degrees("lower_angle_before", "lower joint angle now"),
        ResultSpec::degrees("lower_angle", "lower joint angle after"),
        ratio(
            "speed_ratio_max_before",
            "largest speed of the box over the column now",
        ),
        ratio(
            "speed_ratio_max",
            "largest speed of the box over the column after",
        ),
        ratio(
            "speed_ratio_min_before",
            "least speed of the box over the column now",
        ),
        ratio(
            "speed_ratio_min",
            "least speed of the box over the column after",
        ),
        ResultSpec::degrees(
            "residual_angle_before",
            "the one joint that would be as uneven, now",
        )
        .may_be_absent(),
        ResultSpec::degrees(
            "residual_angle",
            "the one joint that would be as uneven, after",
        )
        .may_be_absent(),
        ResultSpec::length("rise_limit", "first rise out of bounds").limit(),
    ],
    run: adapt,
    turning,
};

const fn ratio(name: &'static str, meaning: &'static str) -> ResultSpec {
    ResultSpec::number(name, Unit::One, meaning).may_be_absent()
}

/// A shaft by its inputs; fails when one is left out.
pub(crate) fn given(inputs: &Inputs) -> Result<Shaft, CalcError> {
    Ok(Shaft {
        upper: take::vector(inputs, "upper")?,
        lower: take::vector(inputs, "lower")?,
        column_axis: take::vector(inputs, "column_axis")?,
        box_axis: take::vector(inputs, "box_axis")?,
        overlap: take::number(inputs, "overlap")?,
        least_overlap: take::number(inputs, "least_overlap")?,
        room: take::maybe(inputs, "room"),
        joint_limit: take::number(inputs, "joint_limit")?,
        phase: take::maybe(inputs, "phase"),
        rise: take::number(inputs, "rise")?,
    })
}

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let [before, after] = poses(&given)?;
    let growth = after.length - before.length;
    let mut results = vec![
        ("length_before", before.length.into()),
        ("length_after", after.length.into()),
        ("growth", growth.into()),
        ("overlap_left", (given.overlap - growth).into()),
    ];
    let room = given.room;
    results.extend(room.map(|room| ("bottoms", (-growth > room).into())));
    results.extend([
        ("upper_angle_before", before.upper_angle.into()),
        ("upper_angle", after.upper_angle.into()),
        ("lower_angle_before", before.lower_angle.into()),
        ("lower_angle", after.lower_angle.into()),
    ]);
    results.extend(speeds(&before, &after));
    let limit = reach::first_limit(&given, &before);
    results.push(("rise_limit", limit.into()));
    Ok(Found {
        results,
        formulas: formulas(&given, [&before, &after]),
    })
}

fn speeds(before: &Pose, after: &Pose) -> Vec<(&'static str, Value)> {
    let (Some(now), Some(then)) = (before.speed, after.speed) else {
        return Vec::new();
    };
    vec![
        ("speed_ratio_max_before", now.most.into()),
        ("speed_ratio_max", then.most.into()),
        ("speed_ratio_min_before", now.least.into()),
        ("speed_ratio_min", then.least.into()),
        ("residual_angle_before", now.residual_angle.into()),
        ("residual_angle", then.residual_angle.into()),
    ]
}

const Q_BEFORE: &str = "[cos²(epsilon_before)·(cos²(upper_angle_before) + cos²(lower_angle_before)) + sin²(epsilon_before)·(1 + \
     cos²(upper_angle_before)·cos²(lower_angle_before))]/(2·cos(upper_angle_before)·cos(lower_angle_before))";
const Q_AFTER: &str = "[cos²(epsilon)·(cos²(upper_angle) + cos²(lower_angle)) + sin²(epsilon)·(1 + \
     cos²(upper_angle)·cos²(lower_angle))]/(2·cos(upper_angle)·cos(lower_angle))";

fn formulas(given: &Shaft, poses: [&Pose; 2]) -> Vec<Formula> {
    let mut lines = vec![
        Formula::said(
            "length_before",
            "distance from the upper to the lower joint centre",
        ),
        Formula::said(
            "length_after",
            "the same with the upper joint centre higher by rise",
        ),
        Formula::of("growth", "length_after − length_before"),
        Formula::of("overlap_left", "overlap − growth"),
    ];
    if given.room.is_some() {
        lines.push(Formula::of("bottoms", "−growth > room"));
    }
    lines.extend([
        Formula::said(
            "upper_angle_before",
            "angle between the column's axis and the shaft",
        ),
        Formula::said("upper_angle", "the same after the lift"),
        Formula::said(
            "lower_angle_before",
            "angle between the shaft and the axis of the box",
        ),
        Formula::said("lower_angle", "the same after the lift"),
    ]);
    if let Some(phase) = given.phase {
        lines.extend(speed_formulas(poses, phase));
    }
    lines.push(Formula::said(
        "rise_limit",
        "first rise at which the overlap, the room or a joint angle is out of bounds",
    ));
    lines
}

fn speed_formulas([before, after]: [&Pose; 2], phase: f64) -> Vec<Formula> {
    let q = |pose: &Pose| {
        pose.speed
            .map_or(1.0, |speed| f64::midpoint(speed.most, speed.least))
    };
    let degrees = |name, text, value| Formula::step(name, text, value, Unit::Degree);
    let (now, then) = (before.twist, after.twist);
    vec![
        degrees("twist_before", "from column × shaft to shaft × box", now).in_words(),
        degrees("epsilon_before", "twist_before − phase", now - phase),
        Formula::step("q_before", Q_BEFORE, q(before), Unit::One),
        Formula::of("speed_ratio_max_before", "q_before + √(q_before² − 1)"),
        Formula::of("speed_ratio_min_before", "1/speed_ratio_max_before"),
        Formula::of("residual_angle_before", "acos(speed_ratio_min_before)"),
        degrees("twist", "the same after the lift", then).in_words(),
        degrees("epsilon", "twist − phase", then - phase),
        Formula::step("q", Q_AFTER, q(after), Unit::One),
        Formula::of("speed_ratio_max", "q + √(q² − 1)"),
        Formula::of("speed_ratio_min", "1/speed_ratio_max"),
        Formula::of("residual_angle", "acos(speed_ratio_min)"),
    ]
}

/// How many stretches a tolerance on the rise is looked through for a turn of the speed ratio.
const STRETCHES: u32 = 12;

/// Differences of the speed ratio below this are rounding.
const EVEN: f64 = 1e-12;

/// The shaft is shortest level; each joint is straightest where its axis, projected into the shaft's plane, lies along it; the
/// speed ratio turns in and out of phase, and wherever a look through the rise finds it.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let mut turns = Vec::new();
    let now = line(&given, 0.0);
    let [_, _, z] = now;
    turns.push(("rise", z));
    for axis in [given.column_axis, given.box_axis] {
        // d/dr of axis·s/|s| is zero where (axis·s)·s_z = axis_z·|s|²: linear in the rise.
        let [_, _, axis_z] = axis;
        let along = dot(axis, now);
        turns.push((
            "rise",
            (along * z - axis_z * dot(now, now)) / (along - axis_z * z),
        ));
        // A joint that passes through straight turns the joint planes over.
        if cross(axis, now).iter().all(|part| part.abs() < 1e-9) {
            turns.push(("rise", 0.0));
        }
    }
    if let Some((least, most)) = spans.of("phase") {
        for rise in [0.0, given.rise] {
            let in_phase = pose(&given, rise).twist;
            let first = ((least - in_phase) / 90.0).ceil();
            let quarters = (0..8).map(|n| in_phase + 90.0 * (first + f64::from(n)));
            turns.extend(
                quarters
                    .take_while(|level| *level <= most)
                    .map(|level| ("phase", level)),
            );
        }
    }
    if let (Some((least, most)), Some(_)) = (spans.of("rise"), given.phase) {
        turns.extend(
            speed_turns(&given, least, most)
                .into_iter()
                .map(|rise| ("rise", rise)),
        );
    }
    turns
}

/// Rises between two at which the speed ratio has a local extreme.
fn speed_turns(given: &Shaft, least: f64, most: f64) -> Vec<f64> {
    let ratio = |rise: f64| pose(given, rise).speed.map_or(1.0, |speed| speed.most);
    let step = (most - least) / f64::from(STRETCHES);
    let mut found = Vec::new();
    for n in 1..STRETCHES {
        let (low, middle) = (least + step * f64::from(n - 1), least + step * f64::from(n));
        let high = middle + step;
        let (before, here, after) = (ratio(low), ratio(middle), ratio(high));
        for sign in [1.0, -1.0] {
            let (falls_back, falls_on) = (sign * (here - before), sign * (here - after));
            if falls_back >= 0.0 && falls_on >= 0.0 && falls_back + falls_on > EVEN {
                found.push(highest(low, high, |rise| sign * ratio(rise)));
            }
        }
    }
    found
}

/// The place between two where a function with one peak is highest, by golden section.
fn highest(mut low: f64, mut high: f64, of: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    for _ in 0..26 {
        let (left, right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if of(left) < of(right) {
            low = left;
        } else {
            high = right;
        }
    }
    f64::midpoint(low, high)
}
