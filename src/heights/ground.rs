//! The job at one height: blocks of that height under every mount, the vehicle cut anew.
//!
//! Takes a job; gives it at any height, and how each link stands there. Every height is cut once, since many links are looked at
//! on the same one.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::bars::Standing;
use super::{SAME, bars};
use crate::assess::{self, Basis};
use crate::cut::{self, Cut};
use crate::job::Job;
use crate::quantity::Quantity;
use crate::report::{Problem, Report, Severity};
use crate::rules::Rules;

/// The job with blocks of another height. A block that is higher or lower than the others stays so by as much, and never below 0.
pub(super) fn job_at(job: &Job, height: f64) -> Job {
    let mut other = job.clone();
    let usual = job.lift.spacer;
    other.lift.spacer = Quantity::exact(height, usual.unit);
    for mount in other.mounts.values_mut() {
        mount.spacer = (mount.spacer - usual.value + height).max(0.0);
    }
    other
}

/// The mounts with blocks of their own, and how much higher than the others each is, mm.
pub(super) fn own_blocks(job: &Job) -> Vec<(String, f64)> {
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

/// The job at one height.
struct Ground {
    job: Job,
    cut: Cut,
    basis: Basis,
    /// Why the vehicle cannot be cut at this height.
    problem: Option<String>,
}

impl Ground {
    fn new(job: &Job, rules: &Rules, height: f64) -> Self {
        let job = job_at(job, height);
        let mut report = Report::new();
        let cut = cut::cut(&job, rules, &mut report);
        let basis = Basis::new(&job, rules);
        Self {
            job,
            cut,
            basis,
            problem: reasons(&report).into_iter().next(),
        }
    }
}

/// How many heights between whole millimetres are kept: links that break at one height are narrowed one after the other.
const BETWEEN: usize = 48;

/// The job at every whole millimetre looked at so far, and at the last few heights between.
pub(super) struct Grounds<'a> {
    pub(super) job: &'a Job,
    pub(super) rules: &'a Rules,
    whole: BTreeMap<u64, Rc<Ground>>,
    between: BTreeMap<u64, Rc<Ground>>,
}

impl<'a> Grounds<'a> {
    pub(super) fn new(job: &'a Job, rules: &'a Rules) -> Self {
        Self {
            job,
            rules,
            whole: BTreeMap::new(),
            between: BTreeMap::new(),
        }
    }

    fn at(&mut self, height: f64) -> Rc<Ground> {
        let (job, rules) = (self.job, self.rules);
        let kept = if height.fract() == 0.0 {
            &mut self.whole
        } else {
            if self.between.len() >= BETWEEN {
                self.between.clear();
            }
            &mut self.between
        };
        let ground = kept.entry(height.to_bits());
        let ground = ground.or_insert_with(|| Rc::new(Ground::new(job, rules, height)));
        Rc::clone(ground)
    }

    /// How a link stands at a height; none where it does not concern this vehicle.
    pub(super) fn standing(&mut self, id: &str, height: f64) -> Option<Standing> {
        let ground = self.at(height);
        if let Some(problem) = &ground.problem {
            return Some(Standing::unknown(problem.clone()));
        }
        let mut report = Report::new();
        let stage = (&ground.job, self.rules, &ground.cut, &ground.basis);
        let assessed = assess::assess_one(stage, id, &mut report);
        if let Some(problem) = reasons(&report).into_iter().next() {
            return Some(Standing::unknown(problem));
        }
        assessed.map(|assessed| bars::standing(&assessed))
    }

    /// Every link, with its title and area, as they are at any height.
    pub(super) fn links(&mut self, height: f64) -> Vec<bars::Named> {
        let ground = self.at(height);
        let mut report = Report::new();
        let stage = (&ground.job, self.rules, &ground.cut, &ground.basis);
        let ids = ground.cut.links.keys();
        let assessed = ids.filter_map(|id| assess::assess_one(stage, id, &mut report));
        assessed.map(|assessed| bars::named(&assessed)).collect()
    }
}
