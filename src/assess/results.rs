//! The numbers of a link's checks, with their bounds over the tolerance box, by `check.result`; and the working behind them.

use super::Assessed;
use super::over::Over;
use crate::calc::{self, Evaluation};

/// One calculation of a link at the stated values, as a picture is drawn from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Calculated {
    pub check: String,
    /// The key, for a check made once for each key of a list.
    pub key: Option<String>,
    /// Whether its check goes by it: of several keys, the worst.
    pub decides: bool,
    /// Inputs, results with their bounds, working.
    pub evaluation: Evaluation,
}

impl Assessed<'_> {
    /// Adds the numbers of a check; `decides` when it is the one its check goes by.
    pub(super) fn add_numbers(&mut self, over: &Over<'_>, decides: bool) {
        let (Some(check), Some(evaluation)) = (over.check, evaluation(over)) else {
            return;
        };
        for outcome in &evaluation.results {
            if let Some(key) = &over.key {
                let name = format!("{}[{key}].{}", check.id, outcome.name);
                self.results.insert(name, outcome.clone());
            }
            if decides {
                let name = format!("{}.{}", check.id, outcome.name);
                self.results.insert(name, outcome.clone());
            }
        }
        self.calculated.push(Calculated {
            check: check.id.clone(),
            key: over.key.clone(),
            decides,
            evaluation,
        });
    }
}

fn evaluation(over: &Over<'_>) -> Option<Evaluation> {
    let calc = over.check?.calc?;
    let stated = over.made.first()?;
    let window = over.window.filter(|_| over.made.len() > 1);
    let mut evaluation = calc::explained(calc, &stated.inputs, window).ok()?;
    for outcome in &mut evaluation.results {
        let within = stated
            .results
            .iter()
            .find(|(name, _)| *name == outcome.name);
        if let Some((_, value)) = within {
            outcome.value = value.clone();
        }
    }
    if over.made.len() > 1
        && let Some(spreads) = over.spreads.clone()
    {
        spreads.bound(&mut evaluation.results);
    }
    for (name, _, given) in &mut evaluation.inputs {
        if let Some((least, most)) = over.given.get(*name) {
            given.tolerance = (most - least) / 2.0;
        }
    }
    Some(evaluation)
}
