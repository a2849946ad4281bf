//! The numbers of a link's checks, with their bounds over the tolerance box, by `check.result`; and the working behind them.

use std::collections::BTreeMap;

use super::judge::Run;
use super::values::Address;
use crate::calc::{self, Evaluation, Outcome, Step};

/// The working of one check that decides something of a link.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worked {
    /// The check.
    pub check: String,
    /// The key, for a check made once for each key of a list.
    pub key: Option<String>,
    /// The calculation.
    pub calc: &'static str,
    /// Formula, numbers put in, result; at the stated values.
    pub steps: Vec<Step>,
}

/// One calculation of a link at the stated values, as a picture is drawn from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Calculated {
    /// The check.
    pub check: String,
    /// The key, for a check made once for each key of a list.
    pub key: Option<String>,
    /// Whether its check goes by it: of several keys, the worst.
    pub decides: bool,
    /// Inputs, results with their bounds, working.
    pub evaluation: Evaluation,
}

/// The numbers of a link.
#[derive(Debug, Default)]
pub(super) struct Numbers {
    /// Results by `check.result`, and by `check[key].result` for a check made for each key.
    pub(super) results: BTreeMap<String, Outcome>,
    /// The working of the runs that decide.
    pub(super) working: Vec<Worked>,
    /// Every run at the stated values.
    pub(super) calculated: Vec<Calculated>,
}

impl Numbers {
    /// Adds a run at the stated values; `decides` when it is the one its check goes by.
    pub(super) fn add(
        &mut self,
        run: &Run<'_>,
        decides: bool,
        tolerances: &BTreeMap<Address, f64>,
    ) {
        let Some(evaluation) = evaluation(run, tolerances) else {
            return;
        };
        for outcome in &evaluation.results {
            if let Some(key) = &run.key {
                let name = format!("{}[{key}].{}", run.check.id, outcome.name);
                self.results.insert(name, outcome.clone());
            }
            if decides {
                let name = format!("{}.{}", run.check.id, outcome.name);
                self.results.insert(name, outcome.clone());
            }
        }
        if decides {
            self.working.push(Worked {
                check: run.check.id.clone(),
                key: run.key.clone(),
                calc: evaluation.calc,
                steps: evaluation.working.clone(),
            });
        }
        self.calculated.push(Calculated {
            check: run.check.id.clone(),
            key: run.key.clone(),
            decides,
            evaluation,
        });
    }
}

fn evaluation(run: &Run<'_>, tolerances: &BTreeMap<Address, f64>) -> Option<Evaluation> {
    let calc = run.check.calc?;
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
    evaluation.ok()
}
