//! The whole way from a checked job and its rules to the plan, in one call.
//!
//! Takes a job and rules; hands everything made of them to a closure, since the later stages borrow from the earlier ones. `json` gives it to
//! other programs.

mod json;

use std::sync::OnceLock;

pub(crate) use json::limit as limit_json;

use crate::assess::{self, Assessment, Depth};
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
    run_to(Depth::Whole, (job, rules), report, then)
}

/// The same, judged and planned no deeper than is needed; only what goes the whole way has the digest that is signed.
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
    let basis = assess::facts_of(job, rules);
    let assessment = assess::assess((job, rules, &cut, &basis), depth, report);
    if report.has_errors() {
        return None;
    }
    let judged = (&assessment, depth);
    let plan = plan::plan((job, rules, &cut), judged, &basis, report)?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job;
    use crate::text::Text;

    /// What every depth has in common of a job: its links with what is missing of them, and its tasks.
    fn in_common(depth: Depth, job: &Job, rules: &Rules) -> Vec<String> {
        let mut report = Report::new();
        let made = run_to(depth, (job, rules), &mut report, |made| {
            let links = made.assessment.links.iter().map(|(id, link)| {
                let missing = link.missing.iter().map(|missing| &missing.place);
                let missing: Vec<&String> = missing.collect();
                let (verdict, by) = (link.verdict.word(), &link.decided_by);
                format!("{id}: {verdict} by {by}, {} {missing:?}", link.release)
            });
            let tasks = made.plan.tasks.iter().map(|task| {
                let parts = (&task.parts, &task.uses, &task.shuts_out, &task.waits);
                let times = (task.minutes, task.overnight, task.people, task.slot);
                let steps = task.steps.iter().map(Text::marked);
                // What is missing has a task, which tells what it decides.
                let steps = steps.map(|step| step.split(" It decides: ").next());
                let steps: Vec<Option<&str>> = steps.collect();
                format!("{}: {steps:?} {parts:?} {times:?}", task.id)
            });
            links.chain(tasks).collect()
        });
        made.unwrap()
    }

    #[test]
    fn what_is_not_asked_for_changes_nothing_else() {
        let rules = rules::shipped();
        for path in [
            "rules/demo/forestry-crew.yaml",
            "rules/demo/forestry-crew-survey.yaml",
            "tests/cases/jobs/bare-wagon.yaml",
            "tests/cases/jobs/sixty-links.yaml",
        ] {
            let job = job::of_this_project(path);
            let whole = in_common(Depth::Whole, &job, &rules);
            for depth in [Depth::Work, Depth::Words] {
                let less = in_common(depth, &job, &rules);
                for (less, whole) in less.iter().zip(&whole) {
                    assert_eq!(less, whole, "{depth:?}, {path}");
                }
                assert_eq!(less.len(), whole.len());
            }
        }
    }
}
