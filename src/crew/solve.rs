//! A network → its schedule and its bound, never longer with one person more.
//!
//! Takes a network; gives the best schedule found for the whole crew and for every smaller crew that could still do the work and
//! might be faster by its bound. So a person more never makes the work longer. Refuses what cannot be scheduled at all.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::bound::{Bound, bound_of};
use super::calendar::Minute;
use super::improve::{EFFORT, Search, effort};
use super::network::{Activity, Network, Order, Person, Stuck};
use super::schedule::{Schedule, seat_all};
use super::visits::fewer;
use crate::sorted::Sorted as _;

/// A schedule and how good it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solved {
    /// The schedule.
    pub schedule: Schedule,
    /// What no schedule can be shorter than.
    pub bound: Bound,
}

impl Solved {
    /// How far the schedule is above the bound at most, percent of the bound.
    pub(crate) fn gap(&self) -> f64 {
        let (minutes, least) = (self.schedule.minutes(), self.bound.minutes);
        if least == 0 {
            return 0.0;
        }
        (f64::from(minutes) / f64::from(least) - 1.0) * 100.0
    }
}

/// How many crews are searched in full at most, the whole one and smaller ones, where each is worth the most effort. A crew of five has 31,
/// most of which the bound rules out; with more people the smaller ones that come last are left out, and the schedule is still right but may be longer.
const MOST_SEARCHES: usize = 8;

/// Schedules a network.
pub fn solve(network: &Network) -> Result<Solved, Stuck> {
    let order = network.order()?;
    possible(network, &order)?;
    let mut tried = BTreeMap::new();
    best((network, &order), &BTreeSet::new(), &mut tried)
}

/// Schedules a network by the priority rules alone, without a search and without smaller crews.
///
/// It is never shorter than the bound, nor than what [`solve`] finds, which begins with the same schedules. `enough` says of the bound in
/// minutes which schedule is short enough.
pub(super) fn begin(
    network: &Network,
    enough: impl FnOnce(Minute) -> Minute,
) -> Result<Solved, Stuck> {
    let order = network.order()?;
    possible(network, &order)?;
    let bound = bound_of(network, &order);
    let search = Search::new(Cow::Borrowed(network), Cow::Borrowed(&order));
    let schedule = search.begin(enough(bound.minutes))?;
    Ok(Solved { schedule, bound })
}

/// The best of a crew and of all smaller ones that could be faster.
fn best(
    (network, order): (&Network, &Order),
    gone: &BTreeSet<usize>,
    tried: &mut BTreeMap<BTreeSet<usize>, Solved>,
) -> Result<Solved, Stuck> {
    if let Some(known) = tried.get(gone) {
        return Ok(known.clone());
    }
    let bound = bound_of(network, order);
    let search = Search::new(Cow::Borrowed(network), Cow::Borrowed(order));
    let (keys, found) = search.run(bound.minutes)?;
    let mut schedule = fewer(&search, &keys, found);
    for person in one_of_each(network, gone) {
        if (tried.len() + gone.len() + 1) * effort(network) > MOST_SEARCHES * EFFORT {
            break;
        }
        let smaller = network.without(person);
        if possible(&smaller, order).is_err() {
            continue;
        }
        let least = bound_of(&smaller, order);
        if least.minutes < schedule.minutes() {
            let mut fewer = gone.clone();
            fewer.insert(person);
            // A smaller crew that never finds the time is no better.
            if let Ok(found) = best((&smaller, order), &fewer, tried)
                && found.schedule.minutes() < schedule.minutes()
            {
                schedule = found.schedule;
            }
        }
    }
    let solved = Solved { schedule, bound };
    tried.insert(gone.clone(), solved.clone());
    Ok(solved)
}

/// The people still there, only the first of those who are alike in everything.
fn one_of_each(network: &Network, gone: &BTreeSet<usize>) -> Vec<usize> {
    let mut alike = BTreeSet::new();
    let here = (0..network.people.len()).filter(|person| !gone.contains(person));
    here.filter(|person| {
        let seats = network.tasks.iter().flat_map(|task| &task.seats);
        let sits: Vec<bool> = seats.map(|seat| seat.who.contains(person)).collect();
        alike.insert((network.people.get(*person), sits))
    })
    .collect()
}

/// Refuses what no schedule can do.
fn possible(network: &Network, order: &Order) -> Result<(), Stuck> {
    let shop = longest_between(&network.breaks);
    let people: Vec<Minute> = network.people.iter().map(longest).collect();
    for (position, task) in network.tasks.iter().enumerate() {
        let seated = seat_all(
            &task.seats,
            &|seat| seat.who.iter().copied(),
            &mut Vec::new(),
        );
        if !seated {
            return Err(Stuck::Nobody(position));
        }
        let longest = shop.min(longest_of_all(task, &people));
        if longest == 0 {
            return Err(Stuck::NoTime(position));
        }
        if task.whole && task.minutes > longest {
            return Err(Stuck::TooLong(position));
        }
    }
    let day = longest_between(&network.nights);
    for (first, minutes) in chains(network, &order.tasks).into_values() {
        if minutes > day {
            return Err(Stuck::TooLong(first));
        }
    }
    Ok(())
}

/// The longest time that a person is there without a pause.
fn longest(person: &Person) -> Minute {
    let stretches = person.calendar.stretches().iter();
    stretches.map(|(from, to)| to - from).max().unwrap_or(0)
}

/// The longest time without a pause that some person of each seat has.
fn longest_of_all(task: &Activity, people: &[Minute]) -> Minute {
    let seats = task.seats.iter().map(|seat| {
        let who = seat.who.iter().filter_map(|who| people.get(*who));
        who.max().copied().unwrap_or(0)
    });
    seats.min().unwrap_or(Minute::MAX)
}

/// The longest time between two of these minutes; endless when there are none.
fn longest_between(minutes: &[Minute]) -> Minute {
    let before = std::iter::once(&0).chain(minutes);
    let between = before.zip(minutes).map(|(from, to)| to - from);
    between.max().unwrap_or(Minute::MAX)
}

/// The bouts that no stretch between two breaks is long enough for, of tasks that stand in the order of work.
pub(super) fn longer_than_a_stretch(network: &Network) -> BTreeSet<usize> {
    let stretch = longest_between(&network.breaks);
    let order: Vec<usize> = (0..network.tasks.len()).collect();
    let chains = chains(network, &order).into_iter();
    let long = chains.filter(|(_, (_, minutes))| *minutes > stretch);
    long.map(|(bout, _)| bout).sorted_set()
}

/// The first task of each bout and the minutes of its longest chain.
fn chains(network: &Network, order: &[usize]) -> BTreeMap<usize, (usize, Minute)> {
    let mut ends: BTreeMap<usize, Minute> = BTreeMap::new();
    let mut found: BTreeMap<usize, (usize, Minute)> = BTreeMap::new();
    for &position in order {
        let Some((task, bout)) = network.tasks.get(position).and_then(|t| Some((t, t.bout?)))
        else {
            continue;
        };
        let same = |before: &&usize| {
            network
                .tasks
                .get(**before)
                .is_some_and(|before| before.bout == Some(bout))
        };
        let before = task
            .after
            .iter()
            .filter(same)
            .filter_map(|before| ends.get(before));
        let end = before.max().copied().unwrap_or(0) + task.minutes;
        ends.insert(position, end);
        let slot = found.entry(bout).or_insert((position, 0));
        slot.1 = slot.1.max(end);
    }
    found
}
