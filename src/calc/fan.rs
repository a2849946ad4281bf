//! An engine-driven fan in a body-mounted shroud: the shroud goes up, the fan stays. Takes the radii and where the fan sits;
//! gives the gap at the tips after the lift and how far the shroud must come down. Which clearance is enough is left to the
//! rule.

use super::limit::rise_limit;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Role, Spans, take,
};
use crate::quantity::Unit;

/// A fan in its shroud.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fan {
    /// Radius of the shroud's opening, mm.
    pub shroud_radius: f64,
    /// Radius of the fan at its tips, mm.
    pub fan_radius: f64,
    /// Fan centre above shroud centre now, mm; negative when below.
    pub offset: f64,
    /// Gap required at the tips, mm.
    pub clearance: f64,
    /// The rise, mm.
    pub rise: f64,
}

/// The gaps between the tips of a fan and its shroud, mm; below zero where the tips strike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gaps {
    /// Straight above the fan's centre.
    pub up: f64,
    /// Straight below it.
    pub down: f64,
    /// To either side, level with it.
    pub sideways: f64,
}

/// The gaps round a fan at a rise, mm.
///
/// With o = offset − rise: up = `shroud_radius` − `fan_radius` − o, down = `shroud_radius` − `fan_radius` + o, sideways =
/// √(`shroud_radius`² − o²) − `fan_radius`. A fan whose centre is outside the shroud has nothing beside it: the root counts as 0.
/// Source: plane geometry of two circles.
///
/// ```
/// use liftsheet::calc::fan::{Fan, gaps};
/// let fitted = Fan { shroud_radius: 250.0, fan_radius: 200.0, offset: 0.0, clearance: 15.0, rise: 70.0 };
/// let after = gaps(&fitted, fitted.rise);
/// assert_eq!((after.up, after.down, after.sideways), (120.0, -20.0, 40.0));
/// ```
pub fn gaps(given: &Fan, rise: f64) -> Gaps {
    let room = given.shroud_radius - given.fan_radius;
    let offset = given.offset - rise;
    let half_chord = (given.shroud_radius - offset) * (given.shroud_radius + offset);
    Gaps {
        up: room - offset,
        down: room + offset,
        sideways: half_chord.max(0.0).sqrt() - given.fan_radius,
    }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "fan",
    title: "does an engine-driven fan clear a body-mounted shroud",
    source: "plane geometry of two circles",
    inputs: &[
        InputSpec::length("shroud_radius", "radius of the shroud's opening"),
        InputSpec::length("fan_radius", "radius of the fan at its tips"),
        InputSpec::signed_length("offset", "fan centre above shroud centre now"),
        InputSpec::length("clearance", "gap required at the tips"),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("offset_after", "fan centre above shroud centre after"),
        ResultSpec::length("tip_gap", "least gap at the tips after"),
        ResultSpec::length("shortfall", "how much of the clearance is missing").role(Role::Missing),
        ResultSpec::length("drop_needed", "how far shroud or radiator must come down")
            .role(Role::Missing),
        ResultSpec::length("rise_limit", "up to which rise the tips clear").limit(),
    ],
    run: adapt,
    turning,
};

/// It by its inputs; fails when one is left out.
pub(crate) fn given(inputs: &Inputs) -> Result<Fan, CalcError> {
    Ok(Fan {
        shroud_radius: take::number(inputs, "shroud_radius")?,
        fan_radius: take::number(inputs, "fan_radius")?,
        offset: take::number(inputs, "offset")?,
        clearance: take::number(inputs, "clearance")?,
        rise: take::number(inputs, "rise")?,
    })
}

/// The gap at the tips of a fan whose shroud goes up.
///
/// `offset_after` = offset − rise; `tip_gap` = `shroud_radius` − `fan_radius` − |`offset_after`|; with m = `shroud_radius` − `fan_radius` −
/// clearance, `drop_needed` = max(0, −`offset_after` − m). All in mm. Fails when m < 0: the fan does not clear now even when
/// centred. Source: plane geometry of two circles.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let fan = find("fan").unwrap();
/// let given = read_inputs(fan, &["shroud_radius=240", "fan_radius=215", "offset=5", "clearance=15", "rise=50"]).unwrap();
/// let found = evaluate(fan, &given).unwrap();
/// assert_eq!(found.number("tip_gap"), Some(-20.0));
/// assert_eq!(found.number("drop_needed"), Some(35.0));
/// assert_eq!(found.number("rise_limit"), Some(15.0));
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let room = given.shroud_radius - given.fan_radius;
    let margin = room - given.clearance;
    if margin < 0.0 {
        return Err(CalcError::new(
            "fan_radius",
            format!("{} mm", given.fan_radius),
            format!(
                "at most `shroud_radius` − `clearance`, which is {} mm: it does not clear now",
                given.shroud_radius - given.clearance
            ),
        ));
    }
    let offset_after = given.offset - given.rise;
    let tip_gap = room - offset_after.abs();
    let clears = given.offset.abs() <= margin;
    let limit = if clears {
        "offset + m"
    } else {
        "0, because |offset| > m"
    };
    let shortfall = (given.clearance - tip_gap).max(0.0);
    let drop = (-offset_after - margin).max(0.0);
    let until = rise_limit(clears, given.offset + margin);
    Ok(Found {
        results: vec![
            ("offset_after", offset_after.into()),
            ("tip_gap", tip_gap.into()),
            ("shortfall", shortfall.into()),
            ("drop_needed", drop.into()),
            ("rise_limit", until.into()),
        ],
        formulas: vec![
            Formula::step(
                "m",
                "shroud_radius − fan_radius − clearance",
                margin,
                Unit::Mm,
            ),
            Formula::of("offset_after", "offset − rise"),
            Formula::of("tip_gap", "shroud_radius − fan_radius − |offset_after|"),
            Formula::of("shortfall", "max(0, clearance − tip_gap)"),
            Formula::of("drop_needed", "max(0, −offset_after − m)"),
            Formula::of("rise_limit", limit),
        ],
    })
}

/// The gap is largest with the fan centred; the limit drops to 0 where the fan centre is too high already.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let room = given.shroud_radius - given.fan_radius;
    let margin = room - given.clearance;
    let off = given.offset.abs();
    // A hair to the side that still holds: rounding must not drop the limit at its very edge.
    let hair = 1e-12 * (given.shroud_radius + off);
    vec![
        ("offset", given.rise),
        ("rise", given.offset),
        ("offset", margin - hair),
        ("offset", margin + hair),
        ("offset", -margin),
        ("clearance", room - off - hair),
        (
            "shroud_radius",
            given.fan_radius + given.clearance + off + hair,
        ),
        (
            "fan_radius",
            given.shroud_radius - given.clearance - off - hair,
        ),
    ]
}
