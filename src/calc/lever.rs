//! A lever pivoted on the gearbox that comes up through the floor. Takes its swing and the aperture on one side; gives the
//! aperture it needs there once the floor is higher. Each swing is checked by itself; the worst decides, which is left to
//! the rule.

use super::limit::{halved, rise_limit};
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, MOST_RISE, Range, ResultSpec, Role,
    Spans, take,
};
use crate::quantity::Unit;

/// One swing of a lever.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    /// Height of the floor above the pivot, mm.
    pub floor_height: f64,
    /// Swing from rest to the end of the gate, one way, degrees, at least 0.
    pub throw: f64,
    /// Lean of the rest position from vertical toward that swing, degrees, −60…60.
    pub lean: f64,
    /// Radius of the lever at the floor, mm.
    pub radius: f64,
    /// From the rest centre line at today's floor to the edge of the aperture that way, mm.
    pub aperture: f64,
    /// Clearance required, engine and gearbox movement included, mm.
    pub clearance: f64,
    /// Pivot to knob, mm, longer than `floor_height`.
    pub length: f64,
    /// The rise, mm.
    pub rise: f64,
}

/// The aperture that a lever needs on one side once the floor is higher, mm, and up to which rise the one there is enough, mm; none when
/// at every rise looked at. Fails outside the range of [`adapt`].
fn aperture(given: &Lever) -> Result<(f64, Option<f64>), CalcError> {
    check(given)?;
    let end = (given.lean + given.throw).to_radians();
    let rest = given.lean.to_radians().tan();
    let needed = |rise: f64| {
        (given.floor_height + rise) * end.tan() - given.floor_height * rest
            + given.radius / end.cos()
            + given.clearance
    };
    let holds_now = needed(0.0) <= given.aperture;
    let until = if given.lean + given.throw > 0.0 {
        (given.aperture - given.clearance - given.radius / end.cos() + given.floor_height * rest)
            / end.tan()
            - given.floor_height
    } else {
        f64::INFINITY
    };
    Ok((needed(given.rise), rise_limit(holds_now, until)))
}

/// Room between the lever's side at the end of its swing and the edge of the opening, once the floor is higher by `rise`, mm; below
/// zero when the lever is stopped by the edge.
///
/// room = aperture + `floor_height·tan` lean − (`floor_height` + rise)·tan(lean + throw) − radius/cos(lean + throw). Range and source as
/// for the calculation; `given.clearance` and `given.rise` do not count.
///
/// ```
/// use liftsheet::calc::lever::{Lever, edge_room};
/// let gear = Lever {
///     floor_height: 150.0, throw: 12.0, lean: 0.0, radius: 8.0, aperture: 60.0, clearance: 15.0, length: 420.0, rise: 50.0,
/// };
/// // 65.690 mm are needed, 15 of them clearance.
/// assert!((edge_room(&gear, 50.0) - (60.0 - 65.690 + 15.0)).abs() < 5e-4);
/// ```
pub fn edge_room(given: &Lever, rise: f64) -> f64 {
    let end = (given.lean + given.throw).to_radians();
    given.aperture + given.floor_height * given.lean.to_radians().tan()
        - (given.floor_height + rise) * end.tan()
        - given.radius / end.cos()
}

fn check(given: &Lever) -> Result<(), CalcError> {
    let end = given.lean + given.throw;
    if end.abs() >= 75.0 {
        return Err(CalcError::new(
            "throw",
            format!(
                "{}°, which takes the lever to {end}° from vertical",
                given.throw
            ),
            "a swing that ends less than 75° from vertical",
        ));
    }
    if given.length <= given.floor_height {
        return Err(CalcError::new(
            "length",
            format!("{} mm", given.length),
            format!(
                "longer than `floor_height`, which is {} mm",
                given.floor_height
            ),
        ));
    }
    Ok(())
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "lever",
    title: "does a lever pivoted on the gearbox still swing through the floor",
    source: "plane geometry of a swinging line",
    inputs: &[
        InputSpec::length("floor_height", "height of the floor above the pivot"),
        InputSpec::number(
            "throw",
            Unit::Degree,
            Range::NotNegative,
            "swing from rest to the end of the gate, one way",
        ),
        InputSpec::number(
            "lean",
            Unit::Degree,
            Range::Between(-60.0, 60.0),
            "lean of the rest position from vertical toward that swing",
        ),
        InputSpec::length("radius", "radius of the lever at the floor"),
        InputSpec::length(
            "aperture",
            "from the rest centre line at today's floor to the edge that way",
        ),
        InputSpec::length("clearance", "clearance required, mount movement included"),
        InputSpec::length("length", "pivot to knob"),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("aperture_needed", "aperture needed on that side"),
        ResultSpec::length("shortfall", "how much of it is missing").role(Role::Missing),
        ResultSpec::length("extension", "longer lever that puts the knob back"),
        ResultSpec::ratio("throw_ratio", "growth of the knob's travel by it"),
        ResultSpec::length("rise_limit", "up to which rise the aperture is enough").limit(),
    ],
    run: adapt,
    turning,
};

/// It by its inputs; fails when one is left out.
pub(crate) fn given(inputs: &Inputs) -> Result<Lever, CalcError> {
    Ok(Lever {
        floor_height: take::number(inputs, "floor_height")?,
        throw: take::number(inputs, "throw")?,
        lean: take::number(inputs, "lean")?,
        radius: take::number(inputs, "radius")?,
        aperture: take::number(inputs, "aperture")?,
        clearance: take::number(inputs, "clearance")?,
        length: take::number(inputs, "length")?,
        rise: take::number(inputs, "rise")?,
    })
}

/// The limit of a swing that ends upright or short of it.
const NO_CROSSING: &str =
    "none if it passes now, because the swing ends upright or short of it; else 0";

/// The aperture a lever needs once the floor is higher: the floor goes straight up, a leaning centre line does not.
///
/// `aperture_needed` = (`floor_height` + rise)·tan(lean + throw) − `floor_height·tan` lean + radius/cos(lean + throw) + clearance;
/// extension = rise/cos lean; `throw_ratio` = (length + extension)/length. Lengths in mm, angles in degrees. Range: |lean| < 60,
/// |lean + throw| < 75, length > `floor_height`; fails outside it. Source: plane geometry of a swinging line.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let lever = find("lever").unwrap();
/// let given = read_inputs(lever, &[
///     "floor_height=150", "throw=12", "lean=0", "radius=8", "aperture=60", "clearance=15", "length=420", "rise=50",
/// ]).unwrap();
/// let found = evaluate(lever, &given).unwrap();
/// assert!((found.number("aperture_needed").unwrap() - 65.690).abs() < 5e-4);
/// assert!((found.number("shortfall").unwrap() - 5.690).abs() < 5e-4);
/// assert!((found.number("rise_limit").unwrap() - 23.230).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let (needed, until) = aperture(&given)?;
    let extension = given.rise / given.lean.to_radians().cos();
    let limit = if given.lean + given.throw > 0.0 {
        "max(0, (aperture − clearance − radius/cos(lean + throw) + floor_height·tan(lean))/tan(lean + throw) − floor_height)"
    } else {
        NO_CROSSING
    };
    Ok(Found {
        results: vec![
            ("aperture_needed", needed.into()),
            ("shortfall", (needed - given.aperture).max(0.0).into()),
            ("extension", extension.into()),
            (
                "throw_ratio",
                ((given.length + extension) / given.length).into(),
            ),
            ("rise_limit", until.into()),
        ],
        formulas: vec![
            Formula::of(
                "aperture_needed",
                "(floor_height + rise)·tan(lean + throw) − floor_height·tan(lean) + radius/cos(lean + throw) + clearance",
            ),
            Formula::of("shortfall", "max(0, aperture_needed − aperture)"),
            Formula::of("extension", "rise/cos(lean)"),
            Formula::of("throw_ratio", "(length + extension)/length"),
            Formula {
                in_words: limit == NO_CROSSING,
                ..Formula::of("rise_limit", limit)
            },
        ],
    })
}

/// The aperture needed has one least value over the lean, and one over the throw where the lever is thick; the extension is
/// least upright; the limit jumps where the swing ends upright.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let mut turns = vec![
        ("lean", 0.0),
        ("lean", -given.throw),
        ("lean", -given.throw + 1e-9),
        ("throw", -given.lean),
        ("throw", -given.lean + 1e-9),
    ];
    for height in [given.floor_height + given.rise, given.floor_height] {
        if height < given.radius {
            turns.push((
                "throw",
                (-height / given.radius).asin().to_degrees() - given.lean,
            ));
        }
    }
    if let Some((least, most)) = spans.of("lean") {
        turns.push((
            "lean",
            bisect(least, most, |lean| needs_more(&given, lean, given.rise)),
        ));
        turns.push(("lean", best_lean(&given, least, most)));
    }
    turns
}

/// Whether a little more lean needs a larger aperture. The slope over the lean has the sign of
/// H + radius·sin(lean + throw) − `floor_height·cos²(lean` + throw)/cos²(lean), H = `floor_height` + rise, which rises with the lean.
fn needs_more(given: &Lever, lean: f64, rise: f64) -> bool {
    let end = (lean + given.throw).to_radians();
    let ratio = end.cos() / lean.to_radians().cos();
    let height = given.floor_height + rise;
    height + given.radius * end.sin() > given.floor_height * ratio * ratio
}

/// The lean between two at which the rise limit is largest: where the aperture needed at that very limit is least.
fn best_lean(given: &Lever, least: f64, most: f64) -> f64 {
    bisect(least, most, |lean| {
        let limit = aperture(&Lever { lean, ..*given }).ok();
        let limit = limit.and_then(|(_, limit)| limit);
        needs_more(given, lean, limit.unwrap_or(MOST_RISE))
    })
}

/// The place where an answer changes from no to yes.
fn bisect(no: f64, yes: f64, answer: impl Fn(f64) -> bool) -> f64 {
    let (no, yes) = halved((no, yes), 40, answer);
    f64::midpoint(no, yes)
}
