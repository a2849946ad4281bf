//! How long the work takes until the vehicle is handed over: all minutes together, and the chain of tasks that waits longest. What is due
//! at a distance later is no part of either.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::task::{Minutes, Task, TaskId};

/// The tasks before the vehicle is handed over.
fn of_the_lift(tasks: &[Task]) -> impl Iterator<Item = &Task> {
    tasks.iter().filter(|task| task.due.is_none())
}

/// All minutes together, as one person's work on one thing after the other.
pub(super) fn total(tasks: &[Task]) -> Minutes {
    of_the_lift(tasks).fold(Minutes::default(), |sum, task| sum.plus(task.minutes))
}

/// The chain of tasks, each waiting for the one before, with the most likely minutes; the first of equals.
pub(super) fn longest_chain(tasks: &[Task]) -> Vec<TaskId> {
    let mut best: BTreeMap<&str, (f64, Option<&str>)> = BTreeMap::new();
    // Tasks that begin a slot share what they wait for.
    let mut known: Option<(&Arc<[TaskId]>, Chain<'_>)> = None;
    for task in of_the_lift(tasks) {
        let slot = task.after.slot();
        let shared = known.filter(|(of, _)| Arc::ptr_eq(of, slot));
        let shared = shared.map_or_else(|| longest(slot, &best), |(_, longest)| longest);
        known = Some((slot, shared));
        let before = longer(longest(task.after.own(), &best), shared);
        let minutes = before.map_or(0.0, |(minutes, _)| minutes);
        let before = before.map(|(_, id)| id);
        best.insert(&task.id, (minutes + task.minutes.likely, before));
    }
    let mut end: Option<(&str, f64)> = None;
    for (id, (minutes, _)) in &best {
        if end.is_none_or(|(_, most)| *minutes > most) {
            end = Some((id, *minutes));
        }
    }
    let mut chain = Vec::new();
    let mut here = end.map(|(id, _)| id);
    while let Some(id) = here {
        chain.push(id.to_owned());
        here = best.get(id).and_then(|(_, before)| *before);
    }
    chain.reverse();
    chain
}

/// The minutes of a chain, and its last task.
type Chain<'t> = Option<(f64, &'t str)>;

/// The task of these whose chain is longest, with its minutes.
fn longest<'t>(ids: &'t [TaskId], best: &BTreeMap<&str, (f64, Option<&str>)>) -> Chain<'t> {
    let known = ids.iter().filter_map(|id| {
        let (minutes, _) = best.get(id.as_str())?;
        (*minutes > 0.0).then_some((*minutes, id.as_str()))
    });
    known.map(Some).fold(None, longer)
}

/// The longer of two chains, of equals the one whose last task comes first by its id.
fn longer<'t>(one: Option<(f64, &'t str)>, other: Option<(f64, &'t str)>) -> Chain<'t> {
    one.into_iter().chain(other).reduce(|one, other| {
        let order = one.0.total_cmp(&other.0).then_with(|| other.1.cmp(one.1));
        if order.is_lt() { other } else { one }
    })
}
