//! The arithmetic behind the verdicts: for each check its formulas with the numbers put in.
//!
//! Takes the steps of a calculation; gives plain views for templates.

use std::fmt::Write as _;

use serde::Serialize;

use crate::calc::{self, Evaluation, WorkingStep};
use crate::study;

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct FormulaLine {
    name: &'static str,
    formula: &'static str,
    numbers: String,
    gives: String,
}

/// The formulas of some steps with the numbers put in.
pub(super) fn lines<'s>(steps: impl IntoIterator<Item = &'s WorkingStep>) -> Vec<FormulaLine> {
    let lines = steps.into_iter().map(|step| FormulaLine {
        name: step.name,
        formula: step.formula,
        numbers: step.with_numbers.clone(),
        gives: step.gives.clone(),
    });
    lines.collect()
}

/// The working of a check, each result with what it is over the tolerances of the readings: a verdict is taken on the worse end.
pub(super) fn with_ends(evaluation: &Evaluation) -> Vec<FormulaLine> {
    let mut lines = lines(evaluation.working());
    for line in &mut lines {
        let outcome = evaluation.result(line.name);
        let ends = outcome.and_then(|outcome| Some((outcome.bounds?, outcome.unit?)));
        if let Some(((least, most), unit)) = ends {
            let [least, most] = [least, most].map(|end| calc::with_unit(end, Some(unit)));
            if least != most {
                let _ = write!(line.gives, " ({least} to {most} within the tolerances)");
            }
        }
    }
    lines
}

impl FormulaLine {
    /// Every word of the formula, and the name of what it gives: the symbols among them are explained.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> {
        study::symbols(self.formula).chain([self.name])
    }
}
