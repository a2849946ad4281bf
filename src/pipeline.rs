//! The whole way from a checked job and its rules to the plan, in one call.
//!
//! Takes a job and rules; hands everything made of them to a closure, since the later stages borrow from the earlier ones.

use std::sync::OnceLock;

use crate::assess::{self, Assessment, Depth, JobFacts};
use crate::cut::{self, Cut};
use crate::job::Job;
use crate::plan::{self, Plan};
use crate::report::{Code, Problem, Report};
use crate::rules::{self, Rules};

/// Everything made of one job.
#[derive(Debug, Clone, Copy)]
pub struct Made<'a> {
    /// The job.
    pub job: &'a Job,
    /// The rules it was judged by.
    pub rules: &'a Rules,
    /// The vehicle, cut between body and chassis.
    pub cut: &'a Cut,
    /// Every link, judged.
    pub assessment: &'a Assessment<'a>,
    /// The tasks in the order of work.
    pub plan: &'a Plan,
    digest: &'a OnceLock<String>,
}

impl<'a> Made<'a> {
    /// SHA-256 over the tasks and verdicts, as `sha256:…`; worked out when it is first asked for.
    pub(crate) fn digest(&self) -> &'a str {
        let digest = || plan::digest_of(&self.plan.tasks, self.assessment);
        self.digest.get_or_init(digest)
    }
}

/// Runs every stage; problems go to the report. The closure is called only when there is no error, and its answer given back.
pub fn run<T>(
    job: &Job,
    rules: &Rules,
    report: &mut Report,
    then: impl FnOnce(Made<'_>) -> T,
) -> Option<T> {
    run_to(Depth::Words, (job, rules), report, then)
}

/// The same, judged and planned no deeper than is needed.
pub(crate) fn run_to<T>(
    depth: Depth,
    (job, rules): (&Job, &Rules),
    report: &mut Report,
    then: impl FnOnce(Made<'_>) -> T,
) -> Option<T> {
    rules::licences(job, report);
    if report.has_errors() {
        inspect(job, rules, report);
        return None;
    }
    let cut = cut::cut(job, rules, report);
    let basis = JobFacts::new(job, rules);
    let assessment = assess::assess((job, rules, &cut, &basis), depth, report);
    if report.has_errors() {
        return None;
    }
    let judged = (&assessment, depth);
    let plan = plan::plan((job, rules, &cut), judged, basis.facts(), report)?;
    if report.has_errors() {
        return None;
    }
    let made = Made {
        job,
        rules,
        cut: &cut,
        assessment: &assessment,
        plan: &plan,
        digest: &OnceLock::new(),
    };
    Some(then(made))
}

/// Looks for what else is wrong with a job that already has an error, without making anything of it: parts that hang on nothing,
/// unknown classes, measurements that cannot be read.
fn inspect(job: &Job, rules: &Rules, report: &mut Report) {
    let mut found = Report::new();
    let cut = cut::cut(job, rules, &mut found);
    // What else the cut complains of may only follow from the first error.
    let floating = |problem: &Problem| problem.code == Code::FloatingPart;
    report.extend(found.problems.into_iter().filter(floating));
    assess::inspect(job, rules, &cut, report);
}
