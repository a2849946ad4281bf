//! What follows for drafts from the states and the order of work: which licensed work is done earlier, who is shut out of where, what must
//! pass first, what is not left alone, which earlier tasks a task falls open with, and which it needs again when it is done again.
//!
//! Takes drafts; [`pull_earlier`] moves each that may be done earlier to the first slot at which all that comes before it by the states is done, so
//! that a visit is not parted; what a workshop does itself waits for nobody and is left where it is. [`walk_through`] walks through the states in the
//! order of work, so that what stands open or up while a task is done counts with what the task itself moves. [`rests_on`] gives what rests on what:
//! undoing runs along what a task does to one body, side or connection, along the courses of its states, and to the hold points that certify
//! them; not along everything that merely comes later: new bolts undo the torque on the old ones, chocks set again undo what certified them
//! and nothing that was done while they stood.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::slots::Slots;
use super::states::{Courses, Steps, shut_out};
use super::task::{Task, TaskId, Wait};
use crate::rules::{Course, Spot, Stage};
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

/// For each draft what brought its own body, side or connection to how it stands while it is done, each with the first later one that ends
/// that: whoever does it again after that needs the one again too.
pub(super) fn stood(drafts: &[Draft]) -> Vec<BTreeMap<TaskId, TaskId>> {
    let mut makers: BTreeMap<&str, Vec<(&Draft, usize, usize)>> = BTreeMap::new();
    for (place, draft) in drafts.iter().enumerate() {
        for made in &draft.makes {
            let of = makers.entry(&made.instance).or_default();
            of.push((draft, place, made.to));
        }
    }
    let of_draft = |(place, draft): (usize, &Draft)| {
        let pair = |during: &Steps| {
            let of = makers.get(during.instance.as_str())?;
            let mut after = of.iter().filter(|(_, at, _)| *at > place);
            let (ends, ..) = after.find(|(_, _, to)| *to > during.to)?;
            let before = of.iter().rev().filter(|(_, at, _)| *at < place);
            // Of what stands for the whole vehicle the hold points ask again.
            let mut brought = before.map(|(maker, ..)| &maker.task);
            let brought = brought.find(|maker| of_the_same(&draft.task, maker))?;
            Some((brought.id.clone(), ends.task.id.clone()))
        };
        draft.during.iter().filter_map(pair).sorted_map()
    };
    drafts.iter().enumerate().map(of_draft).collect()
}

/// For each draft that releases what crosses the first later one that moves something from where it is done (a body that is raised), and
/// the hold points that clear that, each with the one that brings it to rest.
pub(super) fn raised(drafts: &[Draft], courses: &Courses<'_>) -> Vec<BTreeMap<TaskId, TaskId>> {
    let mut of_places: BTreeMap<Spot, BTreeMap<TaskId, TaskId>> = BTreeMap::new();
    let makers = || {
        drafts
            .iter()
            .flat_map(|draft| draft.makes.iter().map(move |made| (draft, made)))
    };
    let mut begun: BTreeSet<(&str, usize)> = BTreeSet::new();
    for (draft, made) in makers().filter(|(draft, _)| draft.task.stage == Stage::Raise) {
        let runs = courses
            .of(&made.instance)
            .into_iter()
            .flat_map(|course| &course.shuts_out);
        let runs = runs.filter(|((from, to), _)| (*from..=*to).contains(&made.to));
        for ((from, to), places) in runs {
            let mut later = makers().filter(|(_, other)| other.instance == made.instance);
            let rest = later.find(|(_, other)| other.to > *to);
            let Some((rest, _)) = rest.filter(|_| begun.insert((&made.instance, *from))) else {
                continue;
            };
            let clears = |other: &&Draft| {
                let cleared = |own: &Steps| {
                    let at = |made: &Steps| made.instance == own.instance && made.to == own.from;
                    other.makes.iter().any(at)
                };
                other.task.hold.is_some() && draft.during.iter().any(cleared)
            };
            for up in drafts.iter().filter(clears).chain([draft]) {
                for place in places {
                    let of = of_places.entry(*place).or_default();
                    of.insert(up.task.id.clone(), rest.task.id.clone());
                }
            }
        }
    }
    let of = |draft: &Draft| {
        let releases = draft.task.stage == Stage::Release;
        let found = of_places.get(&draft.task.place).filter(|_| releases);
        found.cloned().unwrap_or_default()
    };
    drafts.iter().map(of).collect()
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
    // A drive proves the brakes as they were: a look of the procedure's own is of how things then stood.
    let proves = draft.task.hold.is_some() || (draft.task.looks && draft.rule.is_some());
    let certified = draft.during.iter().filter(move |_| proves);
    draft.makes.iter().chain(certified)
}

/// Whether a task certifies all that was done to bodies and connections.
fn certifies_all(task: &Task) -> bool {
    task.hold.is_some() && task.links.is_empty() && task.group.is_none()
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

/// Whether a task rests on one before it.
fn rests(draft: &Draft, earlier: &Draft) -> bool {
    // A hold point does nothing to the vehicle that could be undone.
    earlier.task.hold.is_none()
        && (of_the_same(&draft.task, &earlier.task) || of_a_course(draft, earlier))
}

/// Both are for one connection, or for one body and side; or the one certifies all that was done to bodies and connections.
fn of_the_same(task: &Task, earlier: &Task) -> bool {
    if task.links.iter().any(|link| earlier.links.contains(link)) {
        return true;
    }
    match (&task.group, &earlier.group) {
        (Some(own), Some(other)) => {
            let side = task.side.zip(earlier.side);
            own == other && side.is_none_or(|(own, other)| own == other)
        }
        (_, of) => certifies_all(task) && (of.is_some() || !earlier.links.is_empty()),
    }
}

/// The one takes a course on from where the other brought it, or certifies that it stands there.
fn of_a_course(draft: &Draft, earlier: &Draft) -> bool {
    let brought = |own: &Steps| {
        let mut made = earlier.makes.iter();
        made.any(|made| made.instance == own.instance && made.to <= own.to)
    };
    courses(draft).any(brought)
}
