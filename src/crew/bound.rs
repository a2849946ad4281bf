//! A time that no schedule can be shorter than, and what makes it so.
//!
//! The work is cut at the tasks that everything else comes before or after; each stretch takes at least its longest chain, the hours
//! of the people who alone can do some of it, and those of its things, under everybody's hours from the end of the stretch before.
//! Takes a network; gives a [`Bound`].

use std::collections::{BTreeMap, BTreeSet};

use super::calendar::{Calendar, Minute, finish};
use super::network::{Network, Stuck, Task};

/// What keeps a stretch of work from being shorter.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// Tasks that wait for each other.
    Chain,
    /// Work that only these people can do, by position.
    People(Vec<usize>),
    /// A thing that serves one task at a time, by position.
    Thing(usize),
}

/// The least time that the work can take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bound {
    /// Minutes of the workshop's clock.
    pub minutes: Minute,
    /// How many of them each reason holds, the most first.
    pub reasons: Vec<(Reason, Minute)>,
}

/// The bound of a network; fails when its tasks wait for each other in a circle.
pub fn bound(network: &Network) -> Result<Bound, Stuck> {
    let order = network.order()?;
    let mut held: BTreeMap<Reason, Minute> = BTreeMap::new();
    let mut end = 0;
    // Nothing of a stretch begins before the one before it has ended, and beginning later never ends it sooner.
    for stretch in stretches(network, &order) {
        let (reason, to) = stretch_bound(network, &stretch, end);
        *held.entry(reason).or_default() += to - end;
        end = to;
    }
    let mut reasons: Vec<(Reason, Minute)> = held.into_iter().collect();
    reasons.sort_by(|one, other| other.1.cmp(&one.1).then(one.0.cmp(&other.0)));
    Ok(Bound {
        minutes: end,
        reasons,
    })
}

/// The tasks between those that all others come before or after, in order; such a task is a stretch of its own.
fn stretches(network: &Network, order: &[usize]) -> Vec<Vec<usize>> {
    let count = order.len();
    let above = reached(order.iter(), count, |task| {
        network.tasks.get(task).map_or(&[], |task| &task.after)
    });
    let followers = network.followers();
    let below = reached(order.iter().rev(), count, |task| {
        followers.get(task).map_or(&[], Vec::as_slice)
    });
    let ones = |sets: &[Vec<u64>], task: usize| -> u32 {
        sets.get(task)
            .map_or(0, |set| set.iter().map(|word| word.count_ones()).sum())
    };
    let cuts: BTreeSet<usize> = (0..count)
        .filter(|task| (ones(&above, *task) + ones(&below, *task)) as usize + 1 == count)
        .collect();
    let mut stretches: BTreeMap<(usize, bool), Vec<usize>> = BTreeMap::new();
    for task in order {
        let passed = cuts.iter().filter(|cut| has(&above, *task, **cut)).count();
        stretches
            .entry((passed, !cuts.contains(task)))
            .or_default()
            .push(*task);
    }
    // Between two cuts: what has passed as many cuts comes before the next cut.
    let mut ordered: Vec<((usize, bool), Vec<usize>)> = stretches.into_iter().collect();
    ordered.sort_by_key(|((passed, inner), _)| (*passed, !*inner));
    ordered.into_iter().map(|(_, tasks)| tasks).collect()
}

fn has(sets: &[Vec<u64>], task: usize, other: usize) -> bool {
    let word = sets.get(task).and_then(|set| set.get(other / 64));
    word.is_some_and(|word| word >> (other % 64) & 1 == 1)
}

/// For each task all that are reached from it over several steps, as bits.
fn reached<'a, 'b>(
    order: impl Iterator<Item = &'b usize>,
    count: usize,
    steps: impl Fn(usize) -> &'a [usize],
) -> Vec<Vec<u64>> {
    let mut sets: Vec<Vec<u64>> = vec![vec![0; count.div_ceil(64)]; count];
    for task in order {
        let mut own = vec![0; count.div_ceil(64)];
        for step in steps(*task) {
            let theirs = sets.get(*step).into_iter().flatten();
            for (word, their) in own.iter_mut().zip(theirs) {
                *word |= their;
            }
            if let Some(word) = own.get_mut(step / 64) {
                *word |= 1 << (step % 64);
            }
        }
        if let Some(set) = sets.get_mut(*task) {
            *set = own;
        }
    }
    sets
}

/// A task of a stretch with the longest chains before and after it in the stretch.
struct Seen<'a> {
    task: &'a Task,
    head: Minute,
    tail: Minute,
}

/// The least end of a stretch that begins at a minute, and what makes it so.
fn stretch_bound(network: &Network, stretch: &[usize], from: Minute) -> (Reason, Minute) {
    let seen = seen(network, stretch);
    let mut best = (Reason::Chain, under_hours(network, stretch, from));
    let mut see = |reason: Reason, least: Minute| {
        if least > best.1 {
            best = (reason, least);
        }
    };
    for people in groups(&seen) {
        let takes = |seen: &Seen<'_>| {
            let seats = seen.task.seats.iter();
            let own = seats.filter(|seat| seat.who.iter().all(|who| people.contains(who)));
            Minute::try_from(own.count()).unwrap_or(0)
        };
        let there = |minute: Minute| -> u64 {
            let hours = people
                .iter()
                .filter_map(|person| network.people.get(*person));
            hours
                .map(|person| u64::from(person.calendar.before(minute)))
                .sum()
        };
        let least = energy(&seen, takes, there, from);
        see(Reason::People(people.iter().copied().collect()), least);
    }
    for (thing, count) in network.things.iter().enumerate() {
        let takes = |seen: &Seen<'_>| Minute::from(seen.task.things.contains(&thing));
        let there =
            |minute: Minute| u64::from(minute) * u64::try_from((*count).max(1)).unwrap_or(1);
        see(Reason::Thing(thing), energy(&seen, takes, there, from));
    }
    best
}

fn seen<'a>(network: &'a Network, stretch: &[usize]) -> Vec<Seen<'a>> {
    let inside: BTreeSet<usize> = stretch.iter().copied().collect();
    let mut heads: BTreeMap<usize, Minute> = BTreeMap::new();
    let minutes = |task: usize| network.tasks.get(task).map_or(0, |task| task.minutes);
    for task in stretch {
        let before = network
            .tasks
            .get(*task)
            .into_iter()
            .flat_map(|task| &task.after);
        let before = before.filter_map(|b| heads.get(b).map(|head| head + minutes(*b)));
        heads.insert(*task, before.max().unwrap_or(0));
    }
    let mut tails: BTreeMap<usize, Minute> = BTreeMap::new();
    for task in stretch.iter().rev() {
        let tail = tails.get(task).copied().unwrap_or(0) + minutes(*task);
        let before = network
            .tasks
            .get(*task)
            .into_iter()
            .flat_map(|task| &task.after);
        for before in before.filter(|before| inside.contains(before)) {
            let slot = tails.entry(*before).or_default();
            *slot = tail.max(*slot);
        }
    }
    let all = stretch.iter().filter_map(|position| {
        Some(Seen {
            task: network.tasks.get(*position)?,
            head: heads.get(position).copied().unwrap_or(0),
            tail: tails.get(position).copied().unwrap_or(0),
        })
    });
    all.collect()
}

/// Groups of people that alone can take some seats, and unions of two such groups.
fn groups(seen: &[Seen<'_>]) -> BTreeSet<BTreeSet<usize>> {
    let seats = seen.iter().flat_map(|seen| &seen.task.seats);
    let own: BTreeSet<BTreeSet<usize>> = seats
        .map(|seat| seat.who.iter().copied().collect())
        .collect();
    let mut groups = own.clone();
    for one in &own {
        for other in &own {
            groups.insert(one.union(other).copied().collect());
        }
    }
    groups
}

/// The least end by what tasks take of some servers, the shortest way in and out included. `there` is how much the servers can
/// give before a minute.
fn energy(
    seen: &[Seen<'_>],
    takes: impl Fn(&Seen<'_>) -> Minute,
    there: impl Fn(Minute) -> u64,
    from: Minute,
) -> Minute {
    let busy = || {
        seen.iter()
            .filter(|seen| takes(seen) > 0 && seen.task.minutes > 0)
    };
    let work: u64 = busy()
        .map(|seen| u64::from(takes(seen)) * u64::from(seen.task.minutes))
        .sum();
    let head = busy().map(|seen| seen.head).min().unwrap_or(0);
    let tail = busy().map(|seen| seen.tail).min().unwrap_or(0);
    let (start, mut least) = (from + head, from + head);
    let needed = there(start) + work;
    let mut step = 1;
    while there(least + step) < needed && step < Minute::MAX / 8 {
        step *= 2;
    }
    // Between the last minute that is too early and the first that is not.
    let mut most = least + step;
    while least < most {
        let middle = Minute::midpoint(least, most);
        if there(middle) < needed {
            least = middle + 1;
        } else {
            most = middle;
        }
    }
    least + tail
}

/// The end of the longest chain of a stretch, each task done by whoever is there soonest.
fn under_hours(network: &Network, stretch: &[usize], from: Minute) -> Minute {
    let mut ends: BTreeMap<usize, Minute> = BTreeMap::new();
    for position in stretch {
        let Some(task) = network.tasks.get(*position) else {
            continue;
        };
        let ready = task
            .after
            .iter()
            .filter_map(|before| ends.get(before))
            .max();
        let ready = ready.copied().unwrap_or(from);
        let soonest = task.seats.iter().filter_map(|seat| {
            let hours = seat
                .who
                .iter()
                .filter_map(|person| network.people.get(*person));
            let ends = hours.filter_map(|person| alone(&person.calendar, ready, task.minutes));
            ends.min()
        });
        let end = soonest.max().unwrap_or(0).max(ready + task.minutes);
        ends.insert(*position, end);
    }
    ends.into_values().max().unwrap_or(from)
}

fn alone(hours: &Calendar, ready: Minute, minutes: Minute) -> Option<Minute> {
    finish(&[hours], ready, minutes)
}
