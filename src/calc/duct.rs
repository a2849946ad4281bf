//! A flexible duct or bellows between body and engine. Takes its free length and level; gives how far it bends and stretches
//! under the rise. Which bend and stretch it stands is its maker's to say.

use super::limit::{halved, rise_limit};
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// A flexible duct: its inputs by name.
#[derive(Clone, Copy)]
struct Duct {
    free_length: f64,
    level: f64,
    angle_limit: f64,
    stretch_limit: f64,
    rise: f64,
}

fn plan(given: &Duct) -> f64 {
    ((given.free_length - given.level) * (given.free_length + given.level)).sqrt()
}

/// The rise at which the duct has turned through its largest angle; infinite when it cannot turn so far.
fn bend_limit(given: &Duct) -> f64 {
    let limit = given.angle_limit.to_radians();
    let end = given.level.atan2(plan(given)) + limit;
    if end < std::f64::consts::FRAC_PI_2 {
        given.free_length * limit.sin() / end.cos()
    } else {
        f64::INFINITY
    }
}

/// The rise at which the duct has stretched to its limit.
fn stretch_limit(given: &Duct) -> f64 {
    let stretch = given.stretch_limit;
    (given.level * given.level + stretch * (2.0 * given.free_length + stretch)).sqrt() - given.level
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "duct",
    title: "does a flexible duct or bellows bend and stretch that far",
    source: "plane geometry of one line",
    inputs: &[
        InputSpec::length("free_length", "free length between the cuffs"),
        InputSpec::signed_length("level", "body end above engine end"),
        InputSpec::number(
            "angle_limit",
            Unit::Degree,
            Range::Between(0.0, 90.0),
            "largest angle it may turn through",
        ),
        InputSpec::length("stretch_limit", "largest stretch"),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::degrees("angle", "angle between the old and the new line"),
        ResultSpec::length("stretch", "how much longer it gets"),
        ResultSpec::length("rise_limit", "first rise at which a limit is passed").limit(),
    ],
    run: adapt,
    turning,
};

fn given(inputs: &Inputs) -> Result<Duct, CalcError> {
    Ok(Duct {
        free_length: take::number(inputs, "free_length")?,
        level: take::number(inputs, "level")?,
        angle_limit: take::number(inputs, "angle_limit")?,
        stretch_limit: take::number(inputs, "stretch_limit")?,
        rise: take::number(inputs, "rise")?,
    })
}

/// How far a duct bends and stretches.
///
/// With L = `free_length` and plan = √(L² − level²): angle = |atan2(level + rise, plan) − atan2(level, plan)|, stretch =
/// √(plan² + (level + rise)²) − L. The limit is the lesser of `L·sin(angle_limit)/cos(α` + `angle_limit`), sin α = level/L, and
/// √(level² + `2·L·stretch_limit` + `stretch_limit²`) − level. Lengths in mm, angles in degrees. Fails unless |level| < L.
/// Source: plane geometry of one line.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let duct = find("duct").unwrap();
/// let given = read_inputs(duct, &["free_length=200", "level=0", "angle_limit=15", "stretch_limit=10", "rise=50"]).unwrap();
/// let found = evaluate(duct, &given).unwrap();
/// assert!((found.number("angle").unwrap() - 14.036).abs() < 5e-4);
/// assert!((found.number("stretch").unwrap() - 6.155).abs() < 5e-4);
/// assert!((found.number("rise_limit").unwrap() - 53.59).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let (length, level) = (given.free_length, given.level);
    if level.abs() >= length {
        let allowed = format!("less than `free_length`, which is {length} mm, either way");
        return Err(CalcError::new("level", format!("{level} mm"), allowed));
    }
    let plan = plan(&given);
    let after = level + given.rise;
    let angle = after.atan2(plan) - level.atan2(plan);
    let until = bend_limit(&given).min(stretch_limit(&given));
    Ok(Found {
        results: vec![
            ("angle", angle.abs().to_degrees().into()),
            ("stretch", (plan.hypot(after) - length).into()),
            ("rise_limit", rise_limit(true, until).into()),
        ],
        formulas: formulas(&given, plan),
    })
}

fn formulas(given: &Duct, plan: f64) -> Vec<Formula> {
    let slope = given.level.atan2(plan).to_degrees();
    let mut lines = vec![
        Formula::step("plan", "√(free_length² − level²)", plan, Unit::Mm),
        Formula::of("angle", "|atan2(level + rise, plan) − atan2(level, plan)|"),
        Formula::of("stretch", "√(plan² + (level + rise)²) − free_length"),
        Formula::step("slope", "atan2(level, plan)", slope, Unit::Degree),
    ];
    let bends = bend_limit(given).is_finite();
    if bends {
        lines.push(Formula::step(
            "bend_reach",
            "free_length·sin(angle_limit)/cos(slope + angle_limit)",
            bend_limit(given),
            Unit::Mm,
        ));
    }
    let limit = if bends {
        "min(bend_reach, stretch_reach)"
    } else {
        "stretch_reach"
    };
    lines.extend([
        Formula::step(
            "stretch_reach",
            "√(level² + 2·free_length·stretch_limit + stretch_limit²) − level",
            stretch_limit(given),
            Unit::Mm,
        ),
        Formula::of("rise_limit", limit),
    ]);
    lines
}

/// The angle is largest where the duct passes level halfway; the stretch is least where it ends level; each limit turns once
/// over the level and the length, and the lesser of the two where they cross.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let (level, rise) = (given.level, given.rise);
    let limit = given.angle_limit.to_radians();
    let quarter = std::f64::consts::FRAC_PI_2;
    let mut turns = vec![
        ("rise", -level),
        ("level", -rise),
        (
            "free_length",
            (level * (rise + 2.0 * level)).max(0.0).sqrt(),
        ),
        ("level", -given.free_length * limit.sin()),
        ("free_length", level / f64::midpoint(quarter, -limit).sin()),
        ("free_length", -level / f64::midpoint(quarter, limit).sin()),
    ];
    let at = |name: &str, value: f64| match name {
        "level" => Duct {
            level: value,
            ..given
        },
        _ => Duct {
            free_length: value,
            ..given
        },
    };
    for name in ["level", "free_length"] {
        if let Some((least, most)) = spans.of(name) {
            let bend_first = |value: f64| {
                let there = at(name, value);
                bend_limit(&there) < stretch_limit(&there)
            };
            turns.extend(
                changes(least, most, bend_first)
                    .into_iter()
                    .map(|level| (name, level)),
            );
        }
    }
    turns
}

/// Where an answer changes between two places, found between neighbours of a fixed row.
fn changes(least: f64, most: f64, answer: impl Fn(f64) -> bool) -> Vec<f64> {
    let step = (most - least) / 8.0;
    let mut found = Vec::new();
    for n in 0..8 {
        let (low, high) = (least + step * f64::from(n), least + step * f64::from(n + 1));
        let before = answer(low);
        if answer(high) == before {
            continue;
        }
        let (low, high) = halved((low, high), 45, |place| answer(place) != before);
        found.push(f64::midpoint(low, high));
    }
    found
}
