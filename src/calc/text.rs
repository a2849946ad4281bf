//! An evaluation → text for a person at the bench: what was given, the working line by line, and the results with their
//! bounds. Takes what was found and the system to print in; changes nothing but the page. Formulas keep the canonical units,
//! so that they can be followed with a pocket calculator; only the results are printed in the system asked for.

use std::fmt::Write as _;

use super::working::plain;
use super::{Evaluation, Given, Outcome, Value, find};
use crate::quantity::{Quantity, Unit, Units};

/// The working of an evaluation as plain text.
#[must_use]
pub fn to_text(evaluation: &Evaluation, units: Units) -> String {
    let mut text = match find(evaluation.calc) {
        Some(calc) => format!("{}: {}\n", calc.name, calc.title),
        None => format!("{}\n", evaluation.calc),
    };
    text.push_str("\ngiven\n");
    for (name, unit, given) in &evaluation.inputs {
        line(&mut text, name, &shown_input(given, *unit, units));
    }
    text.push_str("\nworking\n");
    for step in &evaluation.working {
        line(&mut text, step.name, &format!("= {}", step.formula));
        if step.with_numbers != step.formula {
            line(&mut text, "", &format!("= {}", step.with_numbers));
        }
        line(&mut text, "", &format!("= {}", step.gives));
    }
    text.push_str("\nresults\n");
    for outcome in &evaluation.results {
        line(&mut text, outcome.name, &shown_result(outcome, units));
    }
    if let Some(calc) = find(evaluation.calc) {
        let _ = write!(text, "\nsource: {}\n", calc.source);
    }
    text
}

fn line(text: &mut String, name: &str, what: &str) {
    let _ = writeln!(text, "  {name:<20} {what}");
}

fn shown_input(given: &Given, unit: Option<Unit>, units: Units) -> String {
    match (&given.value, unit) {
        (Value::Number(value), Some(unit)) => Quantity {
            value: *value,
            tolerance: given.tolerance,
            unit,
        }
        .print(units),
        (value, unit) => shown(value, unit, units),
    }
}

fn shown(value: &Value, unit: Option<Unit>, units: Units) -> String {
    match (value, unit) {
        (Value::Number(number), Some(unit)) => number_in(*number, unit, units),
        (Value::List(numbers), Some(unit)) => {
            let texts: Vec<String> = numbers
                .iter()
                .map(|&number| number_in(number, unit, units))
                .collect();
            texts.join(", ")
        }
        (Value::Vector(_) | Value::Points(_) | Value::Places(_), Some(Unit::Mm)) => {
            format!("{} mm", plain(value, unit))
        }
        _ => plain(value, unit),
    }
}

fn number_in(value: f64, unit: Unit, units: Units) -> String {
    // A ratio or a speed ratio of a joint matters to the third decimal, where lengths do not.
    if unit == Unit::One {
        plain(&Value::Number(value), Some(unit))
    } else {
        Quantity::exact(value, unit).print(units)
    }
}

fn shown_result(outcome: &Outcome, units: Units) -> String {
    let mut text = shown(&outcome.value, outcome.unit, units);
    if let (Some((least, most)), Some(unit)) = (outcome.bounds, outcome.unit) {
        let _ = write!(
            text,
            "   (from {} to {} over the tolerances)",
            number_in(least, unit, units),
            number_in(most, unit, units)
        );
    } else if !outcome.elsewhere.is_empty() {
        let others: Vec<String> = outcome
            .elsewhere
            .iter()
            .map(|value| shown(value, outcome.unit, units))
            .collect();
        let _ = write!(
            text,
            "   (elsewhere in the tolerances: {})",
            others.join(", ")
        );
    }
    text
}
