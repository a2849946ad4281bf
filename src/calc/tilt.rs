//! Raising one side at a time: how a point of the body moves while the other side's mounts are the hinge. Takes the lift of the raised
//! side and where the point is; gives the angle and the movement. Which parts that strains is left to the release checks.

use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Spans, take};

/// A body raised at one side, and a point of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    /// Mount to mount across the body, mm.
    pub across: f64,
    /// How far the raised side's mounts go up, mm, at most `across`.
    pub side_rise: f64,
    /// The point, from the hinge line toward the raised side, mm.
    pub y: f64,
    /// The point, above the hinge line, mm.
    pub z: f64,
}

/// How a point of a tilted body moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiltResults {
    /// How far the body is turned, degrees.
    pub angle: f64,
    /// Sideways, toward the raised side, mm.
    pub sideways: f64,
    /// Up, mm.
    pub up: f64,
    /// Straight from where it was to where it is, mm.
    pub moved: f64,
}

/// How a point moves when one side is raised about the mounts of the other.
///
/// α = `asin(side_rise/across)`; sideways = −z·sin α − y·(1 − cos α), up = y·sin α − z·(1 − cos α), moved = 2·√(y² + z²)·sin(α/2).
/// Lengths in mm, angle in degrees. Fails when `side_rise` > across. Source: rotation about a line.
///
/// ```
/// use liftsheet::calc::tilt::{Tilt, tilt};
/// let high = Tilt { across: 1100.0, side_rise: 65.0, y: 0.0, z: 600.0 };
/// let found = tilt(&high).unwrap();
/// assert!((found.angle - 3.388).abs() < 5e-4);
/// assert!((found.sideways + 35.455).abs() < 5e-4);
/// assert!(tilt(&Tilt { side_rise: 1200.0, ..high }).is_err());
/// ```
pub fn tilt(given: &Tilt) -> Result<TiltResults, CalcError> {
    let turn = turn(given.across, given.side_rise)?;
    let (sideways, up) = turn.moves(given.y, given.z);
    Ok(TiltResults {
        angle: turn.degrees(),
        sideways,
        up,
        moved: 2.0 * given.y.hypot(given.z) * (turn.angle / 2.0).sin(),
    })
}

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

    /// How far a point moves, as (sideways, up), mm; `y` and `z` as in [`Tilt`].
    pub fn moves(self, y: f64, z: f64) -> (f64, f64) {
        let half = (self.angle / 2.0).sin();
        let (sine, rest) = (self.angle.sin(), 2.0 * half * half);
        (-z * sine - y * rest, y * sine - z * rest)
    }
}

/// How far a body is turned whose raised side, `across` from the hinge, goes up by `side_rise`, both in mm. Fails as [`tilt`] does.
pub fn turn(across: f64, side_rise: f64) -> Result<Turn, CalcError> {
    if side_rise > across {
        return Err(CalcError::new(
            "side_rise",
            format!("{side_rise} mm"),
            format!("at most `across`, which is {across} mm"),
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

fn given(inputs: &Inputs) -> Result<Tilt, CalcError> {
    Ok(Tilt {
        across: take::number(inputs, "across")?,
        side_rise: take::number(inputs, "side_rise")?,
        y: take::number(inputs, "y")?,
        z: take::number(inputs, "z")?,
    })
}

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let found = tilt(&given(inputs)?)?;
    Ok(Found {
        results: vec![
            ("angle", found.angle.into()),
            ("sideways", found.sideways.into()),
            ("up", found.up.into()),
            ("moved", found.moved.into()),
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
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let mut turns = vec![("y", 0.0), ("z", 0.0)];
    for angle in [(-given.z).atan2(given.y), given.y.atan2(given.z)] {
        let sine = angle.sin().abs();
        turns.push(("side_rise", given.across * sine));
        turns.push(("across", given.side_rise / sine));
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_at_the_raised_mounts_goes_up_by_the_side_rise() {
        let found = tilt(&Tilt {
            across: 1100.0,
            side_rise: 65.0,
            y: 1100.0,
            z: 0.0,
        })
        .unwrap();
        assert!((found.up - 65.0).abs() < 1e-9);
        assert!((found.moved - found.up.hypot(found.sideways)).abs() < 1e-9);
    }

    #[test]
    fn without_a_lift_nothing_moves() {
        let found = tilt(&Tilt {
            across: 1100.0,
            side_rise: 0.0,
            y: 300.0,
            z: 600.0,
        })
        .unwrap();
        assert!(found.moved.abs() < 1e-12 && found.angle.abs() < 1e-12);
    }
}
