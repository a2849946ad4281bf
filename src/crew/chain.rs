//! The chain of tasks that a schedule's end hangs on: each waits for the one before, or for its people or things.
//!
//! Takes a network and its schedule; gives the chain in order, and how far the whole may be off: the standard deviation along it, and
//! its low and high minutes.

use super::calendar::Minute;
use super::network::Network;
use super::schedule::Schedule;

/// The chain and its spread.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chain {
    /// Its tasks, by position and in order.
    pub tasks: Vec<usize>,
    /// The standard deviation of its minutes.
    pub deviation: f64,
    /// Its minutes when all goes well, and when nothing does.
    pub range: (f64, f64),
}

/// The chain of a schedule.
pub fn chain(network: &Network, schedule: &Schedule) -> Chain {
    let mut here = (0..schedule.placed.len()).max_by_key(|task| end(schedule, *task));
    let mut tasks = Vec::new();
    while let Some(task) = here {
        tasks.push(task);
        here = before(network, schedule, task);
    }
    tasks.reverse();
    let of_chain = || tasks.iter().filter_map(|task| network.tasks.get(*task));
    Chain {
        deviation: of_chain().map(|task| task.variance).sum::<f64>().sqrt(),
        range: (
            of_chain().map(|task| task.range.0).sum(),
            of_chain().map(|task| task.range.1).sum(),
        ),
        tasks,
    }
}

fn end(schedule: &Schedule, task: usize) -> Minute {
    schedule.placed.get(task).map_or(0, |placed| placed.end)
}

/// The task that ended last of all that it had to wait for.
fn before(network: &Network, schedule: &Schedule, task: usize) -> Option<usize> {
    let (model, placed) = (network.tasks.get(task)?, schedule.placed.get(task)?);
    let waits = |other: &usize| {
        let (Some(theirs), Some(at)) = (network.tasks.get(*other), schedule.placed.get(*other))
        else {
            return false;
        };
        let shares = || {
            let same = |thing: &usize| model.things.contains(thing);
            at.who.iter().any(|person| placed.who.contains(person))
                || theirs.things.iter().any(same)
        };
        at.start < at.end && at.end <= placed.start && (model.after.contains(other) || shares())
    };
    let waited = (0..schedule.placed.len())
        .filter(|other| *other != task)
        .filter(waits);
    waited.max_by_key(|other| (end(schedule, *other), model.after.contains(other)))
}
