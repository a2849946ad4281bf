//! What a task and the states at that time bring with them: who is shut out of where, what must pass first, what is not left alone.
//!
//! Takes drafts in the order of work and the courses; sets `shuts_out`, `attended`, `overnight` and `waits` of each. The states are walked
//! through in the order of work, so that what stands open or up while a task is done counts with what the task itself moves.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::states::{Courses, Steps};
use super::task::{TaskId, Wait};
use crate::rules::Spot;

/// Walks through the order of work.
pub(super) fn set(drafts: &mut [Draft], courses: &Courses<'_>) {
    let mut stands: BTreeMap<String, usize> = BTreeMap::new();
    let mut makers: BTreeMap<(String, usize), Vec<TaskId>> = BTreeMap::new();
    for draft in drafts {
        let now = stands.iter().map(|(instance, step)| (instance, *step));
        let made = draft.makes.iter().map(|one| (&one.instance, one.to));
        let shut = now
            .chain(made)
            .flat_map(|(instance, step)| courses.shut_out(instance, step));
        let places: BTreeSet<Spot> = shut.chain(draft.task.shuts_out.iter().copied()).collect();
        let attended = steps(draft).any(|one| courses.attended(one));
        draft.task.shuts_out = places.into_iter().collect();
        draft.task.attended |= attended;
        draft.task.waits = waits(draft, courses, &makers);
        for one in &draft.makes {
            // A thousand connections have states of their own, by which nobody is shut out.
            if courses.keeps_people(&one.instance) {
                let stand = stands.entry(one.instance.clone()).or_default();
                *stand = one.to.max(*stand);
            }
            let of = makers.entry((one.instance.clone(), one.to)).or_default();
            of.push(draft.task.id.clone());
        }
        let mut all = stands.iter();
        draft.task.overnight = !all.any(|(instance, step)| courses.not_overnight(instance, *step));
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
