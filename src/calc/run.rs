//! A hose, cable, loom or strap that runs from one fixing to another: does its slack take up the rise. Takes one span and
//! its slack; gives what is left, and up to which rise enough is left. Which slack a class must keep is left to its rule.

use super::limit::rise_limit;
use super::span::FixingOffset;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Role, Spans, take,
};
use crate::quantity::Unit;

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
        ResultSpec::length("shortfall", "how much of the reserve is missing")
            .role(Role::Missing)
            .adds_up(),
        ResultSpec::length("rise_limit", "up to which rise the reserve is left").limit(),
    ],
    run: adapt,
    turning,
};

/// The slack a rise takes from a span.
///
/// With d(r) = √(plan² + (level + r)²): growth = max(d(rise), d(rise + travel)) − d(0), `slack_left` = slack − growth,
/// shortfall = max(0, reserve − `slack_left`). Where the span is not measured, growth = rise + travel, which it never exceeds.
/// Range: plan, slack, reserve, travel ≥ 0, rise 0…150, all in mm. Source: plane geometry.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let run = find("run").unwrap();
/// let given = read_inputs(run, &["plan=300", "level=120", "slack=60", "reserve=25", "rise=50"]).unwrap();
/// let found = evaluate(run, &given).unwrap();
/// assert!((found.number("growth").unwrap() - 21.709).abs() < 5e-4);
/// assert!((found.number("slack_left").unwrap() - 38.291).abs() < 5e-4);
/// assert!((found.number("rise_limit").unwrap() - 75.557).abs() < 5e-4);
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let number = |name: &str| take::number(inputs, name);
    let span = take::span(inputs)?;
    let (slack, reserve) = (number("slack")?, number("reserve")?);
    let (travel, rise) = (number("travel")?, number("rise")?);
    let margin = slack - reserve;
    let (growth, limit) = match span {
        Some(span) => {
            let far = span.distance(rise).max(span.distance(rise + travel));
            (
                far - span.distance(0.0),
                measured_limit(span, margin, travel),
            )
        }
        None => (rise + travel, rise_limit(margin >= travel, margin - travel)),
    };
    let slack_left = slack - growth;
    Ok(Found {
        results: vec![
            ("growth", growth.into()),
            ("slack_left", slack_left.into()),
            ("shortfall", (reserve - slack_left).max(0.0).into()),
            ("rise_limit", limit.into()),
        ],
        formulas: formulas(span, (slack, reserve), (travel, rise)),
    })
}

fn formulas(
    span: Option<FixingOffset>,
    (slack, reserve): (f64, f64),
    (travel, rise): (f64, f64),
) -> Vec<Formula> {
    let left = Formula::of("slack_left", "slack − growth");
    let short = Formula::of("shortfall", "max(0, reserve − slack_left)");
    let Some(span) = span else {
        return vec![
            Formula::of("growth", "rise + travel"),
            left,
            short,
            Formula::of("rise_limit", "max(0, slack − reserve − travel)"),
        ];
    };
    let reach = span.distance(0.0) + slack - reserve;
    let half = span.half_range((slack - reserve).max(0.0));
    let mut lines = vec![
        Formula::step("now", "√(plan² + level²)", span.distance(0.0), Unit::Mm),
        Formula::step(
            "lifted",
            "√(plan² + (level + rise)²)",
            span.distance(rise),
            Unit::Mm,
        ),
        Formula::step(
            "in_travel",
            "√(plan² + (level + rise + travel)²)",
            span.distance(rise + travel),
            Unit::Mm,
        ),
        Formula::of("growth", "max(lifted, in_travel) − now"),
        left,
        short,
        Formula::step("reach", "now + slack − reserve", reach, Unit::Mm),
    ];
    if slack >= reserve {
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
