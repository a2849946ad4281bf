//! Checked inputs → typed values, for the calculations' adaptors. Takes [`Inputs`] that already have every default, kind
//! and range checked; gives plain numbers and words, or a [`CalcError`] for what only the subject can refuse.

use super::span::FixingOffset;
use super::{CalcError, Inputs, Value};

/// A number; fails when it is left out.
pub(super) fn number(inputs: &Inputs, name: &str) -> Result<f64, CalcError> {
    maybe(inputs, name).ok_or_else(|| missing(name, "a number"))
}

/// A number that may be left out.
pub(super) fn maybe(inputs: &Inputs, name: &str) -> Option<f64> {
    match inputs.get(name)?.value {
        Value::Number(number) => Some(number),
        _ => None,
    }
}

/// A number above 0, in mm, that is needed for this reason.
pub(super) fn needed(inputs: &Inputs, name: &str, why: &str) -> Result<f64, CalcError> {
    maybe(inputs, name).ok_or_else(|| missing(name, format!("above 0, in mm, {why}")))
}

/// Yes or no; fails when it is left out.
pub(super) fn flag(inputs: &Inputs, name: &str) -> Result<bool, CalcError> {
    match inputs.get(name).map(|given| &given.value) {
        Some(Value::Flag(flag)) => Ok(*flag),
        _ => Err(missing(name, "yes or no")),
    }
}

/// A word; fails when it is left out.
pub(super) fn word<'a>(inputs: &'a Inputs, name: &str) -> Result<&'a str, CalcError> {
    maybe_word(inputs, name).ok_or_else(|| missing(name, "a word"))
}

/// A word that may be left out.
pub(super) fn maybe_word<'a>(inputs: &'a Inputs, name: &str) -> Option<&'a str> {
    match &inputs.get(name)?.value {
        Value::Word(word) => Some(word),
        _ => None,
    }
}

/// A place or direction; fails when it is left out.
pub(super) fn vector(inputs: &Inputs, name: &str) -> Result<[f64; 3], CalcError> {
    match inputs.get(name).map(|given| &given.value) {
        Some(Value::Vector(vector)) => Ok(*vector),
        _ => Err(missing(name, "a place such as `0,0,0`")),
    }
}

/// The span of `plan` and `level`: both or neither, and not both zero.
pub(super) fn span(inputs: &Inputs) -> Result<Option<FixingOffset>, CalcError> {
    match (maybe(inputs, "plan"), maybe(inputs, "level")) {
        (None, None) => Ok(None),
        (Some(plan), Some(level)) if plan.hypot(level) > 0.0 => {
            Ok(Some(FixingOffset { plan, level }))
        }
        (Some(_), Some(_)) => Err(CalcError::new(
            "plan",
            "0 mm with `level` 0 mm",
            "two fixings that are apart: √(plan² + level²) above 0",
        )),
        (Some(_), None) => Err(missing(
            "level",
            "a number in mm with `plan`: both or neither",
        )),
        (None, Some(_)) => Err(missing(
            "plan",
            "a number in mm with `level`: both or neither",
        )),
    }
}

/// The error for an input that is left out.
pub(super) fn missing(name: &str, allowed: impl Into<String>) -> CalcError {
    CalcError::new(name, "missing", allowed)
}
