//! What did not go by the clock: work that is said to have been done faster than anybody works, or too soon after what must lie some time back.
//!
//! Takes how the tasks stand; gives stretches of them, and pairs. What counts is when the work is said to have been done, so that a paper sheet that is
//! entered in the evening, with the times that stand on it, is no fault; entered without them it looks like work of five minutes, and the
//! record says so.

use std::collections::{BTreeMap, BTreeSet};

use super::agreed::SignedTask;
use super::entry::Entry;
use super::standing::{RowStanding, Standing};
use super::status::Status;
use crate::chain::Time;
use crate::sorted::Sorted as _;

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

/// Who did a row; of one that nobody does, or that is only ticked, who signed it off.
fn signed<'a>(one: &Standing<'a>, row: &RowStanding<'a>) -> Vec<&'a Entry> {
    let mut entries = row.done.clone();
    if entries.is_empty() && one.task.only_checked() {
        entries.extend(row.checked);
    }
    entries
}

/// The minutes between what was done of a task, and what of another came before: the fewest of all its rows, each held against the same row of
/// the other where that has one.
fn between<'a>(status: &Status<'a>, (one, earlier): (&Standing<'a>, &Standing<'a>)) -> Option<f64> {
    let rows = one.rows.iter().filter_map(|row| {
        let same = |other: &&RowStanding<'_>| other.row.id == row.row.id;
        let all = !earlier.rows.iter().any(|other| same(&other));
        let others = earlier.rows.iter().filter(|other| all || same(other));
        let own = signed(one, row);
        let to = own.iter().map(|entry| status.effective.when(entry)).min()?;
        let from = before(status, own, others.flat_map(|other| signed(earlier, other)))?;
        Some(minutes(from, to))
    });
    rows.min_by(f64::total_cmp)
}

/// When the last of what comes before some entries was done. What was done anew since came before none of them.
fn before<'a>(
    status: &Status<'_>,
    own: impl IntoIterator<Item = &'a Entry>,
    earlier: impl Iterator<Item = &'a Entry>,
) -> Option<Time> {
    let first = own.into_iter().map(|entry| entry.number).min()?;
    let earlier = earlier.filter(|entry| entry.number < first);
    earlier.map(|entry| status.effective.when(entry)).max()
}

/// Every task that was done, or signed off where nobody does it, before its wait was over.
pub fn soon<'a>(status: &Status<'a>) -> Vec<Soon<'a>> {
    let pairs = status.tasks.iter().flat_map(|one| {
        let waits = one.task.waits.iter();
        waits.map(move |wait| (one, wait))
    });
    let found = pairs.filter_map(|(one, wait)| {
        let earlier = status.get(&wait.after)?;
        // A box that was ticked with a later check was done at some time before that.
        let known = earlier.task.hold.is_some() || !earlier.done().is_empty();
        Some(Soon {
            task: one.task,
            after: earlier.task,
            minutes: between(status, (one, earlier)).filter(|_| known)?,
            least: wait.hours * 60.0,
        })
    });
    found.filter(|soon| soon.minutes < soon.least).collect()
}

/// Whether two tasks were signed as one piece of work: pieces of one printed task, or a range of numbers with the time at which all of it was done.
fn together(status: &Status<'_>, one: &Standing<'_>, next: &Standing<'_>) -> bool {
    let signed = one.done().pop().zip(next.done().pop());
    let at_once = signed.is_some_and(|(one, next)| {
        let at = status.effective.observed(one);
        one.time == next.time
            && one.person == next.person
            && at.is_some()
            && at == status.effective.observed(next)
    });
    one.task.number == next.task.number || at_once
}

/// Every stretch of tasks that was done faster than the least times of the work allow. What was signed as one piece of work is not held against
/// one another.
pub fn fast<'a>(status: &Status<'a>) -> Vec<Fast<'a>> {
    let mut found: Vec<Fast<'a>> = Vec::new();
    let mut last = None;
    let tasks = &status.tasks;
    let printed = tasks.chunk_by(|one, next| together(status, one, next));
    for (place, pieces) in printed.enumerate() {
        let mut ends: BTreeMap<Time, Vec<&Standing<'a>>> = BTreeMap::new();
        for one in pieces {
            let done = one.done().into_iter();
            if let Some(to) = done.map(|entry| status.effective.when(entry)).max() {
                ends.entry(to).or_default().push(one);
            }
        }
        for work in ends.into_iter().filter_map(|end| too_fast(status, end)) {
            match found.last_mut() {
                // One stretch as long as task follows task.
                Some(stretch) if last.is_some_and(|last| last + 1 >= place) => {
                    stretch.tasks.extend(work.tasks);
                    stretch.from = stretch.from.min(work.from);
                    stretch.to = stretch.to.max(work.to);
                    stretch.least += work.least;
                }
                _ => found.push(work),
            }
            last = Some(place);
        }
    }
    found
}

/// Tasks that were done together, where from what comes before all of them to then is less than their least minutes.
fn too_fast<'a>(status: &Status<'a>, (to, own): (Time, Vec<&Standing<'a>>)) -> Option<Fast<'a>> {
    let tasks: Vec<&SignedTask> = own.iter().map(|one| one.task).collect();
    let ids = tasks.iter().map(|task| task.id.as_str()).sorted_set();
    let after = tasks.iter().flat_map(|task| &task.after);
    let after: BTreeSet<&str> = after.map(String::as_str).sorted_set();
    let earlier = after.difference(&ids).filter_map(|id| status.get(id));
    let done = own.iter().flat_map(|one| one.done());
    let work = Fast {
        from: before(status, done, earlier.flat_map(Standing::done))?,
        to,
        least: tasks.iter().map(|task| task.least_minutes).sum(),
        tasks,
    };
    // Times are whole seconds.
    (work.minutes() + 1.0 / 60.0 < work.least).then_some(work)
}
