//! A chassis-mounted bar raised on extended mounts: the longer arm bends them more. Takes the load, the arm and the plates; gives
//! the bending stress before and after, and the thickness that would bear it. The bolts and the chassis rail see the same
//! moment ratio; whether they bear it is left to the engineer.

use super::spec::nothing_turns;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Role, take,
};
use crate::quantity::Unit;

/// Which way the load bends the plates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bends {
    /// Across their thickness: Z = plates·width·thickness²/6.
    AcrossThickness,
    /// Across their width: Z = plates·thickness·width²/6.
    AcrossWidth,
}

/// A mount of plates that carries a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    /// Horizontal load at the bar, N.
    pub load: f64,
    /// Vertical distance from the bar to the fixing now, mm.
    pub arm: f64,
    /// Which way the load bends the plates.
    pub bends: Bends,
    /// Width of one plate, mm.
    pub width: f64,
    /// Thickness of one plate, mm.
    pub thickness: f64,
    /// How many plates share the load.
    pub plates: f64,
    /// Allowable bending stress, `MPa`.
    pub allowable: f64,
    /// The rise, mm.
    pub rise: f64,
}

/// A mount of plates after the rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BracketResults {
    /// Bending stress now, `MPa`.
    pub stress_before: f64,
    /// Bending stress after, `MPa`.
    pub stress_after: f64,
    /// Moment after over moment now.
    pub moment_ratio: f64,
    /// Thickness that keeps the stress as it is now, mm.
    pub thickness_same: f64,
    /// Thickness that meets the allowable stress after, mm.
    pub thickness_allowed: f64,
    /// How much thickness is missing, mm.
    pub shortfall: f64,
}

/// The bending of extended mounts.
///
/// M = load·arm, stress = M/Z with Z of [`Bends`]; `moment_ratio` = (arm + rise)/arm. With M' = load·(arm + rise):
/// `thickness_allowed` = √(6M'/(plates·width·allowable)) or 6M'/(plates·width²·allowable). Load in N, lengths in mm, stress in `MPa`,
/// all above 0. Source: bending stress M/Z of a rectangle.
///
/// ```
/// use liftsheet::calc::bracket::{Bends, Bracket, bracket};
/// let found = bracket(&Bracket {
///     load: 5000.0, arm: 60.0, bends: Bends::AcrossThickness, width: 80.0, thickness: 8.0, plates: 2.0,
///     allowable: 160.0, rise: 50.0,
/// });
/// assert!((found.stress_before - 175.78).abs() < 5e-3);
/// assert!((found.stress_after - 322.27).abs() < 5e-3);
/// assert!((found.thickness_same - 10.832).abs() < 5e-4);
/// assert!((found.thickness_allowed - 11.354).abs() < 5e-4);
/// ```
pub fn bracket(given: &Bracket) -> BracketResults {
    let modulus = modulus(given);
    let moment = given.load * given.arm;
    let moment_after = given.load * (given.arm + given.rise);
    let moment_ratio = (given.arm + given.rise) / given.arm;
    let across = 6.0 * moment_after / (given.plates * given.width * given.allowable);
    let (thickness_same, thickness_allowed) = match given.bends {
        Bends::AcrossThickness => (given.thickness * moment_ratio.sqrt(), across.sqrt()),
        Bends::AcrossWidth => (given.thickness * moment_ratio, across / given.width),
    };
    BracketResults {
        stress_before: moment / modulus,
        stress_after: moment_after / modulus,
        moment_ratio,
        thickness_same,
        thickness_allowed,
        shortfall: (thickness_allowed - given.thickness).max(0.0),
    }
}

/// Section modulus Z of all plates, mm³.
fn modulus(given: &Bracket) -> f64 {
    let Bracket {
        width, thickness, ..
    } = *given;
    match given.bends {
        Bends::AcrossThickness => given.plates * width * thickness * thickness / 6.0,
        Bends::AcrossWidth => given.plates * thickness * width * width / 6.0,
    }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "bracket",
    title: "do the extended mounts of a chassis-mounted bar bear its load",
    source: "bending stress M/Z of a rectangle",
    inputs: &[
        InputSpec::positive("load", Unit::Newton, "horizontal load at the bar"),
        InputSpec::length("arm", "vertical distance from the bar to the fixing now"),
        InputSpec::other(
            "bends",
            InputKind::Choice(&["across_thickness", "across_width"]),
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

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let bends = match take::word(inputs, "bends")? {
        "across_thickness" => Bends::AcrossThickness,
        _ => Bends::AcrossWidth,
    };
    let given = Bracket {
        load: take::number(inputs, "load")?,
        arm: take::number(inputs, "arm")?,
        bends,
        width: take::number(inputs, "width")?,
        thickness: take::number(inputs, "thickness")?,
        plates: take::number(inputs, "plates")?,
        allowable: take::number(inputs, "allowable")?,
        rise: take::number(inputs, "rise")?,
    };
    let found = bracket(&given);
    Ok(Found {
        results: vec![
            ("stress_before", found.stress_before.into()),
            ("stress_after", found.stress_after.into()),
            ("moment_ratio", found.moment_ratio.into()),
            ("thickness_same", found.thickness_same.into()),
            ("thickness_allowed", found.thickness_allowed.into()),
            ("shortfall", found.shortfall.into()),
        ],
        formulas: formulas(&given),
    })
}

fn formulas(given: &Bracket) -> Vec<Formula> {
    let [z, same, allowed] = match given.bends {
        Bends::AcrossThickness => [
            "plates·width·thickness²/6, in mm³",
            "thickness·√(moment_ratio)",
            "√(6·load·(arm + rise)/(plates·width·allowable))",
        ],
        Bends::AcrossWidth => [
            "plates·thickness·width²/6, in mm³",
            "thickness·moment_ratio",
            "6·load·(arm + rise)/(plates·width²·allowable)",
        ],
    };
    vec![
        Formula::step("Z", z, modulus(given), Unit::One),
        Formula::of("stress_before", "load·arm/Z"),
        Formula::of("stress_after", "load·(arm + rise)/Z"),
        Formula::of("moment_ratio", "(arm + rise)/arm"),
        Formula::of("thickness_same", same),
        Formula::of("thickness_allowed", allowed),
        Formula::of("shortfall", "max(0, thickness_allowed − thickness)"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn across_the_width_a_plate_is_far_stiffer() {
        let found = bracket(&Bracket {
            load: 5000.0,
            arm: 60.0,
            bends: Bends::AcrossWidth,
            width: 80.0,
            thickness: 8.0,
            plates: 2.0,
            allowable: 160.0,
            rise: 50.0,
        });
        assert!((found.stress_after - 32.23).abs() < 5e-3);
        assert!((found.thickness_same - 14.667).abs() < 5e-4);
        assert!((found.shortfall - 0.0).abs() < 1e-12);
    }
}
