//! A time that no schedule can be shorter than, and what makes it so.
//!
//! The work is cut at the tasks that everything else comes before or after; each stretch takes at least its longest chain, the hours
//! of the people who alone can do some of it, and those of its things, under everybody's hours from the end of the stretch before.
//! Takes a network; gives a [`Bound`].

use std::collections::{BTreeMap, BTreeSet};

use super::calendar::{Calendar, Minute, finish};
use super::network::{Activity, Network, Seat, Stuck};

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
    // The least end of each task so far, for what waits for one of an earlier stretch.
    let mut ends: BTreeMap<usize, Minute> = BTreeMap::new();
    // Nothing of a stretch begins before the one before it has ended, and beginning later never ends it sooner.
    for stretch in stretches(network, &order) {
        let (reason, to) = stretch_bound(network, &stretch, end, &mut ends);
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
struct Chained<'a> {
    task: &'a Activity,
    head: Minute,
    tail: Minute,
}

/// The least end of a stretch that begins at a minute, and what makes it so.
fn stretch_bound(
    network: &Network,
    stretch: &[usize],
    from: Minute,
    ends: &mut BTreeMap<usize, Minute>,
) -> (Reason, Minute) {
    let seen = seen(network, stretch);
    let mut best = (Reason::Chain, under_hours(network, stretch, from, ends));
    let mut see = |reason: Reason, least: Minute| {
        if least > best.1 {
            best = (reason, least);
        }
    };
    for people in groups(&seen) {
        let calendars: Vec<&Calendar> = people
            .iter()
            .filter_map(|person| network.people.get(*person))
            .map(|person| &person.calendar)
            .collect();
        let own = |seen: &Chained<'_>| {
            let seats = seen.task.seats.iter();
            let own = seats.filter(|seat| seat.who.iter().all(|who| people.contains(who)));
            Minute::try_from(own.count()).unwrap_or(0)
        };
        let most = seen.iter().map(own).max().unwrap_or(0);
        let mut least = energy(&seen, own, &Presence::of(&calendars, 1), from);
        // Of what takes two of them at once, only one is done while two or three are there, and so on.
        for together in 2..=most {
            let takes = |seen: &Chained<'_>| Minute::from(own(seen) >= together);
            least = least.max(energy(
                &seen,
                takes,
                &Presence::of(&calendars, together),
                from,
            ));
        }
        see(Reason::People(people.iter().copied().collect()), least);
    }
    for (thing, count) in network.things.iter().enumerate() {
        let takes = |seen: &Chained<'_>| Minute::from(seen.task.things.contains(&thing));
        let count = u64::try_from((*count).max(1)).unwrap_or(1);
        let there = Presence::always(count);
        see(Reason::Thing(thing), energy(&seen, takes, &there, from));
    }
    best
}

fn seen<'a>(network: &'a Network, stretch: &[usize]) -> Vec<Chained<'a>> {
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
        Some(Chained {
            task: network.tasks.get(*position)?,
            head: heads.get(position).copied().unwrap_or(0),
            tail: tails.get(position).copied().unwrap_or(0),
        })
    });
    all.collect()
}

/// Groups of people that alone can take some seats, and unions of two such groups.
fn groups(seen: &[Chained<'_>]) -> BTreeSet<BTreeSet<usize>> {
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

/// How much some servers can give before each minute: from each of these minutes on so much a minute, and what was given before it.
struct Presence(Vec<(Minute, u64, u64)>);

impl Presence {
    fn always(count: u64) -> Self {
        Self(vec![(0, count, 0)])
    }

    /// How often so many of some people are there together.
    fn of(people: &[&Calendar], together: Minute) -> Self {
        let mut steps: BTreeMap<Minute, i64> = BTreeMap::new();
        for (from, to) in people.iter().flat_map(|hours| hours.stretches()) {
            *steps.entry(*from).or_default() += 1;
            *steps.entry(*to).or_default() -= 1;
        }
        let (mut found, mut there, mut given) = (Vec::new(), 0_i64, 0_u64);
        let mut last: (Minute, u64) = (0, 0);
        for (at, step) in steps {
            given += u64::from(at - last.0) * last.1;
            there += step;
            last = (
                at,
                u64::try_from(there).unwrap_or(0) / u64::from(together.max(1)),
            );
            found.push((at, last.1, given));
        }
        Self(found)
    }

    fn before(&self, minute: Minute) -> u64 {
        let place = self.0.partition_point(|(at, ..)| *at <= minute);
        let step = place.checked_sub(1).and_then(|place| self.0.get(place));
        step.map_or(0, |(at, rate, given)| given + u64::from(minute - at) * rate)
    }

    /// The first minute before which so much is given; none when it never is.
    fn first(&self, needed: u64) -> Option<Minute> {
        let place = self.0.partition_point(|(.., given)| *given < needed);
        let (at, rate, given) = self.0.get(place.checked_sub(1)?)?;
        let more = (needed - given).div_ceil((*rate).max(1));
        let found = at.checked_add(Minute::try_from(more).ok()?)?;
        (*rate > 0).then_some(found)
    }
}

/// The least end by what tasks take of some servers, the shortest way in and out included.
fn energy(
    seen: &[Chained<'_>],
    takes: impl Fn(&Chained<'_>) -> Minute,
    there: &Presence,
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
    let start = from + head;
    if work == 0 {
        return start + tail;
    }
    let first = there.first(there.before(start) + work);
    first.unwrap_or(start).max(start) + tail
}

/// The end of the longest chain of a stretch, each task done by the two who are there together soonest, and after what it waits for.
fn under_hours(
    network: &Network,
    stretch: &[usize],
    from: Minute,
    ends: &mut BTreeMap<usize, Minute>,
) -> Minute {
    let mut latest = from;
    for position in stretch {
        let Some(task) = network.tasks.get(*position) else {
            continue;
        };
        let ready = task
            .after
            .iter()
            .filter_map(|before| ends.get(before))
            .max();
        let waited = task.waits.iter().filter_map(|wait| {
            let end = ends.get(&wait.after)?;
            Some(network.after_wait(*end, wait.least))
        });
        let ready = waited.fold(ready.copied().unwrap_or(from).max(from), Minute::max);
        let end = joint(network, task, ready).unwrap_or(ready + task.minutes);
        ends.insert(*position, end);
        latest = latest.max(end);
    }
    latest
}

/// The soonest end of a task whose people work together, looked at two seats at a time; none where nobody ever has time for it.
fn joint(network: &Network, task: &Activity, ready: Minute) -> Option<Minute> {
    let hours = |seat: &Seat| -> Vec<&Calendar> {
        let who = seat.who.iter().filter_map(|who| network.people.get(*who));
        let mut hours: Vec<&Calendar> = who.map(|person| &person.calendar).collect();
        hours.sort_unstable();
        hours.dedup();
        hours
    };
    let mut end = ready + task.minutes;
    let seats: Vec<Vec<&Calendar>> = task.seats.iter().map(hours).collect();
    for (number, one) in seats.iter().enumerate() {
        for others in seats.iter().skip(number) {
            let pairs = one
                .iter()
                .flat_map(|a| others.iter().map(move |b| [*a, *b]));
            let soonest = pairs
                .filter_map(|pair| finish(pair, ready, task.minutes))
                .min();
            end = end.max(soonest?);
        }
    }
    Some(end)
}
