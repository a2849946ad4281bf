//! Problems that assessing meets: a job's number that a calculation refuses, a rule's expression that fails.

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
    (job, class, check): (&Job, &Class, Option<&Check>),
    (id, link): (&str, &CutLink),
    refused: &Refused,
) -> Problem {
    let (path, name) = match check {
        Some(check) => (check.path.clone(), format!("check `{}`", check.id)),
        None => (Path::root().key("release"), "the release".to_owned()),
    };
    let rule = class.place(&path);
    match refused {
        Refused::Calculation(error) => {
            let at = check.and_then(|check| input_place(check, link, &error.input));
            let at = at.unwrap_or_else(|| link.path.clone());
            let message = format!("{name} of `{id}` cannot be made: {error}");
            Problem::error(Code::CannotCalculate, message)
                .at(job.place(&at))
                .related(rule, "needed by this check")
                .help("measure again, or correct the value; the numbers do not fit together")
        }
        Refused::Expression(error) => Problem::error(
            Code::BadExpression,
            format!("{name} of class `{}`: {error}", class.id),
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
