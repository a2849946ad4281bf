//! How the tasks stand, for other programs: a stable JSON shape.
//!
//! A task's `state` is one of `open`, `begun`, `out of limits`, `waiting for the supervisor`, `signed off`; entries are named by their number.

use serde_json::{Value, json};

use super::basis::Basis;
use super::chain::Record;
use super::entry::Entry;
use super::status::{Standing, Status};

/// The status as JSON.
#[must_use]
pub fn to_json(basis: &Basis<'_>, status: &Status<'_>, record: &Record) -> Value {
    let tasks: Vec<Value> = status.tasks.iter().map(task).collect();
    let gone: Vec<Value> = status.gone.iter().map(|entry| short(entry)).collect();
    json!({
        "made_with": "Made with liftsheet",
        "job": basis.job.title,
        "plan_digest": basis.plan.digest,
        "entries": record.entries.len(),
        "last_digest": format!("sha256:{}", record.last_digest()),
        "torn": record.torn,
        "signable": basis.signable().is_ok(),
        "released": basis.signable().is_ok() && status.released(),
        "tasks": tasks,
        "gone": gone,
    })
}

fn task(standing: &Standing<'_>) -> Value {
    let done: Vec<Value> = standing.done.iter().map(|entry| short(entry)).collect();
    let fallen = standing.fallen.iter();
    let fallen: Vec<Value> = fallen
        .map(|(entry, changed)| json!({"entry": entry.number, "changed": changed}))
        .collect();
    let values = standing.values.iter();
    let values: serde_json::Map<String, Value> = values
        .map(|(name, (value, _))| ((*name).to_owned(), json!(value)))
        .collect();
    let wrong: Vec<&str> = standing.wrong().map(|(one, _)| one.name.as_str()).collect();
    let missing: Vec<&str> = standing.missing().map(|one| one.name.as_str()).collect();
    json!({
        "id": standing.task.id,
        "state": standing.state().word(),
        "due": standing.task.due,
        "done": done,
        "checked": standing.checked.map(short),
        "values": values,
        "wrong": wrong,
        "missing": missing,
        "opened": standing.opened.map(short),
        "fallen": fallen,
    })
}

fn short(entry: &Entry) -> Value {
    json!({
        "entry": entry.number, "task": entry.task, "act": entry.act, "person": entry.person, "role": entry.role,
        "time": entry.time, "at": entry.at, "note": entry.note, "odometer": entry.odometer,
    })
}
