//! A time that no schedule can be shorter than, and what makes it so.
//!
//! The work is cut at the tasks that everything else comes before or after; each stretch takes at least its longest chain, the hours
//! of the people who alone can do some of it, and those of its things, under everybody's hours from the end of the stretch before.
//! Takes a network; gives a [`Bound`].

use std::collections::{BTreeMap, BTreeSet};

use super::calendar::{Calendar, Minute, finish};
use super::network::{Activity, Network, Order, Seat};
use crate::sorted::Sorted as _;

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

/// The bound of a network whose order is known.
pub(super) fn bound_of(network: &Network, order: &Order) -> Bound {
    let stretches = stretches(network, order);
    let seen = chained(network, &stretches);
    let mut held: BTreeMap<Reason, Minute> = BTreeMap::new();
    let mut end = 0;
    // The least end of each task so far, for what waits for one of an earlier stretch.
    let mut ends = vec![None; network.tasks.len()];
    // Nothing of a stretch begins before the one before it has ended, and beginning later never ends it sooner.
    for stretch in &stretches {
        let chain = under_hours(network, stretch, end, &mut ends);
        let stretch: Vec<&Chained<'_>> = stretch.iter().filter_map(|n| seen.get(*n)).collect();
        let (reason, to) = stretch_bound(network, &stretch, end, chain);
        *held.entry(reason).or_default() += to - end;
        end = to;
    }
    let mut reasons: Vec<(Reason, Minute)> = held.into_iter().collect();
    reasons.sort_by(|one, other| other.1.cmp(&one.1).then(one.0.cmp(&other.0)));
    Bound {
        minutes: end,
        reasons,
    }
}

/// The tasks between those that all others come before or after, in order; such a task is a stretch of its own.
fn stretches(network: &Network, Order { tasks, followers }: &Order) -> Vec<Vec<usize>> {
    let count = tasks.len();
    let after = |task: &usize| network.tasks.get(*task).map_or(&[][..], |task| &task.after);
    let above = Reached::new(tasks.iter(), count, after);
    let behind = |task: &usize| followers.get(*task).map_or(&[][..], Vec::as_slice);
    let below = Reached::new(tasks.iter().rev(), count, behind);
    let mut cuts = vec![0; count.div_ceil(64)];
    let is_cut = |task: &usize| above.count(*task, None) + below.count(*task, None) + 1 == count;
    for task in tasks.iter().filter(|task| is_cut(task)) {
        set(&mut cuts, *task);
    }
    // Between two cuts: what has passed as many cuts comes before the next cut.
    let mut stretches: BTreeMap<(usize, bool), Vec<usize>> = BTreeMap::new();
    for task in tasks {
        let passed = above.count(*task, Some(&cuts));
        let stretch = stretches.entry((passed, is_cut(task)));
        stretch.or_default().push(*task);
    }
    stretches.into_values().collect()
}

fn set(bits: &mut [u64], task: usize) {
    if let Some(word) = bits.get_mut(task / 64) {
        *word |= 1 << (task % 64);
    }
}

/// For each task all that are reached from it over several steps, as bits.
struct Reached(Vec<Vec<u64>>);

impl Reached {
    fn new<'a, 'b>(
        order: impl Iterator<Item = &'b usize>,
        count: usize,
        steps: impl Fn(&usize) -> &'a [usize],
    ) -> Self {
        let mut sets: Vec<Vec<u64>> = vec![Vec::new(); count];
        for task in order {
            let mut own = vec![0; count.div_ceil(64)];
            for step in steps(task) {
                let theirs = sets.get(*step).into_iter().flatten();
                for (word, their) in own.iter_mut().zip(theirs) {
                    *word |= their;
                }
                set(&mut own, *step);
            }
            if let Some(set) = sets.get_mut(*task) {
                *set = own;
            }
        }
        Self(sets)
    }

    /// How many are reached from a task, of all or of these alone.
    fn count(&self, task: usize, of: Option<&[u64]>) -> usize {
        let words = self.0.get(task).into_iter().flatten().enumerate();
        let within = |at: usize| of.map_or(u64::MAX, |of| of.get(at).copied().unwrap_or(0));
        let ones = words.map(|(at, word)| (word & within(at)).count_ones() as usize);
        ones.sum()
    }
}

/// A task of a stretch with the longest chains before and after it in the stretch.
struct Chained<'a> {
    task: &'a Activity,
    /// The number of its stretch, once it is reached.
    stretch: Option<usize>,
    head: Minute,
    tail: Minute,
}

/// Every task with its stretch and its chains there.
fn chained<'a>(network: &'a Network, stretches: &[Vec<usize>]) -> Vec<Chained<'a>> {
    let tasks = network.tasks.iter().map(|task| Chained {
        task,
        stretch: None,
        head: 0,
        tail: 0,
    });
    let mut all: Vec<Chained<'_>> = tasks.collect();
    for (number, stretch) in stretches.iter().enumerate() {
        for position in stretch {
            let Some(own) = all.get(*position) else {
                continue;
            };
            let before = own.task.after.iter().filter_map(|before| all.get(*before));
            let before = before.filter(|before| before.stretch == Some(number));
            let head = before.map(|before| before.head + before.task.minutes).max();
            if let Some(own) = all.get_mut(*position) {
                own.stretch = Some(number);
                own.head = head.unwrap_or(0);
            }
        }
    }
    for position in stretches
        .iter()
        .rev()
        .flat_map(|stretch| stretch.iter().rev())
    {
        let Some(own) = all.get(*position) else {
            continue;
        };
        let (after, stretch, tail) = (&own.task.after, own.stretch, own.tail + own.task.minutes);
        for before in after {
            if let Some(before) = all.get_mut(*before).filter(|one| one.stretch == stretch) {
                before.tail = before.tail.max(tail);
            }
        }
    }
    all
}

/// The least end of a stretch that begins at a minute and whose longest chain ends at another, and what makes it so.
fn stretch_bound(
    network: &Network,
    seen: &[&Chained<'_>],
    from: Minute,
    chain: Minute,
) -> (Reason, Minute) {
    let mut best = (Reason::Chain, chain);
    // One task of one person takes that person's hours, whatever else there is.
    if matches!(seen, [one] if one.task.seats.len() < 2) {
        return best;
    }
    let mut see = |reason: Reason, least: Minute| {
        if least > best.1 {
            best = (reason, least);
        }
    };
    for people in groups(seen) {
        let calendars: Vec<&Calendar> = people
            .iter()
            .filter_map(|person| network.people.get(*person))
            .map(|person| &person.calendar)
            .collect();
        let own = seen.iter().map(|seen| {
            let seats = seen.task.seats.iter();
            let own = seats.filter(|seat| seat.who.iter().all(|who| people.contains(who)));
            Minute::try_from(own.count()).unwrap_or(0)
        });
        let own: Vec<Minute> = own.collect();
        let most = own.iter().copied().max().unwrap_or(0);
        let mut least = energy(seen, &own, &Presence::of(&calendars, 1), from);
        // Of what takes two of them at once, only one is done while two or three are there, and so on.
        for together in 2..=most {
            let takes = own.iter().map(|own| Minute::from(*own >= together));
            let takes: Vec<Minute> = takes.collect();
            let there = Presence::of(&calendars, together);
            least = least.max(energy(seen, &takes, &there, from));
        }
        see(Reason::People(people.iter().copied().collect()), least);
    }
    for (thing, count) in network.things.iter().enumerate() {
        let takes = seen.iter();
        let takes = takes.map(|seen| Minute::from(seen.task.things.contains(&thing)));
        let takes: Vec<Minute> = takes.collect();
        let count = u64::try_from((*count).max(1)).unwrap_or(1);
        let there = Presence::always(count);
        see(Reason::Thing(thing), energy(seen, &takes, &there, from));
    }
    best
}

/// Groups of people that alone can take some seats, and unions of two such groups.
fn groups(seen: &[&Chained<'_>]) -> BTreeSet<BTreeSet<usize>> {
    let seats = seen.iter().flat_map(|seen| &seen.task.seats);
    let own: BTreeSet<BTreeSet<usize>> = seats
        .map(|seat| seat.who.iter().copied().collect())
        .sorted_set();
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

/// The least end by what each task takes of some servers, the shortest way in and out included.
fn energy(seen: &[&Chained<'_>], takes: &[Minute], there: &Presence, from: Minute) -> Minute {
    let (mut work, mut head, mut tail) = (0, Minute::MAX, Minute::MAX);
    for (seen, takes) in seen.iter().zip(takes) {
        let own = u64::from(*takes) * u64::from(seen.task.minutes);
        if own > 0 {
            (head, tail) = (head.min(seen.head), tail.min(seen.tail));
            work += own;
        }
    }
    if work == 0 {
        return from;
    }
    let start = from + head;
    let first = there.first(there.before(start) + work);
    first.unwrap_or(start).max(start) + tail
}

/// The end of the longest chain of a stretch, each task done by the two who are there together soonest, and after what it waits for.
fn under_hours(
    network: &Network,
    stretch: &[usize],
    from: Minute,
    ends: &mut [Option<Minute>],
) -> Minute {
    let mut latest = from;
    for position in stretch {
        let Some(task) = network.tasks.get(*position) else {
            continue;
        };
        let ended = |before: &usize| ends.get(*before).copied().flatten();
        let ready = task.after.iter().filter_map(ended).fold(from, Minute::max);
        let waited = task.waits.iter().filter_map(|wait| {
            let end = ended(&wait.after)?;
            Some(network.after_wait(end, wait.least))
        });
        let ready = waited.fold(ready, Minute::max);
        let end = joint(network, task, ready).unwrap_or(ready + task.minutes);
        if let Some(slot) = ends.get_mut(*position) {
            *slot = Some(end);
        }
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
