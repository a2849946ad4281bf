//! Good orders of the tasks: priority rules, then a search with a fixed seed and a fixed number of tries.
//!
//! Takes a network and its lower bound; gives the shortest schedule found. The search takes the tasks by how much work waits behind
//! them, disturbs that, and goes forward and backward through the work (double justification; Valls, Ballestín and Quintanilla
//! 2005, from memory). It stops when the bound is met. No clock: the same input gives the same schedule.

use std::borrow::Cow;
use std::cell::{Cell, OnceCell};

use super::calendar::{Calendar, Minute};
use super::network::{Activity, Network, Order, Person, Stuck};
use super::schedule::{Builder, Schedule};
use crate::lots::Lots;

/// How many tasks are placed at most while searching; every schedule of so many tasks counts as that many, in either direction.
pub(super) const EFFORT: usize = 40_000;
/// How many tries a task is worth at most where there are few.
const LITTLE: usize = 40;

/// How many tasks are placed at most to search a network.
pub(super) fn effort(network: &Network) -> usize {
    let count = network.tasks.len().max(1);
    EFFORT.min(LITTLE * count * count)
}

/// A network prepared for the search.
pub(super) struct Search<'a> {
    network: Cow<'a, Network>,
    /// The same work from its end, made when it is first asked for: a schedule that is short enough needs none.
    back: OnceCell<Box<Search<'static>>>,
    order: Cow<'a, Order>,
    /// For each task the number of its bout among all bouts; a task alone is a bout, too.
    bout_of: Vec<usize>,
    /// The bouts: the tasks of each in order.
    bouts: Vec<Vec<usize>>,
    /// How many bouts each bout waits for, and which wait for it.
    waits: Vec<usize>,
    behind: Vec<Vec<usize>>,
    rank: Vec<usize>,
    /// The longest chain from each task's start to the end.
    tails: Vec<Minute>,
    made: Cell<usize>,
}

impl<'a> Search<'a> {
    pub(super) fn new(network: Cow<'a, Network>, order: Cow<'a, Order>) -> Self {
        let (bout_of, bouts) = bouts(&network, &order.tasks);
        let (waits, behind) = between(&network, &bout_of, bouts.len());
        let tails = tails(&network, &order);
        Self {
            rank: rank(&network),
            made: Cell::new(0),
            back: OnceCell::new(),
            network,
            order,
            bout_of,
            bouts,
            waits,
            behind,
            tails,
        }
    }

    /// The shortest schedule of the priority rules alone: that from which [`Search::run`] begins, so never shorter than what it finds.
    pub(super) fn begin(&self, bound: Minute) -> Result<Schedule, Stuck> {
        let best = self.ruled(bound)?;
        Ok(best.map(|(_, schedule)| schedule).unwrap_or_default())
    }

    /// The best of the priority rules, with its keys.
    fn ruled(&self, bound: Minute) -> Result<Option<(Vec<f64>, Schedule)>, Stuck> {
        let mut best: Option<(Vec<f64>, Schedule)> = None;
        for keys in self.rules() {
            let found = self.both_ways(&keys, (bound, 2))?;
            if better(&found.1, best.as_ref()) {
                best = Some(found);
            }
            let least = best.as_ref().map(|(_, schedule)| schedule.minutes());
            if least.is_some_and(|least| least <= bound) {
                break;
            }
        }
        Ok(best)
    }

    /// The shortest schedule found, with the keys that make it.
    pub(super) fn run(&self, bound: Minute) -> Result<(Vec<f64>, Schedule), Stuck> {
        let Some(mut best) = self.ruled(bound)? else {
            return Ok(Default::default());
        };
        let mut lots = Lots::new(1);
        let mut here = best.clone();
        let most = effort(&self.network) / self.network.tasks.len().max(1);
        let mut steps = 0..;
        while best.1.minutes() > bound
            && self.schedules() < most
            && let Some(step) = steps.next()
        {
            let keys = disturbed(&here.0, step, &mut lots);
            let found = self.both_ways(&keys, (bound, 1))?;
            if found.1.minutes() <= here.1.minutes() {
                here = found;
            }
            if better(&here.1, Some(&best)) {
                best = here.clone();
            }
            if step % 40 == 39 {
                here = best.clone();
            }
        }
        Ok(best)
    }

    /// The schedule of an order by keys, the smallest first among those that nothing holds back.
    pub(super) fn schedule(&self, keys: &[f64], not_before: &[Minute]) -> Result<Schedule, Stuck> {
        self.made.set(self.made.get() + 1);
        Builder::new(&self.network, &self.rank, not_before).run(&self.listed(keys))
    }

    pub(super) fn network(&self) -> &Network {
        &self.network
    }

    /// How many schedules were made, in either direction.
    fn schedules(&self) -> usize {
        self.made.get() + self.back.get().map_or(0, |back| back.made.get())
    }

    fn back(&self) -> Result<&Search<'static>, Stuck> {
        if let Some(back) = self.back.get() {
            return Ok(back);
        }
        let mirrored = self.mirrored();
        let order = Cow::Owned(mirrored.order()?);
        let back = Search::new(Cow::Owned(mirrored), order);
        Ok(self.back.get_or_init(|| Box::new(back)))
    }

    /// Keys → a schedule, made shorter by pushing everything to the end and back as long as that helps, so often at most.
    fn both_ways(
        &self,
        keys: &[f64],
        (bound, most): (Minute, usize),
    ) -> Result<(Vec<f64>, Schedule), Stuck> {
        let mut schedule = self.schedule(keys, &[])?;
        let mut keys = keys.to_vec();
        for _ in 0..most {
            if schedule.minutes() <= bound {
                break;
            }
            let late = self.back()?.late(&schedule);
            let again = self.schedule(&late, &[])?;
            if again.minutes() >= schedule.minutes() {
                break;
            }
            (keys, schedule) = (late, again);
        }
        Ok((keys, schedule))
    }

    /// In the mirrored work: each task's start when all of a schedule are pushed to the end, as keys.
    fn late(&self, schedule: &Schedule) -> Vec<f64> {
        let ends: Vec<f64> = schedule.placed.iter().map(|p| -f64::from(p.end)).collect();
        match self.schedule(&ends, &[]) {
            Ok(back) => back.placed.iter().map(|p| -f64::from(p.end)).collect(),
            Err(_) => ends,
        }
    }

    /// The same work from its end, at any hour.
    fn mirrored(&self) -> Network {
        let always = Calendar::always(Minute::MAX / 2);
        let people = self.network.people.iter().map(|person| Person {
            calendar: always.clone(),
            ..*person
        });
        let tasks = self.network.tasks.iter().zip(&self.order.followers);
        let tasks = tasks.map(|(task, followers)| Activity {
            after: followers.clone(),
            waits: Vec::new(),
            ..task.clone()
        });
        Network {
            tasks: tasks.collect(),
            people: people.collect(),
            things: self.network.things.clone(),
            grid: self.network.grid,
            ..Network::default()
        }
    }

    /// The priority rules: longest chain behind, the same with more people first, most behind it, as listed.
    fn rules(&self) -> Vec<Vec<f64>> {
        let tasks = || self.network.tasks.iter().zip(&self.tails);
        let tail = tasks().map(|(_, tail)| -f64::from(*tail));
        let people = tasks().map(|(task, tail)| {
            let seats = task.seats.len() + task.things.len();
            -f64::from(*tail)
                - f64::from(task.minutes) * f64::from(u32::try_from(seats).unwrap_or(0))
        });
        let few = tasks().map(|(task, tail)| {
            let fewest = task.seats.iter().map(|seat| seat.who.len()).min();
            -f64::from(*tail) + 60.0 * f64::from(u32::try_from(fewest.unwrap_or(0)).unwrap_or(0))
        });
        let listed =
            (0..self.network.tasks.len()).map(|n| f64::from(u32::try_from(n).unwrap_or(0)));
        vec![
            tail.collect(),
            people.collect(),
            few.collect(),
            listed.collect(),
        ]
    }

    /// The bouts in an order by keys: a bout goes by the smallest key of its tasks.
    fn listed(&self, keys: &[f64]) -> Vec<&[usize]> {
        let mut key_of = vec![f64::MAX; self.bouts.len()];
        for (key, bout) in keys.iter().zip(&self.bout_of) {
            if let Some(least) = key_of.get_mut(*bout) {
                *least = least.min(*key);
            }
        }
        let mut waits = self.waits.clone();
        let mut ready = std::collections::BinaryHeap::new();
        let entry = |bout: usize| ReadyBout(key_of.get(bout).copied().unwrap_or(0.0), bout);
        for (bout, waits) in waits.iter().enumerate() {
            if *waits == 0 {
                ready.push(entry(bout));
            }
        }
        let mut order = Vec::with_capacity(self.bouts.len());
        while let Some(ReadyBout(_, bout)) = ready.pop() {
            order.extend(self.bouts.get(bout).map(Vec::as_slice));
            for behind in self.behind.get(bout).into_iter().flatten() {
                if let Some(left) = waits.get_mut(*behind) {
                    *left -= 1;
                    if *left == 0 {
                        ready.push(entry(*behind));
                    }
                }
            }
        }
        order
    }
}

/// Some keys moved by some of their range, more and less of both in turn.
fn disturbed(keys: &[f64], step: usize, lots: &mut Lots) -> Vec<f64> {
    let (least, most) = keys
        .iter()
        .fold((f64::MAX, f64::MIN), |(least, most), key| {
            (least.min(*key), most.max(*key))
        });
    let strong = [0.03, 0.08, 0.2].get(step % 3).copied().unwrap_or(0.1) * (most - least);
    let often = if step.is_multiple_of(2) { 0.15 } else { 0.6 };
    let moved = keys.iter().map(|key| {
        let (moves, by) = (lots.share() < often, lots.share() * 2.0 - 1.0);
        if moves { key + by * strong } else { *key }
    });
    moved.collect()
}

/// A bout that is ready: the smallest key is the greatest entry, the first bout of equals.
#[derive(PartialEq)]
struct ReadyBout(f64, usize);

impl Eq for ReadyBout {}

impl PartialOrd for ReadyBout {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for ReadyBout {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.0.total_cmp(&self.0).then(other.1.cmp(&self.1))
    }
}

fn better(schedule: &Schedule, than: Option<&(Vec<f64>, Schedule)>) -> bool {
    than.is_none_or(|(_, best)| schedule.minutes() < best.minutes())
}

/// The bouts of a network, each in the order of its tasks, and the number of each task's own.
fn bouts(network: &Network, order: &[usize]) -> (Vec<usize>, Vec<Vec<usize>>) {
    let mut bout_of = vec![0; network.tasks.len()];
    let mut bouts: Vec<Vec<usize>> = Vec::new();
    let mut known = std::collections::BTreeMap::new();
    for task in order {
        let named = network.tasks.get(*task).and_then(|task| task.bout);
        let number = match named {
            Some(named) => *known.entry(named).or_insert(bouts.len()),
            None => bouts.len(),
        };
        if number == bouts.len() {
            bouts.push(Vec::new());
        }
        if let (Some(bout), Some(of)) = (bouts.get_mut(number), bout_of.get_mut(*task)) {
            bout.push(*task);
            *of = number;
        }
    }
    (bout_of, bouts)
}

/// How many bouts each bout waits for, and which wait for it.
fn between(network: &Network, bout_of: &[usize], count: usize) -> (Vec<usize>, Vec<Vec<usize>>) {
    let mut edges = std::collections::BTreeSet::new();
    for (task, own) in network.tasks.iter().zip(bout_of) {
        let before = task.after.iter().filter_map(|before| bout_of.get(*before));
        edges.extend(
            before
                .filter(|before| *before != own)
                .map(|before| (*before, *own)),
        );
    }
    let (mut waits, mut behind) = (vec![0; count], vec![Vec::new(); count]);
    for (from, to) in edges {
        if let (Some(waits), Some(behind)) = (waits.get_mut(to), behind.get_mut(from)) {
            *waits += 1;
            behind.push(to);
        }
    }
    (waits, behind)
}

/// The longest chain from each task's start to the end of the work.
fn tails(network: &Network, order: &Order) -> Vec<Minute> {
    let mut tails = vec![0; network.tasks.len()];
    for task in order.tasks.iter().rev() {
        let behind = order.followers.get(*task).into_iter().flatten();
        let longest = behind.filter_map(|follower| tails.get(*follower)).max();
        let longest = longest.copied().unwrap_or(0);
        let minutes = network.tasks.get(*task).map_or(0, |task| task.minutes);
        if let Some(tail) = tails.get_mut(*task) {
            *tail = longest + minutes;
        }
    }
    tails
}

/// Each person's place when several could sit on a seat: the crew before those on call, then whoever fits fewest minutes of seats.
fn rank(network: &Network) -> Vec<usize> {
    let mut fits: Vec<u64> = vec![0; network.people.len()];
    for task in &network.tasks {
        for person in task.seats.iter().flat_map(|seat| &seat.who) {
            if let Some(fits) = fits.get_mut(*person) {
                *fits += u64::from(task.minutes);
            }
        }
    }
    let called = network.people.iter().map(|person| person.on_call);
    let mut people: Vec<(bool, u64, usize)> = called
        .zip(fits)
        .enumerate()
        .map(|(n, (called, fits))| (called, fits, n))
        .collect();
    people.sort_unstable();
    let mut rank = vec![0; people.len()];
    for (place, (_, _, person)) in people.into_iter().enumerate() {
        if let Some(slot) = rank.get_mut(person) {
            *slot = place;
        }
    }
    rank
}
