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
        let per = task.per.as_ref();
        let per = per.and_then(|per| fields.choice(per, &|| path.key("per")));
        let when = fields.optional(task.when.as_ref(), &|| path.key("when"));
        tasks.push(ProcedureTask {
            id: task.id,
            stage,
            per: per.unwrap_or(Per::Vehicle),
            when,
            always: task.always || task.task.makes.is_empty(),
            closes: task.closes,
            opens: task.opens,
            earliest: earliest(task.earliest.as_deref(), &path, fields),
            task: task.task,
            place: fields.notes.place(&path),
        });
    }
    tasks
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
