//! What is signed for: the job with its people, the plan, and what fixes each of its tasks.
//!
//! Takes what the pipeline made; keeps the digests of every task, so that they are worked out once. Refuses a plan on which
//! nothing may be signed.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::pipeline::Made;
use crate::plan::{Plan, part_digests, task_digest};
use crate::report::{Code, Problem};

/// A job and its plan, ready to be signed for.
#[derive(Debug)]
pub struct Basis<'a> {
    /// The job.
    pub job: &'a Job,
    /// The plan.
    pub plan: &'a Plan,
    stops: bool,
    kept: BTreeMap<&'a str, Kept>,
}

/// The digests of a task as the plan has it now.
#[derive(Debug)]
pub(super) struct Kept {
    pub(super) whole: String,
    pub(super) parts: BTreeMap<String, String>,
}

impl<'a> Basis<'a> {
    /// What was made of a job.
    #[must_use]
    pub fn of(made: &Made<'a>) -> Self {
        let tasks = made.plan.tasks.iter();
        let kept = tasks.map(|task| {
            let kept = Kept {
                whole: task_digest(task),
                parts: part_digests(task),
            };
            (task.id.as_str(), kept)
        });
        Self {
            job: made.job,
            plan: made.plan,
            stops: made.assessment.stops(),
            kept: kept.collect(),
        }
    }

    pub(super) fn kept(&self, task: &str) -> Option<&Kept> {
        self.kept.get(task)
    }

    /// Refuses a plan that nothing may be signed on.
    pub fn signable(&self) -> Result<(), Problem> {
        if self.stops {
            let message =
                "the lift must not be done as the job file describes it, so nothing can be signed";
            let help = "`liftsheet sheet` says what stops it";
            return Err(Problem::error(Code::LiftStopped, message).help(help));
        }
        if self.plan.provisional {
            let message = "the plan is provisional: something is still to be measured, and its tasks may change";
            let help =
                "measure what `liftsheet survey` lists and write it into the job file, then sign";
            return Err(Problem::error(Code::ProvisionalPlan, message).help(help));
        }
        Ok(())
    }
}
