//! Problems that assessing meets: a job's number that a calculation refuses, a rule's expression that fails.

use super::values::Address;
use crate::calc::CalcError;
use crate::cut::CutLink;
use crate::job::{Job, Measured};
use crate::report::{Code, Path, Problem};
use crate::rules::expression::ExpressionError;
use crate::rules::{Check, Class};

/// Why a link cannot be judged at some values.
#[derive(Debug, Clone)]
pub(super) enum Refused {
    /// A calculation refuses one of its inputs.
    Calculation(CalcError),
    /// An expression or text of the rule fails.
    Expression(ExpressionError),
}

impl From<ExpressionError> for Refused {
    fn from(error: ExpressionError) -> Self {
        Self::Expression(error)
    }
}

/// The problem to report, citing the value in the job and the check in the rule.
pub(super) fn problem(
    (job, class, check): (&Job, &Class, &Check),
    (id, link): (&str, &CutLink),
    refused: &Refused,
) -> Problem {
    let rule = class.place(&check.path);
    match refused {
        Refused::Calculation(error) => {
            let at = input_place(check, link, &error.input).unwrap_or_else(|| link.path.clone());
            Problem::error(
                Code::CannotCalculate,
                format!("check `{}` of `{id}` cannot be made: {error}", check.id),
            )
            .at(job.place(&at))
            .related(rule, "needed by this check")
            .help("measure again, or correct the value; the numbers do not fit together")
        }
        Refused::Expression(error) => Problem::error(
            Code::BadExpression,
            format!("check `{}` of class `{}`: {error}", check.id, class.id),
        )
        .at(rule)
        .related(job.place(&link.path), "met while judging this")
        .help("correct the rule; `liftsheet check` finds most such mistakes"),
    }
}

/// Where the job file gives the value that a calculation's input takes unchanged.
fn input_place(check: &Check, link: &CutLink, input: &str) -> Option<Path> {
    let (_, expression) = check.with.iter().find(|(name, _)| name == input)?;
    let (value, path) = link.measured.get(expression.text())?;
    matches!(value, Measured::One(_)).then(|| path.clone())
}

/// The place at which a missing value would stand in the job file.
#[must_use]
pub(super) fn missing_place(address: &Address) -> String {
    format!("measured.{}", address.dotted())
}
