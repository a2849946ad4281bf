//! A call → everything it finds. Takes a calculation and inputs as given; gives results, bounds and working, or the
//! [`CalcError`] of the first input that will not do. Reading text is left to `read`, printing to `json` and `text`.

use std::sync::OnceLock;

use super::bounds::{Spreads, spreads};
use super::check::once;
use super::spec::SIZE;
use super::value::Used;
use super::{
    CalcError, Calculation, Found, Given, Inputs, Outcome, Results, Role, Value, Window,
    WorkingStep, check, working,
};

/// Everything one calculation found.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluation {
    /// The calculation's name.
    pub calc: &'static str,
    /// The inputs used, defaults filled in, each with its unit (none for yes/no and words).
    pub inputs: Vec<Used>,
    /// The results, in the order of the contract.
    pub results: Vec<Outcome>,
    /// What was found at the stated inputs, of which the working is made.
    pub(super) found: Found,
    /// The working, once somebody asked for it: few pages print it.
    pub(super) steps: OnceLock<Vec<WorkingStep>>,
}

impl Evaluation {
    /// The working, in the order of the contract.
    pub fn working(&self) -> &[WorkingStep] {
        self.steps
            .get_or_init(|| working::steps(&self.inputs, &self.results, &self.found))
    }

    /// The inputs used, by name.
    pub(crate) fn given(&self) -> Inputs {
        let inputs = self.inputs.iter();
        let inputs = inputs.map(|(name, _, given)| ((*name).into(), given.clone()));
        inputs.collect()
    }

    /// The result of that name, or none.
    pub fn result(&self, name: &str) -> Option<&Outcome> {
        self.results.iter().find(|outcome| outcome.name == name)
    }

    /// The number among the results of that name, or none.
    pub fn number(&self, name: &str) -> Option<f64> {
        match self.result(name)?.value {
            Value::Number(number) => Some(number),
            _ => None,
        }
    }
}

/// Runs a calculation and gives results, their bounds over the tolerance box, and the working.
///
/// Fails when an input is unknown, missing, of another kind or out of its range anywhere in the tolerance box, or when the subject
/// itself refuses (a fan that does not clear now).
pub fn evaluate(calc: &Calculation, inputs: &Inputs) -> Result<Evaluation, CalcError> {
    let filled = check::fill(calc, inputs)?;
    let found = once(calc, &filled)?;
    let spans = check::spans(calc, &filled);
    let spreads = spreads(calc, &filled, &spans, &found)?;
    Ok(Evaluation {
        calc: calc.name,
        results: outcomes(calc, &found, spreads),
        inputs: used(calc, &filled),
        found,
        steps: OnceLock::new(),
    })
}

/// The plain results at the stated inputs, without bounds and working; fails as [`evaluate()`] does, tolerances apart.
pub fn results(calc: &Calculation, inputs: &Inputs) -> Result<Results, CalcError> {
    let filled = check::fill(calc, inputs)?;
    once(calc, &filled).map(|found| found.results)
}

/// The plain results where other points of a tolerance box have a say in the size that is chosen. Fails as [`results`] does.
pub fn results_within(
    calc: &Calculation,
    inputs: &Inputs,
    window: Option<Window>,
) -> Result<Results, CalcError> {
    let Some(window) = window else {
        return results(calc, inputs);
    };
    let mut results = results(calc, &chosen_within(calc, inputs, window))?;
    for (name, value) in &mut results {
        match calc.result(name).map(|spec| spec.role) {
            Some(Role::Least) => *value = Value::Number(window.least),
            Some(Role::Most) if window.most.is_finite() => *value = Value::Number(window.most),
            _ => {}
        }
    }
    Ok(results)
}

/// The inputs with those through which a size is chosen for a whole box.
fn chosen_within(calc: &Calculation, inputs: &Inputs, window: Window) -> Inputs {
    let mut inputs = inputs.clone();
    for (name, number) in SIZE
        .into_iter()
        .zip([window.wanted, window.least, window.most])
    {
        if calc.input(name).is_some() && number.is_finite() {
            inputs.insert(name.into(), Given::number(number));
        }
    }
    inputs
}

/// What a calculation gives at exact inputs, a size chosen within the window of a box: results without bounds, and the working.
pub(crate) fn explained(
    calc: &Calculation,
    inputs: &Inputs,
    window: Option<Window>,
) -> Result<Evaluation, CalcError> {
    match window {
        Some(window) => evaluate(calc, &chosen_within(calc, inputs, window)),
        None => evaluate(calc, inputs),
    }
}

fn outcomes(calc: &Calculation, found: &Found, spreads: Spreads) -> Vec<Outcome> {
    let outcome = |(name, value): (&'static str, Value)| Outcome {
        name,
        unit: calc.result(name).and_then(|spec| spec.unit),
        bounds: None,
        elsewhere: Vec::new(),
        value,
    };
    let mut outcomes: Vec<Outcome> = found.results.iter().cloned().map(outcome).collect();
    spreads.bound(&mut outcomes);
    outcomes
}

fn used(calc: &Calculation, filled: &Inputs) -> Vec<Used> {
    calc.inputs
        .iter()
        .filter_map(|spec| {
            let given = filled.get(spec.name)?;
            Some((spec.name, spec.kind.unit(), given.clone()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::find;

    #[test]
    fn a_word_where_a_number_belongs_is_refused() {
        let inputs = Inputs::from_iter([
            ("gap".into(), Given::exact(Value::Flag(true))),
            (
                "direction".into(),
                Given::exact(Value::Word("closes".to_owned())),
            ),
            ("least_gap".into(), Given::number(20.0)),
            ("rise".into(), Given::number(40.0)),
        ]);
        let refused = evaluate(find("gap").unwrap(), &inputs).unwrap_err();
        let message = refused.to_string();
        assert!(message.starts_with("`gap` is yes"), "{message}");
    }
}
