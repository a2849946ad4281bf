//! Raising one side at a time: how a point of the body moves while the other side's mounts are the hinge. Takes the lift of the raised
//! side and where the point is; gives the angle and the movement. Which parts that strains is left to the release checks.

use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Spans, take};

/// How far a body is turned about the mounts of one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// Radians.
    angle: f64,
}

impl Turn {
    /// The angle, degrees.
    pub fn degrees(self) -> f64 {
        self.angle.to_degrees()
    }

    /// How far a point moves, as (sideways, up), mm; `y` from the hinge line toward the raised side and `z` above it, mm.
    pub fn moves(self, y: f64, z: f64) -> (f64, f64) {
        let half = (self.angle / 2.0).sin();
        let (sine, rest) = (self.angle.sin(), 2.0 * half * half);
        (-z * sine - y * rest, y * sine - z * rest)
    }
}

/// How far a body is turned whose raised side, `across` from the hinge, goes up by `side_rise`, both in mm. Fails when `side_rise` > across.
///
/// ```
/// let turn = liftsheet::calc::tilt::turn(1100.0, 65.0).unwrap();
/// assert!((turn.degrees() - 3.388).abs() < 5e-4);
/// assert!((turn.moves(0.0, 600.0).0 + 35.455).abs() < 5e-4);
/// assert!(liftsheet::calc::tilt::turn(1100.0, 1200.0).is_err());
/// ```
pub fn turn(across: f64, side_rise: f64) -> Result<Turn, CalcError> {
    if side_rise > across {
        let allowed = format!("at most `across`, which is {across} mm");
        return Err(CalcError::new(
            "side_rise",
            format!("{side_rise} mm"),
            allowed,
        ));
    }
    Ok(Turn {
        angle: (side_rise / across).asin(),
    })
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "tilt",
    title: "how a point moves while one side is raised",
    source: "rotation about the mounts of the other side",
    inputs: &[
        InputSpec::length("across", "mount to mount across the body"),
        InputSpec::length_or_zero("side_rise", "how far the raised side's mounts go up"),
        InputSpec::signed_length("y", "the point, from the hinge line toward the raised side"),
        InputSpec::signed_length("z", "the point, above the hinge line"),
    ],
    results: &[
        ResultSpec::degrees("angle", "how far the body is turned"),
        ResultSpec::length("sideways", "movement toward the raised side"),
        ResultSpec::length("up", "movement up"),
        ResultSpec::length("moved", "straight movement"),
    ],
    run: adapt,
    turning,
};

/// How a point moves when one side is raised about the mounts of the other.
///
/// α = `asin(side_rise/across)`; sideways = −z·sin α − y·(1 − cos α), up = y·sin α − z·(1 − cos α), moved = 2·√(y² + z²)·sin(α/2).
/// Lengths in mm, angle in degrees. Fails when `side_rise` > across. Source: rotation about a line.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let tilt = find("tilt").unwrap();
/// let given = read_inputs(tilt, &["across=1100", "side_rise=65", "y=0", "z=600"]).unwrap();
/// let found = evaluate(tilt, &given).unwrap();
/// assert!((found.number("angle").unwrap() - 3.388).abs() < 5e-4);
/// assert!((found.number("sideways").unwrap() + 35.455).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (y, z) = (number("y")?, number("z")?);
    let turn = turn(number("across")?, number("side_rise")?)?;
    let (sideways, up) = turn.moves(y, z);
    let moved = 2.0 * y.hypot(z) * (turn.angle / 2.0).sin();
    Ok(Found {
        results: vec![
            ("angle", turn.degrees().into()),
            ("sideways", sideways.into()),
            ("up", up.into()),
            ("moved", moved.into()),
        ],
        formulas: vec![
            Formula::of("angle", "asin(side_rise/across)"),
            Formula::of("sideways", "−z·sin(angle) − y·(1 − cos(angle))"),
            Formula::of("up", "y·sin(angle) − z·(1 − cos(angle))"),
            Formula::of("moved", "2·√(y² + z²)·sin(angle/2)"),
        ],
    })
}

/// A point turns from going one way to the other where it stands level with the hinge or above it; on the hinge it does not move.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let number = |name| take::maybe(inputs, name).unwrap_or(0.0);
    let (y, z) = (number("y"), number("z"));
    let mut turns = vec![("y", 0.0), ("z", 0.0)];
    for angle in [(-z).atan2(y), y.atan2(z)] {
        let sine = angle.sin().abs();
        turns.push(("side_rise", number("across") * sine));
        turns.push(("across", number("side_rise") / sine));
    }
    turns
}
