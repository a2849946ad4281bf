//! An evaluation → text for a person at the bench: what was given, the working line by line, and the results with their
//! bounds. Takes what was found and the system to print in; changes nothing but the page. Formulas keep the canonical units,
//! so that they can be followed with a pocket calculator; only the results are printed in the system asked for.

use std::fmt::Write as _;

use super::working::{figures, plain};
use super::{Evaluation, Given, Outcome, Value, find};
use crate::quantity::{Quantity, Unit, Units};

/// The working of an evaluation as plain text.
pub fn to_text(evaluation: &Evaluation, units: Units) -> String {
    let inputs = evaluation.inputs.iter().map(|(name, ..)| *name);
    let steps = evaluation.working().iter().map(|step| step.name);
    let results = evaluation.results.iter().map(|outcome| outcome.name);
    let names = inputs.chain(steps).chain(results);
    let calc = find(evaluation.calc);
    let title = calc.map_or_else(String::new, |calc| format!(": {}", calc.title));
    let mut page = Page {
        text: format!("{}{title}\n\ngiven\n", evaluation.calc),
        width: names.map(str::len).max().unwrap_or(0),
    };
    for (name, unit, given) in &evaluation.inputs {
        page.line(name, &shown_input(given, *unit, units));
    }
    page.text.push_str("\nworking\n");
    for step in evaluation.working() {
        page.line(step.name, &format!("= {}", step.formula));
        if step.with_numbers != step.formula {
            page.line("", &format!("= {}", step.with_numbers));
        }
        page.line("", &format!("= {}", step.gives));
    }
    page.text.push_str("\nresults\n");
    for outcome in &evaluation.results {
        page.line(outcome.name, &shown_result(outcome, units));
    }
    if let Some(calc) = calc {
        let _ = write!(page.text, "\nsource: {}\n", calc.source);
    }
    page.text
}

/// Lines of a name and what it is, the second column straight.
struct Page {
    text: String,
    width: usize,
}

impl Page {
    fn line(&mut self, name: &str, what: &str) {
        let _ = writeln!(self.text, "  {name:<width$}  {what}", width = self.width);
    }
}

fn shown_input(given: &Given, unit: Option<Unit>, units: Units) -> String {
    let shown = shown(&given.value, unit, units);
    match unit.filter(|_| given.tolerance > 0.0) {
        Some(unit) => format!("{shown} ±{}", number_in(given.tolerance, unit, units)),
        None => shown,
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
    // A ratio matters to the third decimal, where lengths do not.
    if unit == Unit::One {
        figures(value, 3)
    } else {
        Quantity::exact(value, unit).print(units)
    }
}

fn shown_result(outcome: &Outcome, units: Units) -> String {
    let mut text = shown(&outcome.value, outcome.unit, units);
    if let (Some((least, most)), Some(unit)) = (outcome.bounds, outcome.unit) {
        let (least, most) = (number_in(least, unit, units), number_in(most, unit, units));
        if least != most {
            let _ = write!(text, "   (from {least} to {most} over the tolerances)");
        }
    }
    let others: Vec<String> = outcome
        .elsewhere
        .iter()
        .map(|value| match value {
            Value::Nothing if !outcome.name.starts_with("rise_limit") => {
                "does not apply".to_owned()
            }
            _ => shown(value, outcome.unit, units),
        })
        .collect();
    if !others.is_empty() {
        let _ = write!(
            text,
            "   (elsewhere in the tolerances: {})",
            others.join(", ")
        );
    }
    text
}
