//! A hose, cable, loom or strap that runs from one fixing to another: does its slack take up the rise. Takes one span and
//! its slack; gives what is left, and up to which rise enough is left. Which slack a class must keep is left to its rule.

use super::limit::rise_limit;
use super::span::FixingOffset;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Role, Spans, take,
};
use crate::quantity::Unit;

/// A span that something flexible follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Where the fixings stand; none when it was not measured.
    pub span: Option<FixingOffset>,
    /// Free length minus the straight distance, now, mm.
    pub slack: f64,
    /// Slack that must be left, mm.
    pub reserve: f64,
    /// Further upward separation in use, such as axle droop, mm.
    pub travel: f64,
    /// The rise, mm.
    pub rise: f64,
}

/// What a span that something flexible follows does under the rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunResults {
    /// How much further apart the fixings get, at worst, mm.
    pub growth: f64,
    /// Slack left at worst, mm; below zero when it is torn.
    pub slack_left: f64,
    /// How much of the reserve is missing, mm.
    pub shortfall: f64,
    /// Up to which rise the reserve is left, mm; none when at every rise looked at.
    pub rise_limit: Option<f64>,
}

/// The slack a rise takes from a span.
///
/// With d(r) = √(plan² + (level + r)²): growth = max(d(rise), d(rise + travel)) − d(0), `slack_left` = slack − growth,
/// shortfall = max(0, reserve − `slack_left`). Where the span is not measured, growth = rise + travel, which it never exceeds.
/// Range: plan, slack, reserve, travel ≥ 0, rise 0…150, all in mm. Source: plane geometry.
///
/// ```
/// use liftsheet::calc::{run::{Run, run}, span::FixingOffset};
/// let found = run(&Run {
///     span: Some(FixingOffset { plan: 300.0, level: 120.0 }),
///     slack: 60.0, reserve: 25.0, travel: 0.0, rise: 50.0,
/// });
/// assert!((found.growth - 21.709).abs() < 5e-4);
/// assert!((found.slack_left - 38.291).abs() < 5e-4);
/// assert!((found.rise_limit.unwrap() - 75.557).abs() < 5e-4);
/// ```
pub fn run(given: &Run) -> RunResults {
    let margin = given.slack - given.reserve;
    let (growth, limit) = match given.span {
        Some(span) => {
            let far = span
                .distance(given.rise)
                .max(span.distance(given.rise + given.travel));
            (
                far - span.distance(0.0),
                measured_limit(span, margin, given.travel),
            )
        }
        None => (
            given.rise + given.travel,
            rise_limit(margin >= given.travel, margin - given.travel),
        ),
    };
    let slack_left = given.slack - growth;
    RunResults {
        growth,
        slack_left,
        shortfall: (given.reserve - slack_left).max(0.0),
        rise_limit: limit,
    }
}

/// The rise limit of a measured span: with s the half range of heights within reach, s − level − travel, and 0 unless both the
/// place now and the place at full travel are within reach now.
fn measured_limit(span: FixingOffset, margin: f64, travel: f64) -> Option<f64> {
    if margin < 0.0 {
        return rise_limit(false, 0.0);
    }
    let s = span.half_range(margin);
    let holds_now = span.level.abs() <= s && (span.level + travel).abs() <= s;
    rise_limit(holds_now, s - span.level - travel)
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "run",
    title: "does the slack of a hose, cable, loom or strap take up the rise",
    source: "plane geometry of one span",
    inputs: &[
        InputSpec::length_or_zero("plan", "horizontal distance between the two fixings").optional(),
        InputSpec::signed_length(
            "level",
            "height of the body-side fixing above the other, negative when below",
        )
        .optional(),
        InputSpec::length_or_zero("slack", "free length minus the straight distance, now"),
        InputSpec::length_or_zero("reserve", "slack that must be left"),
        InputSpec::length_or_zero("travel", "further upward separation in use").or(0.0),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("growth", "how much further apart the fixings get at worst"),
        ResultSpec::length("slack_left", "slack left at worst"),
        ResultSpec::length("shortfall", "how much of the reserve is missing").role(Role::Missing),
        ResultSpec::length("rise_limit", "up to which rise the reserve is left").limit(),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = Run {
        span: take::span(inputs)?,
        slack: take::number(inputs, "slack")?,
        reserve: take::number(inputs, "reserve")?,
        travel: take::number(inputs, "travel")?,
        rise: take::number(inputs, "rise")?,
    };
    let found = run(&given);
    Ok(Found {
        results: vec![
            ("growth", found.growth.into()),
            ("slack_left", found.slack_left.into()),
            ("shortfall", found.shortfall.into()),
            ("rise_limit", found.rise_limit.into()),
        ],
        formulas: formulas(&given),
    })
}

fn formulas(given: &Run) -> Vec<Formula> {
    let left = Formula::of("slack_left", "slack − growth");
    let short = Formula::of("shortfall", "max(0, reserve − slack_left)");
    let Some(span) = given.span else {
        return vec![
            Formula::of("growth", "rise + travel"),
            left,
            short,
            Formula::of("rise_limit", "max(0, slack − reserve − travel)"),
        ];
    };
    let reach = span.distance(0.0) + given.slack - given.reserve;
    let half = span.half_range((given.slack - given.reserve).max(0.0));
    let mut lines = vec![
        Formula::step("now", "√(plan² + level²)", span.distance(0.0), Unit::Mm),
        Formula::step(
            "lifted",
            "√(plan² + (level + rise)²)",
            span.distance(given.rise),
            Unit::Mm,
        ),
        Formula::step(
            "in_travel",
            "√(plan² + (level + rise + travel)²)",
            span.distance(given.rise + given.travel),
            Unit::Mm,
        ),
        Formula::of("growth", "max(lifted, in_travel) − now"),
        left,
        short,
        Formula::step("reach", "now + slack − reserve", reach, Unit::Mm),
    ];
    if given.slack >= given.reserve {
        lines.push(Formula::step("s", "√(reach² − plan²)", half, Unit::Mm));
        lines.push(Formula::of("rise_limit", "max(0, s − level − travel)"));
    } else {
        lines.push(Formula::of("rise_limit", "0, because slack < reserve"));
    }
    lines
}

/// A body-side fixing that starts below the other passes the nearest point on its way up.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let level = take::maybe(inputs, "level").unwrap_or(0.0);
    let travel = take::maybe(inputs, "travel").unwrap_or(0.0);
    let rise = take::maybe(inputs, "rise").unwrap_or(0.0);
    vec![
        ("rise", -level - travel / 2.0),
        ("rise", -level),
        ("rise", -level - travel),
        ("travel", 2.0 * (-level - rise)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Run {
        Run {
            span: Some(FixingOffset {
                plan: 300.0,
                level: 120.0,
            }),
            slack: 60.0,
            reserve: 25.0,
            travel: 0.0,
            rise: 50.0,
        }
    }

    #[test]
    fn what_is_not_measured_grows_by_the_whole_rise() {
        let found = run(&Run {
            span: None,
            travel: 5.0,
            ..example()
        });
        assert_eq!((found.growth, found.slack_left), (55.0, 5.0));
        assert_eq!((found.shortfall, found.rise_limit), (20.0, Some(30.0)));
    }

    #[test]
    fn a_fixing_below_the_other_first_comes_nearer() {
        let span = Some(FixingOffset {
            plan: 300.0,
            level: -40.0,
        });
        let found = run(&Run { span, ..example() });
        assert!(found.growth < 0.0);
        assert_eq!(found.rise_limit, None);
    }

    #[test]
    fn slack_equal_to_the_reserve_holds_only_where_nothing_grows() {
        let tight = |level| {
            let span = Some(FixingOffset { plan: 300.0, level });
            run(&Run {
                span,
                slack: 25.0,
                ..example()
            })
            .rise_limit
        };
        assert_eq!(tight(120.0), Some(0.0));
        assert_eq!(tight(-30.0), Some(60.0));
        let short = Run {
            slack: 24.0,
            ..example()
        };
        assert_eq!(run(&short).rise_limit, Some(0.0));
    }

    #[test]
    fn axle_travel_counts_with_the_rise() {
        let found = run(&Run {
            travel: 75.0,
            ..example()
        });
        let d = |height: f64| 300.0_f64.hypot(height);
        assert!((found.growth - (d(245.0) - d(120.0))).abs() < 1e-12);
        let limit = found.rise_limit.unwrap();
        assert!((limit - 0.557).abs() < 5e-4, "{limit}");
    }
}
