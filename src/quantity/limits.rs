//! A least and a most → the words in which pages, and what signing says, tell them.
//!
//! Takes them in a unit's own numbers; gives text in a system of units.

use super::print::MINUS;
use super::{Quantity, Round, Unit, Units};

/// The limits of a value in words, each rounded to its safe side, so that whoever keeps to what is printed keeps to them: `40 mm to 44 mm`;
/// none where there is none.
pub(crate) fn limits(
    unit: Option<Unit>,
    limits: (Option<f64>, Option<f64>),
    units: Units,
) -> Option<String> {
    let unit = unit.unwrap_or(Unit::One);
    let print = |limit: f64, round| Quantity::exact(limit, unit).print_limit(round, units);
    let exact = |limit: f64| Quantity::exact(limit, unit).print(units);
    match limits {
        // A single size is no window, and is made in whole millimetres.
        (Some(least), Some(most)) if (most - least).abs() < f64::EPSILON => {
            let made = Quantity::exact(most, unit).print(Units::Metric);
            Some(if units == Units::Metric {
                made
            } else {
                format!("{} ({made})", exact(most))
            })
        }
        (Some(least), Some(most)) => {
            let (low, high) = (print(least, Round::Up), print(most, Round::Down));
            // A window of about the tool's step leaves nothing between its rounded ends.
            if least < most && number(&low) >= number(&high) {
                return Some(format!("{} to {}", exact(least), exact(most)));
            }
            if low == high {
                return Some(low);
            }
            Some(format!("{low} to {high}"))
        }
        (Some(least), None) => Some(format!("at least {}", print(least, Round::Up))),
        (None, Some(most)) => Some(format!("at most {}", print(most, Round::Down))),
        (None, None) => None,
    }
}

/// The number at the beginning of a printed quantity.
fn number(printed: &str) -> f64 {
    let printed = printed.replace(MINUS, "-");
    let end = printed.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    let digits = printed.get(..end.unwrap_or(printed.len()));
    digits.and_then(|digits| digits.parse().ok()).unwrap_or(0.0)
}
