//! Verdicts and the procedure → the tasks of the job, in the one order of work.
//!
//! Takes a judged vehicle; gives a [`Plan`]: every task with its numbers, what it waits for, how long it all takes and which
//! chain of tasks decides that. How it looks on paper is left to `document`.

mod access;
mod digest;
mod draft;
mod from_links;
mod from_procedure;
mod json;
mod measuring;
mod merge;
mod order;
mod slots;
mod task;
mod time;

use std::collections::BTreeSet;

pub use digest::{digest_of, part_digests, task_digest};
pub use json::{Json, limit as limit_json, to_json};
pub use task::{Due, Evidence, Minutes, Part, Sized, Task, TaskId};

use self::from_procedure::Ground;
use self::slots::Slots;
use crate::assess::{Assessment, Missing};
use crate::cut::Cut;
use crate::job::Job;
use crate::report::Report;
use crate::rules::expression::Scope;
use crate::rules::{Rules, Verdict};

/// The procedure task that a limit calls which refers the lift to a certifying engineer.
const ENGINEER: &str = "register-with-engineer";

/// The tasks of a job in the order of work.
#[derive(Debug, Clone)]
pub struct Plan {
    /// SHA-256 over the tasks and verdicts, as `sha256:…`.
    pub digest: String,
    /// Whether something is still to be measured, so that the plan may change.
    pub provisional: bool,
    /// Facts of the vehicle that the procedure asks for and nobody gave.
    pub missing: Vec<Missing>,
    /// The tasks, in the order of work.
    pub tasks: Vec<Task>,
    /// All minutes together.
    pub minutes: Minutes,
    /// The chain of tasks that takes longest, by likely minutes, in order.
    pub longest_chain: Vec<TaskId>,
}

/// Plans the work; gives nothing when the tasks cannot be ordered, and the report then says why.
pub fn plan(
    (job, rules, cut): (&Job, &Rules, &Cut),
    assessment: &Assessment<'_>,
    facts: &Scope,
    report: &mut Report,
) -> Option<Plan> {
    let slots = Slots::of(job);
    let ground = Ground::new((job, rules, cut), assessment, facts, &slots);
    let mut procedure = ground.procedure(report);
    let wanted: BTreeSet<&str> = std::mem::take(&mut procedure.missing);
    let missing = measuring::missing_facts(assessment, &wanted);
    let mut links = from_links::drafts(assessment, cut, &slots, report);
    links.extend(measuring::drafts(job, assessment, &missing, &slots));
    let referred = assessment
        .limits
        .iter()
        .any(|held| held.verdict() == Verdict::Refer);
    let mut called = from_links::called(assessment);
    called.extend(referred.then_some(ENGINEER));
    let drafts = access::resolve((links, &called), procedure, &ground, report);
    let tasks = order::order(drafts, report)?;
    let provisional = assessment.provisional() || !missing.is_empty();
    Some(Plan {
        digest: digest::digest_of(&tasks, assessment),
        provisional,
        missing,
        minutes: time::total(&tasks),
        longest_chain: time::longest_chain(&tasks),
        tasks,
    })
}
