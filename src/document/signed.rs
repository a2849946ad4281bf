//! The signed sheet: every task with who did it, who checked it, when, and the values; what is open; what did not go straight;
//! and the hand-over with what comes due.
//!
//! Takes what was made of the job and how its tasks stand by the record; gives one [`Page`] that prints the record's last
//! digest, so that the paper fixes the record.

use serde::Serialize;

use super::handover::Handover;
use super::links::{self, Row};
use super::sheet::{Head, head, page};
use super::tasks::numbers;
use super::{DocumentError, Look, Made, Page, account, facts, handover, words};
use crate::quantity::Units;
use crate::record::{Record, Standing, State, Status};

#[derive(Debug, Serialize)]
struct Signed {
    head: Head,
    facts: Vec<(&'static str, String)>,
    released: bool,
    file: String,
    entries: usize,
    last_digest: String,
    wrong: Vec<Named>,
    waiting: String,
    open: String,
    fallen: Vec<Fallen>,
    sections: Vec<Section>,
    events: Vec<EventRow>,
    handover: Handover,
    left: Vec<Row>,
    digest: String,
}

/// A task and something to say of it.
#[derive(Debug, Serialize)]
struct Named {
    number: usize,
    title: String,
    what: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Fallen {
    number: usize,
    title: String,
    signed: String,
    changed: String,
}

#[derive(Debug, Serialize)]
struct Section {
    heading: String,
    rows: Vec<TaskRow>,
}

#[derive(Debug, Serialize)]
struct TaskRow {
    number: usize,
    title: String,
    hold: bool,
    done: Vec<String>,
    checked: Option<String>,
    state: &'static str,
    values: Vec<String>,
}

#[derive(Debug, Serialize)]
struct EventRow {
    entry: u64,
    task: String,
    what: String,
    who: String,
    note: String,
}

/// Makes the signed sheet; fails only when its template is defective.
pub fn signed(
    made: &Made<'_>,
    (status, record): (&Status<'_>, &Record),
    file: &str,
    look: Look,
) -> Result<Page, DocumentError> {
    let (_, left) = links::rows(made, look);
    let released = status.released() && !made.plan.provisional && !made.assessment.stops();
    let digest = format!("sha256:{}", record.last_digest());
    let view = Signed {
        head: head(made, look),
        facts: facts::facts(made, look.units),
        released,
        file: file.to_owned(),
        entries: record.entries.len(),
        last_digest: digest.clone(),
        wrong: wrong(made, status, look.units),
        waiting: of_state(made, status, &[State::Done]),
        open: of_state(made, status, &[State::Open, State::Begun]),
        fallen: fallen(made, status, look.units),
        sections: sections(made, status, look.units),
        events: events(status),
        handover: handover::handover(made, status, look.units),
        left,
        digest: made.plan.digest.clone(),
    };
    let mut page = page(made, "Signed sheet", "signed.md", view)?;
    let short: String = digest.chars().take(23).collect();
    page.footer = format!("{} · record {short}", page.footer);
    Ok(page)
}

/// The tasks with their numbers on the sheet.
pub(super) fn numbered<'s, 'a>(
    made: &Made<'_>,
    status: &'s Status<'a>,
) -> Vec<(usize, &'s Standing<'a>)> {
    let numbers = numbers(made);
    let tasks = status.tasks.iter();
    tasks
        .map(|one| (numbers.get(one.task.id.as_str()).copied().unwrap_or(0), one))
        .collect()
}

/// The numbers of the tasks in one of the states; those that come due after the lift stand on their own.
fn of_state(made: &Made<'_>, status: &Status<'_>, wanted: &[State]) -> String {
    let tasks = numbered(made, status).into_iter();
    let tasks = tasks.filter(|(_, one)| one.task.due.is_none() && wanted.contains(&one.state()));
    let numbers: Vec<usize> = tasks.map(|(number, _)| number).collect();
    if numbers.is_empty() {
        return String::new();
    }
    words::tasks(numbers)
}

fn wrong(made: &Made<'_>, status: &Status<'_>, units: Units) -> Vec<Named> {
    let tasks = numbered(made, status).into_iter();
    let tasks = tasks.filter(|(_, one)| one.state() == State::OutOfLimits);
    let named = tasks.map(|(number, one)| Named {
        number,
        title: one.task.title.print(units),
        what: account::wrong(one, units),
    });
    named.collect()
}

fn fallen(made: &Made<'_>, status: &Status<'_>, units: Units) -> Vec<Fallen> {
    let tasks = numbered(made, status).into_iter();
    let fallen = tasks.flat_map(|(number, one)| {
        let fallen = one.fallen.iter();
        fallen.map(move |(entry, parts)| Fallen {
            number,
            title: one.task.title.print(units),
            signed: format!("{}, {}", entry.act.word(), account::signature(entry)),
            changed: account::changed(parts),
        })
    });
    fallen.collect()
}

fn sections(made: &Made<'_>, status: &Status<'_>, units: Units) -> Vec<Section> {
    let tasks = numbered(made, status);
    let stretches = tasks.chunk_by(|(_, one), (_, next)| one.task.slot == next.task.slot);
    let sections = stretches.filter_map(|tasks| {
        let (_, first) = tasks.first()?;
        Some(Section {
            heading: words::slot_heading(made.job, first.task),
            rows: tasks
                .iter()
                .map(|(number, one)| row(*number, one, units))
                .collect(),
        })
    });
    sections.collect()
}

fn row(number: usize, standing: &Standing<'_>, units: Units) -> TaskRow {
    TaskRow {
        number,
        title: standing.task.title.print(units),
        hold: standing.task.hold.is_some(),
        done: account::doers(standing),
        checked: standing.checked.map(account::signature),
        state: standing.state().word(),
        values: account::values(standing, units),
    }
}

fn events(status: &Status<'_>) -> Vec<EventRow> {
    let events = account::events(status).into_iter();
    let rows = events.map(|event| EventRow {
        entry: event.entry.number,
        task: event.entry.task.clone(),
        what: event.what,
        who: account::signature(event.entry),
        note: event.entry.note.clone().unwrap_or_default(),
    });
    rows.collect()
}
