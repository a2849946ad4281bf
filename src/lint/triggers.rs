//! Triggers: what tasks make, need and follow is there, and every task that is done only when it is needed is needed by something.

use std::collections::{BTreeMap, BTreeSet};

use super::{Notes, all_classes, rule_texts, whole};
use crate::report::{Code, Path, Place, Problem, Report, unknown_help};
use crate::rules::written::Task;
use crate::rules::{Of, ProcedureTask, Rules, StateRun};
use crate::sorted::Sorted as _;

/// Checks what the tasks of the whole rule set say of one another.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    twice(&rules.procedure, report);
    let tasks = all(rules);
    for (task, place) in &tasks {
        known_tasks(rules, task, place, report);
        known_steps(rules, &task.makes, &place.key("makes"), report);
        known_steps(rules, &task.during, &place.key("while"), report);
    }
    for (leaves, place) in leaves(rules) {
        known_steps(rules, leaves, &place.key("leaves"), report);
    }
    let moments = rules.moments.iter().map(|one| ("moments", one));
    let again = rules.again.iter().map(|one| ("again", one));
    for (field, (time, states)) in moments.chain(again) {
        let path = Path::root().key(field).key(time.as_str());
        known_steps(rules, states, &Place::new("states.yaml", path), report);
    }
    of_the_vehicle(rules, report);
    endless(rules, &tasks, report);
    if whole(rules) {
        never_needed(rules, &tasks, report);
    }
}

fn twice(procedure: &[ProcedureTask], report: &mut Report) {
    let mut seen: BTreeMap<&str, &ProcedureTask> = BTreeMap::new();
    for task in procedure {
        if let Some(first) = seen.get(task.id.as_str()) {
            let message = format!("two tasks of the procedure are called `{}`", task.id);
            let problem = Problem::error(Code::DuplicateTask, message)
                .at(task.place.key("id"))
                .related(first.place.key("id"), "the first one")
                .help("give one of them another id");
            report.push(problem);
        } else {
            seen.insert(&task.id, task);
        }
    }
}

/// Every task of the rules, with where it stands.
fn all(rules: &Rules) -> Vec<(&Task, Place)> {
    let classes = all_classes(rules).flat_map(|class| {
        let tasks = rule_texts::staged(class).into_iter();
        tasks.map(|(task, path, _)| (task, class.place(&path)))
    });
    let procedure = rules.procedure.iter();
    let procedure = procedure.map(|rule| (&rule.task, rule.place.key("task")));
    classes.chain(procedure).collect()
}

/// What each verdict leaves, with where it stands.
fn leaves(rules: &Rules) -> impl Iterator<Item = (&BTreeMap<String, String>, Place)> {
    all_classes(rules).flat_map(|class| {
        let branches = class.checks.iter().flat_map(|check| &check.branches);
        branches.map(|branch| (&branch.leaves, class.place(&branch.path)))
    })
}

fn known_tasks(rules: &Rules, task: &Task, place: &Place, report: &mut Report) {
    for (index, after) in task.after.iter().enumerate() {
        let id = &after.task;
        if rules.procedure.iter().any(|task| task.id == *id) {
            continue;
        }
        let known = rules.procedure.iter().map(|task| task.id.as_str());
        let path = place.path.key("after").index(index).key("task");
        let message = format!("the procedure has no task `{id}`");
        let mut notes = Notes::of(&place.file, report);
        notes.error(Code::UnknownTask, &path, message, unknown_help(id, known));
    }
}

fn known_steps(
    rules: &Rules,
    written: &BTreeMap<String, String>,
    place: &Place,
    report: &mut Report,
) {
    for written in written {
        if let Err(problem) = StateRun::read(&rules.states, written) {
            report.push(problem.at(place.key(written.0)));
        }
    }
}

/// Only what the whole vehicle has is brought about again by stage: how a body, a side or a connection stood, the plan knows by itself.
fn of_the_vehicle(rules: &Rules, report: &mut Report) {
    for (stage, states) in &rules.again {
        let path = Path::root().key("again").key(stage.as_str());
        let course = |state: &&String| rules.states.get(*state);
        let own = |state: &&String| course(state).is_some_and(|course| course.of != Of::Vehicle);
        for state in states.keys().filter(own) {
            let message = format!("`{state}` is no state of the whole vehicle");
            let at = path.key(state.as_str());
            let mut notes = Notes::of("states.yaml", report);
            notes.error(Code::UnknownState, &at, message, "leave it out");
        }
    }
}

/// What a task does to a state, some task brings to the step at hand-over.
fn endless(rules: &Rules, tasks: &[(&Task, Place)], report: &mut Report) {
    for (state, course) in &rules.states {
        let made = |step: Option<usize>| {
            let mut tasks = tasks.iter();
            tasks.find(|(task, _)| {
                let of = task.makes.get(state).and_then(|word| course.step(word));
                of.is_some() && (step.is_none() || of == step)
            })
        };
        let Some((_, place)) = made(None).filter(|_| course.hand_over > 0) else {
            continue;
        };
        if made(Some(course.hand_over)).is_none() {
            let end = course.steps.get(course.hand_over);
            let message = format!(
                "`{state}` is never brought to `{}`, as which it is handed over",
                end.map_or("", String::as_str)
            );
            let at = place.path.key("makes").key(state.as_str());
            let help =
                "add a task that makes this step, or name another `hand_over` in `states.yaml`";
            Notes::of(&place.file, report).error(Code::BadRule, &at, message, help);
        }
    }
}

/// The states that are written, and the first and last step of each; none for what cannot be read.
fn runs<'a>(
    rules: &'a Rules,
    written: impl IntoIterator<Item = (&'a String, &'a String)>,
) -> impl Iterator<Item = (&'a str, usize, usize)> {
    let read = |written| StateRun::read(&rules.states, written).ok();
    let runs = written.into_iter().filter_map(read);
    runs.map(|found| (found.state, found.run.0, found.run.1))
}

/// A task that is not done on every vehicle and makes nothing that a task needs, or that follows what a task or verdict leaves.
fn never_needed(rules: &Rules, tasks: &[(&Task, Place)], report: &mut Report) {
    let needed = tasks.iter().flat_map(|(task, _)| &task.during);
    let needed = runs(rules, needed).map(|(state, from, _)| (state, from));
    let needed: BTreeSet<(&str, usize)> = needed.sorted_set();
    let made = tasks.iter().flat_map(|(task, _)| &task.makes);
    let made = made.chain(leaves(rules).flat_map(|(leaves, _)| leaves));
    let mut left: BTreeMap<&str, usize> = BTreeMap::new();
    for (state, _, to) in runs(rules, made) {
        let least = left.entry(state).or_insert(to);
        *least = (*least).min(to);
    }
    for rule in rules.procedure.iter().filter(|rule| !rule.always) {
        let mut makes = runs(rules, &rule.task.makes);
        let wanted = makes.any(|(state, _, to)| {
            let follows = left.get(state).is_some_and(|least| *least < to);
            follows || needed.contains(&(state, to))
        });
        if !wanted {
            let message = format!(
                "task `{}` is done when it is needed, and nothing needs what it makes",
                rule.id
            );
            let problem = Problem::warning(Code::TaskNeverTriggered, message)
                .at(rule.place.key("id"))
                .help("write `always: true`, let a task need it under `while`, or take it out");
            report.push(problem);
        }
    }
}
