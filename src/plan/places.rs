//! What a task and the states at that time bring with them: who is shut out of where, what must pass first, what is not left alone.
//!
//! Takes drafts in the order of work and the courses; sets `shuts_out`, `attended`, `overnight` and `waits` of each. The states are walked
//! through in the order of work, so that what stands open or up while a task is done counts with what the task itself moves.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::states::{Courses, Steps, shut_out};
use super::task::{TaskId, Wait};
use crate::rules::{Course, Spot};

/// Walks through the order of work.
pub(super) fn set(drafts: &mut [Draft], courses: &Courses<'_>) {
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
                .collect();
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
