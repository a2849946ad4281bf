//! What did not go by the clock: work that is said to have been done faster than anybody works, or too soon after what must lie some time back.
//!
//! Takes how the tasks stand; gives stretches of them, and pairs. What counts is when the work is said to have been done, so that a paper sheet that is
//! entered in the evening, with the times that stand on it, is no fault; entered without them it looks like work of five minutes, and the
//! record says so.

use super::agreed::SignedTask;
use super::entry::Entry;
use super::standing::Standing;
use super::status::Status;
use crate::chain::Time;

/// Tasks that follow one another faster than they can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Fast<'a> {
    /// The tasks, in the order of work.
    pub tasks: Vec<&'a SignedTask>,
    /// From when to when they are said to have been done.
    pub from: Time,
    /// See `from`.
    pub to: Time,
    /// The least minutes that they take, one after the other.
    pub least: f64,
}

/// A task that is said to have been done too soon after another.
#[derive(Debug, Clone, PartialEq)]
pub struct Soon<'a> {
    /// The task.
    pub task: &'a SignedTask,
    /// The one before it.
    pub after: &'a SignedTask,
    /// The minutes that lie between them, by what is said.
    pub minutes: f64,
    /// The minutes that must lie between them.
    pub least: f64,
}

impl Fast<'_> {
    /// The minutes from the first to the last.
    pub fn minutes(&self) -> f64 {
        minutes(self.from, self.to)
    }
}

fn minutes(from: Time, to: Time) -> f64 {
    // Seconds since 1970 are far below what a float holds exactly.
    #[allow(clippy::cast_precision_loss)]
    let seconds = (to.seconds() - from.seconds()) as f64;
    seconds / 60.0
}

/// Every task that was done before its wait was over.
pub fn soon<'a>(status: &Status<'a>) -> Vec<Soon<'a>> {
    let when = |entry: &Entry| status.effective.when(entry);
    let pairs = status.tasks.iter().flat_map(|one| {
        let waits = one.task.waits.iter();
        waits.map(move |wait| (one, wait))
    });
    let found = pairs.filter_map(|(one, wait)| {
        let earlier = status.get(&wait.after)?;
        let from = earlier.done().into_iter().map(when).max()?;
        let to = one.done().into_iter().map(when).min()?;
        Some(Soon {
            task: one.task,
            after: earlier.task,
            minutes: minutes(from, to),
            least: wait.hours * 60.0,
        })
    });
    found.filter(|soon| soon.minutes < soon.least).collect()
}

/// Every stretch of tasks that was done faster than the least times of the work allow.
pub fn fast<'a>(status: &Status<'a>) -> Vec<Fast<'a>> {
    let mut found: Vec<Fast<'a>> = Vec::new();
    let mut last = None;
    for (place, standing) in status.tasks.iter().enumerate() {
        let Some((from, to)) = too_fast(status, standing) else {
            continue;
        };
        let task = standing.task;
        match found.last_mut() {
            // One stretch as long as task follows task.
            Some(stretch) if last.is_some_and(|last| last + 1 == place) => {
                stretch.tasks.push(task);
                stretch.from = stretch.from.min(from);
                stretch.to = stretch.to.max(to);
                stretch.least += task.least_minutes;
            }
            _ => found.push(Fast {
                tasks: vec![task],
                from,
                to,
                least: task.least_minutes,
            }),
        }
        last = Some(place);
    }
    found
}

/// From when to when a task was done, where that is less than its least minutes.
fn too_fast(status: &Status<'_>, standing: &Standing<'_>) -> Option<(Time, Time)> {
    let when = |entry: &Entry| status.effective.when(entry);
    let to = standing.done().into_iter().map(when).max()?;
    let before = standing.task.after.iter().filter_map(|id| status.get(id));
    let from = before.flat_map(Standing::done).map(when).max()?;
    // Times are whole seconds.
    let fast = minutes(from, to) + 1.0 / 60.0 < standing.task.least_minutes;
    fast.then_some((from, to))
}
