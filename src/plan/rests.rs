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
    let mut found = Vec::with_capacity(drafts.len());
    let mut begun = 0;
    for of_slot in drafts.chunk_by(|one, next| one.task.slot == next.task.slot) {
        let before = within(of_slot, begun, &places);
        for (draft, before) in of_slot.iter().zip(before) {
            // A slot begins when all of the slots before it is done.
            let slots_before = drafts.iter().take(begun);
            let own = of_slot.iter().zip(before);
            let own = own.filter_map(|(earlier, is)| is.then_some(earlier));
            let earlier = slots_before.chain(own);
            let earlier = earlier.filter(|earlier| rests(draft, earlier));
            found.push(earlier.map(|earlier| earlier.task.id.clone()).collect());
        }
        begun += of_slot.len();
    }
    found
}

/// For each task of a slot which of the tasks before it in the slot come before it, however far back. The slot begins at a place in all.
fn within(of_slot: &[Draft], begun: usize, places: &BTreeMap<&str, usize>) -> Vec<Vec<bool>> {
    let mut all: Vec<Vec<bool>> = Vec::with_capacity(of_slot.len());
    for draft in of_slot {
        let mut own = vec![false; all.len()];
        let after = draft.task.after.own().iter();
        let after = after.filter_map(|id| places.get(id.as_str())?.checked_sub(begun));
        for place in after {
            let theirs = all.get(place).into_iter().flatten().copied();
            for (own, theirs) in own.iter_mut().zip(theirs) {
                *own |= theirs;
            }
            if let Some(own) = own.get_mut(place) {
                *own = true;
            }
        }
        all.push(own);
    }
    all
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
