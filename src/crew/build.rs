//! A plan and a team → the network that is scheduled: who may sit on which seat, what each task takes and how long.
//!
//! A task takes the mean of its three-point estimate: (low + 4 likely + high) / 6, rounded to five minutes and at least five, with the
//! variance ((high − low) / 6)² (program evaluation and review technique; teaching material, see the tests). What is due at a distance
//! later is no part of it.

use std::collections::{BTreeMap, BTreeSet};

use super::calendar::Minute;
use super::clock::Clock;
use super::network::{Network, Part, Person, Seat, Task, Wait};
use super::team::{Member, Team, seats};
use crate::job::{Role, THINGS};
use crate::pipeline::Made;
use crate::plan;
use crate::rules::Stage;

/// People are told times in fives, so that a day can be read on the wall (common practice).
const GRID: Minute = 5;

/// The tasks until the vehicle is handed over.
pub(super) fn tasks<'a>(made: &Made<'a>) -> Vec<&'a plan::Task> {
    made.plan
        .tasks
        .iter()
        .filter(|task| task.due.is_none())
        .collect()
}

/// The mean minutes of a task, rounded up, and their variance.
#[must_use]
pub fn estimate(low: f64, likely: f64, high: f64) -> (Minute, f64) {
    let (mean, deviation) = ((low + 4.0 * likely + high) / 6.0, (high - low) / 6.0);
    // A whole number of minutes of a task, far below what fits.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let minutes = (mean - 1e-9).ceil().clamp(0.0, 1e6) as Minute;
    (minutes, deviation * deviation)
}

/// The network of some tasks for a team.
pub(super) fn network(
    made: &Made<'_>,
    tasks: &[&plan::Task],
    team: &Team,
    clock: &Clock,
) -> Network {
    let position: BTreeMap<&str, usize> = tasks
        .iter()
        .enumerate()
        .map(|(n, task)| (task.id.as_str(), n))
        .collect();
    let bouts = bouts(tasks, &position);
    let people = team.members.iter().map(|member| Person {
        calendar: clock.calendar(&member.hours),
        on_call: member.hours.on_call,
        booked: member.hours.on_call,
    });
    let things = THINGS.iter().map(|thing| {
        let count = made.job.things.get(thing).copied().unwrap_or(1);
        usize::try_from(count).unwrap_or(1)
    });
    let apart = apart(tasks);
    let tasks = tasks.iter().zip(bouts).zip(apart);
    let tasks = tasks.map(|((task, bout), apart)| Task {
        bout,
        apart,
        ..one(task, &position, team)
    });
    Network {
        tasks: tasks.collect(),
        people: people.collect(),
        things: things.collect(),
        breaks: clock.breaks(),
        nights: clock.nights(),
        wall: clock.wall(),
        grid: GRID,
    }
}

/// A task by itself.
fn one(task: &plan::Task, position: &BTreeMap<&str, usize>, team: &Team) -> Task {
    let plan::Minutes { low, likely, high } = task.minutes;
    let (mean, variance) = estimate(low, likely, high);
    let thing = |name: &String| THINGS.iter().position(|thing| thing == name);
    let waits = task.waits.iter();
    Task {
        id: task.id.clone(),
        minutes: ((mean + GRID / 2) / GRID * GRID).max(GRID),
        range: (low, high),
        variance,
        after: task
            .after
            .iter()
            .filter_map(|id| position.get(id.as_str()).copied())
            .collect(),
        seats: seated(task, team),
        things: task.uses.iter().filter_map(thing).collect(),
        // What is looked at and signed for by two is not left half looked at.
        whole: task.watch || task.hold.is_some(),
        waits: waits.filter_map(|wait| waited(wait, position)).collect(),
        ..Task::default()
    }
}

/// For each task those that are not done meanwhile: one of the two shuts others out of the place where the other is done. Stretches of the
/// work follow each other, so only tasks of one stretch can meet.
fn apart(tasks: &[&plan::Task]) -> Vec<Vec<usize>> {
    let shut = |one: &plan::Task, other: &plan::Task| one.shuts_out.contains(&other.place);
    let meets = |one: &plan::Task, other: &plan::Task| {
        one.slot == other.slot && one.id != other.id && (shut(one, other) || shut(other, one))
    };
    let of = |one: &plan::Task| {
        let others = tasks.iter().enumerate();
        others
            .filter(|(_, other)| meets(one, other))
            .map(|(number, _)| number)
            .collect()
    };
    tasks.iter().map(|task| of(task)).collect()
}

/// What a task waits for by the clock on the wall.
fn waited(wait: &plan::Wait, position: &BTreeMap<&str, usize>) -> Option<Wait> {
    Some(Wait {
        after: position.get(wait.after.as_str()).copied()?,
        // A number of hours that a rule gives.
        #[allow(clippy::cast_possible_truncation)]
        least: (wait.hours * 60.0).ceil() as i64,
    })
}

/// The seats of a task and who may sit on them.
fn seated(task: &plan::Task, team: &Team) -> Vec<Seat> {
    let hold = task.hold.is_some();
    let workers = seats(task) - usize::from(hold) - usize::from(task.watch);
    let mut found = Vec::new();
    let mut seat = |part: Part, fits: &dyn Fn(&Member) -> bool| {
        let who = team
            .members
            .iter()
            .enumerate()
            .filter(|(_, member)| fits(member));
        let who = who.map(|(position, _)| position).collect();
        found.push(Seat { part, who });
    };
    seat(Part::Leads, &|member| leads(member, task, workers));
    for _ in 1..workers {
        seat(Part::Helps, &|member| helps(member, task));
    }
    if task.watch {
        seat(Part::Watches, &|member| helps(member, task));
    }
    if hold {
        seat(Part::Signs, &|member| {
            member.roles.contains(&Role::Supervisor)
        });
    }
    found
}

/// Whether somebody may answer for a task: the licence where it takes one, else a fitter, or an apprentice where it may be one; where
/// several work, one of them is more than an apprentice.
fn leads(member: &Member, task: &plan::Task, workers: usize) -> bool {
    let has = |role| member.roles.contains(&role);
    if let Some(trade) = &task.trade {
        return member.licences.contains(trade) && (has(Role::Tradesperson) || has(Role::Fitter));
    }
    has(Role::Fitter) || (has(Role::Apprentice) && task.apprentice && workers == 1)
}

fn helps(member: &Member, task: &plan::Task) -> bool {
    let has = |role| member.roles.contains(&role);
    has(Role::Fitter)
        || has(Role::Supervisor)
        || member.hand
        || (has(Role::Apprentice) && task.apprentice)
}

/// For each task the bout it is of. While a side is raised, from the first task that is watched to the last, the body stands on
/// jacks: these begin and end on one day.
fn bouts(tasks: &[&plan::Task], position: &BTreeMap<&str, usize>) -> Vec<Option<usize>> {
    let watched = |task: &plan::Task| task.watch && task.stage == Stage::Raise;
    let mut after_watch: BTreeSet<usize> = BTreeSet::new();
    for (number, task) in tasks.iter().enumerate() {
        let before = task.after.iter().filter_map(|id| position.get(id.as_str()));
        let in_slot = |before: &&usize| {
            tasks
                .get(**before)
                .is_some_and(|before| before.slot == task.slot)
        };
        let follows = before
            .filter(in_slot)
            .any(|before| after_watch.contains(before));
        if watched(task) || follows {
            after_watch.insert(number);
        }
    }
    let mut before_watch: BTreeSet<usize> = BTreeSet::new();
    for (number, task) in tasks.iter().enumerate().rev() {
        if watched(task) || before_watch.contains(&number) {
            before_watch.insert(number);
            let before = task.after.iter().filter_map(|id| position.get(id.as_str()));
            before_watch.extend(before.filter(|before| {
                tasks
                    .get(**before)
                    .is_some_and(|before| before.slot == task.slot)
            }));
        }
    }
    let is_bout = |number: usize| after_watch.contains(&number) && before_watch.contains(&number);
    let all = tasks.iter().enumerate();
    all.map(|(number, task)| is_bout(number).then_some(task.slot))
        .collect()
}
