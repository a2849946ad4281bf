//! Inputs as given → inputs a calculation can run at, and its one run. Takes a call; fills in defaults and checks names, presence, kinds,
//! ranges and tolerances, each against the calculation's own description. What only the subject can refuse (a fan that does not
//! clear now) is left to the calculation.

use std::borrow::Cow;

use super::working::{self, with_unit};
use super::{
    CalcError, Calculation, Found, Given, InputKind, InputSpec, Inputs, Need, Spans, Value,
};

/// The inputs with every default filled in; fails on the first input that the calculation does not take so.
pub(super) fn fill<'i>(
    calc: &Calculation,
    inputs: &'i Inputs,
) -> Result<Cow<'i, Inputs>, CalcError> {
    let mut filled = Cow::Borrowed(inputs);
    let mut known = 0;
    let checked = calc.inputs.iter().try_for_each(|spec| {
        let given = inputs.get(spec.name);
        known += usize::from(given.is_some());
        if let Some(value) = fill_one(spec, given)? {
            let tolerance = given.map_or(0.0, |given| given.tolerance);
            let given = Given { value, tolerance };
            filled.to_mut().insert(spec.name.into(), given);
        }
        Ok(())
    });
    // What is no input is told first.
    let names = inputs.0.iter().map(|(name, _)| name);
    let unknown = names.filter(|name| calc.input(name).is_none());
    if (checked.is_err() || known < inputs.0.len())
        && let Some(name) = unknown.min()
    {
        return Err(self::unknown(calc, name));
    }
    checked.map(|()| filled)
}

/// The error for a name that is no input, listing those that are.
pub(super) fn unknown(calc: &Calculation, name: &str) -> CalcError {
    let known: Vec<&str> = calc.inputs.iter().map(|spec| spec.name).collect();
    CalcError::new(
        name,
        format!("not an input of `{}`", calc.name),
        known.join(", "),
    )
}

/// What stands for an input where it is not what was given.
fn fill_one(spec: &InputSpec, given: Option<&Given>) -> Result<Option<Value>, CalcError> {
    let Some(given) = given else {
        return match spec.need {
            Need::Required => Err(CalcError::new(spec.name, "missing", spec.allowed())),
            Need::Default(number) => Ok(Some(Value::Number(number))),
            Need::Optional => Ok(None),
        };
    };
    let word = of_kind(spec, &given.value)?;
    if given.tolerance.abs() > 0.0 || given.tolerance.is_nan() {
        let value = word.as_ref().unwrap_or(&given.value);
        check_tolerance(spec, value, given.tolerance)?;
    }
    Ok(word)
}

/// Checks a value against the input's kind and range. A number stands for the choice that is written the same way, which is given then,
/// because `nut_class: 8` and `class: 10.9` are numbers where they are typed.
fn of_kind(spec: &InputSpec, value: &Value) -> Result<Option<Value>, CalcError> {
    let fits = match (spec.kind, value) {
        (InputKind::Number(_), Value::Number(number)) => spec.range.allows(*number),
        (InputKind::Count, Value::Number(number)) => {
            *number >= 1.0 && number.fract() == 0.0 && number.is_finite()
        }
        (InputKind::Flag, Value::Flag(_)) => true,
        (InputKind::Text, Value::Word(word)) => !word.trim().is_empty(),
        (InputKind::Choice(words), Value::Word(word)) => words.contains(&word.as_str()),
        (InputKind::Choice(words), Value::Number(number)) => {
            let word = number.to_string();
            if words.contains(&word.as_str()) {
                return Ok(Some(Value::Word(word)));
            }
            false
        }
        (InputKind::Vector(_), Value::Vector(vector)) => finite(vector),
        (InputKind::Points(_), Value::Points(points)) => points.iter().all(|point| finite(point)),
        (InputKind::Places(_), Value::Places(places)) => places.iter().all(|place| finite(place)),
        _ => false,
    };
    if fits {
        Ok(None)
    } else {
        Err(refused(spec, value))
    }
}

fn finite(numbers: &[f64]) -> bool {
    numbers.iter().all(|number| number.is_finite())
}

fn refused(spec: &InputSpec, value: &Value) -> CalcError {
    CalcError::new(
        spec.name,
        working::plain(value, spec.kind.unit()),
        spec.allowed(),
    )
}

fn check_tolerance(spec: &InputSpec, value: &Value, half: f64) -> Result<(), CalcError> {
    let unit = spec.kind.unit();
    let (InputKind::Number(_), Value::Number(number)) = (spec.kind, value) else {
        let shown = format!("{} ±{half}", working::plain(value, unit));
        let allowed = format!("{}, without a tolerance", spec.allowed());
        return Err(CalcError::new(spec.name, shown, allowed));
    };
    let (least, most) = (number - half, number + half);
    if half >= 0.0 && spec.range.allows(least) && spec.range.allows(most) {
        return Ok(());
    }
    let shown = format!("{} ±{half}", with_unit(*number, unit));
    let given = if half >= 0.0 {
        format!(
            "{shown}, which reaches from {} to {}",
            with_unit(least, unit),
            with_unit(most, unit)
        )
    } else {
        format!("{shown}, a tolerance below zero")
    };
    let allowed = format!("{} over the whole tolerance", spec.allowed());
    Err(CalcError::new(spec.name, given, allowed))
}

/// The tolerance box of checked inputs.
pub(super) fn spans(calc: &Calculation, filled: &Inputs) -> Spans {
    let mut spans = Vec::new();
    for spec in calc.inputs {
        let Some(given) = filled.get(spec.name).filter(|given| given.tolerance > 0.0) else {
            continue;
        };
        let Value::Number(number) = given.value else {
            continue;
        };
        spans.push((
            spec.name,
            number - given.tolerance,
            number + given.tolerance,
        ));
    }
    Spans(spans)
}

/// One run at checked inputs; fails when a result is not finite.
pub(super) fn once(calc: &Calculation, filled: &Inputs) -> Result<Found, CalcError> {
    let mut found = (calc.run)(filled)?;
    for (_, value) in &mut found.results {
        if !make_finite(value) {
            return Err(extreme(calc, filled));
        }
    }
    Ok(found)
}

/// Whether every number is finite; turns −0 into 0 on the way.
fn make_finite(value: &mut Value) -> bool {
    match value {
        Value::Number(number) => {
            *number += 0.0;
            number.is_finite()
        }
        Value::List(numbers) => {
            for number in numbers.iter_mut() {
                *number += 0.0;
            }
            finite(numbers)
        }
        _ => true,
    }
}

/// The error for inputs whose results no number can hold: it names the input furthest from a size that occurs.
fn extreme(calc: &Calculation, filled: &Inputs) -> CalcError {
    let worst = calc.inputs.iter().filter_map(|spec| {
        let value = &filled.get(spec.name)?.value;
        let numbers = match value {
            Value::Number(number) => vec![*number],
            Value::Vector(vector) => vector.to_vec(),
            Value::Points(points) => points.iter().flatten().copied().collect(),
            Value::Places(places) => places.iter().flatten().copied().collect(),
            _ => return None,
        };
        let off = numbers
            .iter()
            .filter(|number| number.abs() > 0.0)
            .map(|number| number.abs().log10().abs())
            .fold(0.0, f64::max);
        Some((off, spec, working::plain(value, spec.kind.unit())))
    });
    let worst = worst.max_by(|a, b| a.0.total_cmp(&b.0));
    worst.map_or_else(
        || CalcError::new(calc.name, "without a finite result", "other inputs"),
        |(_, spec, given)| {
            CalcError::new(
                spec.name,
                given,
                format!("{}, of a size that occurs on a vehicle", spec.allowed()),
            )
        },
    )
}
