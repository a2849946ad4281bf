//! What rests on what: which later tasks are undone when an earlier one is done again.
//!
//! Undoing runs along what a task does to one body, side or connection, not along everything that merely comes later: new bolts undo the
//! torque on the old ones, chocks set again undo nothing that was signed while the vehicle stood. What comes before a task is another
//! question, and a wider one: [`before`] gives all of it.

use std::collections::{BTreeMap, BTreeSet};

use super::agreed::Agreed;
use crate::plan::Task;

/// For each task, the earlier tasks that it rests on.
///
/// It rests on those before it, however far back, that are for a connection of its own or for the same body and side; a hold point for
/// the whole vehicle also rests on all work on bodies and connections before it, since that is what it certifies.
pub(super) fn on(tasks: &[Task]) -> Vec<Vec<String>> {
    let places: BTreeMap<&str, usize> =
        tasks.iter().map(|task| task.id.as_str()).zip(0..).collect();
    let mut all_before: Vec<Vec<bool>> = Vec::with_capacity(tasks.len());
    for task in tasks {
        let mut own = vec![false; all_before.len()];
        for place in task.after.iter().filter_map(|id| places.get(id.as_str())) {
            let theirs = all_before.get(*place).into_iter().flatten().copied();
            for (own, theirs) in own.iter_mut().zip(theirs) {
                *own |= theirs;
            }
            if let Some(own) = own.get_mut(*place) {
                *own = true;
            }
        }
        all_before.push(own);
    }
    let pairs = tasks.iter().zip(&all_before);
    let found = pairs.map(|(task, before)| {
        let before = tasks
            .iter()
            .zip(before)
            .filter_map(|(task, is)| is.then_some(task));
        let rests = before.filter(|earlier| rests(task, earlier));
        rests.map(|earlier| earlier.id.clone()).collect()
    });
    found.collect()
}

/// Whether a task rests on one before it.
fn rests(task: &Task, earlier: &Task) -> bool {
    if earlier.hold.is_some() {
        // A hold point does nothing to the vehicle that could be undone.
        return false;
    }
    let bound = |task: &Task| !task.links.is_empty() || task.group.is_some();
    if task.links.iter().any(|link| earlier.links.contains(link)) {
        return true;
    }
    match (&task.group, &earlier.group) {
        (Some(own), Some(other)) => {
            let side = task.side.zip(earlier.side);
            own == other && side.is_none_or(|(own, other)| own == other)
        }
        // A hold point of the vehicle certifies all that was done to its bodies and connections.
        (None, _) => task.hold.is_some() && task.links.is_empty() && bound(earlier),
        _ => false,
    }
}

/// The places of all tasks that come before one, however far back.
pub(super) fn before(agreed: &Agreed, place: usize) -> BTreeSet<usize> {
    let places: BTreeMap<&str, usize> = places(agreed);
    let mut found = BTreeSet::new();
    let mut next = vec![place];
    while let Some(place) = next.pop() {
        let after = agreed.tasks.get(place).map(|task| task.after.iter());
        for place in after
            .into_iter()
            .flatten()
            .filter_map(|id| places.get(id.as_str()))
        {
            if found.insert(*place) {
                next.push(*place);
            }
        }
    }
    found
}

/// The places of all tasks behind one, however far.
pub(super) fn behind(agreed: &Agreed, id: &str) -> BTreeSet<usize> {
    let mut found: BTreeSet<&str> = BTreeSet::from([id]);
    let mut places = BTreeSet::new();
    // Every task stands behind all that it waits for.
    for (place, task) in agreed.tasks.iter().enumerate() {
        if task
            .after
            .iter()
            .any(|before| found.contains(before.as_str()))
        {
            found.insert(&task.id);
            places.insert(place);
        }
    }
    places
}

/// The place of each task in the order of work.
fn places(agreed: &Agreed) -> BTreeMap<&str, usize> {
    agreed
        .tasks
        .iter()
        .map(|task| task.id.as_str())
        .zip(0..)
        .collect()
}

/// Everything that rests on tasks that fall open, each with the one that it rests on; the tasks themselves are not among it.
pub(super) fn resting<'a>(
    agreed: &'a Agreed,
    fallen: &BTreeSet<&'a str>,
) -> BTreeMap<&'a str, &'a str> {
    let mut found: BTreeMap<&str, &str> = BTreeMap::new();
    for task in &agreed.tasks {
        let under = |id: &&String| fallen.contains(id.as_str()) || found.contains_key(id.as_str());
        if let Some(on) = task.rests_on.iter().find(under)
            && !fallen.contains(task.id.as_str())
        {
            found.insert(&task.id, on);
        }
    }
    found
}
