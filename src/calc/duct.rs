//! A flexible duct or bellows between body and engine. Takes its free length and level; gives how far it bends and stretches
//! under the rise. Which bend and stretch it stands is its maker's to say.

use super::limit::rise_limit;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Spans, take,
};
use crate::quantity::Unit;

/// A flexible duct.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duct {
    /// Free length between the cuffs, mm.
    pub free_length: f64,
    /// Body end above engine end, mm; less than the free length either way.
    pub level: f64,
    /// Largest angle it may turn through, degrees, below 90.
    pub angle_limit: f64,
    /// Largest stretch, mm.
    pub stretch_limit: f64,
    /// The rise, mm.
    pub rise: f64,
}

/// A flexible duct after the rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DuctResults {
    /// Angle between the old and the new line of the duct, degrees.
    pub angle: f64,
    /// How much longer it gets, mm; below zero when it is pushed together.
    pub stretch: f64,
    /// First rise at which a limit is passed, mm; none when at none looked at.
    pub rise_limit: Option<f64>,
}

/// How far a duct bends and stretches.
///
/// With L = `free_length` and plan = √(L² − level²): angle = |atan2(level + rise, plan) − atan2(level, plan)|, stretch =
/// √(plan² + (level + rise)²) − L. The limit is the lesser of `L·sin(angle_limit)/cos(α` + `angle_limit`), sin α = level/L, and
/// √(level² + `2·L·stretch_limit` + `stretch_limit²`) − level. Lengths in mm, angles in degrees. Fails unless |level| < L.
/// Source: plane geometry of one line.
///
/// ```
/// use liftsheet::calc::duct::{Duct, duct};
/// let bellows = Duct { free_length: 200.0, level: 0.0, angle_limit: 15.0, stretch_limit: 10.0, rise: 50.0 };
/// let found = duct(&bellows).unwrap();
/// assert!((found.angle - 14.036).abs() < 5e-4);
/// assert!((found.stretch - 6.155).abs() < 5e-4);
/// assert!((found.rise_limit.unwrap() - 53.590).abs() < 5e-4);
/// assert!(duct(&Duct { level: 200.0, ..bellows }).is_err());
/// ```
pub fn duct(given: &Duct) -> Result<DuctResults, CalcError> {
    let (length, level) = (given.free_length, given.level);
    if level.abs() >= length {
        return Err(CalcError::new(
            "level",
            format!("{level} mm"),
            format!("less than `free_length`, which is {length} mm, either way"),
        ));
    }
    let plan = plan(given);
    let angle = (level + given.rise).atan2(plan) - level.atan2(plan);
    Ok(DuctResults {
        angle: angle.abs().to_degrees(),
        stretch: plan.hypot(level + given.rise) - length,
        rise_limit: rise_limit(true, bend_limit(given).min(stretch_limit(given))),
    })
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

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let found = duct(&given)?;
    let plan = plan(&given);
    let slope = given.level.atan2(plan).to_degrees();
    let mut formulas = vec![
        Formula::step("plan", "√(free_length² − level²)", plan, Unit::Mm),
        Formula::of("angle", "|atan2(level + rise, plan) − atan2(level, plan)|"),
        Formula::of("stretch", "√(plan² + (level + rise)²) − free_length"),
        Formula::step("slope", "atan2(level, plan)", slope, Unit::Degree),
    ];
    let limit = if bend_limit(&given).is_finite() {
        formulas.extend([
            Formula::step(
                "bend_reach",
                "free_length·sin(angle_limit)/cos(slope + angle_limit)",
                bend_limit(&given),
                Unit::Mm,
            ),
            stretch_reach(&given),
        ]);
        "min(bend_reach, stretch_reach)"
    } else {
        formulas.push(stretch_reach(&given));
        "stretch_reach"
    };
    formulas.push(Formula::of("rise_limit", limit));
    Ok(Found {
        results: vec![
            ("angle", found.angle.into()),
            ("stretch", found.stretch.into()),
            ("rise_limit", found.rise_limit.into()),
        ],
        formulas,
    })
}

fn stretch_reach(given: &Duct) -> Formula {
    Formula::step(
        "stretch_reach",
        "√(level² + 2·free_length·stretch_limit + stretch_limit²) − level",
        stretch_limit(given),
        Unit::Mm,
    )
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
        let (mut low, mut high) = (least + step * f64::from(n), least + step * f64::from(n + 1));
        let before = answer(low);
        if answer(high) == before {
            continue;
        }
        for _ in 0..45 {
            let middle = f64::midpoint(low, high);
            if answer(middle) == before {
                low = middle;
            } else {
                high = middle;
            }
        }
        found.push(f64::midpoint(low, high));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEVEL: Duct = Duct {
        free_length: 200.0,
        level: 0.0,
        angle_limit: 15.0,
        stretch_limit: 10.0,
        rise: 50.0,
    };

    #[test]
    fn a_level_duct_is_limited_by_the_lesser_of_bend_and_stretch() {
        let bend = 200.0 * 15.0_f64.to_radians().tan();
        assert!((duct(&LEVEL).unwrap().rise_limit.unwrap() - bend).abs() < 1e-9);
        let stiff = Duct {
            stretch_limit: 4.0,
            ..LEVEL
        };
        let stretch = (204.0_f64 * 204.0 - 200.0 * 200.0).sqrt();
        assert!((duct(&stiff).unwrap().rise_limit.unwrap() - stretch).abs() < 1e-9);
    }

    #[test]
    fn a_duct_that_hangs_first_shortens() {
        let hanging = Duct {
            level: -60.0,
            ..LEVEL
        };
        assert!(duct(&hanging).unwrap().stretch < 0.0);
    }

    #[test]
    fn a_steep_duct_never_turns_through_a_wide_angle() {
        let steep = Duct {
            level: 195.0,
            angle_limit: 20.0,
            stretch_limit: 400.0,
            ..LEVEL
        };
        assert_eq!(duct(&steep).unwrap().rise_limit, None);
    }
}
