//! What follows for drafts from the states and the order of work: which licensed work is done earlier, who is shut out of where, what must
//! pass first, and what is not left alone.
//!
//! Takes drafts; [`pull_earlier`] moves each that may be done earlier to the first slot at which all that comes before it by the states is done, so
//! that a visit is not parted; what a workshop does itself waits for nobody and is left where it is. [`walk_through`] walks through the states in the
//! order of work, so that what stands open or up while a task is done counts with what the task itself moves.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::slots::Slots;
use super::states::{Courses, Steps, shut_out};
use super::task::{TaskId, Wait};
use crate::rules::{Course, Spot};
use crate::sorted::Sorted as _;

/// Moves what may be done earlier.
pub(super) fn pull_earlier(drafts: &mut [Draft], slots: &Slots) {
    for number in 0..drafts.len() {
        let Some((draft, earliest)) = drafts
            .get(number)
            .and_then(|draft| Some((draft, draft.earliest?)))
        else {
            continue;
        };
        let others = drafts.iter().filter(|other| other.task.id != draft.task.id);
        let before = others.filter(|other| comes_before(other, draft));
        let ready = before
            .map(|other| other.task.slot)
            .max()
            .unwrap_or_default();
        let found = slots.numbered(earliest.max(ready));
        let found = found.filter(|slot| slot.number < draft.task.slot).cloned();
        if let (Some(slot), Some(draft)) = (found, drafts.get_mut(number)) {
            draft.task.slot = slot.number;
            draft.task.stage = slot.stage;
            draft.task.moment = slot.moment;
            draft.task.group = slot.group;
            draft.task.side = slot.side;
        }
    }
}

/// Whether the states, or its own `after`, put a task before another.
fn comes_before(one: &Draft, then: &Draft) -> bool {
    let needs = then.during.iter().map(|steps| (steps, steps.from));
    let makes = then.makes.iter();
    let makes = makes.map(|steps| (steps, steps.to.saturating_sub(1)));
    let made = needs.chain(makes).any(|(steps, reached)| {
        let of = |other: &&Steps| other.instance == steps.instance;
        one.makes.iter().filter(of).any(|other| other.to <= reached)
    });
    let kept = then.makes.iter().any(|steps| {
        let of = |other: &&Steps| other.instance == steps.instance;
        one.during
            .iter()
            .filter(of)
            .any(|other| other.to < steps.to)
    });
    let listed = one
        .rule
        .as_ref()
        .is_some_and(|rule| then.after.contains(rule));
    made || kept || listed
}

/// Walks through the order of work.
pub(super) fn walk_through(drafts: &mut [Draft], courses: &Courses<'_>) {
    // A thousand connections have states of their own, by which nobody is shut out.
    let mut stands: BTreeMap<String, (&Course, usize)> = BTreeMap::new();
    let (mut shut, mut overnight) = (BTreeSet::new(), true);
    let mut makers: BTreeMap<(String, usize), Vec<TaskId>> = BTreeMap::new();
    for draft in drafts {
        let mut places: BTreeSet<Spot> = shut.clone();
        places.extend(draft.task.shuts_out.iter().copied());
        let attended = steps(draft).any(|one| courses.attended(one));
        draft.task.attended |= attended;
        draft.task.waits = waits(draft, courses, &makers);
        let mut moved = false;
        for one in &draft.makes {
            let Some(course) = courses.of(&one.instance) else {
                continue;
            };
            places.extend(shut_out(course, one.to));
            if !course.shuts_out.is_empty() || course.not_overnight.is_some() {
                let stand = stands.entry(one.instance.clone()).or_insert((course, 0));
                stand.1 = one.to.max(stand.1);
                moved = true;
                draft.task.awaited = true;
            }
            if course.waits.contains_key(&one.to) {
                let of = makers.entry((one.instance.clone(), one.to)).or_default();
                of.push(draft.task.id.clone());
            }
        }
        if moved {
            let now = || stands.values();
            shut = now()
                .flat_map(|(course, step)| shut_out(course, *step))
                .sorted_set();
            overnight = !now().any(|(course, step)| {
                let run = course.not_overnight;
                run.is_some_and(|(from, to)| (from..=to).contains(step))
            });
        }
        draft.task.shuts_out = places.into_iter().collect();
        draft.task.overnight = overnight;
    }
}

fn steps(draft: &Draft) -> impl Iterator<Item = &Steps> {
    draft.makes.iter().chain(&draft.during)
}

/// What it begins after: the makers of each step that takes its time before the task may rely on it.
fn waits(
    draft: &Draft,
    courses: &Courses<'_>,
    makers: &BTreeMap<(String, usize), Vec<TaskId>>,
) -> Vec<Wait> {
    let mut waits = Vec::new();
    for one in &draft.during {
        let Some((hours, wait)) = courses.wait(&one.instance, one.from) else {
            continue;
        };
        let made = makers.get(&(one.instance.clone(), one.from));
        waits.extend(made.into_iter().flatten().map(|after| Wait {
            after: after.clone(),
            because: wait.because.clone(),
            hours,
        }));
    }
    waits
}

/// For each of some tasks in order which of those ahead of it must come before it, however far back. What each waits for itself is given by
/// place; every task stands behind what it waits for.
pub(crate) fn all_before(direct: impl Iterator<Item: Iterator<Item = usize>>) -> Vec<Vec<bool>> {
    let mut all: Vec<Vec<bool>> = Vec::new();
    for after in direct {
        let mut own = vec![false; all.len()];
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
