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

pub use bound::{Bound, Reason, bound};
pub use build::estimate as three_points;
pub use calendar::{Calendar, Minute, finish};
pub use chain::{Chain, chain};
pub use clock::{Clock, Moment};
pub use day::longer_than_a_day;
pub use ics::to_ics;
pub use json::to_json;
pub use network::{Network, Part, Person, Seat, Stuck, Task, Wait};
pub use schedule::{Placed, Schedule};
pub use solve::{Solved, begin, solve};
pub use team::{Member, Team, seats};
pub use visits::{Visit, WAITS, visits};

use crate::job::Hours;
use crate::pipeline::Made;
use crate::plan;
use crate::report::Problem;

/// A plan spread over a crew.
#[derive(Debug, Clone)]
pub struct Crew<'a> {
    /// The crew.
    pub team: Team,
    /// The tasks, by position: those of the plan until the vehicle is handed over.
    pub tasks: Vec<&'a plan::Task>,
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

/// Schedules a plan for the job's own people, or for a crew of roles; fails with what cannot be scheduled.
pub fn crew<'a>(made: &Made<'a>, with: Option<&str>) -> Result<Crew<'a>, Problem> {
    by(solve, made, with)
}

/// Schedules a plan in the way given.
fn by<'a>(
    way: fn(&Network) -> Result<Solved, Stuck>,
    made: &Made<'a>,
    with: Option<&str>,
) -> Result<Crew<'a>, Problem> {
    let tasks = build::tasks(made);
    let team = team::team(made, with, &tasks)?;
    if let Some(problem) = problem::none_there(made, &tasks) {
        return Err(problem);
    }
    if let Some(problem) = problem::too_many(tasks.len(), team.members.len()) {
        return Err(problem);
    }
    let hours: Vec<&Hours> = team.members.iter().map(|member| &member.hours).collect();
    let clock = Clock::new(&hours, made.job.start);
    let network = build::network(made, &tasks, &team, &clock);
    let solved =
        way(&network).map_err(|stuck| problem::problem(&stuck, made, &tasks, (&network, &team)))?;
    let called = |person: usize| network.people.get(person).is_some_and(|p| p.on_call);
    Ok(Crew {
        chain: chain(&network, &solved.schedule),
        visits: visits(&network, &solved.schedule, called),
        team,
        tasks,
        network,
        clock,
        solved,
    })
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

/// How long a job takes a crew of roles such as `fitter+apprentice`; fails as [`crew`] does.
pub fn estimate(made: &Made<'_>, with: &str) -> Result<Estimate, Problem> {
    Ok(crew(made, Some(with))?.estimate())
}

/// How long a job takes a crew of roles, by a first schedule that is not searched for a better one: for tables of many plans.
///
/// Never less than [`estimate`] nor than the bound; with one person more it may come out longer. Fails as [`crew`] does.
pub fn first_estimate(made: &Made<'_>, with: &str) -> Result<Estimate, Problem> {
    Ok(by(begin, made, Some(with))?.estimate())
}

impl Crew<'_> {
    /// How long it takes.
    #[must_use]
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
    #[must_use]
    pub fn days(&self) -> usize {
        let end = self.clock.ends(self.solved.schedule.minutes());
        end.map_or(0, |moment| moment.day)
    }
}
