//! A height over ground after the job: what rides with the raised body goes up by the rise, and everything goes up by half of what the
//! tyres grow, once. Takes the height, what it rides with and which tyre it was measured on. A tyre's nominal radius is an estimate:
//! saying that the height is measured again on the floor is left to the rule.

use super::spec::nothing_turns;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Value, take,
};
use crate::quantity::Unit;

/// Half of what the tyres' diameter grows, as an input of every height over ground.
pub(super) const AXLE_RISE: InputSpec = InputSpec::number(
    "axle_rise",
    Unit::Mm,
    Range::Within(-150.0, 150.0),
    "half of what the tyres' diameter grows",
)
.or(0.0);

/// A height over ground, mm, once the body has risen and the tyres have grown.
///
/// `height_after` = height + (rise, where it rides with the raised body) + `axle_rise`. All in mm. Source: geometry.
///
/// ```
/// use liftsheet::calc::ground::height_after;
/// assert_eq!(height_after(730.0, true, 50.0, 59.7), 839.7);
/// assert_eq!(height_after(500.0, false, 50.0, 59.7), 559.7);
/// ```
pub fn height_after(height: f64, with_body: bool, rise: f64, axle_rise: f64) -> f64 {
    height + if with_body { rise } else { 0.0 } + axle_rise
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "ground",
    title: "how high something stands above the ground after the job",
    source: "geometry; half of a tyre's growth by its nominal diameter",
    inputs: &[
        InputSpec::length("height", "its height above the ground, as measured"),
        InputSpec::choice(
            "rides_with",
            &["body", "chassis"],
            "what it rides with: the raised body, or the chassis and all that stays with it",
        ),
        InputSpec::choice(
            "tyre",
            &["old", "new"],
            "which tyre it was measured on; the growth counts once",
        ),
        InputSpec::RISE,
        AXLE_RISE,
        InputSpec::length_or_zero("least", "least height allowed").optional(),
        InputSpec::length("most", "most height allowed").optional(),
    ],
    results: &[
        ResultSpec::length("height_after", "its height after"),
        ResultSpec::length("growth", "how far it goes up"),
        ResultSpec::answer("within", "whether it is within what is allowed"),
        ResultSpec::length("excess", "what it is too high").may_be_absent(),
        ResultSpec::length("shortfall", "what it is too low").may_be_absent(),
    ],
    run: adapt,
    turning: nothing_turns,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let height = take::number(inputs, "height")?;
    let with_body = take::word(inputs, "rides_with")? == "body";
    let old = take::word(inputs, "tyre")? == "old";
    let tyre = if old {
        take::number(inputs, "axle_rise")?
    } else {
        0.0
    };
    let after = height_after(height, with_body, take::number(inputs, "rise")?, tyre);
    let excess = take::maybe(inputs, "most").map(|most| (after - most).max(0.0));
    let shortfall = take::maybe(inputs, "least").map(|least| (least - after).max(0.0));
    let within = [excess, shortfall]
        .into_iter()
        .flatten()
        .all(|off| off <= 0.0);
    let text = match (with_body, old) {
        (true, true) => "height + rise + axle_rise",
        (true, false) => "height + rise",
        (false, true) => "height + axle_rise",
        (false, false) => "height + 0",
    };
    let mut results: Vec<(&'static str, Value)> = vec![
        ("height_after", after.into()),
        ("growth", (after - height).into()),
        ("within", within.into()),
    ];
    results.extend(excess.map(|off| ("excess", off.into())));
    results.extend(shortfall.map(|off| ("shortfall", off.into())));
    Ok(Found {
        results,
        formulas: formulas(text, excess.is_some(), shortfall.is_some()),
    })
}

fn formulas(after: &'static str, most: bool, least: bool) -> Vec<Formula> {
    let within = match (most, least) {
        (true, true) => "least ≤ height_after ≤ most",
        (true, false) => "height_after ≤ most",
        (false, true) => "least ≤ height_after",
        (false, false) => "nothing is asked of it",
    };
    let mut lines = vec![
        Formula::of("height_after", after),
        Formula::of("growth", "height_after − height"),
        Formula {
            in_words: !most && !least,
            ..Formula::of("within", within)
        },
    ];
    if most {
        lines.push(Formula::of("excess", "max(0, height_after − most)"));
    }
    if least {
        lines.push(Formula::of("shortfall", "max(0, least − height_after)"));
    }
    lines
}
