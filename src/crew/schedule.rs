//! A list of tasks → a schedule: each task in turn at the first minute at which its people and things are free.
//!
//! This is the serial schedule generation scheme of project scheduling (Kolisch 1996, from memory): some order of the tasks gives a
//! shortest schedule when everybody has the same hours. Takes a network and an order; gives when each task is done and by whom.
//! Which order is a good one is left to `improve`.

use super::calendar::{Minute, finish};
use super::network::{Activity, Network, Stuck};

/// When a task is done, and by whom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Placed {
    /// Its first minute.
    pub start: Minute,
    /// The minute after its last.
    pub end: Minute,
    /// Who sits on each of its seats.
    pub who: Vec<usize>,
}

/// Every task placed, by position.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Schedule {
    /// The tasks.
    pub placed: Vec<Placed>,
}

impl Schedule {
    /// The minute at which the last task ends.
    pub fn minutes(&self) -> Minute {
        self.placed
            .iter()
            .map(|placed| placed.end)
            .max()
            .unwrap_or(0)
    }
}

/// Work of fewer minutes is not left half done over a night (common practice).
const SHORT: Minute = 60;
/// Longer work is not begun for fewer minutes before a night (common practice).
const PIECE: Minute = 15;

/// When somebody or something is taken: stretches in order.
type Taken = Vec<(Minute, Minute)>;

/// Takes a stretch of somebody or something, or gives it back.
type Booked = fn(&mut Taken, (Minute, Minute));

/// Whether a minute is free, and then until when.
fn free_until(taken: &Taken, minute: Minute) -> Option<Minute> {
    let next = taken.partition_point(|(_, to)| *to <= minute);
    match taken.get(next) {
        Some((from, _)) if *from <= minute => None,
        Some((from, _)) => Some(*from),
        None => Some(Minute::MAX),
    }
}

/// The first minute after this one at which a stretch ends.
fn next_end(taken: &Taken, minute: Minute) -> Option<Minute> {
    let next = taken.partition_point(|(_, to)| *to <= minute);
    taken.get(next).map(|(_, to)| *to)
}

fn take(taken: &mut Taken, stretch: (Minute, Minute)) {
    if stretch.0 < stretch.1 {
        let place = taken.partition_point(|other| *other < stretch);
        taken.insert(place, stretch);
    }
}

fn give_back(taken: &mut Taken, stretch: (Minute, Minute)) {
    if let Ok(place) = taken.binary_search(&stretch) {
        taken.remove(place);
    }
}

/// The same of a person, who is never taken twice at a time: what touches is one stretch, so that whoever looks for a free minute is past it
/// in one step.
fn take_joined(taken: &mut Taken, (from, to): (Minute, Minute)) {
    if from < to {
        let first = taken.partition_point(|(_, other)| *other < from);
        let last = taken.partition_point(|(other, _)| *other <= to);
        let touched = taken.get(first..last).unwrap_or_default();
        let from = touched.first().map_or(from, |(other, _)| from.min(*other));
        let to = touched.last().map_or(to, |(_, other)| to.max(*other));
        taken.splice(first..last, [(from, to)]);
    }
}

fn give_back_part(taken: &mut Taken, (from, to): (Minute, Minute)) {
    let place = taken.partition_point(|(_, other)| *other < to);
    if let Some(&(first, last)) = taken.get(place).filter(|_| from < to) {
        let left = [(first, from), (to, last)].into_iter();
        taken.splice(place..=place, left.filter(|(from, to)| from < to));
    }
}

/// A schedule in the making.
pub(super) struct Builder<'a> {
    network: &'a Network,
    /// People in the order in which they are asked: whoever is of least use elsewhere first.
    rank: &'a [usize],
    /// Tasks may not begin before this, by position; at any minute where it says nothing of them.
    not_before: &'a [Minute],
    people: Vec<Taken>,
    things: Vec<Taken>,
    placed: Vec<Placed>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(network: &'a Network, rank: &'a [usize], not_before: &'a [Minute]) -> Self {
        Self {
            network,
            rank,
            not_before,
            people: vec![Taken::new(); network.people.len()],
            things: vec![Taken::new(); network.things.len()],
            placed: vec![Placed::default(); network.tasks.len()],
        }
    }

    /// Places every task of an order; the members of a bout stand one after the other in it.
    pub(super) fn run(mut self, order: &[&[usize]]) -> Result<Schedule, Stuck> {
        for bout in order {
            match *bout {
                [task] if self.bout_of(*task).is_none() => self.place(*task, 0)?,
                tasks => self.place_bout(tasks)?,
            }
        }
        Ok(Schedule {
            placed: self.placed,
        })
    }

    fn bout_of(&self, task: usize) -> Option<usize> {
        self.network.tasks.get(task)?.bout
    }

    /// Places a task at the first minute that it can have.
    fn place(&mut self, task: usize, least: Minute) -> Result<(), Stuck> {
        let network = self.network;
        let Some(model) = network.tasks.get(task) else {
            return Ok(());
        };
        let before = model
            .after
            .iter()
            .filter_map(|before| self.placed.get(*before));
        let waited = model.waits.iter().filter_map(|wait| {
            let before = self.placed.get(wait.after)?;
            Some(network.after_wait(before.end, wait.least))
        });
        let ready = before
            .map(|placed| placed.end)
            .chain(waited)
            .fold(least, Minute::max);
        let ready = ready.max(self.not_before.get(task).copied().unwrap_or(0));
        // Where no day is long enough for short work, a night parts it after all.
        let placed = self
            .first(model, ready, false)
            .or_else(|| self.first(model, ready, true))
            .ok_or(Stuck::NoTime(task))?;
        self.book(model, &placed, (take_joined, take));
        if let Some(slot) = self.placed.get_mut(task) {
            *slot = placed;
        }
        Ok(())
    }

    /// Where a task ends first from a minute on; `torn` also where a night parts what is not worth taking up again.
    fn first(&self, model: &Activity, ready: Minute, torn: bool) -> Option<Placed> {
        let mut minute = self.network.on_grid(ready);
        let mut best: Option<Placed> = None;
        // A later start ends sooner where it spares a pause, since some people are away for long.
        while best
            .as_ref()
            .is_none_or(|best| minute + model.minutes < best.end)
        {
            if let Some(placed) = self.try_at(model, minute, torn)
                && best.as_ref().is_none_or(|best| placed.end < best.end)
            {
                best = Some(placed);
                continue;
            }
            match self.next_event(model, minute) {
                Some(next) => minute = self.network.on_grid(next),
                None => break,
            }
        }
        best
    }

    /// Places the tasks of a bout on one day, and between two breaks where it is one that no break parts.
    fn place_bout(&mut self, tasks: &[usize]) -> Result<(), Stuck> {
        let bout = tasks.first().and_then(|first| self.bout_of(*first));
        if bout.is_some_and(|bout| self.network.unbroken.contains(&bout)) {
            if self.place_between(tasks, Network::break_after).is_ok() {
                return Ok(());
            }
            for task in tasks {
                self.unbook(*task);
            }
        }
        self.place_between(tasks, Network::night_after)
    }

    /// Places tasks so that no pause lies between the first start and the last end.
    fn place_between(
        &mut self,
        tasks: &[usize],
        pause_after: fn(&Network, Minute) -> Option<Minute>,
    ) -> Result<(), Stuck> {
        let first = tasks.first().copied().unwrap_or(0);
        let mut least = 0;
        loop {
            for task in tasks {
                self.place(*task, least)?;
            }
            let placed = tasks.iter().filter_map(|task| self.placed.get(*task));
            let start = placed.clone().map(|placed| placed.start).min().unwrap_or(0);
            let end = placed.map(|placed| placed.end).max().unwrap_or(0);
            match pause_after(self.network, start) {
                Some(pause) if pause < end => {
                    for task in tasks {
                        self.unbook(*task);
                    }
                    least = pause;
                }
                _ => return Ok(()),
            }
            if least == Minute::MAX {
                return Err(Stuck::NoTime(first));
            }
        }
    }

    /// Books the people and the things of a task, or gives them back. It takes its people until something may begin again.
    fn book(&mut self, model: &Activity, placed: &Placed, (people, things): (Booked, Booked)) {
        let busy = (placed.start, self.network.on_grid(placed.end));
        for person in &placed.who {
            if let Some(taken) = self.people.get_mut(*person) {
                people(taken, busy);
            }
        }
        for thing in &model.things {
            if let Some(taken) = self.things.get_mut(*thing) {
                things(taken, (placed.start, placed.end));
            }
        }
    }

    fn unbook(&mut self, task: usize) {
        let placed = self.placed.get_mut(task).map(std::mem::take);
        if let Some((placed, model)) = placed.zip(self.network.tasks.get(task)) {
            self.book(model, &placed, (give_back_part, give_back));
        }
    }

    /// The task at a minute, when people and things allow it.
    fn try_at(&self, model: &Activity, minute: Minute, torn: bool) -> Option<Placed> {
        let mut out: Vec<usize> = Vec::new();
        loop {
            let who = self.seated(model, minute, &out)?;
            let people = who.iter().filter_map(|who| self.network.people.get(*who));
            let hours = people.map(|person| &person.calendar);
            let end = finish(hours, minute, model.minutes)?;
            if model.whole && !self.is_whole(minute, end, model.minutes)
                || !torn && self.tears(model, minute, end)
                || self.shut_out(model, minute, end)
            {
                return None;
            }
            let taken = |person: &&usize| self.person_free(**person, minute) < Some(end);
            let before = out.len();
            out.extend(who.iter().filter(taken));
            if out.len() == before {
                let free = |thing: &usize| self.thing_free(*thing, minute, end);
                let start = minute;
                return model
                    .things
                    .iter()
                    .all(free)
                    .then_some(Placed { start, end, who });
            }
        }
    }

    fn is_whole(&self, start: Minute, end: Minute, minutes: Minute) -> bool {
        let pause = self.network.break_after(start);
        end - start == minutes && pause.is_none_or(|pause| pause >= end)
    }

    /// Whether a night would part what is not worth taking up again.
    fn tears(&self, model: &Activity, start: Minute, end: Minute) -> bool {
        let night = self.network.night_after(start).filter(|night| *night < end);
        night.is_some_and(|night| model.minutes < SHORT || night - start < PIECE)
    }

    /// Whether somebody else's work shuts people out of where this is done, or this out of where they work.
    fn shut_out(&self, model: &Activity, start: Minute, end: Minute) -> bool {
        let placed = model
            .apart
            .iter()
            .filter_map(|other| self.placed.get(*other));
        placed
            .into_iter()
            .any(|other| other.start < end && start < other.end)
    }

    fn person_free(&self, person: usize, minute: Minute) -> Option<Minute> {
        free_until(self.people.get(person)?, minute)
    }

    fn thing_free(&self, thing: usize, start: Minute, end: Minute) -> bool {
        let Some(taken) = self.things.get(thing) else {
            return false;
        };
        let meets = |(from, to): &&(Minute, Minute)| *from < end && *to > start;
        // Of one kind, as many as lie over each other at most are as many as are needed.
        let over: Vec<&(Minute, Minute)> = taken.iter().filter(meets).collect();
        let starts = over.iter().map(|(from, _)| (*from).max(start));
        let most = starts
            .map(|at| {
                over.iter()
                    .filter(|(from, to)| *from <= at && at < *to)
                    .count()
            })
            .max();
        let count = self.network.things.get(thing).copied().unwrap_or(0);
        most.unwrap_or(0) < count
    }

    /// Different people for the seats who are there and free at a minute, those of least use elsewhere first.
    fn seated(&self, model: &Activity, minute: Minute, out: &[usize]) -> Option<Vec<usize>> {
        let mut seats = Vec::with_capacity(model.seats.len());
        for (number, seat) in model.seats.iter().enumerate() {
            let who = seat.who.iter().filter(|person| !out.contains(person));
            let who = who.filter_map(|person| self.turn(*person, (minute, model.minutes)));
            if let [_] = model.seats.as_slice() {
                return who.min().map(|(.., person)| vec![person]);
            }
            let mut who: Vec<Turn> = who.collect();
            if who.is_empty() {
                return None;
            }
            who.sort_unstable();
            seats.push((number, who));
        }
        seats.sort_by_key(|(_, who)| who.len());
        let mut taken = Vec::with_capacity(seats.len());
        if !seat_all(
            &seats,
            &|(_, who)| who.iter().map(|turn| turn.2),
            &mut taken,
        ) {
            return None;
        }
        let mut placed: Vec<(usize, usize)> =
            seats.iter().map(|(seat, _)| *seat).zip(taken).collect();
        placed.sort_unstable();
        Some(placed.into_iter().map(|(_, person)| person).collect())
    }

    /// When somebody who is there and free at a minute would be asked for so many; none who is not.
    fn turn(&self, person: usize, (minute, minutes): (Minute, Minute)) -> Option<Turn> {
        let hours = &self.network.people.get(person)?.calendar;
        // A pause shortens no work, so less room than its minutes is never enough.
        if self.person_free(person, minute)? - minute < minutes || !hours.is_there(minute) {
            return None;
        }
        let end = finish([hours], minute, minutes).unwrap_or(Minute::MAX);
        Some((end, self.rank.get(person).copied(), person))
    }

    /// The next minute at which something changes for a task.
    fn next_event(&self, model: &Activity, minute: Minute) -> Option<Minute> {
        let mut next: Option<Minute> = None;
        let mut see = |at: Option<Minute>| {
            if let Some(at) = at {
                next = Some(next.map_or(at, |next| next.min(at)));
            }
        };
        for person in model.seats.iter().flat_map(|seat| &seat.who) {
            see(self
                .people
                .get(*person)
                .and_then(|taken| next_end(taken, minute)));
            if let Some(person) = self.network.people.get(*person) {
                let (stretches, after) = (person.calendar.stretches(), minute + 1);
                let place = stretches.partition_point(|(from, _)| *from < after);
                see(stretches.get(place).map(|(from, _)| *from));
            }
        }
        for thing in &model.things {
            let taken = self.things.get(*thing);
            let ends = taken.into_iter().flatten().map(|(_, to)| *to);
            see(ends.filter(|to| *to > minute).min());
        }
        for other in model
            .apart
            .iter()
            .filter_map(|other| self.placed.get(*other))
        {
            see(Some(other.end).filter(|end| *end > minute));
        }
        see(self.network.break_after(minute));
        next
    }
}

/// When a piece of work would end with somebody, the person's place among those who are asked, and the person.
type Turn = (Minute, Option<usize>, usize);

/// Fills the seats from the first on with different people of those who may sit there, the first choice that works.
pub(super) fn seat_all<'s, S, P: Iterator<Item = usize>>(
    seats: &'s [S],
    who: &impl Fn(&'s S) -> P,
    taken: &mut Vec<usize>,
) -> bool {
    let Some(seat) = seats.get(taken.len()) else {
        return true;
    };
    for person in who(seat) {
        if !taken.contains(&person) {
            taken.push(person);
            if seat_all(seats, who, taken) {
                return true;
            }
            taken.pop();
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::{Taken, give_back_part, take_joined};

    #[test]
    fn stretches_that_touch_are_one_and_come_apart_again() {
        let mut taken = Taken::new();
        for stretch in [(10, 20), (30, 40), (50, 60), (20, 30), (70, 70)] {
            take_joined(&mut taken, stretch);
        }
        assert_eq!(taken, [(10, 40), (50, 60)]);
        for stretch in [(20, 30), (50, 55), (70, 70)] {
            give_back_part(&mut taken, stretch);
        }
        assert_eq!(taken, [(10, 20), (30, 40), (55, 60)]);
    }
}
