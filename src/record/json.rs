//! How the tasks stand, for other programs: a stable JSON shape.
//!
//! A task's `state` is one of `open`, `begun`, `out of limits`, `waiting for the supervisor`, `signed off`, and so is that of each of its
//! rows; entries are named by their number.

use serde_json::{Value, json};

use super::clock;
use super::entry::{Entry, Record};
use super::footing::Footing;
use super::odometer;
use super::standing::Standing;
use super::status::Status;
use super::when;

/// The status as JSON.
pub fn to_json(footing: &Footing, status: &Status<'_>, record: &Record) -> Value {
    let tasks: Vec<Value> = status.tasks.iter().map(|one| task(one, status)).collect();
    let gone: Vec<Value> = status
        .gone
        .iter()
        .map(|entry| short(entry, status))
        .collect();
    let difference = &footing.difference;
    json!({
        "made_with": "Made with liftsheet",
        "job": footing.agreed.job,
        "plan_digest": footing.agreed.digest,
        "entries": record.entries.len(),
        "last_digest": format!("sha256:{}", record.last_digest()),
        "torn": record.torn,
        "bound": footing.binding,
        "signable": footing.agreed.signable().is_ok(),
        "released": footing.released(status),
        "otherwise_now": {
            "identity": difference.identity, "changes": difference.changes, "rules": difference.rules,
            "plan": difference.plan, "of_the_program": difference.is_of_program(), "would_open": difference.fell,
        },
        "odometer_at_handover": odometer::at_handover(status),
        "stands": footing.stands(status),
        "tasks": tasks,
        "links": links(status),
        "gone": gone,
        "faster_than_work": clock::fast(status).iter().map(fast).collect::<Vec<_>>(),
        "before_the_wait_was_over": clock::soon(status).iter().map(soon).collect::<Vec<_>>(),
        "clock_ran_behind": when::ran_behind(record),
    })
}

fn fast(stretch: &clock::Fast<'_>) -> Value {
    let tasks: Vec<&String> = stretch.tasks.iter().map(|task| &task.id).collect();
    json!({"tasks": tasks, "from": stretch.from, "to": stretch.to, "minutes": stretch.minutes(), "least": stretch.least})
}

fn soon(pair: &clock::Soon<'_>) -> Value {
    json!({"task": pair.task.id, "after": pair.after.id, "minutes": pair.minutes, "least": pair.least})
}

/// The connections, each with whether everything signed for it is signed off.
fn links(status: &Status<'_>) -> Value {
    let ids = status.tasks.iter().flat_map(|one| &one.task.links);
    let links = ids.filter_map(|id| Some((id.clone(), json!(status.link_signed_off(id)?))));
    Value::Object(links.collect())
}

fn task(standing: &Standing<'_>, status: &Status<'_>) -> Value {
    let done = shorts(&standing.done(), status);
    let values = standing.values.iter();
    let values: serde_json::Map<String, Value> = values
        .map(|(name, (value, _))| ((*name).to_owned(), json!(value)))
        .collect();
    let wrong: Vec<&str> = standing.wrong().map(|(one, _)| one.name.as_str()).collect();
    let missing: Vec<&str> = standing.missing().map(|one| one.name.as_str()).collect();
    let rounds = standing.rounds.iter();
    let rounds: Vec<Value> = rounds
        .map(|(done, checked)| json!({"done": shorts(done, status), "checked": short(checked, status)}))
        .collect();
    json!({
        "id": standing.task.id,
        "state": standing.state().word(),
        "due": standing.task.due,
        "done": done,
        "checked": standing.checked().map(|entry| short(entry, status)),
        "rows": rows(standing),
        "values": values,
        "wrong": wrong,
        "missing": missing,
        "opened": standing.opened().map(|opened| json!({"entry": opened.by.map(|entry| entry.number), "why": opened.why})),
        "rounds": rounds,
        "history": standing.history.iter().map(|entry| entry.number).collect::<Vec<_>>(),
    })
}

/// The rows of a task that has several.
fn rows(standing: &Standing<'_>) -> Vec<Value> {
    if standing.rows.len() < 2 {
        return Vec::new();
    }
    let rows = standing.rows.iter().map(|row| {
        json!({
            "row": row.row.id, "state": standing.row_state(row).word(),
            "done": row.done.iter().map(|entry| entry.number).collect::<Vec<_>>(),
            "checked": row.checked.map(|entry| entry.number),
        })
    });
    rows.collect()
}

fn shorts(entries: &[&Entry], status: &Status<'_>) -> Vec<Value> {
    entries.iter().map(|entry| short(entry, status)).collect()
}

fn short(entry: &Entry, status: &Status<'_>) -> Value {
    json!({
        "entry": entry.number, "task": entry.task, "act": entry.act, "person": entry.person, "role": entry.role,
        "how": entry.how,
        "recorded": entry.time, "observed": status.effective.observed(entry), "note": entry.note,
        "odometer": status.effective.odometer(entry), "rows": entry.rows,
    })
}
