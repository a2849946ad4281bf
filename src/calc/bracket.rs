//! A chassis-mounted bar raised on extended mounts: the longer arm bends them more. Takes the load, the arm and the plates; gives
//! the bending stress before and after, and the thickness that would bear it. The bolts and the chassis rail see the same
//! moment ratio; whether they bear it is left to the engineer.

use super::spec::nothing_turns;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Role, take,
};
use crate::quantity::Unit;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "bracket",
    title: "do the extended mounts of a chassis-mounted bar bear its load",
    source: "bending stress M/Z of a rectangle",
    inputs: &[
        InputSpec::positive("load", Unit::Newton, "horizontal load at the bar"),
        InputSpec::length("arm", "vertical distance from the bar to the fixing now"),
        InputSpec::choice(
            "bends",
            &["across_thickness", "across_width"],
            "which way the load bends the plates: check fore-aft and sideways",
        ),
        InputSpec::length("width", "width of one plate"),
        InputSpec::length("thickness", "thickness of one plate"),
        InputSpec::other("plates", InputKind::Count, "how many plates share the load"),
        InputSpec::positive("allowable", Unit::Megapascal, "allowable bending stress"),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::megapascals("stress_before", "bending stress now"),
        ResultSpec::megapascals("stress_after", "bending stress after"),
        ResultSpec::ratio("moment_ratio", "moment after over moment now"),
        ResultSpec::length("thickness_same", "thickness that keeps the stress as it is"),
        ResultSpec::length(
            "thickness_allowed",
            "thickness that meets the allowable stress",
        ),
        ResultSpec::length("shortfall", "how much thickness is missing").role(Role::Missing),
    ],
    run: adapt,
    turning: nothing_turns,
};

/// The bending of extended mounts.
///
/// M = load·arm, stress = M/Z with Z the section modulus of all plates, mm³; `moment_ratio` = (arm + rise)/arm. With M' = load·(arm + rise):
/// `thickness_allowed` = √(6M'/(plates·width·allowable)) or 6M'/(plates·width²·allowable). Load in N, lengths in mm, stress in `MPa`,
/// all above 0. Source: bending stress M/Z of a rectangle.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let bracket = find("bracket").unwrap();
/// let given = read_inputs(bracket, &[
///     "load=5000", "arm=60", "bends=across_thickness", "width=80", "thickness=8", "plates=2", "allowable=160", "rise=50",
/// ]).unwrap();
/// let found = evaluate(bracket, &given).unwrap();
/// assert!((found.number("stress_before").unwrap() - 175.78).abs() < 5e-3);
/// assert!((found.number("stress_after").unwrap() - 322.27).abs() < 5e-3);
/// assert!((found.number("thickness_allowed").unwrap() - 11.354).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (load, arm, rise) = (number("load")?, number("arm")?, number("rise")?);
    let (plates, width, thickness) = (number("plates")?, number("width")?, number("thickness")?);
    let moment_after = load * (arm + rise);
    let moment_ratio = (arm + rise) / arm;
    let across = 6.0 * moment_after / (plates * width * number("allowable")?);
    let across_thickness = take::word(inputs, "bends")? == "across_thickness";
    let (modulus, same, allowed) = if across_thickness {
        (
            plates * width * thickness * thickness / 6.0,
            thickness * moment_ratio.sqrt(),
            across.sqrt(),
        )
    } else {
        (
            plates * thickness * width * width / 6.0,
            thickness * moment_ratio,
            across / width,
        )
    };
    Ok(Found {
        results: vec![
            ("stress_before", (load * arm / modulus).into()),
            ("stress_after", (moment_after / modulus).into()),
            ("moment_ratio", moment_ratio.into()),
            ("thickness_same", same.into()),
            ("thickness_allowed", allowed.into()),
            ("shortfall", (allowed - thickness).max(0.0).into()),
        ],
        formulas: formulas(across_thickness, modulus),
    })
}

fn formulas(across_thickness: bool, modulus: f64) -> Vec<Formula> {
    let [z, same, allowed] = if across_thickness {
        [
            "plates·width·thickness²/6, in mm³",
            "thickness·√(moment_ratio)",
            "√(6·load·(arm + rise)/(plates·width·allowable))",
        ]
    } else {
        [
            "plates·thickness·width²/6, in mm³",
            "thickness·moment_ratio",
            "6·load·(arm + rise)/(plates·width²·allowable)",
        ]
    };
    vec![
        Formula::step("Z", z, modulus, Unit::One),
        Formula::of("stress_before", "load·arm/Z"),
        Formula::of("stress_after", "load·(arm + rise)/Z"),
        Formula::of("moment_ratio", "(arm + rise)/arm"),
        Formula::of("thickness_same", same),
        Formula::of("thickness_allowed", allowed),
        Formula::of("shortfall", "max(0, thickness_allowed − thickness)"),
    ]
}
