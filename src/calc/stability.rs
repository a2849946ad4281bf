//! Centre of mass and static stability factor. Takes masses, centre of mass and track; gives how far the centre of mass rises and
//! what that does to the factor. A static factor says nothing of suspension, tyres or driving; saying so is left to the
//! brief.

use super::ground::{AXLE_RISE, height_after};
use super::spec::nothing_turns;
use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, take};
use crate::quantity::Unit;

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

/// The centre of mass and the static stability factor.
///
/// `cg_after` = `cg_height` + `rise·body_mass/total_mass` + `axle_rise`; ssf = track/(2·cg); tilt limit = atan(ssf). Masses in kg, lengths in
/// mm, angles in degrees. Fails unless `body_mass` < `total_mass`. Source: definition of the centre of mass; SSF = T/2h as in
/// NHTSA's request for comments.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let stability = find("stability").unwrap();
/// let given = read_inputs(stability, &["body_mass=900", "total_mass=2000", "cg_height=700", "track=1500", "rise=50"]).unwrap();
/// let found = evaluate(stability, &given).unwrap();
/// assert_eq!(found.number("cg_after"), Some(722.5));
/// assert!((found.number("ssf_after").unwrap() - 1.0381).abs() < 5e-5);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (body_mass, total_mass) = (number("body_mass")?, number("total_mass")?);
    let (cg_height, axle_rise) = (number("cg_height")?, number("axle_rise")?);
    if body_mass >= total_mass {
        let allowed = format!("less than `total_mass`, which is {total_mass} kg");
        return Err(CalcError::new(
            "body_mass",
            format!("{body_mass} kg"),
            allowed,
        ));
    }
    let share = body_mass / total_mass;
    let cg_after = height_after(cg_height, true, number("rise")? * share, axle_rise);
    if cg_after <= 0.0 {
        let allowed = "a change that leaves the vehicle above the ground";
        return Err(CalcError::new(
            "axle_rise",
            format!("{axle_rise} mm"),
            allowed,
        ));
    }
    let track = number("track")?;
    let [ssf, ssf_after] = [cg_height, cg_after].map(|height| track / (2.0 * height));
    Ok(Found {
        results: vec![
            ("cg_after", cg_after.into()),
            ("ssf", ssf.into()),
            ("ssf_after", ssf_after.into()),
            ("tilt_limit", ssf.atan().to_degrees().into()),
            ("tilt_limit_after", ssf_after.atan().to_degrees().into()),
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
