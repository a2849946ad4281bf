//! How long the work takes until the vehicle is handed over: all minutes together, and the chain of tasks that waits longest. What is due
//! at a distance later is no part of either.

use std::collections::BTreeMap;

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
    for task in of_the_lift(tasks) {
        let mut longest: (f64, Option<&str>) = (0.0, None);
        for before in &task.after {
            if let Some(&(minutes, _)) = best.get(before.as_str())
                && minutes > longest.0
            {
                longest = (minutes, Some(before));
            }
        }
        best.insert(&task.id, (longest.0 + task.minutes.likely, longest.1));
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
