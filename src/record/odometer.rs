//! The odometer: read at hand-over, never running back, and how far a retorque is from there.
//!
//! Takes how the tasks stand and what was typed; gives km, or the refusal. A reading that was put right later counts as it was put right.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::agreed::SignedTask;
use super::effective::Effective;
use super::entry::{Act, Entry, Record};
use super::standing::Standing;
use super::status::Status;
use super::value::{self, Entered};
use crate::job::Role;
use crate::quantity::Unit;
use crate::report::{Code, Problem};

/// The share of its distance before which a retorque says nothing yet (common practice).
const EARLIEST: f64 = 0.9;

/// What a vehicle is driven between two readings of one job at the most, km, before somebody says why (the road test is of 100 km at most).
const TEST_DRIVES: f64 = 500.0;

/// What was typed, in km.
pub(super) fn read(typed: &str) -> Result<f64, Problem> {
    Ok(value::quantity("the odometer", typed, Unit::Km)?.value)
}

/// What the value is called in which a task asks for it.
pub const VALUE: &str = "odometer";

/// The reading of an entry, km: what was typed for all of a wish, or what is written down as its value; refused where they differ.
pub(super) fn of_entry(
    record: &Record,
    act: Act,
    (typed, values): (Option<f64>, &BTreeMap<String, Entered>),
) -> Result<Option<f64>, Problem> {
    let Some(Entered::Number(written)) = values.get(VALUE) else {
        return Ok(typed);
    };
    let km = written.value;
    if let Some(typed) = typed.filter(|typed| typed.total_cmp(&km).is_ne()) {
        let message = format!("the odometer is given as {typed} km and as {km} km");
        let help = "read it again, and give it once";
        return Err(Problem::error(Code::BadEvidence, message).help(help));
    }
    if act != Act::Corrected {
        runs_on(record, None, km)?;
    }
    Ok(Some(km))
}

/// Refuses a reading by which the odometer would run back: one of the entry that is put right, or of the next.
pub(super) fn runs_on(record: &Record, entry: Option<u64>, km: f64) -> Result<(), Problem> {
    let number = entry.unwrap_or(u64::MAX);
    let effective = Effective::of(record);
    let read = || effective.readings(record.entries.iter().map(Arc::as_ref));
    let before = read().rfind(|(_, entry)| entry.number < number);
    let after = read().find(|(_, entry)| entry.number > number);
    match (before, after) {
        (Some(before), _) if km < before.0 => Err(runs_back(before, km)),
        (_, Some((after, entry))) if km > after => {
            let message = format!(
                "the odometer stood at {after:.0} km later (entry {}), and cannot have stood at {km:.0} km before",
                entry.number
            );
            Err(Problem::error(Code::OdometerRunsBack, message)
                .help("see which of the two is wrong"))
        }
        _ => Ok(()),
    }
}

fn runs_back((last, entry): (f64, &Entry), km: f64) -> Problem {
    let message = format!(
        "the odometer stood at {last:.0} km before (entry {}), and cannot stand at {km:.0} km now",
        entry.number
    );
    let help = format!(
        "read it again; a wrong one is put right with `--act corrected --entry {} --odometer …`",
        entry.number
    );
    Problem::error(Code::OdometerRunsBack, message).help(help)
}

/// Where the odometer stood when the vehicle was handed over, km; in a record that does not say so, the last reading before what comes due.
pub fn at_handover(status: &Status<'_>) -> Option<f64> {
    let read = |standing: &Standing<'_>| {
        let history = standing.history.iter().copied();
        let last = status.effective.readings(history).next_back();
        last.map(|(km, entry)| (entry.number, km))
    };
    let own = status.of_the_lift().next_back().and_then(read);
    own.or_else(|| {
        status
            .of_the_lift()
            .filter_map(read)
            .max_by_key(|(number, _)| *number)
    })
    .map(|(_, km)| km)
}

/// Refuses a done task that needs the odometer and has none, or that is done too early.
pub(super) fn check(
    status: &Status<'_>,
    standing: &Standing<'_>,
    (km, role, reason): (Option<f64>, Role, bool),
) -> Result<(), Problem> {
    let task = standing.task;
    let needed = asks_odometer(status, task);
    let Some(km) = km else {
        return if needed { Err(missing(task)) } else { Ok(()) };
    };
    if task.due.is_none() && !reason {
        not_far(status, km)?;
    }
    let due = task.due.as_ref().and_then(|due| due.km);
    let (Some(due), Some(base)) = (due, at_handover(status)) else {
        return Ok(());
    };
    let driven = km - base;
    if driven >= due * EARLIEST || (reason && role == Role::Supervisor) || allowed(standing) {
        return Ok(());
    }
    let message = format!(
        "`{}` is due {due:.0} km after the hand-over, and only {driven:.0} km were driven since",
        task.id
    );
    let help = "drive it first; or a supervisor says why it is done earlier: `--act noted --note '…'` on it, and then it is signed";
    Err(Problem::error(Code::TooEarly, message).help(help))
}

/// Refuses a reading of the lift to which nobody can have driven since the one before: a slip by a digit, from which retorques would count.
fn not_far(status: &Status<'_>, km: f64) -> Result<(), Problem> {
    let histories = status.of_the_lift().map(|one| one.history.iter().copied());
    let readings = histories.flat_map(|history| status.effective.readings(history));
    let Some((before, entry)) = readings.max_by_key(|(_, entry)| entry.number) else {
        return Ok(());
    };
    if km - before <= TEST_DRIVES {
        return Ok(());
    }
    let message = format!(
        "the odometer stood at {before:.0} km before (entry {}), and {km:.0} km is {:.0} km further: nobody drives so far to test a lift",
        entry.number,
        km - before
    );
    let help = "read it again, by its last digit too; or say why with `--note`";
    Err(Problem::error(Code::OutOfRange, message).help(help))
}

/// Whether a task is signed with the odometer, and none of its values is that.
pub fn asks_odometer(status: &Status<'_>, task: &SignedTask) -> bool {
    let written = task.asks().any(|(_, asked)| asked.name == VALUE);
    !written && (task.due.is_some() || is_handover(status, task))
}

/// Whether a supervisor has said why it is done earlier.
fn allowed(standing: &Standing<'_>) -> bool {
    let last = standing.history.last();
    last.is_some_and(|entry| entry.act == Act::Noted && entry.role == Role::Supervisor.word())
}

/// Whether a task is the last before what comes due at a distance.
fn is_handover(status: &Status<'_>, task: &SignedTask) -> bool {
    let at_distance =
        |one: &&Standing<'_>| one.task.due.as_ref().is_some_and(|due| due.km.is_some());
    let last = status.of_the_lift().next_back();
    last.is_some_and(|last| last.task.id == task.id)
        && status.tasks.iter().any(|one| at_distance(&one))
}

fn missing(task: &SignedTask) -> Problem {
    let why = if task.due.is_some() {
        "is due at a distance"
    } else {
        "is the hand-over, from which the retorques count"
    };
    let message = format!(
        "`{}` {why}, so the odometer is written down with it",
        task.id
    );
    Problem::error(Code::OdometerMissing, message).help("add `--odometer 45210`")
}
