//! Levels: a stage is done for the vehicle, for each body, or for each side of a body; each level in use has one task that closes
//! it. The moments of the check, the look as found and the closing up need none: each is a stretch of the work by itself.

use std::collections::BTreeMap;

use super::Notes;
use crate::report::{Code, Problem, Report};
use crate::rules::{Moment, Per, ProcedureTask, Rules, Stage};

type Level = (Stage, Per, Option<Moment>);

/// Checks the levels of the procedure.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    for task in &rules.procedure {
        placed(task, report);
    }
    let mut levels: BTreeMap<Level, Vec<&ProcedureTask>> = BTreeMap::new();
    for task in &rules.procedure {
        let moment = task.task.moment();
        let moment = moment.filter(|_| task.stage == Stage::Check);
        let level = (task.stage, task.per, moment);
        levels.entry(level).or_default().push(task);
    }
    for (level, tasks) in &levels {
        closes(*level, tasks, report);
        opens(*level, tasks, report);
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
        task.per.word(),
        task.stage.word()
    );
    let at = task.place.path.key("per");
    Notes::of(&task.place.file, report).error(Code::BadLevel, &at, message, help);
}

fn title((stage, per, _): Level) -> String {
    match per {
        Per::Vehicle => format!("stage `{}`", stage.word()),
        _ => format!("stage `{}` for each {}", stage.word(), per.word()),
    }
}

/// One task closes a level, so that what follows has one thing to wait for; it must be there on every vehicle.
fn closes(level: Level, tasks: &[&ProcedureTask], report: &mut Report) {
    let closing: Vec<_> = tasks.iter().copied().filter(|task| task.closes).collect();
    let error = |message| Problem::error(Code::StageNotClosed, message);
    let problem = match closing.as_slice() {
        // The moments of the check are each a stretch of their own, which nothing needs to close.
        [] if matches!(level.0, Stage::AsFound | Stage::CloseUp | Stage::Check) => None,
        [] => tasks.first().map(|task| {
            error(format!("no task closes {}", title(level)))
                .at(task.place.clone())
                .help("add `closes: true` to the task that everything else of it comes before")
        }),
        [one] if !one.always || one.when.is_some() => {
            let (id, level) = (&one.id, title(level));
            let message = format!("task `{id}` closes {level}, and is not done on every vehicle");
            let key = if one.always { "when" } else { "id" };
            let problem = error(message).at(one.place.key(key));
            Some(problem.help("let a task close it that is always done"))
        }
        _ => twice(level, &closing, ("close", Code::StageNotClosed, "before")),
    };
    report.extend(problem);
}

/// At most one task opens a level, so that what it holds has one thing to wait for.
fn opens(level: Level, tasks: &[&ProcedureTask], report: &mut Report) {
    let opening: Vec<_> = tasks.iter().copied().filter(|task| task.opens).collect();
    report.extend(twice(level, &opening, ("open", Code::BadLevel, "after")));
}

/// Two tasks that both open or close a level, where there are two.
fn twice(
    level: Level,
    tasks: &[&ProcedureTask],
    (does, code, comes): (&str, Code, &str),
) -> Option<Problem> {
    let [first, second, ..] = tasks else {
        return None;
    };
    let level = title(level);
    let message = format!("`{}` and `{}` both {does} {level}", first.id, second.id);
    let key = format!("{does}s");
    let problem = Problem::error(code, message)
        .at(second.place.key(&key))
        .related(first.place.key(&key), "the first one");
    Some(problem.help(format!(
        "let one of them {does} it, and the other come {comes}"
    )))
}
