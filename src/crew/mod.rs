//! Who does what when: the tasks of a plan spread over people, things and hours.
//!
//! Takes everything made of a job and a crew; gives a [`Crew`]: for each task its people, its start and its end on the workshop's clock, the
//! visits to book, and a bound that no schedule can beat. Within, `network`, `calendar`, `schedule`, `improve`, `visits`, `bound`
//! and `solve` know nothing of vehicles; `team`, `clock` and `build` make their network of a plan. Pages are left to `document`.

mod bound;
mod build;
mod calendar;
mod chain;
mod clock;
mod day;
mod ics;
mod improve;
mod json;
mod network;
mod problem;
mod schedule;
mod solve;
mod team;
mod visits;

pub(crate) use bound::Reason;
pub use build::estimate as three_points;
pub(crate) use calendar::Minute;
pub use calendar::{Calendar, finish};
pub(crate) use chain::Chain;
pub use chain::chain;
pub(crate) use clock::{Clock, Moment};
use clock::{SOON, YEAR};
pub(crate) use day::longer_than_a_day;
pub(crate) use ics::to_ics;
pub(crate) use json::to_json;
pub use network::{Activity, Lag, Network, Person, Seat, Share, Stuck};
pub(crate) use problem::of_folder;
use schedule::Placed;
use solve::begin;
pub use solve::{Solved, solve};
pub(crate) use team::{Member, Team, seats};
pub(crate) use visits::{Visit, visits};

use std::collections::BTreeSet;

use crate::job::Hours;
use crate::pipeline::Made;
use crate::plan;
use crate::report::Problem;

/// A plan spread over a crew.
#[derive(Debug, Clone)]
pub struct Crew<'a> {
    /// The crew.
    pub team: Team,
    /// The tasks, by position: those of the plan until the vehicle is handed over, or of its rest.
    pub tasks: Vec<&'a plan::Task>,
    /// When the work begins, as a job's `start`; none when nobody said.
    pub start: Option<i64>,
    /// Whether it is only the rest of a job.
    pub rest: bool,
    /// The abstract work.
    pub network: Network,
    /// What its minutes are on the wall.
    pub clock: Clock,
    /// When each task is done and by whom, and the bound.
    pub solved: Solved,
    /// The chain that the end hangs on.
    pub chain: Chain,
    /// The stays of those who come on call.
    pub visits: Vec<Visit>,
}

/// What is left of a job that is under way.
#[derive(Debug, Clone, Default)]
pub struct Rest {
    /// The ids of the tasks that are done. The time that must pass behind them is taken as over.
    pub done: BTreeSet<String>,
    /// When the rest begins, as a job's `start`.
    pub start: i64,
}

/// Schedules a plan, or the rest of it, for the job's own people, or for a crew of roles; fails with what cannot be scheduled.
pub fn crew<'a>(
    made: &Made<'a>,
    with: Option<&str>,
    rest: Option<&Rest>,
) -> Result<Crew<'a>, Problem> {
    let prepared = Prepared::new((made, with), rest, YEAR)?;
    let solved = prepared.way(made, solve)?;
    Ok(prepared.crew(solved))
}

/// A crew and its work, before it is known who does what when.
struct Prepared<'a> {
    team: Team,
    tasks: Vec<&'a plan::Task>,
    network: Network,
    clock: Clock,
    start: Option<i64>,
    rest: bool,
}

impl<'a> Prepared<'a> {
    fn new(
        (made, with): (&Made<'a>, Option<&str>),
        rest: Option<&Rest>,
        ahead: i64,
    ) -> Result<Self, Problem> {
        let mut tasks = build::tasks(made);
        tasks.retain(|task| rest.is_none_or(|rest| !rest.done.contains(&task.id)));
        if rest.is_some() && tasks.is_empty() {
            return Err(problem::none_left(made));
        }
        let start = rest.map(|rest| rest.start).or(made.job.start);
        let team = team::team(made, with, &tasks)?;
        if let Some(problem) = problem::none_there(made, &tasks) {
            return Err(problem);
        }
        if let Some(problem) = problem::too_many(tasks.len(), team.members.len()) {
            return Err(problem);
        }
        let hours: Vec<&Hours> = team.members.iter().map(|member| &member.hours).collect();
        let clock = Clock::new(&hours, start, ahead);
        let network = build::network(made, &tasks, &team, &clock);
        Ok(Self {
            rest: rest.is_some(),
            team,
            tasks,
            network,
            clock,
            start,
        })
    }

    /// What a way of scheduling makes of the work.
    fn way<T>(
        &self,
        made: &Made<'_>,
        way: impl FnOnce(&Network) -> Result<T, Stuck>,
    ) -> Result<T, Problem> {
        let whose = (&self.network, &self.team);
        way(&self.network).map_err(|stuck| problem::problem(&stuck, made, &self.tasks, whose))
    }

    fn crew(self, solved: Solved) -> Crew<'a> {
        Crew {
            chain: chain(&self.network, &solved.schedule),
            visits: visits::booked(&self.network, &solved.schedule),
            team: self.team,
            tasks: self.tasks,
            network: self.network,
            clock: self.clock,
            start: self.start,
            rest: self.rest,
            solved,
        }
    }
}

/// How long a job takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The days of work that are begun.
    pub days: usize,
    /// Minutes of the workshop's clock from the start to the end.
    pub minutes: Minute,
    /// The same less and more by a standard deviation of the chain that the end hangs on.
    pub range: (f64, f64),
}

/// How long a job takes a crew of roles, by a first schedule that is not searched for a better one: for tables of many plans.
///
/// Never less than by [`crew()`] nor than the bound; with one person more it may come out longer. Fails as [`crew`] does.
pub(crate) fn first_estimate(made: &Made<'_>, with: &str) -> Result<Estimate, Problem> {
    let (prepared, solved) = first(made, with, |_, bound| bound)?;
    Ok(prepared.crew(solved).estimate())
}

/// The days of [`first_estimate`] alone: no schedule is made shorter within its last day. Fails as [`crew`] does.
pub(crate) fn first_days(made: &Made<'_>, with: &str) -> Result<usize, Problem> {
    let (prepared, solved) = first(made, with, Clock::last_of_day)?;
    Ok(prepared.clock.days(solved.schedule.minutes()))
}

/// The first schedule that is short enough by its bound, or the best: within the days to come, and only where they are too few within a year.
fn first<'a>(
    made: &Made<'a>,
    with: &str,
    enough: impl Fn(&Clock, Minute) -> Minute,
) -> Result<(Prepared<'a>, Solved), Problem> {
    let within = |ahead| {
        let prepared = Prepared::new((made, Some(with)), None, ahead)?;
        let enough = |bound| enough(&prepared.clock, bound);
        let solved = prepared.way(made, |network| begin(network, enough))?;
        Ok((prepared, solved))
    };
    within(SOON).or_else(|_: Problem| within(YEAR))
}

impl<'a> Crew<'a> {
    /// What a person of the crew is called.
    pub(crate) fn name(&self, person: usize) -> &str {
        let member = self.team.members.get(person);
        member.map_or("", |member| member.name.as_str())
    }

    /// What one person does, in time: the task, when it is done, and the part in it.
    pub(crate) fn lane(&self, person: usize) -> Vec<(&'a plan::Task, &Placed, Share)> {
        let placed = self.solved.schedule.placed.iter();
        let mut lane = Vec::new();
        for ((placed, model), task) in placed.zip(&self.network.tasks).zip(&self.tasks) {
            let seats = placed.who.iter().zip(&model.seats);
            let own = seats.filter(|(who, _)| **who == person);
            lane.extend(own.map(|(_, seat)| (*task, placed, seat.part)));
        }
        lane.sort_by_key(|(_, placed, _)| placed.start);
        lane
    }

    /// How long it takes.
    pub fn estimate(&self) -> Estimate {
        let minutes = self.solved.schedule.minutes();
        let spread = self.chain.deviation;
        Estimate {
            days: self.days(),
            minutes,
            range: (f64::from(minutes) - spread, f64::from(minutes) + spread),
        }
    }

    /// The days of work that are begun.
    pub(crate) fn days(&self) -> usize {
        self.clock.days(self.solved.schedule.minutes())
    }
}
