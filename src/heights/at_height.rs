//! The job at one height: blocks of that height under every mount.
//!
//! Takes a job; gives it at any height, and how each link stands there. How the bodies stand is worked out once a height, since many links
//! are looked at on the same one.

use std::collections::{BTreeMap, BTreeSet};

use super::SAME;
use crate::assess::{self, Assessed, Depth, facts};
use crate::cut::{self, Body, Cut};
use crate::job::{Job, PartId};
use crate::quantity::Quantity;
use crate::report::{Problem, Report, Severity};
use crate::rules::expression::Scope;
use crate::rules::{Rules, Verdict};
use crate::sorted::Sorted as _;

/// How a connection stands at one height.
#[derive(Debug, Clone)]
pub struct AtHeight {
    /// What it needs; none where that cannot be told at this height.
    pub verdict: Option<Verdict>,
    /// What pages call that.
    pub(super) word: &'static str,
    /// Whether the job sheet has work on it: every verdict but `leave`, and what is left alone in the end but must come apart on
    /// the way.
    pub work: bool,
    /// The deciding check and condition, or why nothing can be told.
    pub decided_by: String,
}

/// The same verdict, with work or without; which check decides it may change within a stretch.
impl PartialEq for AtHeight {
    fn eq(&self, other: &Self) -> bool {
        (self.verdict, self.work) == (other.verdict, other.work)
    }
}

impl AtHeight {
    pub(super) fn unknown(reason: String) -> Self {
        Self {
            verdict: None,
            word: "cannot be judged",
            work: true,
            decided_by: reason,
        }
    }

    /// How heavy it is; what cannot be told is the heaviest.
    fn weight(&self) -> (bool, Option<Verdict>, bool) {
        (self.verdict.is_none(), self.verdict, self.work)
    }

    /// Whether it is the heavier of two.
    pub(crate) fn heavier(&self, than: &Self) -> bool {
        self.weight() > than.weight()
    }

    /// What the pages call it.
    pub(crate) fn words(&self) -> &'static str {
        match self.verdict {
            Some(Verdict::Leave) if self.work => "apart on the way",
            _ => self.word,
        }
    }
}

/// How a judged link stands.
pub(super) fn standing(assessed: &Assessed<'_>) -> AtHeight {
    AtHeight {
        verdict: Some(assessed.verdict),
        word: assessed.word(),
        work: assessed.verdict != Verdict::Leave || assessed.release,
        decided_by: assessed.decided_by.clone(),
    }
}

/// Puts blocks of another height under a job. A block that is higher or lower than the others stays so by as much, and never below 0.
fn put_at(job: &mut Job, as_given: &Job, height: f64) {
    let usual = as_given.lift.spacer;
    job.lift.spacer = Quantity::exact(height, usual.unit);
    for (mount, given) in job.mounts.values_mut().zip(as_given.mounts.values()) {
        mount.spacer = (given.spacer - usual.value + height).max(0.0);
    }
}

/// The job with blocks of another height.
pub(super) fn job_at(job: &Job, height: f64) -> Job {
    let mut other = job.clone();
    put_at(&mut other, job, height);
    other
}

/// The mounts with blocks of their own, and how much higher than the others each is, mm.
pub(crate) fn own_blocks(job: &Job) -> Vec<(String, f64)> {
    let usual = job.lift.spacer.value;
    let mounts = job.mounts.iter();
    let mounts = mounts.map(|(id, mount)| (id.clone(), mount.spacer - usual));
    mounts.filter(|(_, more)| more.abs() > SAME).collect()
}

/// What stopped the work at a height; the message of each problem.
pub(super) fn reasons(report: &Report) -> Vec<String> {
    let error = |problem: &&Problem| problem.severity == Severity::Error;
    let errors = report.problems.iter().filter(error);
    errors.map(|problem| problem.message.clone()).collect()
}

/// How the bodies stand at one height.
struct Stance {
    bodies: BTreeMap<PartId, Body>,
    basis: Scope,
    /// Why they cannot stand so.
    problem: Option<String>,
}

impl Stance {
    fn new(job: &Job, basis: &Scope) -> Self {
        let mut report = Report::new();
        let bodies = cut::bodies(job, &mut report);
        Self {
            bodies,
            basis: facts::at_heights_of(job, basis),
            problem: reasons(&report).into_iter().next(),
        }
    }
}

/// The job at any height: what hangs on what is found once, and of the vehicle that one link alone is cut anew that is looked at.
pub(crate) struct Grounds<'a> {
    job: &'a Job,
    rules: &'a Rules,
    /// The job with blocks of the height that was looked at last.
    moved: Job,
    pub(super) cut: Cut,
    basis: Scope,
    at: BTreeMap<u64, Stance>,
    /// How links stand at heights that were planned.
    planned: BTreeMap<u64, BTreeMap<String, AtHeight>>,
    /// The heights between which a link was seen to turn, by their bits.
    pub(super) turns: BTreeSet<u64>,
}

impl<'a> Grounds<'a> {
    pub(crate) fn new(job: &'a Job, rules: &'a Rules) -> Self {
        Self {
            job,
            rules,
            moved: job.clone(),
            // What is wrong with it was told before anything was asked about other heights.
            cut: cut::cut(job, rules, &mut Report::new()),
            basis: assess::facts_of(job, rules),
            at: BTreeMap::new(),
            planned: BTreeMap::new(),
            turns: BTreeSet::new(),
        }
    }

    /// Takes over how the links stand at a height that was planned.
    pub(super) fn planned(&mut self, height: f64, links: &BTreeMap<String, (String, AtHeight)>) {
        let links = links.iter();
        let links = links.map(|(id, (_, standing))| (id.clone(), standing.clone()));
        self.planned.insert(height.to_bits(), links.sorted_map());
    }

    /// How a link stands at a height; none where it does not concern this vehicle.
    pub(super) fn standing(&mut self, id: &str, height: f64) -> Option<AtHeight> {
        if let Some(links) = self.planned.get(&height.to_bits()) {
            return links.get(id).cloned();
        }
        let verdict = (id, Depth::Verdict);
        self.judged(verdict, height, standing, AtHeight::unknown)
    }

    /// What is made of a link as it is judged at a height, or of the problem with it there; none where it does not concern this vehicle.
    pub(crate) fn judged<T>(
        &mut self,
        (id, depth): (&str, Depth),
        height: f64,
        made: impl FnOnce(&Assessed<'_>) -> T,
        refused: impl FnOnce(String) -> T,
    ) -> Option<T> {
        let rules = self.rules;
        put_at(&mut self.moved, self.job, height);
        let ground = self.at.entry(height.to_bits());
        let ground = ground.or_insert_with(|| Stance::new(&self.moved, &self.basis));
        if let Some(problem) = &ground.problem {
            return Some(refused(problem.clone()));
        }
        let mut report = Report::new();
        self.cut
            .again((&self.moved, rules), &ground.bodies, id, &mut report);
        let stage = (&self.moved, rules, &self.cut, &ground.basis);
        let assessed = assess::assess_one(stage, (id, depth), &mut report);
        match reasons(&report).into_iter().next() {
            Some(problem) => Some(refused(problem)),
            None => assessed.as_ref().map(made),
        }
    }
}
