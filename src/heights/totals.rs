//! What the whole lift comes to at one height: the links to work on, hours, parts, local limits, stops.
//!
//! Takes a job and rules; gives the totals of the plan at that height, or why there is none.

use std::collections::BTreeMap;

use serde::Serialize;

use super::at_height::{AtHeight, job_at, reasons, standing};
use crate::assess::{Depth, LimitState};
use crate::job::Job;
use crate::pipeline::{self, Made};
use crate::plan::Minutes;
use crate::report::Report;
use crate::rules::{Rules, Verdict};
use crate::sorted::Sorted as _;
use crate::text::Text;
use crate::{crew, parts};

#[derive(Debug, Clone)]
pub struct Height {
    /// The height, mm.
    pub height: f64,
    /// Whether it is the job's own.
    pub own: bool,
    /// Whether it is the one that the tyre asked for needs.
    pub tyre: bool,
    /// What it comes to, or why that cannot be told.
    pub planned: Planned,
}

/// What the lift comes to at a height, or why that cannot be told there, problem by problem.
pub(crate) type Planned = Result<Totals, Vec<String>>;

/// What a lift comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Totals {
    /// Every link by id: what it is called, and how it stands.
    pub links: BTreeMap<String, (String, AtHeight)>,
    /// All minutes of work together.
    pub minutes: Minutes,
    /// Days of work that are begun, where the tasks can be scheduled.
    pub days: Option<Days>,
    /// Every task by id, with its title.
    pub tasks: BTreeMap<String, Text>,
    pub parts: Parts,
    /// The local limits that it passes.
    pub limits: Vec<Crossed>,
    /// How many local limits could not be checked.
    pub not_checked: usize,
    /// What says that the lift must not be done so: connections and local limits.
    pub stops: Vec<String>,
    /// Whether something is still to be measured.
    pub provisional: bool,
}

impl Totals {
    /// The links that there is work on, by id.
    pub(crate) fn worked(&self) -> impl Iterator<Item = (&String, &(String, AtHeight))> {
        self.links.iter().filter(|(_, (_, standing))| standing.work)
    }
}

/// Days of work that are begun, in usual hours, licensed visits on call.
///
/// By a first schedule that is not searched for a better one ([`crew::first_days`]): `liftsheet crew` may find fewer, never more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Days {
    /// With one fitter.
    pub fitter: usize,
    /// With a fitter and an apprentice; never more than without.
    #[serde(rename = "fitter+apprentice")]
    pub with_apprentice: usize,
}

/// How many parts are fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Parts {
    /// Different parts.
    pub kinds: usize,
    pub pieces: u32,
}

/// A local limit that is passed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Crossed {
    pub id: String,
    pub title: String,
    /// What follows: stop, or refer.
    pub verdict: Verdict,
}

/// What the lift comes to at a height, where it may have been made before.
pub(super) fn at((job, rules): (&Job, &Rules), made: Option<&Made<'_>>, height: f64) -> Planned {
    let mut report = Report::new();
    let totals = made.map(totals).or_else(|| {
        let job = job_at(job, height);
        pipeline::run_to(Depth::Work, (&job, rules), &mut report, |made| {
            totals(&made)
        })
    });
    totals.ok_or_else(|| reasons(&report))
}

fn totals(made: &Made<'_>) -> Totals {
    let links = made.assessment.links.iter();
    let links: BTreeMap<_, _> = links
        .map(|(id, link)| (id.clone(), (link.title.clone(), standing(link))))
        .sorted_map();
    let stops = made.assessment.stopping();
    let tasks = made.plan.tasks.iter();
    let tasks = tasks.map(|task| (task.id.clone(), task.title.clone()));
    let open = made.assessment.limits.iter();
    let open = open.filter(|held| matches!(held.state, LimitState::NotChecked(_)));
    Totals {
        stops: stops.map(|(_, title)| title.to_owned()).collect(),
        links,
        minutes: made.plan.minutes,
        days: days(made),
        tasks: tasks.sorted_map(),
        parts: on_bench(made),
        limits: crossed(made),
        not_checked: open.count(),
        provisional: made.plan.provisional,
    }
}

/// The days that two small crews take.
fn days(made: &Made<'_>) -> Option<Days> {
    let of = |with| crew::first_days(made, with).ok();
    let fitter = of("fitter")?;
    // The apprentice may stay at home.
    let with_apprentice = of("fitter+apprentice")?.min(fitter);
    Some(Days {
        fitter,
        with_apprentice,
    })
}

/// The lines of the bench list at that height, and the pieces on them.
fn on_bench(made: &Made<'_>) -> Parts {
    let bench = parts::collect(made);
    Parts {
        kinds: bench.lines.len(),
        pieces: bench.lines.iter().map(|line| line.count).sum(),
    }
}

fn crossed(made: &Made<'_>) -> Vec<Crossed> {
    let held = made.assessment.limits.iter();
    let passed = held.filter(|held| matches!(held.state, LimitState::Passed { .. }));
    passed
        .map(|held| Crossed {
            id: held.limit.id.clone(),
            title: held.limit.title.clone(),
            verdict: held.verdict(),
        })
        .collect()
}
