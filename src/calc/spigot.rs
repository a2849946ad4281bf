//! A hose pushed over a spigot: fuel filler, breather, coolant, intake cuff. Takes its overlap and what it may lose; gives
//! what is left on the spigot, what must be added, and whether the hose still falls. Which overlap a class must keep is
//! left to its rule.

use super::limit::rise_limit;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Role, Spans,
    take,
};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "spigot",
    title: "does a hose stay on its spigot, and does it still fall",
    source: "plane geometry of one span",
    inputs: &[
        InputSpec::length_or_zero("overlap", "length of hose on the spigot now"),
        InputSpec::length("least_overlap", "length of hose that must stay on it"),
        InputSpec::length_or_zero(
            "slide",
            "how far one fitting moves toward the other on its own adjustment",
        ),
        InputSpec::other(
            "flexible",
            InputKind::Flag,
            "whether the hose is convoluted, or its free length is over six bores",
        ),
        InputSpec::length_or_zero("plan", "horizontal distance between the two fittings")
            .optional(),
        InputSpec::signed_length(
            "level",
            "height of the body-side fitting above the other, negative when below",
        )
        .optional(),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("growth", "how far the rise pulls the hose off"),
        ResultSpec::length("overlap_left", "overlap left when nothing is moved"),
        ResultSpec::length("overlap_moved", "overlap left when the fitting is moved"),
        ResultSpec::length("length_to_add", "hose to add").role(Role::Missing),
        ResultSpec::length("joiner_length", "length of a joiner that adds it"),
        ResultSpec::degrees("fall_before", "angle of the fall now").may_be_absent(),
        ResultSpec::degrees("fall_after", "angle of the fall after").may_be_absent(),
        ResultSpec::length(
            "rise_limit",
            "up to which rise enough is left, nothing moved",
        )
        .limit(),
        ResultSpec::length("rise_limit_moved", "the same with the fitting moved").may_be_absent(),
    ],
    run: adapt,
    turning,
};

/// The overlap a rise takes from a hose on a spigot.
///
/// growth = rise: two stiff spigots that keep their direction need more than the chord between them, so the rise is the
/// safe bound. When flexible and measured, growth = d(rise) − d(0) with d(r) = √(plan² + (level + r)²).
/// `overlap_left` = overlap − max(0, growth); `overlap_moved` = `overlap_left` + min(slide, max(0, growth));
/// `length_to_add` = max(0, growth + `least_overlap` − overlap); `joiner_length` = `length_to_add` + `2·least_overlap`.
/// The fall is atan2(level, plan) before and atan2(level + rise, plan) after. Range: overlap, slide ≥ 0, mm. Source:
/// plane geometry.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let spigot = find("spigot").unwrap();
/// let given = read_inputs(spigot, &["overlap=38", "least_overlap=25", "slide=20", "flexible=no", "rise=50"]).unwrap();
/// let found = evaluate(spigot, &given).unwrap();
/// assert_eq!(found.number("overlap_left"), Some(-12.0));
/// assert_eq!(found.number("length_to_add"), Some(37.0));
/// assert_eq!(found.number("rise_limit"), Some(13.0));
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let (overlap, least_overlap) = (number("overlap")?, number("least_overlap")?);
    let (slide, rise) = (number("slide")?, number("rise")?);
    let flexible = take::flag(inputs, "flexible")?;
    let span = take::span(inputs)?;
    let bending = span.filter(|_| flexible);
    let margin = overlap - least_overlap;
    let growth = bending.map_or(rise, |span| span.distance(rise) - span.distance(0.0));
    let lost = growth.max(0.0);
    let overlap_left = overlap - lost;
    let length_to_add = (growth - margin).max(0.0);
    let joiner_length = if length_to_add > 0.0 {
        length_to_add + 2.0 * least_overlap
    } else {
        0.0
    };
    let limit = |allowed: f64| {
        let until = bending.map_or(allowed, |span| span.half_range(allowed) - span.level);
        rise_limit(margin >= 0.0, until)
    };
    let mut results = vec![
        ("growth", growth.into()),
        ("overlap_left", overlap_left.into()),
        ("overlap_moved", (overlap_left + slide.min(lost)).into()),
        ("length_to_add", length_to_add.into()),
        ("joiner_length", joiner_length.into()),
    ];
    if let Some(span) = span {
        let fall = |level: f64| level.atan2(span.plan).to_degrees();
        results.push(("fall_before", fall(span.level).into()));
        results.push(("fall_after", fall(span.level + rise).into()));
    }
    results.push(("rise_limit", limit(margin).into()));
    results.push(("rise_limit_moved", limit(margin + slide).into()));
    let mut formulas = formulas(bending.is_some(), length_to_add > 0.0);
    if span.is_some() {
        formulas.push(Formula::of("fall_before", "atan2(level, plan)"));
        formulas.push(Formula::of("fall_after", "atan2(level + rise, plan)"));
    }
    formulas.extend(limit_formulas(bending.is_some(), margin));
    Ok(Found { results, formulas })
}

fn formulas(bends: bool, adds: bool) -> Vec<Formula> {
    let growth = if bends {
        "√(plan² + (level + rise)²) − √(plan² + level²)"
    } else {
        "rise"
    };
    let joiner = if adds {
        "length_to_add + 2·least_overlap"
    } else {
        "0, because nothing is to be added"
    };
    vec![
        Formula::of("growth", growth),
        Formula::of("overlap_left", "overlap − max(0, growth)"),
        Formula::of("overlap_moved", "overlap_left + min(slide, max(0, growth))"),
        Formula::of("length_to_add", "max(0, growth + least_overlap − overlap)"),
        Formula::of("joiner_length", joiner),
    ]
}

fn limit_formulas(bends: bool, margin: f64) -> [Formula; 2] {
    let [alone, moved] = if margin < 0.0 {
        ["0, because overlap < least_overlap"; 2]
    } else if bends {
        [
            "√((√(plan² + level²) + overlap − least_overlap)² − plan²) − level",
            "√((√(plan² + level²) + overlap + slide − least_overlap)² − plan²) − level",
        ]
    } else {
        ["overlap − least_overlap", "overlap + slide − least_overlap"]
    };
    [
        Formula::of("rise_limit", alone),
        Formula::of("rise_limit_moved", moved),
    ]
}

/// A body-side fitting that starts below the other passes the nearest point on its way up.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let level = take::maybe(inputs, "level").unwrap_or(0.0);
    vec![("rise", -level)]
}
