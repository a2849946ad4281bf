//! How a job stands by its record, as a short account for a terminal: signed off, waiting, out of limits, open.
//!
//! Takes what was made of the job and how its tasks stand; gives plain text in which nothing acts on a terminal.

use std::fmt::Write as _;

use super::{Look, Made, account, words};
use crate::quantity::Units;
use crate::record::{Record, Standing, State, Status};
use crate::report::{in_message, numbered};

/// The account.
#[must_use]
pub fn standing(
    made: &Made<'_>,
    (status, record): (&Status<'_>, &Record),
    file: &str,
    look: Look,
) -> String {
    let mut out = head(made, status, record, file);
    let tasks = || status.tasks.iter().filter(|one| one.task.due.is_none());
    let of = |wanted: State| tasks().filter(move |one| one.state() == wanted);
    let wrong = of(State::OutOfLimits).map(|one| {
        format!(
            "{}: {}",
            one.task.id,
            account::wrong(one, look.units).join("; ")
        )
    });
    list(&mut out, "Out of limits", wrong);
    list(
        &mut out,
        "Fallen open, because the task changed after it was signed",
        fallen(status),
    );
    let waiting = of(State::Done).map(|one| waiting(one));
    list(&mut out, "Waiting for the supervisor", waiting);
    let open = tasks().filter(|one| matches!(one.state(), State::Open | State::Begun));
    list(&mut out, "Open", open.map(|one| open_line(one)));
    let due = status.tasks.iter().filter(|one| one.task.due.is_some());
    list(
        &mut out,
        "Due after the lift",
        due.map(|one| due_line(one, look.units)),
    );
    list(
        &mut out,
        "Signed off",
        of(State::Checked).map(|one| one.task.id.clone()),
    );
    out
}

fn head(made: &Made<'_>, status: &Status<'_>, record: &Record, file: &str) -> String {
    let lift = || status.tasks.iter().filter(|one| one.task.due.is_none());
    let off = lift().filter(|one| one.state() == State::Checked).count();
    let all = lift().count();
    let verdict = if made.assessment.stops() {
        "not released: the lift must not be done as the job file describes it".to_owned()
    } else if made.plan.provisional {
        "not released: the plan is provisional, and nothing may be signed on it".to_owned()
    } else if status.released() {
        format!("released: {} signed off", numbered(all, "task"))
    } else {
        format!(
            "not released: {off} of {} signed off",
            numbered(all, "task")
        )
    };
    format!(
        "{}: {verdict}\nrecord {}: {}, every line as it was written\nlast digest sha256:{}\nplan {}\n",
        in_message(&made.job.title),
        in_message(file),
        numbered(record.entries.len(), "entry"),
        record.last_digest(),
        made.plan.digest
    )
}

/// A heading with a line for each; nothing where there is none.
fn list(out: &mut String, heading: &str, lines: impl Iterator<Item = String>) {
    let lines: Vec<String> = lines.collect();
    if lines.is_empty() {
        return;
    }
    // Writing to a String cannot fail.
    let _ = writeln!(out, "\n{heading} ({}):", lines.len());
    for line in lines {
        let _ = writeln!(out, "  {}", in_message(&line));
    }
}

fn fallen(status: &Status<'_>) -> impl Iterator<Item = String> {
    let fallen = status.tasks.iter().flat_map(|one| {
        let fallen = one.fallen.iter();
        fallen.map(move |(entry, parts)| {
            let what = account::changed(parts);
            format!(
                "{}: {} by {}; changed: {what}",
                one.task.id,
                entry.act.word(),
                account::signature(entry)
            )
        })
    });
    let gone = status.gone.iter().map(|entry| {
        let by = account::signature(entry);
        format!(
            "{}: {} by {by}; the plan has this task no longer",
            entry.task,
            entry.act.word()
        )
    });
    fallen.chain(gone)
}

fn waiting(standing: &Standing<'_>) -> String {
    let missing: Vec<&str> = standing.missing().map(|one| one.name.as_str()).collect();
    let missing = if missing.is_empty() {
        String::new()
    } else {
        format!("; not written down: {}", missing.join(", "))
    };
    format!(
        "{}: {}{missing}",
        standing.task.id,
        account::doers(standing).join("; ")
    )
}

fn open_line(standing: &Standing<'_>) -> String {
    match standing.opened {
        None => standing.task.id.clone(),
        Some(entry) => {
            let why = entry.note.as_deref().unwrap_or_default();
            let cause = if entry.task == standing.task.id {
                entry.act.word().to_owned()
            } else {
                format!("fell open with {}", entry.task)
            };
            format!(
                "{}: {cause} by {}: {why}",
                standing.task.id,
                account::signature(entry)
            )
        }
    }
}

fn due_line(standing: &Standing<'_>, units: Units) -> String {
    let due = standing.task.due.as_ref().map(|due| words::due(due, units));
    let signed = account::doers(standing).pop();
    let signed = signed.map_or_else(|| "open".to_owned(), |who| format!("done, {who}"));
    format!(
        "{}: {}: {signed}",
        standing.task.id,
        due.unwrap_or_default()
    )
}
