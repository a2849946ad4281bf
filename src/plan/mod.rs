//! Verdicts and the procedure → the tasks of the job, in the one order of work.
//!
//! Takes a judged vehicle; gives a [`Plan`]: every task with its numbers, what it waits for, how long it all takes and which
//! chain of tasks decides that. How it looks on paper is left to `document`.

mod brought;
mod digest;
mod draft;
mod entries;
mod follows;
mod from_links;
mod from_procedure;
mod measuring;
mod merge;
mod order;
mod redone;
mod rests;
mod slots;
mod stands;
mod states;
mod task;
mod time;

use std::collections::{BTreeMap, BTreeSet};

pub(crate) use self::entries::PrintedTask;
pub(crate) use digest::{digest_of, part_digests, task_digest};
pub(crate) use follows::all_before;
pub(crate) use order::{circle, waiting};
pub use stands::{Making, Stands};
pub(crate) use states::{CORRECTED, ToldState, puts_back};
pub use task::{After, Sized, Task};
pub(crate) use task::{BenchPart, Evidence, Minutes, Sign, TaskId, Wait, places_in_words};

use self::from_procedure::FilledFrom;
use self::slots::Slots;
use self::states::{Courses, Steps, Whom};
use crate::assess::{Assessment, Depth, Missing};
use crate::cut::Cut;
use crate::job::Job;
use crate::report::{Path, Place, Report};
use crate::rules::expression::Scope;
use crate::rules::{Rules, Verdict};

/// What a limit leaves that refers the lift to a certifying engineer.
const ENGINEER: (&str, &str) = ("papers", "still to do");

/// The tasks of a job in the order of work.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Whether something is still to be measured, so that the plan may change.
    pub provisional: bool,
    /// Facts of the vehicle that the procedure asks for and nobody gave.
    pub missing: Vec<Missing>,
    /// The tasks, in the order of work: single pieces, which edges, digests and signatures belong to.
    pub tasks: Vec<Task>,
    /// The printed tasks, each of one piece or of several.
    pub entries: Vec<PrintedTask>,
    /// The states of the vehicle that the tasks are about, by name.
    pub states: BTreeMap<String, ToldState>,
    /// All minutes together.
    pub minutes: Minutes,
    /// The chain of tasks that takes longest, by likely minutes, in order.
    pub longest_chain: Vec<TaskId>,
}

/// Plans the work; gives nothing when the tasks cannot be ordered, and the report then says why. Which printed tasks they make, what rests on
/// what, their states and their longest chain are for pages alone.
pub(crate) fn plan(
    (job, rules, cut): (&Job, &Rules, &Cut),
    (assessment, depth): (&Assessment<'_>, Depth),
    facts: &Scope,
    report: &mut Report,
) -> Option<Plan> {
    let paged = depth >= Depth::Words;
    let slots = Slots::of(job);
    let courses = Courses::new((job, rules), paged);
    let mut drafts = from_links::drafts(assessment, cut, (&slots, &courses), report);
    let of = (job, rules, cut);
    let ground = FilledFrom::new(of, assessment, facts, (&slots, &courses), &drafts);
    let mut procedure = ground.procedure(report);
    let wanted: BTreeSet<&str> = std::mem::take(&mut procedure.missing);
    let missing = measuring::missing_facts(job, assessment, &wanted);
    drafts.extend(measuring::drafts(job, assessment, &missing, &slots));
    drafts.append(&mut procedure.always);
    let left = left(rules, &courses, assessment, report);
    let mut drafts = brought::bring_in(drafts, procedure.pool, &left);
    brought::drop_endless(&mut drafts);
    follows::pull_earlier(&mut drafts, &slots);
    for draft in drafts.iter_mut().filter(|_| paged) {
        draft.task.makes = courses.words(&draft.makes);
        draft.task.during = courses.words(&draft.during);
    }
    let states = paged.then(|| courses.told(&drafts));
    let mut drafts = order::order(drafts, report)?;
    follows::walk_through(&mut drafts, &courses);
    if paged {
        redone::tell(&mut drafts, &courses, cut);
    }
    let mut tasks: Vec<Task> = drafts.into_iter().map(|draft| draft.task).collect();
    let entries = paged.then(|| entries::entries(&mut tasks, (job, rules), report));
    let longest_chain = paged.then(|| time::longest_chain(&tasks));
    let provisional = assessment.provisional() || !missing.is_empty();
    Some(Plan {
        provisional,
        missing,
        states: states.unwrap_or_default(),
        minutes: time::total(&tasks),
        longest_chain: longest_chain.unwrap_or_default(),
        entries: entries.unwrap_or_default(),
        tasks,
    })
}

/// What verdicts and limits leave to be done: the steps at which courses then stand.
fn left(
    rules: &Rules,
    courses: &Courses<'_>,
    assessment: &Assessment<'_>,
    report: &mut Report,
) -> Vec<Steps> {
    let mut left = from_links::left(assessment, courses, report);
    let mut limits = assessment.limits.iter();
    if limits.any(|held| held.verdict() == Verdict::Refer) && rules.states.contains_key(ENGINEER.0)
    {
        let papers = BTreeMap::from([(ENGINEER.0.to_owned(), ENGINEER.1.to_owned())]);
        let place = Place::new(rules.settings_file.clone(), Path::root());
        left.extend(courses.steps(&papers, Whom::default(), &place, report));
    }
    left
}
