//! What the vehicle's jurisdiction allows, held against the lift.
//!
//! Takes the region's limits and the facts of the job; gives for each limit whether it is kept, passed, or not checked because a
//! fact is missing. No limit is checked for a job that names no region, and the pages say so.

use super::facts;
use super::types::Missing;
use crate::job::Job;
use crate::quantity::Quantity;
use crate::report::{Code, Path, Problem, Report, unknown_help};
use crate::rules::expression::{ExpressionError, Scope, render};
use crate::rules::{Limit, Region, Rules, Verdict};
use crate::text::Text;

/// One limit, held against the lift.
#[derive(Debug)]
pub struct Held<'r> {
    pub limit: &'r Limit,
    /// How it came out.
    pub state: LimitState,
}

/// How a limit came out.
#[derive(Debug)]
pub enum LimitState {
    /// It does not concern this vehicle.
    Elsewhere,
    /// It is kept.
    Kept {
        /// What was compared.
        value: Quantity,
        /// The most that is allowed.
        most: Quantity,
    },
    /// It is passed.
    Passed {
        /// What was compared.
        value: Quantity,
        /// The most that is allowed.
        most: Quantity,
        /// What that means.
        because: Text,
    },
    /// It was not checked: these facts are missing.
    NotChecked(Vec<Missing>),
}

impl Held<'_> {
    /// What follows from it: nothing, a certifying engineer, or a stop.
    pub fn verdict(&self) -> Verdict {
        match self.state {
            LimitState::Passed { .. } => self.limit.over,
            _ => Verdict::Leave,
        }
    }
}

/// The job's region, when it names one that there are limits for; one that is not known goes to the report.
pub(super) fn region<'r>(job: &Job, rules: &'r Rules, report: &mut Report) -> Option<&'r Region> {
    let id = job.region.as_ref()?;
    let region = rules.regions.get(id);
    if region.is_none() && !rules.known_regions.contains(id) {
        let known = rules.known_regions.iter().map(String::as_str);
        let help = unknown_help(id, known);
        let help = format!("{help}; leave `region` out, and no local limit is checked");
        let message = format!("there are no limits for `{id}`");
        let path = Path::root().key("region");
        let mut notes = job.notes(report);
        notes.error(Code::UnknownRegion, &path, message, help);
    }
    region
}

/// Holds every limit of a region against the lift.
pub(super) fn hold<'r>(region: &'r Region, scope: &Scope, report: &mut Report) -> Vec<Held<'r>> {
    let held = region
        .limits
        .iter()
        .filter_map(|limit| match judge(limit, scope) {
            Ok(state) => Some(Held { limit, state }),
            Err(error) => {
                let problem = Problem::error(Code::BadExpression, error.to_string())
                    .at(limit.place.clone())
                    .help("correct the rule; `liftsheet check` finds most such mistakes");
                report.push(problem);
                None
            }
        });
    held.collect()
}

fn judge(limit: &Limit, scope: &Scope) -> Result<LimitState, ExpressionError> {
    if let Some(applies) = &limit.applies {
        let missing = facts::absent([applies], scope);
        if !missing.is_empty() {
            return Ok(LimitState::NotChecked(missing));
        }
        if !applies.holds(scope)? {
            return Ok(LimitState::Elsewhere);
        }
    }
    let missing = facts::absent([&limit.value, &limit.most], scope);
    if !missing.is_empty() {
        return Ok(LimitState::NotChecked(missing));
    }
    let value = Quantity::exact(limit.value.number(scope)?, limit.unit);
    let most = Quantity::exact(limit.most.number(scope)?, limit.unit);
    // As everywhere, a limit met exactly is kept.
    if value.value <= most.value + 1e-6 {
        return Ok(LimitState::Kept { value, most });
    }
    let mut names = scope.clone();
    names.set("value", value.value);
    names.set("most", most.value);
    let because = render(&limit.because, &names)?;
    Ok(LimitState::Passed {
        value,
        most,
        because,
    })
}
