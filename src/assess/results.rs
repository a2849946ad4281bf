//! The numbers of a link's checks, with their bounds over the tolerance box, by `check.result`.

use std::collections::BTreeMap;

use super::judge::Run;
use super::values::Address;
use crate::calc::{self, Outcome};

/// Adds the results of a run: under `check[key].result` for a check made for each key, and under `check.result` when it decides.
pub(super) fn add(
    run: &Run<'_>,
    decides: bool,
    tolerances: &BTreeMap<Address, f64>,
    all: &mut BTreeMap<String, Outcome>,
) {
    for outcome in outcomes(run, tolerances) {
        if let Some(key) = &run.key {
            let name = format!("{}[{key}].{}", run.check.id, outcome.name);
            all.insert(name, outcome.clone());
        }
        if decides {
            all.insert(format!("{}.{}", run.check.id, outcome.name), outcome);
        }
    }
}

fn outcomes(run: &Run<'_>, tolerances: &BTreeMap<Address, f64>) -> Vec<Outcome> {
    let Some(calc) = run.check.calc else {
        return Vec::new();
    };
    let mut inputs = run.inputs.clone();
    for (name, expression) in &run.check.with {
        let address = match (&run.check.each, &run.key) {
            (Some(list), Some(key)) => {
                Address::Each(list.clone(), key.clone(), expression.text().to_owned())
            }
            _ => Address::One(expression.text().to_owned()),
        };
        if let (Some(given), Some(tolerance)) = (inputs.get_mut(name), tolerances.get(&address)) {
            given.tolerance = *tolerance;
        }
    }
    // The run itself succeeded; only a tolerance that leaves an input's range can fail here, and then the bare results stand.
    let evaluation = calc::evaluate(calc, &inputs).or_else(|_| calc::evaluate(calc, &run.inputs));
    evaluation
        .map(|evaluation| evaluation.results)
        .unwrap_or_default()
}
