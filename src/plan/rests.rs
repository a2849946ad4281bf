//! What rests on what: which earlier tasks a task falls open with when one of them is done again.
//!
//! Takes drafts in the order of work; gives for each the earlier tasks that it rests on. Undoing runs along what a task does to one body,
//! side or connection, along the courses of its states, and to the hold points that certify them; not along everything that merely comes
//! later: new bolts undo the torque on the old ones, chocks set again undo what certified them and nothing that was done while they stood.

use std::collections::BTreeMap;

use super::draft::Draft;
use super::states::Steps;
use super::task::{Task, TaskId};

/// For each draft the earlier tasks that it rests on, however far back.
pub(super) fn on(drafts: &[Draft]) -> Vec<Vec<TaskId>> {
    let ids = drafts.iter().map(|draft| draft.task.id.as_str());
    let places: BTreeMap<&str, usize> = ids.zip(0..).collect();
    let mut all_before: Vec<Vec<bool>> = Vec::with_capacity(drafts.len());
    for draft in drafts {
        let mut own = vec![false; all_before.len()];
        let after = draft.task.after.iter();
        for place in after.filter_map(|id| places.get(id.as_str())) {
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
    let found = drafts.iter().zip(&all_before).map(|(draft, before)| {
        let earlier = drafts.iter().zip(before);
        let earlier = earlier.filter_map(|(earlier, is)| is.then_some(earlier));
        let earlier = earlier.filter(|earlier| rests(draft, earlier));
        earlier.map(|earlier| earlier.task.id.clone()).collect()
    });
    found.collect()
}

/// Whether a task rests on one before it.
fn rests(draft: &Draft, earlier: &Draft) -> bool {
    // A hold point does nothing to the vehicle that could be undone.
    earlier.task.hold.is_none()
        && (of_the_same(&draft.task, &earlier.task) || of_a_course(draft, earlier))
}

/// Both are for one connection, or for one body and side; or the one certifies all that was done to bodies and connections.
fn of_the_same(task: &Task, earlier: &Task) -> bool {
    let bound = |task: &Task| !task.links.is_empty() || task.group.is_some();
    if task.links.iter().any(|link| earlier.links.contains(link)) {
        return true;
    }
    match (&task.group, &earlier.group) {
        (Some(own), Some(other)) => {
            let side = task.side.zip(earlier.side);
            own == other && side.is_none_or(|(own, other)| own == other)
        }
        (None, _) => task.hold.is_some() && task.links.is_empty() && bound(earlier),
        _ => false,
    }
}

/// The one takes a course on from where the other brought it, or certifies that it stands there.
fn of_a_course(draft: &Draft, earlier: &Draft) -> bool {
    let brought = |own: &Steps| {
        let mut made = earlier.makes.iter();
        made.any(|made| made.instance == own.instance && made.to <= own.to)
    };
    let certified = draft.during.iter().filter(|_| draft.task.hold.is_some());
    draft.makes.iter().chain(certified).any(brought)
}
