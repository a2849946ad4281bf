//! Which tasks done on call this job has, and the edges that access, calls and refits make.
//!
//! A task that needs access brings in the one that gives it; what came off goes back on in reverse order, after
//! everything that needed it off.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::draft::Draft;
use super::from_procedure::{Ground, Procedure};
use crate::report::{Code, Problem, Report, unknown_help};

/// Adds what is called, by a task or from outside, and what access needs, with its refits; gives every draft with its edges by task id.
pub(super) fn resolve(
    (links, called): (Vec<Draft>, &BTreeSet<&str>),
    procedure: Procedure,
    ground: &Ground<'_>,
    report: &mut Report,
) -> Vec<Draft> {
    let Procedure {
        always,
        mut on_call,
        ..
    } = procedure;
    let givers = givers(
        always
            .iter()
            .chain(on_call.values().flatten())
            .chain(&links),
    );
    let mut drafts = Vec::new();
    let called: Vec<Draft> = called
        .iter()
        .filter_map(|rule| on_call.remove(*rule))
        .flatten()
        .collect();
    let mut queue: VecDeque<Draft> = links.into_iter().chain(always).chain(called).collect();
    while let Some(draft) = queue.pop_front() {
        for rule in wanted_rules(&draft, &givers, report) {
            queue.extend(on_call.remove(&rule).unwrap_or_default());
        }
        drafts.push(draft);
    }
    let by_rule = by_rule(&drafts);
    for draft in &mut drafts {
        tie(draft, &givers, &by_rule);
    }
    wait(&mut drafts);
    let refits = refits(&drafts, &givers, ground, report);
    drafts.extend(refits);
    drafts
}

/// For each access, the rule or task that gives it.
fn givers<'a>(drafts: impl Iterator<Item = &'a Draft>) -> BTreeMap<String, String> {
    let mut givers = BTreeMap::new();
    for draft in drafts {
        for access in &draft.gives {
            let giver = draft.rule.clone().unwrap_or_else(|| draft.task.id.clone());
            givers.entry(access.clone()).or_insert(giver);
        }
    }
    givers
}

/// The rules whose tasks a draft makes necessary; access that nobody gives goes to the report.
fn wanted_rules(
    draft: &Draft,
    givers: &BTreeMap<String, String>,
    report: &mut Report,
) -> Vec<String> {
    let mut wanted = draft.calls.clone();
    for access in &draft.needs {
        if let Some(giver) = givers.get(access) {
            wanted.push(giver.clone());
        } else {
            let message = format!(
                "task `{}` needs `{access}`, and no task gives it",
                draft.task.id
            );
            let known = givers.keys().map(String::as_str);
            let problem =
                Problem::error(Code::UnknownAccess, message).help(unknown_help(access, known));
            report.push(match &draft.task.origin {
                Some(place) => problem.at(place.clone()),
                None => problem,
            });
        }
    }
    wanted
}

/// The task ids that a rule became.
fn by_rule(drafts: &[Draft]) -> BTreeMap<String, Vec<(usize, String)>> {
    let mut by_rule: BTreeMap<String, Vec<(usize, String)>> = BTreeMap::new();
    for draft in drafts {
        let name = draft.rule.clone().unwrap_or_else(|| draft.task.id.clone());
        let id = (draft.task.slot, draft.task.id.clone());
        by_rule.entry(name).or_default().push(id);
    }
    by_rule
}

/// Turns rule names into edges between tasks.
fn tie(
    draft: &mut Draft,
    givers: &BTreeMap<String, String>,
    by_rule: &BTreeMap<String, Vec<(usize, String)>>,
) {
    let access = draft.needs.iter().filter_map(|access| givers.get(access));
    let access = access.map(|rule| (rule, "access is made first"));
    let listed = draft
        .after_rules
        .iter()
        .map(|rule| (rule, "listed in `after`"));
    let mut edges = Vec::new();
    for (rule, why) in access.chain(listed) {
        for (slot, id) in by_rule.get(rule).into_iter().flatten() {
            // A rule done for each side has one task a side; only those of this slot or an earlier one are meant.
            if *slot <= draft.task.slot && *id != draft.task.id {
                edges.push((id.clone(), why));
            }
        }
    }
    draft.after_tasks.extend(edges);
}

/// Makes the tasks wait that a task names under `before`, where they stand in its slot or a later one.
fn wait(drafts: &mut [Draft]) {
    let mut waiting: BTreeMap<String, Vec<(usize, String)>> = BTreeMap::new();
    for draft in drafts.iter() {
        for rule in &draft.before_rules {
            let first = (draft.task.slot, draft.task.id.clone());
            waiting.entry(rule.clone()).or_default().push(first);
        }
    }
    for draft in drafts {
        let firsts = draft.rule.as_ref().and_then(|rule| waiting.get(rule));
        for (slot, id) in firsts.into_iter().flatten() {
            if *slot <= draft.task.slot {
                draft.after_tasks.push((id.clone(), "listed in `before`"));
            }
        }
    }
}

/// What came off goes back on: after everything that needed it off, and in reverse order.
fn refits(
    drafts: &[Draft],
    givers: &BTreeMap<String, String>,
    ground: &Ground<'_>,
    report: &mut Report,
) -> Vec<Draft> {
    let mut refits: BTreeMap<String, Draft> = BTreeMap::new();
    for removal in drafts.iter().filter(|draft| draft.rule.is_some()) {
        if let Some(mut refit) = ground.refit(removal, report) {
            let id = removal.task.id.clone();
            refit.after_tasks.push((id, "a refit follows its removal"));
            refits.insert(removal.task.id.clone(), refit);
        }
    }
    let removed: BTreeMap<&str, &Draft> = drafts
        .iter()
        .filter(|draft| refits.contains_key(&draft.task.id))
        .filter_map(|draft| Some((draft.rule.as_deref()?, draft)))
        .collect();
    let mut edges: BTreeSet<(String, String)> = BTreeSet::new();
    for draft in drafts {
        for access in &draft.needs {
            let giver = givers
                .get(access)
                .and_then(|rule| removed.get(rule.as_str()));
            let Some(giver) = giver else { continue };
            // What was taken off under this access goes back first; any other work under it comes before the refit.
            let first = match refits.get(&draft.task.id) {
                Some(refit) => refit.task.id.clone(),
                None => draft.task.id.clone(),
            };
            edges.insert((giver.task.id.clone(), first));
        }
    }
    let last_slot = refits.values().map(|refit| refit.task.slot).max();
    let slots: BTreeMap<&str, usize> = drafts
        .iter()
        .map(|draft| (draft.task.id.as_str(), draft.task.slot))
        .collect();
    for (giver, first) in edges {
        let late = slots.get(first.as_str()).copied() > last_slot;
        if let Some(refit) = refits.get_mut(&giver).filter(|_| !late) {
            refit.after_tasks.push((first, "refits mirror removals"));
        }
    }
    refits.into_values().collect()
}
