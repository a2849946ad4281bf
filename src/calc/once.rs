//! A calculation at one point: checked and exact inputs → what is found there, or the error of what no number can hold.

use super::{CalcError, Calculation, Found, Inputs, Value, working};

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
            numbers.iter().all(|number| number.is_finite())
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
