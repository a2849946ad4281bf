//! Which earlier tasks a task rests on: what undoes one of them undoes it.
//!
//! Takes drafts in the order of work. Undoing runs along what a task does to one body, side or connection, along the courses of its states, and
//! to the hold points that certify them; not along everything that merely comes later: new bolts undo the torque on the old ones, chocks set
//! again undo what certified them and nothing that was done while they stood.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::follows::all_before;
use super::states::Steps;
use super::task::{Task, TaskId};
use crate::rules::{Moment, Stage};
use crate::sorted::Sorted as _;

/// For each draft the earlier tasks that it rests on, however far back.
pub(super) fn rests_on(drafts: &[Draft]) -> Vec<Vec<TaskId>> {
    let ids = drafts.iter().map(|draft| draft.task.id.as_str());
    let places: BTreeMap<&str, usize> = ids.zip(0..).sorted_map();
    let mut found = Vec::with_capacity(drafts.len());
    let mut known: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut begun = 0;
    for of_slot in drafts.chunk_by(|one, next| one.task.slot == next.task.slot) {
        let before = all_before(of_slot.iter().map(|draft| {
            let after = draft.task.after.own().iter();
            after.filter_map(|id| places.get(id.as_str())?.checked_sub(begun))
        }));
        for (draft, before) in of_slot.iter().zip(before) {
            let number = begun + before.len();
            let alike = about(draft).filter_map(|name| known.get(name));
            let earlier: BTreeSet<usize> = if certifies_all(&draft.task) {
                (0..number).sorted_set()
            } else {
                alike.flatten().copied().sorted_set()
            };
            // A slot begins when all of the slots before it is done.
            let is_before = |place: &usize| {
                let within = place.checked_sub(begun);
                within.is_none_or(|place| before.get(place) == Some(&true))
            };
            let earlier = earlier.into_iter().filter(is_before);
            let earlier = earlier.filter_map(|place| drafts.get(place));
            let earlier = earlier.filter(|earlier| rests(draft, earlier));
            found.push(earlier.map(|earlier| earlier.task.id.clone()).collect());
            for name in about(draft) {
                known.entry(name).or_default().push(number);
            }
        }
        begun += of_slot.len();
    }
    found
}

/// What a task is for, and what it does or certifies: unless one certifies all, one task rests on another only where they have a name in common.
fn about(draft: &Draft) -> impl Iterator<Item = &str> {
    let task = &draft.task;
    let whom = task.links.iter().chain(&task.group);
    whom.chain(courses(draft).map(|steps| &steps.instance))
        .map(String::as_str)
}

/// What a task makes, and what it certifies.
fn courses(draft: &Draft) -> impl Iterator<Item = &Steps> {
    // A drive proves the brakes as they were, and a look of the procedure's own is of how things then stood.
    let drives = matches!(draft.task.moment, Some(Moment::Yard | Moment::Road));
    let looks = (draft.task.looks || drives) && draft.rule.is_some();
    let proves = draft.task.hold.is_some() || looks;
    let certified = draft.during.iter().filter(move |_| proves);
    draft.makes.iter().chain(certified)
}

/// Whether a task certifies all that was done to bodies and connections.
pub(super) fn certifies_all(task: &Task) -> bool {
    task.hold.is_some() && task.links.is_empty() && task.group.is_none()
}

/// Whether a task rests on one before it.
fn rests(draft: &Draft, earlier: &Draft) -> bool {
    // A hold point does nothing to the vehicle that could be undone.
    earlier.task.hold.is_none()
        && (of_the_same(&draft.task, &earlier.task) || of_a_course(draft, earlier))
}

/// Both are for one connection, or for one body and side; or the one certifies all that was done to bodies and connections.
pub(super) fn of_the_same(task: &Task, earlier: &Task) -> bool {
    if task.links.iter().any(|link| earlier.links.contains(link)) {
        return true;
    }
    match (&task.group, &earlier.group) {
        (Some(own), Some(other)) => {
            let side = task.side.zip(earlier.side);
            own == other && side.is_none_or(|(own, other)| own == other)
        }
        // What is handed over is handed over as a whole.
        (_, of) => {
            let all = of.is_some() || !earlier.links.is_empty();
            certifies_all(task) && (all || task.stage == Stage::HandOver)
        }
    }
}

/// The one takes a course on from where the other brought it, or certifies that it stands there. Of two connections that open and close one
/// thing each closes what it opened itself.
fn of_a_course(draft: &Draft, earlier: &Draft) -> bool {
    if !draft.task.links.is_empty() && !earlier.task.links.is_empty() {
        return false;
    }
    let brought = |own: &Steps| {
        let mut made = earlier.makes.iter();
        made.any(|made| made.instance == own.instance && made.to <= own.to)
    };
    courses(draft).any(brought)
}
