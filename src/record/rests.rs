//! Which later tasks are undone when an earlier one is done again.
//!
//! Undoing runs along what the plan says that a task rests on. What comes before a task is another question, and a wider one: [`before`]
//! gives all of it.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use super::agreed::{Agreed, SignedTask};
use super::standing::Standing;
use super::status::Status;

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

/// Everything that falls open of what is signed with tasks that fall open, each with why: what rests on them, and what brought about how
/// things stood while they were done, where that was ended since. A mount that is done again takes the bolts out and the body up again.
pub(super) fn fallen<'a>(
    (status, agreed): (&Status<'_>, &'a Agreed),
    seeds: &BTreeSet<&'a str>,
) -> BTreeMap<&'a str, String> {
    let signed = |id: &str| status.get(id).is_some_and(Standing::is_signed);
    let mut found: BTreeMap<&str, String> = BTreeMap::new();
    let mut open: BTreeSet<&str> = seeds.clone();
    loop {
        let before = found.len();
        for task in &agreed.tasks {
            let under = task.rests_on.iter().find(|id| open.contains(id.as_str()));
            if let Some(on) = under.filter(|_| !found.contains_key(task.id.as_str())) {
                open.insert(&task.id);
                found.insert(&task.id, format!("rests on `{on}`"));
            }
        }
        // What is still to be done for the first time needs that as well: work that a changed reading brought.
        let todo = |task: &&SignedTask| open.contains(task.id.as_str()) || !signed(&task.id);
        let todo: Vec<&SignedTask> = agreed.tasks.iter().rev().filter(todo).collect();
        for task in todo {
            let ended = task.stood.iter().filter(|(_, ended)| signed(ended));
            for (brought, _) in ended {
                if open.insert(brought) {
                    found.insert(brought, format!("is needed again for `{}`", task.id));
                }
            }
            let up = task.raised.iter().filter(|(up, _)| signed(up));
            for (up, _) in up.filter(|(_, down)| !signed(down)) {
                if open.insert(up) {
                    let why = format!("the body is let down first for `{}`", task.id);
                    found.insert(up, why);
                }
            }
        }
        if found.len() == before {
            break;
        }
    }
    found.retain(|id, _| signed(id));
    found
}
