//! A rigid tube re-formed with two equal bends to take an offset. Takes the offset and the straight distance there is; gives
//! the bend angle and the tube it takes, or that it does not fit. A tube is never stretched: a spare loop must give what is
//! missing, or the tube is replaced.

use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, MOST_RISE, Range, ResultSpec, Spans,
    take,
};
use crate::quantity::Unit;

/// The shortest straight distance (mm) in which two equal bends of at most 90° take an offset: √(4R·offset − offset²) for
/// offset ≤ 2R, else 2R, with R the bend radius in mm.
///
/// ```
/// use liftsheet::calc::jog::least_length;
/// assert_eq!(least_length(50.0, 20.0), 40.0);
/// assert_eq!(least_length(20.0, 25.0), 40.0);
/// ```
pub fn least_length(offset: f64, bend_radius: f64) -> f64 {
    if offset <= 2.0 * bend_radius {
        (offset * (4.0 * bend_radius - offset)).sqrt()
    } else {
        2.0 * bend_radius
    }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "jog",
    title: "does a rigid tube take the offset with two equal bends",
    source: "plane geometry of two tangent arcs",
    inputs: &[
        InputSpec::number(
            "offset",
            Unit::Mm,
            Range::Within(0.0, MOST_RISE),
            "the offset to take: the rise",
        ),
        InputSpec::length("length", "straight distance available along the tube"),
        InputSpec::length("bend_radius", "bend radius of the centre line"),
        InputSpec::length_or_zero("spare", "length that an existing loop can give").or(0.0),
    ],
    results: &[
        ResultSpec::answer("fits", "whether there is room for the two bends"),
        ResultSpec::length(
            "least_length",
            "shortest straight distance that takes the offset",
        ),
        ResultSpec::degrees("bend_angle", "angle of each bend").may_be_absent(),
        ResultSpec::length("straight", "straight tube between the bends").may_be_absent(),
        ResultSpec::length("tube_length", "tube along its centre line").may_be_absent(),
        ResultSpec::length(
            "extra_length",
            "what that is longer than the straight distance",
        )
        .may_be_absent(),
        ResultSpec::answer("tube_serves", "whether the spare length gives it").may_be_absent(),
    ],
    run: adapt,
    turning,
};

/// The jog of two equal bends, which fits unless the straight distance is shorter than [`least_length`].
///
/// L = √(length² + offset² − 4R·offset), A = 2R, θ = atan2(length, A − offset) − atan2(L, A); tube length = 2Rθ + L with θ in
/// radians and R the bend radius. Range: lengths in mm, offset 0…150. Source: plane geometry of two tangent arcs.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let jog = find("jog").unwrap();
/// let given = read_inputs(jog, &["offset=50", "length=200", "bend_radius=20"]).unwrap();
/// let found = evaluate(jog, &given).unwrap();
/// assert!((found.number("bend_angle").unwrap() - 14.385).abs() < 5e-4);
/// assert!((found.number("straight").unwrap() - 196.214).abs() < 5e-4);
/// assert!((found.number("tube_length").unwrap() - 206.257).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (offset, length, bend_radius) =
        (number("offset")?, number("length")?, number("bend_radius")?);
    let least = least_length(offset, bend_radius);
    let fits = length >= least;
    let least_formula = if offset <= 2.0 * bend_radius {
        "√(4·bend_radius·offset − offset²)"
    } else {
        "2·bend_radius"
    };
    let mut results = vec![("fits", fits.into()), ("least_length", least.into())];
    let mut formulas = vec![
        Formula::of("least_length", least_formula),
        Formula::of("fits", "length ≥ least_length"),
    ];
    if fits {
        // At the least length the radicand is zero, and rounding may take it a hair below.
        let radicand = length * length + offset * (offset - 4.0 * bend_radius);
        let straight = if radicand < 0.0 { 0.0 } else { radicand.sqrt() };
        let across = 2.0 * bend_radius;
        let angle = length.atan2(across - offset) - straight.atan2(across);
        let tube_length = across * angle + straight;
        let extra_length = tube_length - length;
        results.extend([
            ("bend_angle", angle.to_degrees().into()),
            ("straight", straight.into()),
            ("tube_length", tube_length.into()),
            ("extra_length", extra_length.into()),
            ("tube_serves", (extra_length <= number("spare")?).into()),
        ]);
        formulas.extend([
            Formula::of("straight", "√(length² + offset² − 4·bend_radius·offset)"),
            Formula::of(
                "bend_angle",
                "atan2(length, 2·bend_radius − offset) − atan2(straight, 2·bend_radius)",
            ),
            Formula::of("tube_length", "2·bend_radius·bend_angle·π/180° + straight"),
            Formula::of("extra_length", "tube_length − length"),
            Formula::of("tube_serves", "extra_length ≤ spare"),
        ]);
    }
    Ok(Found { results, formulas })
}

/// The straight part is shortest where the offset is twice the radius, and there is none where the length is the least.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let number = |name| take::maybe(inputs, name).unwrap_or(0.0);
    let (offset, length, radius) = (number("offset"), number("length"), number("bend_radius"));
    // Where length² = 4R·offset − offset² (offset ≤ 2R), the jog only just fits.
    let mut turns = vec![
        ("offset", 2.0 * radius),
        ("length", least_length(offset, radius)),
    ];
    let tightest = 2.0 * radius - (4.0 * radius * radius - length * length).max(0.0).sqrt();
    let widest = (length * length + offset * offset) / (4.0 * offset);
    for (name, level) in [
        ("offset", tightest),
        ("bend_radius", widest),
        ("bend_radius", length / 2.0),
    ] {
        turns.push((name, level));
        turns.push((name, level * (1.0 - 1e-12)));
    }
    turns
}
