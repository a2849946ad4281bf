//! Levels: a stage is done for the vehicle, for each body, or for each side of a body; each level in use has one task that closes
//! it, and nothing waits for what comes later.

use std::collections::{BTreeMap, BTreeSet};

use crate::report::{Code, Place, Problem, Report};
use crate::rules::{Per, ProcedureTask};
use crate::rules::{Rules, Stage};

type Level = (Stage, Per);

/// Checks the levels of the procedure.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    for task in &rules.procedure {
        placed(task, report);
        order(rules, task, report);
    }
    let mut levels: BTreeMap<Level, Vec<&ProcedureTask>> = BTreeMap::new();
    for task in &rules.procedure {
        levels.entry((task.stage, task.per)).or_default().push(task);
    }
    for (level, tasks) in &levels {
        closes(*level, tasks, report);
        opens(*level, tasks, report);
    }
    let put_back = rules.procedure.iter().find(|task| task.refit.is_some());
    if let Some(task) = put_back.filter(|_| !levels.contains_key(&(Stage::Refit, Per::Vehicle))) {
        let message = "something is put back, and no task closes the stage `refit`";
        let problem = Problem::error(Code::StageNotClosed, message)
            .at(key(task, "refit"))
            .help("add a task to the stage with `closes: true`");
        report.push(problem);
    }
}

fn key(task: &ProcedureTask, key: &str) -> Place {
    Place::new(task.place.file.clone(), task.place.path.key(key))
}

fn word(per: Per) -> &'static str {
    match per {
        Per::Vehicle => "vehicle",
        Per::Group => "group",
        Per::Side => "side",
    }
}

/// Bodies go up one after the other, and only in three stages.
fn placed(task: &ProcedureTask, report: &mut Report) {
    let raising = matches!(task.stage, Stage::Raise | Stage::Space | Stage::Lower);
    let help = match (raising, task.per) {
        (true, Per::Vehicle) => {
            "write `per: group` or `per: side`; bodies go up one after the other"
        }
        (false, Per::Group | Per::Side) => {
            "leave `per` out; only raising, spacing and lowering are done body by body"
        }
        (true, Per::Group) if task.stage == Stage::Space => {
            "write `per: side`; blocks go in side by side"
        }
        _ => return,
    };
    let message = format!(
        "task `{}` is done for each {}, and the stage `{}` is not",
        task.id,
        word(task.per),
        task.stage.word()
    );
    let problem = Problem::error(Code::BadLevel, message)
        .at(key(task, "per"))
        .help(help);
    report.push(problem);
}

fn title((stage, per): Level) -> String {
    match per {
        Per::Vehicle => format!("stage `{}`", stage.word()),
        _ => format!("stage `{}` for each {}", stage.word(), word(per)),
    }
}

/// One task closes a level, so that what follows has one thing to wait for; it must be there on every vehicle.
fn closes(level: Level, tasks: &[&ProcedureTask], report: &mut Report) {
    let closing: Vec<&&ProcedureTask> = tasks.iter().filter(|task| task.closes).collect();
    let problem = match closing.as_slice() {
        [] => tasks.first().map(|task| {
            Problem::error(
                Code::StageNotClosed,
                format!("no task closes {}", title(level)),
            )
            .at(task.place.clone())
            .help("add `closes: true` to the task that everything else of it comes before")
        }),
        [one] if one.on_call || one.when.is_some() => Some(
            Problem::error(
                Code::StageNotClosed,
                format!(
                    "task `{}` closes {}, and is not done on every vehicle",
                    one.id,
                    title(level)
                ),
            )
            .at(key(one, if one.on_call { "on_call" } else { "when" }))
            .help("let a task close it that is always done"),
        ),
        [_] => None,
        [first, second, ..] => Some(
            Problem::error(
                Code::StageNotClosed,
                format!(
                    "`{}` and `{}` both close {}",
                    first.id,
                    second.id,
                    title(level)
                ),
            )
            .at(key(second, "closes"))
            .related(key(first, "closes"), "the first one")
            .help("let one of them close it, and the other come before"),
        ),
    };
    report.extend(problem);
}

fn opens(level: Level, tasks: &[&ProcedureTask], report: &mut Report) {
    let opening: Vec<&&ProcedureTask> = tasks.iter().filter(|task| task.opens).collect();
    if let [first, second, ..] = opening.as_slice() {
        let message = format!(
            "`{}` and `{}` both open {}",
            first.id,
            second.id,
            title(level)
        );
        let problem = Problem::error(Code::BadLevel, message)
            .at(key(second, "opens"))
            .related(key(first, "opens"), "the first one")
            .help("let one of them open it, and the other come after");
        report.push(problem);
    }
}

/// Where a level stands in the order of work: a body's own tasks come before its sides are raised, and after they are lowered.
fn rank((stage, per): Level) -> (Stage, bool) {
    let later = match stage {
        Stage::Raise => per == Per::Side,
        Stage::Lower => per == Per::Group,
        _ => false,
    };
    (stage, later)
}

/// A task that waits for one of a later stage would not wait at all.
fn order(rules: &Rules, task: &ProcedureTask, report: &mut Report) {
    let own = rank((task.stage, task.per));
    let needed: BTreeSet<&str> = task.task.needs.iter().map(String::as_str).collect();
    for other in &rules.procedure {
        let listed = task.task.after.contains(&other.id);
        let gives = other
            .task
            .gives
            .iter()
            .any(|access| needed.contains(access.as_str()));
        if (listed || gives) && rank((other.stage, other.per)) > own {
            let message = format!(
                "task `{}` of the stage `{}` waits for `{}`, which is done in the later stage `{}`",
                task.id,
                task.stage.word(),
                other.id,
                other.stage.word()
            );
            let at = task
                .place
                .path
                .key("task")
                .key(if listed { "after" } else { "needs" });
            let problem = Problem::error(Code::WrongOrder, message)
                .at(Place::new(task.place.file.clone(), at))
                .related(other.place.clone(), "done here")
                .help("move one of the two to another stage, or do not wait for it");
            report.push(problem);
        }
    }
}
