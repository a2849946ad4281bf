//! The whole-vehicle tasks of one stage.

use super::class::stage;
use super::fields::Fields;
use crate::report::Path;
use crate::rules::model::{Per, ProcedureTask};
use crate::rules::words::{Moment, Stage};
use crate::rules::written;
use strum::VariantNames;

/// Checks one procedure file.
pub(in crate::rules) fn procedure(
    written: written::Procedure,
    fields: &mut Fields<'_>,
) -> Vec<ProcedureTask> {
    let Some(stage) = stage(&written.stage, &Path::root().key("stage"), fields) else {
        return Vec::new();
    };
    let mut tasks = Vec::new();
    for (index, task) in written.tasks.into_iter().enumerate() {
        let path = Path::root().key("tasks").index(index);
        let per = per(task.per.as_deref(), &path, fields);
        let when = fields.optional(task.when.as_ref(), &|| path.key("when"));
        tasks.push(ProcedureTask {
            id: task.id,
            stage,
            per,
            when,
            always: task.always || task.task.makes.is_empty(),
            closes: task.closes,
            opens: task.opens,
            earliest: earliest(task.earliest.as_deref(), &path, fields),
            task: task.task,
            place: fields.place(&path),
        });
    }
    tasks
}

fn per(given: Option<&str>, path: &Path, fields: &mut Fields<'_>) -> Per {
    let Some(given) = given else {
        return Per::Vehicle;
    };
    let find = |word: &str| match word {
        "vehicle" => Some(Per::Vehicle),
        "group" => Some(Per::Group),
        "side" => Some(Per::Side),
        _ => None,
    };
    let found = fields.word(
        given,
        &|| path.key("per"),
        &["vehicle", "group", "side"],
        find,
    );
    found.unwrap_or(Per::Vehicle)
}

fn earliest(
    given: Option<&str>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<(Stage, Option<Moment>)> {
    let known = [Stage::VARIANTS, Moment::VARIANTS].concat();
    let find = |word: &str| match word.parse() {
        Ok(moment) => Some((Stage::Check, Some(moment))),
        Err(_) => Some((word.parse().ok()?, None)),
    };
    fields.word(given?, &|| path.key("earliest"), &known, find)
}
