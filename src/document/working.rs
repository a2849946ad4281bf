//! The arithmetic behind the verdicts: for each check its formulas with the numbers put in.
//!
//! Takes the assessment; gives plain views for templates.

use serde::Serialize;

use crate::assess::Calculated;
use crate::calc::WorkingStep;

/// One formula.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct FormulaLine {
    pub(super) name: &'static str,
    formula: &'static str,
    numbers: String,
    gives: String,
}

/// The formulas of a check with the numbers put in.
pub(super) fn lines(worked: &Calculated) -> Vec<FormulaLine> {
    let steps = worked.evaluation.working().iter();
    let line = |step: &WorkingStep| FormulaLine {
        name: step.name,
        formula: step.formula,
        numbers: step.with_numbers.clone(),
        gives: step.gives.clone(),
    };
    steps.map(line).collect()
}

impl FormulaLine {
    /// Every word of the formula, and the name of what it gives: the symbols among them are explained.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> {
        let words = self
            .formula
            .split(|c: char| !c.is_alphanumeric() && c != '_');
        words.chain([self.name])
    }
}
