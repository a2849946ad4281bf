//! Centre of mass and static stability factor. Takes masses, centre of mass and track; gives how far the centre of mass rises and
//! what that does to the factor. A static factor says nothing of suspension, tyres or driving; saying so is left to the
//! brief.

use super::ground::{AXLE_RISE, height_after};
use super::spec::nothing_turns;
use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, take};
use crate::quantity::Unit;

/// A vehicle before the lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stability {
    /// Mass of all that is raised, kg, less than `total_mass`.
    pub body_mass: f64,
    /// Mass of the whole vehicle, kg.
    pub total_mass: f64,
    /// Height of its centre of mass, mm.
    pub cg_height: f64,
    /// Track, mm.
    pub track: f64,
    /// The rise, mm.
    pub rise: f64,
    /// How far bigger tyres raise the whole vehicle, mm.
    pub axle_rise: f64,
}

/// A vehicle's static stability before and after the lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StabilityResults {
    /// Height of the centre of mass after, mm.
    pub cg_after: f64,
    /// Static stability factor now.
    pub ssf: f64,
    /// Static stability factor after.
    pub ssf_after: f64,
    /// Side slope at which it tips now, degrees.
    pub tilt_limit: f64,
    /// Side slope at which it tips after, degrees.
    pub tilt_limit_after: f64,
}

/// The centre of mass and the static stability factor.
///
/// `cg_after` = `cg_height` + `rise·body_mass/total_mass` + `axle_rise`; ssf = track/(2·cg); tilt limit = atan(ssf). Masses in kg, lengths in
/// mm, angles in degrees. Fails unless `body_mass` < `total_mass`. Source: definition of the centre of mass; SSF = T/2h as in
/// NHTSA's request for comments.
///
/// ```
/// use liftsheet::calc::stability::{Stability, stability};
/// let found = stability(&Stability {
///     body_mass: 900.0, total_mass: 2000.0, cg_height: 700.0, track: 1500.0, rise: 50.0, axle_rise: 0.0,
/// }).unwrap();
/// assert_eq!(found.cg_after, 722.5);
/// assert!((found.ssf - 1.0714).abs() < 5e-5 && (found.ssf_after - 1.0381).abs() < 5e-5);
/// ```
pub fn stability(given: &Stability) -> Result<StabilityResults, CalcError> {
    if given.body_mass >= given.total_mass {
        return Err(CalcError::new(
            "body_mass",
            format!("{} kg", given.body_mass),
            format!("less than `total_mass`, which is {} kg", given.total_mass),
        ));
    }
    let share = given.body_mass / given.total_mass;
    let cg_after = height_after(given.cg_height, true, given.rise * share, given.axle_rise);
    if cg_after <= 0.0 {
        return Err(CalcError::new(
            "axle_rise",
            format!("{} mm", given.axle_rise),
            "a change that leaves the vehicle above the ground",
        ));
    }
    let factor = |height: f64| given.track / (2.0 * height);
    let (ssf, ssf_after) = (factor(given.cg_height), factor(cg_after));
    Ok(StabilityResults {
        cg_after,
        ssf,
        ssf_after,
        tilt_limit: ssf.atan().to_degrees(),
        tilt_limit_after: ssf_after.atan().to_degrees(),
    })
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "stability",
    title: "what the lift does to the centre of mass and the static stability factor",
    source: "definition of the centre of mass; SSF = T/2h (NHTSA request for comments)",
    inputs: &[
        InputSpec::positive("body_mass", Unit::Kg, "mass of all that is raised"),
        InputSpec::positive("total_mass", Unit::Kg, "mass of the whole vehicle"),
        InputSpec::length("cg_height", "height of its centre of mass"),
        InputSpec::length("track", "track"),
        InputSpec::RISE,
        AXLE_RISE,
    ],
    results: &[
        ResultSpec::length("cg_after", "height of the centre of mass after"),
        ResultSpec::ratio("ssf", "static stability factor now"),
        ResultSpec::ratio("ssf_after", "static stability factor after"),
        ResultSpec::degrees("tilt_limit", "side slope at which it tips now"),
        ResultSpec::degrees("tilt_limit_after", "side slope at which it tips after"),
    ],
    run: adapt,
    turning: nothing_turns,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let found = stability(&Stability {
        body_mass: take::number(inputs, "body_mass")?,
        total_mass: take::number(inputs, "total_mass")?,
        cg_height: take::number(inputs, "cg_height")?,
        track: take::number(inputs, "track")?,
        rise: take::number(inputs, "rise")?,
        axle_rise: take::number(inputs, "axle_rise")?,
    })?;
    Ok(Found {
        results: vec![
            ("cg_after", found.cg_after.into()),
            ("ssf", found.ssf.into()),
            ("ssf_after", found.ssf_after.into()),
            ("tilt_limit", found.tilt_limit.into()),
            ("tilt_limit_after", found.tilt_limit_after.into()),
        ],
        formulas: vec![
            Formula::of(
                "cg_after",
                "cg_height + rise·body_mass/total_mass + axle_rise",
            ),
            Formula::of("ssf", "track/(2·cg_height)"),
            Formula::of("ssf_after", "track/(2·cg_after)"),
            Formula::of("tilt_limit", "atan(ssf)"),
            Formula::of("tilt_limit_after", "atan(ssf_after)"),
        ],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bigger_tyres_raise_the_whole_vehicle() {
        let vehicle = Stability {
            body_mass: 900.0,
            total_mass: 2000.0,
            cg_height: 700.0,
            track: 1400.0,
            rise: 0.0,
            axle_rise: 25.0,
        };
        let found = stability(&vehicle).unwrap();
        assert!((found.cg_after - 725.0).abs() < 1e-12);
        assert!((found.tilt_limit - 45.0).abs() < 1e-9);
        let heavy = Stability {
            body_mass: 2000.0,
            ..vehicle
        };
        assert_eq!(stability(&heavy).unwrap_err().input, "body_mass");
    }
}
