//! Calls of people who are booked: when they come and go, and fewer of them where the work does not take longer for it.
//!
//! Takes a schedule; gives its visits, or a schedule of the same length with fewer. A visit ends when the person would wait longer
//! than [`WAITS`] for the next task, or the day ends.

use super::calendar::Minute;
use super::improve::Search;
use super::network::Network;
use super::schedule::Schedule;

/// How long somebody who was called waits between two tasks, minutes (common practice).
pub(crate) const WAITS: Minute = 60;

/// One stay of a person who was called.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Visit {
    /// Who comes.
    pub person: usize,
    /// When, on the workshop's clock.
    pub start: Minute,
    /// Until when.
    pub end: Minute,
    /// For which tasks, in order.
    pub tasks: Vec<usize>,
}

/// Every visit of the people for whom this holds, by person and time.
pub(crate) fn visits(
    network: &Network,
    schedule: &Schedule,
    of: impl Fn(usize) -> bool,
) -> Vec<Visit> {
    let mut stays: Vec<(usize, Minute, Minute, usize)> = Vec::new();
    for (task, placed) in schedule.placed.iter().enumerate() {
        let called = placed.who.iter().filter(|person| of(**person));
        let days = days(network, (placed.start, placed.end));
        for person in called {
            let own = days.iter().map(|(from, to)| (*person, *from, *to, task));
            stays.extend(own);
        }
    }
    stays.sort_unstable();
    let mut visits: Vec<Visit> = Vec::new();
    for (person, start, end, task) in stays {
        match visits.last_mut() {
            Some(last)
                if last.person == person
                    && start <= last.end + WAITS
                    && same_day(network, last.end, start) =>
            {
                last.end = last.end.max(end);
                last.tasks.push(task);
            }
            _ => visits.push(Visit {
                person,
                start,
                end,
                tasks: vec![task],
            }),
        }
    }
    visits
}

/// A stretch of minutes day by day: whoever goes on tomorrow comes twice.
fn days(network: &Network, (start, end): (Minute, Minute)) -> Vec<(Minute, Minute)> {
    let mut days = Vec::new();
    let mut from = start;
    while let Some(night) = network.night_after(from).filter(|night| *night < end) {
        days.push((from, night));
        from = night;
    }
    days.push((from, end));
    days
}

/// Whether no night lies between an end and the start that follows.
fn same_day(network: &Network, end: Minute, start: Minute) -> bool {
    let night = network.night_after(end.saturating_sub(1));
    night.is_none_or(|night| start < night)
}

/// The visits of people who come when called.
pub(super) fn booked(network: &Network, schedule: &Schedule) -> Vec<Visit> {
    let is_booked = |person: usize| network.people.get(person).is_some_and(|p| p.on_call);
    visits(network, schedule, is_booked)
}

/// A schedule that is no longer and takes fewer visits, as far as one is found: a visit is put off to the next one of the same person.
pub(super) fn fewer(search: &Search<'_>, keys: &[f64], first: Schedule) -> Schedule {
    let network = search.network();
    let mut best = first;
    let mut not_before: Vec<Minute> = vec![0; network.tasks.len()];
    loop {
        let now = booked(network, &best);
        let merged = now
            .iter()
            .zip(now.iter().skip(1))
            .find_map(|(visit, next)| {
                if visit.person != next.person {
                    return None;
                }
                (0..=WAITS).step_by(15).find_map(|wait| {
                    let tried =
                        put_off(network, visit, next.start.saturating_sub(wait), &not_before);
                    let schedule = search.schedule(keys, &tried).ok()?;
                    let good = schedule.minutes() <= best.minutes()
                        && booked(network, &schedule).len() < now.len();
                    good.then_some((schedule, tried))
                })
            });
        let Some((schedule, tried)) = merged else {
            return best;
        };
        (best, not_before) = (schedule, tried);
    }
}

/// The least starts when a visit is put off so that it ends at a minute.
fn put_off(network: &Network, visit: &Visit, end: Minute, not_before: &[Minute]) -> Vec<Minute> {
    let minutes = |task: &usize| network.tasks.get(*task).map_or(0, |task| task.minutes);
    let work: Minute = visit.tasks.iter().map(minutes).sum();
    let least = end.saturating_sub(work);
    let mut tried = not_before.to_vec();
    for task in &visit.tasks {
        if let Some(slot) = tried.get_mut(*task) {
            *slot = least.max(*slot);
        }
    }
    tried
}
