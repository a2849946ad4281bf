//! Asking a calculation as a person does: by text.

use liftsheet::calc::{Evaluation, Inputs, Value, evaluate, find, read_input};

/// The inputs of a calculation from texts such as `rise=50 gap=38mm±2`; a space inside a value is written `_`.
pub(super) fn inputs(calc: &str, text: &str) -> Inputs {
    let calc = find(calc).unwrap();
    let pairs = text
        .split_whitespace()
        .map(|pair| pair.split_once('=').unwrap());
    pairs
        .map(|(name, value)| {
            let value = value.replace('_', " ");
            // The choices of `bends` are the only words with an underscore of their own.
            let value = if name == "bends" {
                value.replace(' ', "_")
            } else {
                value
            };
            (
                name.to_owned().into(),
                read_input(calc, name, &value).unwrap(),
            )
        })
        .collect()
}

/// The evaluation of a calculation at inputs given as text.
pub(super) fn ask(calc: &str, text: &str) -> Evaluation {
    evaluate(find(calc).unwrap(), &inputs(calc, text)).unwrap()
}

/// The message with which a calculation refuses inputs given as text.
pub(super) fn refusal(calc: &str, text: &str) -> String {
    evaluate(find(calc).unwrap(), &inputs(calc, text))
        .unwrap_err()
        .to_string()
}

/// A number among the results.
pub(super) fn number(found: &Evaluation, name: &str) -> f64 {
    found
        .number(name)
        .unwrap_or_else(|| panic!("`{name}` is {:?}", found.result(name)))
}

/// A yes/no among the results.
pub(super) fn flag(found: &Evaluation, name: &str) -> bool {
    match found.result(name).unwrap().value {
        Value::Flag(flag) => flag,
        ref other => panic!("`{name}` is {other:?}"),
    }
}

/// Fails unless a number among the results is within `within` of what is expected.
pub(super) fn expect(found: &Evaluation, name: &str, expected: f64, within: f64) {
    let number = number(found, name);
    assert!(
        (number - expected).abs() <= within,
        "`{name}` of `{}` is {number}, not {expected} ±{within}",
        found.calc
    );
}
