//! Two parts that close up or open out by the rise. Takes the gap and how much of it must stay, or may become; gives the gap
//! after the lift. Which gap is enough is left to the rule.

use super::limit::rise_limit;
use super::spec::nothing_turns;
use super::{CalcError, Calculation, Formula, Found, InputSpec, Inputs, ResultSpec, Role, take};

pub(super) const CALCULATION: Calculation = Calculation {
    name: "gap",
    title: "how far two parts close up or open out",
    source: "arithmetic",
    inputs: &[
        InputSpec::length_or_zero("gap", "gap between the parts now"),
        InputSpec::choice(
            "direction",
            &["opens", "closes"],
            "which way it goes when the body rises",
        ),
        InputSpec::length("least_gap", "narrowest gap allowed, where it closes").optional(),
        InputSpec::length("most_gap", "widest gap allowed, where it opens").optional(),
        InputSpec::RISE,
    ],
    results: &[
        ResultSpec::length("gap_after", "the gap after the lift"),
        ResultSpec::length("shortfall", "what is missing of the least gap")
            .role(Role::Missing)
            .may_be_absent(),
        ResultSpec::length("excess", "what is over the widest gap")
            .role(Role::Missing)
            .may_be_absent(),
        ResultSpec::length("rise_limit", "up to which rise it stays within its limit").limit(),
    ],
    run: adapt,
    turning: nothing_turns,
};

/// The gap between two parts after one of them went up: `gap_after` = gap − rise where it closes, gap + rise where it opens. All
/// in mm; gap ≥ 0, rise 0…150. Source: arithmetic.
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let gap = find("gap").unwrap();
/// let given = read_inputs(gap, &["gap=60", "direction=closes", "least_gap=20", "rise=50"]).unwrap();
/// let found = evaluate(gap, &given).unwrap();
/// assert_eq!(found.number("gap_after"), Some(10.0));
/// assert_eq!(found.number("shortfall"), Some(10.0));
/// assert_eq!(found.number("rise_limit"), Some(40.0));
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let (gap, rise) = (take::number(inputs, "gap")?, take::number(inputs, "rise")?);
    // What is left of the room, how far that is beyond what is allowed, and up to which rise it is not.
    let (gap_after, name, beyond, room, texts) = if take::word(inputs, "direction")? == "closes" {
        let least = take::needed(inputs, "least_gap", "when the gap closes")?;
        let texts = [
            "gap − rise",
            "max(0, least_gap − gap_after)",
            "max(0, gap − least_gap)",
        ];
        let after = gap - rise;
        (after, "shortfall", least - after, gap - least, texts)
    } else {
        let most = take::needed(inputs, "most_gap", "when the gap opens")?;
        let texts = [
            "gap + rise",
            "max(0, gap_after − most_gap)",
            "max(0, most_gap − gap)",
        ];
        let after = gap + rise;
        (after, "excess", after - most, most - gap, texts)
    };
    let names = ["gap_after", name, "rise_limit"].into_iter().zip(texts);
    Ok(Found {
        results: vec![
            ("gap_after", gap_after.into()),
            (name, beyond.max(0.0).into()),
            ("rise_limit", rise_limit(room >= 0.0, room).into()),
        ],
        formulas: names.map(|(name, text)| Formula::of(name, text)).collect(),
    })
}
