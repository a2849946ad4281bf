//! Two parts that close up or open out by the rise. Takes the gap and how much of it must stay, or may become; gives the gap
//! after the lift. Which gap is enough is left to the rule.

use super::limit::rise_limit;
use super::spec::nothing_turns;
use super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, ResultSpec, Role, take,
};

/// Which way a gap goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Direction {
    /// It opens; it may become this wide, mm.
    Opens {
        /// Widest gap allowed, mm.
        most_gap: f64,
    },
    /// It closes; this much must stay, mm.
    Closes {
        /// Narrowest gap allowed, mm.
        least_gap: f64,
    },
}

/// A gap after the rise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapResults {
    /// The gap after the lift, mm; below zero when the parts would meet.
    pub gap_after: f64,
    /// What is missing (closes) or too much (opens), mm.
    pub beyond: f64,
    /// Up to which rise it stays within its limit, mm; none when at every rise looked at.
    pub rise_limit: Option<f64>,
}

/// The gap between two parts after one of them went up: `gap_after` = gap − rise where it closes, gap + rise where it opens. All
/// in mm; gap ≥ 0, rise 0…150. Source: arithmetic.
///
/// ```
/// use liftsheet::calc::gap::{Direction, gap};
/// let found = gap(60.0, Direction::Closes { least_gap: 20.0 }, 50.0);
/// assert_eq!((found.gap_after, found.beyond, found.rise_limit), (10.0, 10.0, Some(40.0)));
/// let found = gap(10.0, Direction::Opens { most_gap: 45.0 }, 50.0);
/// assert_eq!((found.gap_after, found.beyond, found.rise_limit), (60.0, 15.0, Some(35.0)));
/// ```
pub fn gap(gap: f64, direction: Direction, rise: f64) -> GapResults {
    let (gap_after, beyond, room) = match direction {
        Direction::Closes { least_gap } => (gap - rise, least_gap - (gap - rise), gap - least_gap),
        Direction::Opens { most_gap } => (gap + rise, gap + rise - most_gap, most_gap - gap),
    };
    GapResults {
        gap_after,
        beyond: beyond.max(0.0),
        rise_limit: rise_limit(room >= 0.0, room),
    }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "gap",
    title: "how far two parts close up or open out",
    source: "arithmetic",
    inputs: &[
        InputSpec::length_or_zero("gap", "gap between the parts now"),
        InputSpec::other(
            "direction",
            InputKind::Choice(&["opens", "closes"]),
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

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let bound = |name: &'static str, direction: &str| {
        take::maybe(inputs, name)
            .ok_or_else(|| take::missing(name, format!("above 0, in mm, when the gap {direction}")))
    };
    let closes = take::word(inputs, "direction")? == "closes";
    let direction = if closes {
        Direction::Closes {
            least_gap: bound("least_gap", "closes")?,
        }
    } else {
        Direction::Opens {
            most_gap: bound("most_gap", "opens")?,
        }
    };
    let found = gap(
        take::number(inputs, "gap")?,
        direction,
        take::number(inputs, "rise")?,
    );
    let (beyond, texts) = if closes {
        (
            "shortfall",
            [
                "gap − rise",
                "max(0, least_gap − gap_after)",
                "max(0, gap − least_gap)",
            ],
        )
    } else {
        (
            "excess",
            [
                "gap + rise",
                "max(0, gap_after − most_gap)",
                "max(0, most_gap − gap)",
            ],
        )
    };
    let names = ["gap_after", beyond, "rise_limit"];
    Ok(Found {
        results: vec![
            ("gap_after", found.gap_after.into()),
            (beyond, found.beyond.into()),
            ("rise_limit", found.rise_limit.into()),
        ],
        formulas: names
            .into_iter()
            .zip(texts)
            .map(|(name, text)| Formula::of(name, text))
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_that_is_out_of_bounds_now_allows_no_rise() {
        let closed = gap(15.0, Direction::Closes { least_gap: 20.0 }, 0.0);
        assert_eq!((closed.beyond, closed.rise_limit), (5.0, Some(0.0)));
        let open = gap(50.0, Direction::Opens { most_gap: 45.0 }, 0.0);
        assert_eq!((open.beyond, open.rise_limit), (5.0, Some(0.0)));
    }

    #[test]
    fn a_wide_gap_has_no_limit() {
        let found = gap(400.0, Direction::Closes { least_gap: 20.0 }, 50.0);
        assert_eq!((found.beyond, found.rise_limit), (0.0, None));
    }

    #[test]
    fn each_direction_asks_for_its_own_bound() {
        use crate::calc::{Given, Value, evaluate};
        let inputs = Inputs::from([
            ("gap".into(), Given::number(60.0)),
            (
                "direction".into(),
                Given::exact(Value::Word("opens".to_owned())),
            ),
            ("least_gap".into(), Given::number(20.0)),
            ("rise".into(), Given::number(50.0)),
        ]);
        assert_eq!(
            evaluate(&CALCULATION, &inputs).unwrap_err().input,
            "most_gap"
        );
    }
}
