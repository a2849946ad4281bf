//! Which later tasks are undone when an earlier one is done again.
//!
//! Undoing runs along what the plan says that a task rests on. What comes before a task is another question, and a wider one: [`before`]
//! gives all of it.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use super::agreed::Agreed;

/// The places of all tasks that come before one, however far back.
pub(super) fn before(agreed: &Agreed, place: usize) -> BTreeSet<usize> {
    let last = agreed.tasks.get(place).map(|task| task.after.iter());
    let mut waits: FxHashSet<&str> = last.into_iter().flatten().map(String::as_str).collect();
    let mut places = BTreeSet::new();
    // Every task stands behind all that it waits for.
    for (place, task) in agreed.tasks.iter().enumerate().take(place).rev() {
        if waits.contains(task.id.as_str()) {
            waits.extend(task.after.iter().map(String::as_str));
            places.insert(place);
        }
    }
    places
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

/// Everything that rests on tasks that fall open, each with the one that it rests on.
pub(super) fn resting<'a>(
    agreed: &'a Agreed,
    fallen: &BTreeSet<&'a str>,
) -> BTreeMap<&'a str, &'a str> {
    let mut found: BTreeMap<&str, &str> = BTreeMap::new();
    for task in &agreed.tasks {
        let under = |id: &&String| fallen.contains(id.as_str()) || found.contains_key(id.as_str());
        if let Some(on) = task.rests_on.iter().find(under) {
            found.insert(&task.id, on);
        }
    }
    found
}
