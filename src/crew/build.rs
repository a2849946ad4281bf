//! A plan and a team → the network that is scheduled: who may sit on which seat, what each task takes and how long.
//!
//! A task takes the mean of its three-point estimate: (low + 4 likely + high) / 6, rounded to five minutes and at least five, with the
//! variance ((high − low) / 6)² (program evaluation and review technique; teaching material, see the tests). What is due at a distance
//! later is no part of it.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashMap;

use super::calendar::Minute;
use super::clock::Clock;
use super::network::{Activity, Lag, Network, Person, Seat, Share};
use super::solve::longer_than_a_stretch;
use super::team::{Member, Team, seats};
use crate::job::{Role, THINGS};
use crate::pipeline::Made;
use crate::plan;
use crate::rules::Spot;
use crate::sorted::Sorted as _;

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
    let position: FxHashMap<&str, usize> = tasks
        .iter()
        .enumerate()
        .map(|(n, task)| (task.id.as_str(), n))
        .collect();
    let (bouts, unbroken) = bouts(tasks);
    let people = team.members.iter().map(|member| Person {
        calendar: clock.calendar(&member.hours),
        on_call: member.hours.on_call,
    });
    let things = THINGS.iter().map(|thing| {
        let count = made.job.things.get(thing).copied().unwrap_or(1);
        usize::try_from(count).unwrap_or(1)
    });
    let apart = apart(tasks);
    let tasks = tasks.iter().zip(bouts).zip(apart);
    let tasks = tasks.map(|((task, bout), apart)| Activity {
        bout,
        apart,
        ..activity(task, &position, team)
    });
    let mut network = Network {
        tasks: tasks.collect(),
        people: people.collect(),
        things: things.collect(),
        unbroken,
        breaks: clock.breaks(),
        nights: clock.nights(),
        wall: clock.wall(),
        grid: GRID,
    };
    // A stretch that is too short for an engine's run leaves no other way than to stop it for the break.
    let long = longer_than_a_stretch(&network);
    network.unbroken.retain(|bout| !long.contains(bout));
    network
}

/// A task by itself.
fn activity(task: &plan::Task, position: &FxHashMap<&str, usize>, team: &Team) -> Activity {
    let plan::Minutes { low, likely, high } = task.minutes;
    let (mean, variance) = estimate(low, likely, high);
    let thing = |name: &String| THINGS.iter().position(|thing| thing == name);
    let waits = task.waits.iter();
    Activity {
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
        ..Activity::default()
    }
}

/// For each task those that are not done meanwhile: one of the two shuts others out of the place where the other is done. Stretches of the
/// work follow each other, so only tasks of one stretch can meet.
fn apart(tasks: &[&plan::Task]) -> Vec<Vec<usize>> {
    let mut slots: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (number, task) in tasks.iter().enumerate() {
        slots.entry(task.slot).or_default().push(number);
    }
    // Where each is done and out of where it shuts others, a bit for each place.
    let bits = |spots: &mut dyn Iterator<Item = Spot>| {
        spots.fold(0_u32, |bits, spot| bits | 1 << spot as u32)
    };
    let all = tasks.iter().map(|task| {
        let shut = bits(&mut task.shuts_out.iter().copied());
        (bits(&mut task.places()), shut)
    });
    let all: Vec<(u32, u32)> = all.collect();
    let meets = |one: usize, other: usize| {
        let both = all.get(one).zip(all.get(other)).filter(|_| one != other);
        both.is_some_and(|(one, other)| (one.0 & other.1) | (other.0 & one.1) != 0)
    };
    let of = |(number, task): (usize, &&plan::Task)| {
        let others = slots.get(&task.slot).into_iter().flatten().copied();
        others.filter(|other| meets(number, *other)).collect()
    };
    tasks.iter().enumerate().map(of).collect()
}

/// What a task waits for by the clock on the wall.
fn waited(wait: &plan::Wait, position: &FxHashMap<&str, usize>) -> Option<Lag> {
    Some(Lag {
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
    let mut seat = |part: Share, fits: &dyn Fn(&Member) -> bool| {
        let who = team
            .members
            .iter()
            .enumerate()
            .filter(|(_, member)| fits(member));
        let who = who.map(|(position, _)| position).collect();
        found.push(Seat { part, who });
    };
    let checker = only_checker(task, team);
    let others = |member: &Member| checker.is_none_or(|id| id != member.id);
    seat(Share::Leads, &|member| {
        leads(member, task, workers) && others(member)
    });
    for _ in 1..workers {
        seat(Share::Helps, &|member| helps(member, task));
    }
    if task.watch {
        seat(Share::Watches, &|member| helps(member, task));
    }
    if hold {
        seat(Share::Signs, &|member| {
            member.roles.contains(&Role::Supervisor)
        });
    }
    found
}

/// The one supervisor who may check a task, and so may not answer for it, where somebody else can.
fn only_checker<'t>(task: &plan::Task, team: &'t Team) -> Option<&'t str> {
    // What a hold point signs off is looked at by whoever signs that.
    let by_hold = task.signed_with > task.number;
    if task.sign == plan::Sign::Tick && !by_hold || task.hold.is_some() {
        return None;
    }
    let is_supervisor = |member: &&Member| member.roles.contains(&Role::Supervisor);
    let mut supervisors = team.members.iter().filter(is_supervisor);
    let (Some(one), None) = (supervisors.next(), supervisors.next()) else {
        return None;
    };
    let workers = seats(task) - usize::from(task.watch);
    let mut others = team.members.iter().filter(|member| member.id != one.id);
    others
        .any(|other| leads(other, task, workers))
        .then_some(one.id.as_str())
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

/// For each task the bout it is of, and the bouts that no break parts. From a task after which something may not stay as it then stands
/// (a bolt out, a body on stands) to the one that puts it right is one bout, done on one day. So is work that somebody attends throughout
/// (an engine that runs), which stops for no break either.
fn bouts(tasks: &[&plan::Task]) -> (Vec<Option<usize>>, BTreeSet<usize>) {
    let mut found = vec![None; tasks.len()];
    let mut unbroken = BTreeSet::new();
    let nights = nights(tasks).into_iter();
    let nights = nights.map(|(first, last)| (first, last, false));
    let attended: BTreeSet<usize> = tasks
        .iter()
        .filter(|task| task.attended)
        .map(|task| task.slot)
        .sorted_set();
    let attended = runs(tasks, |task| attended.contains(&task.slot)).into_iter();
    let attended = attended.map(|(first, last)| (first, last, true));
    for (number, (first, last, attended)) in nights.chain(attended).enumerate() {
        let of = found.iter_mut().take(last + 1).skip(first);
        of.for_each(|bout: &mut Option<usize>| *bout = bout.or(Some(number)));
        if attended {
            unbroken.insert(number);
        }
    }
    (found, unbroken)
}

/// From each task after which something may not stay overnight as it then stands to the one that puts it right.
pub(super) fn nights(tasks: &[&plan::Task]) -> Vec<(usize, usize)> {
    let runs = runs(tasks, |task| !task.overnight).into_iter();
    runs.map(|(first, last)| (first, last + 1)).collect()
}

/// The first and the last of each run of tasks that are alike.
fn runs(tasks: &[&plan::Task], alike: impl Fn(&plan::Task) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (number, _) in tasks.iter().enumerate().filter(|(_, task)| alike(task)) {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    runs
}
