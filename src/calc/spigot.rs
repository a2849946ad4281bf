//! A hose pushed over a spigot: fuel filler, breather, coolant, intake cuff. Takes its overlap and what it may lose; gives
//! what is left on the spigot, what must be added, and whether the hose still falls. Which overlap a class must keep is
//! left to its rule.

use super::limit::rise_limit;
use super::span::FixingOffset;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Role, Spans,
    take,
};

/// A hose on a spigot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spigot {
    /// Length of hose on the spigot now, mm.
    pub overlap: f64,
    /// Length of hose that must stay on it, mm.
    pub least_overlap: f64,
    /// How far one fitting moves toward the other on its own adjustment, mm.
    pub slide: f64,
    /// Whether the hose is convoluted, or has a free length over six bores.
    pub flexible: bool,
    /// Where the fittings stand; none when it was not measured.
    pub span: Option<FixingOffset>,
    /// The rise, mm.
    pub rise: f64,
}

/// What a hose on a spigot does under the rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpigotResults {
    /// How far the rise pulls the hose off the spigot, mm; below zero when it pushes it on.
    pub growth: f64,
    /// Overlap left when nothing is moved, mm.
    pub overlap_left: f64,
    /// Overlap left when the fitting is moved toward the other, mm.
    pub overlap_moved: f64,
    /// Hose to add, mm.
    pub length_to_add: f64,
    /// Length of a joiner that adds it, mm; 0 when nothing is to be added.
    pub joiner_length: f64,
    /// Angle of the fall before and after, degrees; none when not measured. Below zero it runs uphill.
    pub fall: Option<(f64, f64)>,
    /// Up to which rise the overlap is left with nothing moved, mm; none when at every rise looked at.
    pub rise_limit: Option<f64>,
    /// The same with the fitting moved, mm.
    pub rise_limit_moved: Option<f64>,
}

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
/// use liftsheet::calc::spigot::{Spigot, spigot};
/// let found = spigot(&Spigot {
///     overlap: 38.0, least_overlap: 25.0, slide: 20.0, flexible: false, span: None, rise: 50.0,
/// });
/// assert_eq!((found.overlap_left, found.overlap_moved), (-12.0, 8.0));
/// assert_eq!((found.length_to_add, found.joiner_length), (37.0, 87.0));
/// assert_eq!((found.rise_limit, found.rise_limit_moved), (Some(13.0), Some(33.0)));
/// ```
pub fn spigot(given: &Spigot) -> SpigotResults {
    let margin = given.overlap - given.least_overlap;
    let bending = given.span.filter(|_| given.flexible);
    let growth = bending.map_or(given.rise, |span| {
        span.distance(given.rise) - span.distance(0.0)
    });
    let limit = |allowed: f64| {
        let until = bending.map_or(allowed, |span| span.half_range(allowed) - span.level);
        rise_limit(margin >= 0.0, until)
    };
    let lost = growth.max(0.0);
    let overlap_left = given.overlap - lost;
    let length_to_add = (growth - margin).max(0.0);
    let joiner_length = if length_to_add > 0.0 {
        length_to_add + 2.0 * given.least_overlap
    } else {
        0.0
    };
    SpigotResults {
        growth,
        overlap_left,
        overlap_moved: overlap_left + given.slide.min(lost),
        length_to_add,
        joiner_length,
        fall: given.span.map(|span| falls(span, given.rise)),
        rise_limit: limit(margin),
        rise_limit_moved: limit(margin + given.slide),
    }
}

fn falls(span: FixingOffset, rise: f64) -> (f64, f64) {
    let fall = |level: f64| level.atan2(span.plan).to_degrees();
    (fall(span.level), fall(span.level + rise))
}

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

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = Spigot {
        overlap: take::number(inputs, "overlap")?,
        least_overlap: take::number(inputs, "least_overlap")?,
        slide: take::number(inputs, "slide")?,
        flexible: take::flag(inputs, "flexible")?,
        span: take::span(inputs)?,
        rise: take::number(inputs, "rise")?,
    };
    let found = spigot(&given);
    let mut results = vec![
        ("growth", found.growth.into()),
        ("overlap_left", found.overlap_left.into()),
        ("overlap_moved", found.overlap_moved.into()),
        ("length_to_add", found.length_to_add.into()),
        ("joiner_length", found.joiner_length.into()),
    ];
    if let Some((before, after)) = found.fall {
        results.push(("fall_before", before.into()));
        results.push(("fall_after", after.into()));
    }
    results.push(("rise_limit", found.rise_limit.into()));
    results.push(("rise_limit_moved", found.rise_limit_moved.into()));
    Ok(Found {
        results,
        formulas: formulas(&given, &found),
    })
}

fn formulas(given: &Spigot, found: &SpigotResults) -> Vec<Formula> {
    let bends = given.flexible && given.span.is_some();
    let growth = if bends {
        "√(plan² + (level + rise)²) − √(plan² + level²)"
    } else {
        "rise"
    };
    let mut lines = vec![
        Formula::of("growth", growth),
        Formula::of("overlap_left", "overlap − max(0, growth)"),
        Formula::of("overlap_moved", "overlap_left + min(slide, max(0, growth))"),
        Formula::of("length_to_add", "max(0, growth + least_overlap − overlap)"),
    ];
    lines.push(if found.length_to_add > 0.0 {
        Formula::of("joiner_length", "length_to_add + 2·least_overlap")
    } else {
        Formula::of("joiner_length", "0, because nothing is to be added")
    });
    if given.span.is_some() {
        lines.push(Formula::of("fall_before", "atan2(level, plan)"));
        lines.push(Formula::of("fall_after", "atan2(level + rise, plan)"));
    }
    if given.overlap < given.least_overlap {
        lines.push(Formula::of(
            "rise_limit",
            "0, because overlap < least_overlap",
        ));
        lines.push(Formula::of(
            "rise_limit_moved",
            "0, because overlap < least_overlap",
        ));
    } else if bends {
        lines.push(Formula::of(
            "rise_limit",
            "√((√(plan² + level²) + overlap − least_overlap)² − plan²) − level",
        ));
        lines.push(Formula::of(
            "rise_limit_moved",
            "√((√(plan² + level²) + overlap + slide − least_overlap)² − plan²) − level",
        ));
    } else {
        lines.push(Formula::of("rise_limit", "overlap − least_overlap"));
        lines.push(Formula::of(
            "rise_limit_moved",
            "overlap + slide − least_overlap",
        ));
    }
    lines
}

/// A body-side fitting that starts below the other passes the nearest point on its way up.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let level = take::maybe(inputs, "level").unwrap_or(0.0);
    vec![("rise", -level)]
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOSE: Spigot = Spigot {
        overlap: 40.0,
        least_overlap: 25.0,
        slide: 10.0,
        flexible: true,
        span: Some(FixingOffset {
            plan: 300.0,
            level: 120.0,
        }),
        rise: 50.0,
    };

    #[test]
    fn a_flexible_hose_loses_the_chord_and_a_stiff_one_the_whole_rise() {
        let chord = spigot(&HOSE).growth;
        assert!((chord - 21.709).abs() < 5e-4);
        let stiff = spigot(&Spigot {
            flexible: false,
            ..HOSE
        });
        assert_eq!((stiff.growth, stiff.rise_limit), (50.0, Some(15.0)));
    }

    #[test]
    fn without_its_place_a_flexible_hose_is_taken_as_stiff() {
        let found = spigot(&Spigot { span: None, ..HOSE });
        assert_eq!((found.growth, found.fall), (50.0, None));
    }

    #[test]
    fn at_its_limit_exactly_the_least_overlap_is_left() {
        let found = spigot(&HOSE);
        for (limit, moved) in [(found.rise_limit, false), (found.rise_limit_moved, true)] {
            let there = spigot(&Spigot {
                rise: limit.unwrap(),
                ..HOSE
            });
            let left = if moved {
                there.overlap_moved
            } else {
                there.overlap_left
            };
            assert!((left - 25.0).abs() < 1e-9, "{left}");
        }
    }

    #[test]
    fn an_overlap_that_is_short_already_fails_at_once() {
        let found = spigot(&Spigot {
            overlap: 20.0,
            ..HOSE
        });
        assert_eq!(
            (found.rise_limit, found.rise_limit_moved),
            (Some(0.0), Some(0.0))
        );
    }

    #[test]
    fn nothing_to_add_needs_no_joiner() {
        let found = spigot(&Spigot { rise: 5.0, ..HOSE });
        assert_eq!((found.length_to_add, found.joiner_length), (0.0, 0.0));
    }

    #[test]
    fn the_fall_is_that_of_the_straight_line() {
        let (before, after) = spigot(&HOSE).fall.unwrap();
        assert!((before - 21.801_409).abs() < 1e-6);
        assert!((after - 29.538_782).abs() < 1e-6);
    }
}
