//! The work as an abstract network: tasks that wait for tasks, people who sit on their seats, things that serve one task at a time.
//!
//! Knows nothing of vehicles, rules or pages: `build` makes one of a plan, tests make theirs of published examples. Persons, things
//! and tasks are known by their position. [`Network::order`] says what cannot be scheduled at all.

use std::collections::BTreeSet;

use strum::IntoStaticStr;

use super::calendar::{Calendar, Minute};

/// What somebody does in a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Share {
    /// Does the work and answers for it.
    #[strum(serialize = "does")]
    Leads,
    /// Lends a hand.
    Helps,
    /// Only watches.
    Watches,
    /// Signs the hold point, and did none of it.
    Signs,
}

impl Share {
    /// The word on pages and in JSON.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }
}

/// A place in a task for one person; the seats of a task take as many different people.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seat {
    /// What is done on it.
    pub part: Share,
    /// The people who may sit on it, by position and in order.
    pub who: Vec<usize>,
}

/// One task.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Activity {
    /// Its id.
    pub id: String,
    /// How long it takes.
    pub minutes: Minute,
    /// The same when all goes well, and when it does not.
    pub range: (f64, f64),
    /// The variance of its minutes.
    pub variance: f64,
    /// The tasks that come first.
    pub after: Vec<usize>,
    /// The people that it takes.
    pub seats: Vec<Seat>,
    /// The things that it takes, one of each.
    pub things: Vec<usize>,
    /// Whether it may not pause over a break.
    pub whole: bool,
    /// The number of its bout: tasks of one bout begin and end on the same day.
    pub bout: Option<usize>,
    /// The tasks that may not be done while it is: one of the two shuts people out of a place where the other is done.
    pub apart: Vec<usize>,
    /// What it begins after by the clock on the wall, nights included.
    pub waits: Vec<Lag>,
}

/// A time that must pass after a task, such as an oil's time to soak in; nobody is needed for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lag {
    /// The task after whose end it counts.
    pub after: usize,
    /// Minutes on the wall.
    pub least: i64,
}

/// One person.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Person {
    /// When the person is there, or can be called.
    pub calendar: Calendar,
    /// Whether the person comes only when called; each call is to be booked, so that few are better.
    pub on_call: bool,
}

/// The whole work.
#[derive(Debug, Clone, Default)]
pub struct Network {
    /// The tasks.
    pub tasks: Vec<Activity>,
    /// The people.
    pub people: Vec<Person>,
    /// How many there are of each thing.
    pub things: Vec<usize>,
    /// The bouts that no break parts where one stretch of work is long enough for them.
    pub unbroken: BTreeSet<usize>,
    /// The minutes at which the workshop pauses, nights among them, in order.
    pub breaks: Vec<Minute>,
    /// The minutes at which a day ends, in order.
    pub nights: Vec<Minute>,
    /// Where each stretch of the workshop's clock begins on the wall: its first minute, and that minute on the wall. With none the
    /// workshop never closes.
    pub wall: Vec<(Minute, i64)>,
    /// Tasks begin at a multiple of so many minutes on the wall; with 0 or 1 at any.
    pub grid: Minute,
}

/// Why a network cannot be scheduled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stuck {
    /// Tasks wait for each other, by position.
    Circle(Vec<usize>),
    /// A task, or a bout from this task on, is longer than any day that its people have.
    TooLong(usize),
    /// There are not enough different people for a task's seats.
    Nobody(usize),
    /// A task for which its people never have time, as far as the hours go.
    NoTime(usize),
}

/// What waits for what, once it is known to be no circle. It is the same for every crew.
#[derive(Debug, Clone)]
pub(super) struct Order {
    /// The tasks so that each comes after those that it waits for.
    pub(super) tasks: Vec<usize>,
    /// For each task those that wait for it.
    pub(super) followers: Vec<Vec<usize>>,
}

impl Network {
    /// Puts the tasks in order; fails with the tasks of a circle when there is none.
    pub(super) fn order(&self) -> Result<Order, Stuck> {
        let mut waits: Vec<usize> = self.tasks.iter().map(|task| task.after.len()).collect();
        let followers = self.followers();
        let mut ready: Vec<usize> = (0..waits.len()).rev().collect();
        ready.retain(|task| waits.get(*task) == Some(&0));
        let mut order = Vec::new();
        while let Some(task) = ready.pop() {
            order.push(task);
            for follower in followers.get(task).into_iter().flatten() {
                let Some(left) = waits.get_mut(*follower) else {
                    continue;
                };
                *left -= 1;
                if *left == 0 {
                    ready.push(*follower);
                }
            }
        }
        if order.len() == self.tasks.len() {
            return Ok(Order {
                tasks: order,
                followers,
            });
        }
        let in_circle = |task: &usize| waits.get(*task).is_some_and(|left| *left > 0);
        Err(Stuck::Circle(
            (0..self.tasks.len()).filter(in_circle).collect(),
        ))
    }

    fn followers(&self) -> Vec<Vec<usize>> {
        let mut followers = vec![Vec::new(); self.tasks.len()];
        for (position, task) in self.tasks.iter().enumerate() {
            for before in &task.after {
                if let Some(list) = followers.get_mut(*before) {
                    list.push(position);
                }
            }
        }
        followers
    }

    pub(crate) fn break_after(&self, minute: Minute) -> Option<Minute> {
        next(&self.breaks, minute)
    }

    /// The next end of a day after a minute.
    pub fn night_after(&self, minute: Minute) -> Option<Minute> {
        next(&self.nights, minute)
    }

    /// The first minute from this one on at which a task may begin.
    pub(crate) fn on_grid(&self, minute: Minute) -> Minute {
        let grid = i64::from(self.grid.max(1));
        let open = self.wall.partition_point(|(at, _)| *at <= minute).max(1) - 1;
        let (at, wall) = self.wall.get(open).copied().unwrap_or_default();
        let here = wall + i64::from(minute.saturating_sub(at));
        let off = (grid - here.rem_euclid(grid)) % grid;
        let found = minute.saturating_add(Minute::try_from(off).unwrap_or(0));
        match self.wall.get(open + 1) {
            Some((next, _)) if *next < found => self.on_grid(*next),
            _ => found,
        }
    }

    /// The first minute of the workshop's clock that lies at least so long, on the wall, after the end of a task.
    pub(crate) fn after_wait(&self, end: Minute, least: i64) -> Minute {
        // What ends with a stretch ended before the night, not on the morning after it.
        let ended = self.wall.partition_point(|(at, _)| *at < end).max(1) - 1;
        let Some((at, wall)) = self.wall.get(ended) else {
            return end.saturating_add(Minute::try_from(least).unwrap_or(Minute::MAX));
        };
        let over = wall + i64::from(end.saturating_sub(*at)) + least;
        let open = self.wall.partition_point(|(_, wall)| *wall <= over).max(1) - 1;
        let next = self.wall.get(open + 1).map_or(Minute::MAX, |(at, _)| *at);
        let Some((at, wall)) = self.wall.get(open) else {
            return end;
        };
        // Within a stretch it is that minute; in the night after it, the next morning.
        let into = Minute::try_from((over - wall).max(0)).unwrap_or(Minute::MAX);
        at.saturating_add(into).min(next).max(end)
    }

    /// The same work for a crew without somebody.
    #[must_use]
    pub(crate) fn without(&self, gone: usize) -> Self {
        let mut smaller = self.clone();
        for seat in smaller.tasks.iter_mut().flat_map(|task| &mut task.seats) {
            seat.who.retain(|person| *person != gone);
        }
        smaller
    }
}

/// The first of a sorted list after a minute.
fn next(list: &[Minute], minute: Minute) -> Option<Minute> {
    let first = list.partition_point(|at| *at <= minute);
    list.get(first).copied()
}
