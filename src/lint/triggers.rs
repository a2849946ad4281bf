//! Triggers: tasks call, need and follow what is there, every access has one giver, and every task on call has somebody who
//! calls it.

use std::collections::{BTreeMap, BTreeSet};

use super::{all_classes, pieces, whole};
use crate::report::{Code, Path, Place, Problem, Report, unknown_help};
use crate::rules::ProcedureTask;
use crate::rules::Rules;
use crate::rules::written::Task;

/// A task, who it belongs to, and where it stands.
struct Owned<'a> {
    owner: Owner<'a>,
    task: &'a Task,
    place: Place,
}

/// A class, or a task of the procedure with its refit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Owner<'a> {
    Class(&'a str),
    Procedure(&'a str),
}

impl Owner<'_> {
    fn title(self) -> String {
        match self {
            Self::Class(id) => format!("class `{id}`"),
            Self::Procedure(id) => format!("task `{id}`"),
        }
    }
}

/// Checks what the tasks of the whole rule set say of one another.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    twice(&rules.procedure, report);
    let tasks = all(rules);
    for call in calls(rules) {
        known_task(rules, call.id, call.place, report);
    }
    let givers = givers(&tasks, report);
    for owned in &tasks {
        known_tasks(rules, owned, report);
        known_access(&givers, owned, report);
    }
    if whole(rules) {
        never_triggered(rules, &tasks, report);
    }
}

fn twice(procedure: &[ProcedureTask], report: &mut Report) {
    let mut seen: BTreeMap<&str, &ProcedureTask> = BTreeMap::new();
    for task in procedure {
        if let Some(first) = seen.get(task.id.as_str()) {
            let message = format!("two tasks of the procedure are called `{}`", task.id);
            let problem = Problem::error(Code::DuplicateTask, message)
                .at(at(&task.place, "id"))
                .related(at(&first.place, "id"), "the first one")
                .help("give one of them another id");
            report.push(problem);
        } else {
            seen.insert(&task.id, task);
        }
    }
}

fn at(place: &Place, key: &str) -> Place {
    Place::new(place.file.clone(), place.path.key(key))
}

fn all(rules: &Rules) -> Vec<Owned<'_>> {
    let mut all = Vec::new();
    for class in all_classes(rules) {
        for (task, path) in pieces::tasks_of(class) {
            all.push(Owned {
                owner: Owner::Class(&class.id),
                task,
                place: class.place(&path),
            });
        }
    }
    for rule in &rules.procedure {
        for (task, path) in pieces::tasks_of_procedure(rule) {
            all.push(Owned {
                owner: Owner::Procedure(&rule.id),
                task,
                place: Place::new(rule.place.file.clone(), path),
            });
        }
    }
    all
}

/// Who gives each access; a second giver would never be asked.
fn givers<'a>(tasks: &[Owned<'a>], report: &mut Report) -> BTreeMap<&'a str, Owner<'a>> {
    let mut givers: BTreeMap<&str, (Owner<'_>, Place)> = BTreeMap::new();
    for owned in tasks {
        for (index, access) in owned.task.gives.iter().enumerate() {
            let place = item(&owned.place, "gives", index);
            let (first, where_first) = givers
                .entry(access)
                .or_insert_with(|| (owned.owner, place.clone()));
            if *first != owned.owner {
                let message = format!(
                    "`{access}` is given by {} already, so {} is never asked for it",
                    first.title(),
                    owned.owner.title()
                );
                let problem = Problem::error(Code::TwoGivers, message)
                    .at(place)
                    .related(where_first.clone(), "given here first")
                    .help("let one task give it, or give the two accesses names of their own");
                report.push(problem);
            }
        }
    }
    let owners = givers.into_iter();
    owners.map(|(access, (owner, _))| (access, owner)).collect()
}

fn item(place: &Place, key: &str, index: usize) -> Place {
    let path: Path = place.path.key(key).index(index);
    Place::new(place.file.clone(), path)
}

fn known_tasks(rules: &Rules, owned: &Owned<'_>, report: &mut Report) {
    let named = [
        ("calls", &owned.task.calls),
        ("after", &owned.task.after),
        ("before", &owned.task.before),
    ];
    for (key, ids) in named {
        for (index, id) in ids.iter().enumerate() {
            known_task(rules, id, item(&owned.place, key, index), report);
        }
    }
}

fn known_task(rules: &Rules, id: &str, place: Place, report: &mut Report) {
    if rules.procedure.iter().any(|task| task.id == id) {
        return;
    }
    let known = rules.procedure.iter().map(|task| task.id.as_str());
    let problem = Problem::error(
        Code::UnknownTask,
        format!("the procedure has no task `{id}`"),
    )
    .at(place)
    .help(unknown_help(id, known));
    report.push(problem);
}

/// A verdict whose work is a task of the procedure.
struct Call<'a> {
    id: &'a str,
    place: Place,
}

fn calls(rules: &Rules) -> Vec<Call<'_>> {
    let mut calls = Vec::new();
    for class in all_classes(rules) {
        for branch in class.checks.iter().flat_map(|check| &check.branches) {
            let at = class.place(&branch.path);
            let ids = branch.calls.iter().enumerate();
            calls.extend(ids.map(|(index, id)| Call {
                id,
                place: item(&at, "calls", index),
            }));
        }
    }
    calls
}

fn known_access(givers: &BTreeMap<&str, Owner<'_>>, owned: &Owned<'_>, report: &mut Report) {
    for (index, access) in owned.task.needs.iter().enumerate() {
        if givers.contains_key(access.as_str()) {
            continue;
        }
        let message = format!("no task gives the access `{access}`");
        let problem = Problem::error(Code::UnknownAccess, message)
            .at(item(&owned.place, "needs", index))
            .help(unknown_help(access, givers.keys().copied()));
        report.push(problem);
    }
}

fn never_triggered(rules: &Rules, tasks: &[Owned<'_>], report: &mut Report) {
    let mut wanted: BTreeSet<(&str, &str)> = BTreeSet::new();
    let by_verdict: BTreeSet<&str> = calls(rules).iter().map(|call| call.id).collect();
    for owned in tasks {
        // What a task says of itself does not begin it.
        let own = |rule: &ProcedureTask| owned.owner == Owner::Procedure(&rule.id);
        for rule in rules
            .procedure
            .iter()
            .filter(|rule| rule.on_call && !own(rule))
        {
            let called = owned.task.calls.contains(&rule.id);
            let needed = rule
                .task
                .gives
                .iter()
                .any(|access| owned.task.needs.contains(access));
            if called || needed || by_verdict.contains(rule.id.as_str()) {
                wanted.insert((&rule.place.file, &rule.id));
            }
        }
    }
    for rule in rules.procedure.iter().filter(|rule| rule.on_call) {
        if !wanted.contains(&(rule.place.file.as_str(), rule.id.as_str())) {
            let message = format!(
                "task `{}` is done on call, and nothing calls it or needs what it gives",
                rule.id
            );
            let problem = Problem::warning(Code::TaskNeverTriggered, message)
                .at(at(&rule.place, "id"))
                .help("name it under `calls` of a task, or take it out");
            report.push(problem);
        }
    }
}
