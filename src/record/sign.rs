//! A wish to sign → the entries it makes, or every reason why not.
//!
//! Takes the plan, the record as it stands, and who wants to sign what with which values; gives the entries. Each task is
//! decided on after the ones before it, in the order of work, and either all of them are signed or none. Pure: the time and
//! the record are handed in, and writing is left to [`super::store`].

use std::collections::BTreeMap;

use super::basis::Basis;
use super::chain::Record;
use super::entry::{Act, Entry};
use super::evidence;
use super::status::Status;
use super::time::Time;
use super::{permit, turn};
use crate::job::{Job, Person};
use crate::plan::{Plan, Task};
use crate::quantity::{Quantity, Unit};
use crate::report::{Code, Problem, quoted, unknown_help};

/// What somebody wants to sign.
#[derive(Debug, Clone)]
pub struct Wish {
    /// What is signed.
    pub act: Act,
    /// The tasks' ids.
    pub tasks: Vec<String>,
    /// The person's id.
    pub by: String,
    /// Values by name, as typed.
    pub values: Vec<(String, String)>,
    /// A remark, or the reason.
    pub note: Option<String>,
    /// The odometer, as typed; km without a unit.
    pub odometer: Option<String>,
    /// The torque wrench.
    pub wrench: Option<String>,
    /// When it was done, for a late entry.
    pub at: Option<Time>,
    /// The time now.
    pub now: Time,
}

/// The entries that a wish makes; fails with every reason why it may not be signed.
pub fn sign(basis: &Basis<'_>, record: &Record, wish: &Wish) -> Result<Vec<Entry>, Vec<Problem>> {
    let mut problems: Vec<Problem> = basis.signable().err().into_iter().collect();
    let (found, unknown) = tasks(basis.plan, &wish.tasks);
    problems.extend(unknown);
    let person = person(basis.job, &wish.by)
        .map_err(|problem| problems.push(problem))
        .ok();
    let km = general(record, wish)
        .map_err(|more| problems.extend(more))
        .ok();
    let values = evidence::assign(&found, &wish.values).map_err(|more| problems.extend(more));
    let (Some(person), Some(km), Ok(values), true) = (person, km, values, problems.is_empty())
    else {
        return Err(problems);
    };
    let mut record = record.clone();
    let before = record.entries.len();
    for task in found {
        let given = values.get(task.id.as_str()).cloned().unwrap_or_default();
        // What is refused for one task would only be refused again for those that come after it.
        let entry = one(basis, &record, wish, (task, person, km, given)).map_err(|no| vec![no])?;
        record.push(entry);
    }
    Ok(record.entries.split_off(before))
}

/// Adds entries behind those of the record, in memory; gives their lines, to be appended to its file.
pub fn lines(record: &mut Record, entries: Vec<Entry>) -> String {
    entries
        .into_iter()
        .map(|entry| record.push(entry))
        .collect()
}

/// The tasks wished for, in the order of work, and a problem for each that there is none of.
fn tasks<'p>(plan: &'p Plan, wished: &[String]) -> (Vec<&'p Task>, Vec<Problem>) {
    let found = plan.tasks.iter().filter(|task| wished.contains(&task.id));
    let unknown = wished
        .iter()
        .filter(|id| plan.tasks.iter().all(|task| task.id != **id));
    let unknown = unknown.map(|id| {
        let known = plan.tasks.iter().map(|task| task.id.as_str());
        not_in_plan(id).help(nearest(id, known))
    });
    (found.collect(), unknown.collect())
}

fn not_in_plan(id: &str) -> Problem {
    let message = format!("the plan has no task `{}`", quoted(id));
    Problem::error(Code::TaskNotInPlan, message)
}

/// The nearest name, or where all of them stand: a plan has too many tasks to list.
fn nearest<'a>(id: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    crate::report::did_you_mean(id, known).map_or_else(
        || "the sheet prints every task's id".to_owned(),
        |near| format!("did you mean `{near}`?"),
    )
}

fn person<'j>(job: &'j Job, id: &str) -> Result<&'j Person, Problem> {
    job.people.get(id).ok_or_else(|| {
        let known = job.people.keys().map(String::as_str);
        let message = format!("`{}` is not one of the people of this job", quoted(id));
        Problem::error(Code::UnknownPerson, message).help(unknown_help(id, known))
    })
}

/// What holds for the wish as a whole: reason, time, odometer. Gives the odometer in km.
fn general(record: &Record, wish: &Wish) -> Result<Option<f64>, Vec<Problem>> {
    let mut problems = Vec::new();
    let said = wish
        .note
        .as_ref()
        .is_some_and(|note| !note.trim().is_empty());
    if matches!(wish.act, Act::Rejected | Act::Reopened | Act::Noted) && !said {
        let message = format!(
            "`{}` takes a few words that say why or what",
            wish.act.word()
        );
        problems.push(Problem::error(Code::ReasonMissing, message).help("add `--note '…'`"));
    }
    if let Some(at) = wish.at.filter(|at| *at > wish.now) {
        let message = format!("`{at}` is still to come");
        let help = "give the time at which it was done, or leave `--at` out";
        problems.push(Problem::error(Code::BadTime, message).help(help));
    }
    let km = odometer(record, wish).map_err(|problem| problems.push(problem));
    km.ok().filter(|_| problems.is_empty()).ok_or(problems)
}

fn odometer(record: &Record, wish: &Wish) -> Result<Option<f64>, Problem> {
    let Some(typed) = &wish.odometer else {
        return Ok(None);
    };
    let read = Quantity::parse(typed, Unit::Km).map_err(|error| {
        let message = format!("the odometer: {error}");
        Problem::error(error.code(), message).help(error.help())
    })?;
    let last = record.entries.iter().filter_map(|entry| entry.odometer);
    let last = last.fold(0.0, f64::max);
    if read.value < last {
        let message = format!(
            "the odometer stood at {last:.0} km before, and cannot stand at {:.0} km now",
            read.value
        );
        return Err(Problem::error(Code::OdometerRunsBack, message).help("read it again"));
    }
    Ok(Some(read.value))
}

type Given<'a> = (&'a Task, &'a Person, Option<f64>, BTreeMap<String, String>);

/// The entry for one task, not yet numbered.
fn one(
    basis: &Basis<'_>,
    record: &Record,
    wish: &Wish,
    (task, person, km, given): Given<'_>,
) -> Result<Entry, Problem> {
    let status = Status::of(basis, record);
    let (Some(standing), Some(kept)) = (status.get(&task.id), basis.kept(&task.id)) else {
        return Err(not_in_plan(&task.id));
    };
    let role = permit::role((&wish.by, person), wish.act, standing)?;
    turn::check(&status, wish.act, standing)?;
    let driven = wish.act == Act::Done && task.due.is_some();
    if driven && km.is_none() {
        let message = format!(
            "`{}` is due at a distance, so the odometer is written down with it",
            task.id
        );
        return Err(Problem::error(Code::OdometerMissing, message).help("add `--odometer 45210`"));
    }
    let values = evidence::values((basis.job, &status), standing, wish, &given)?;
    let opens = match wish.act {
        Act::Rejected => status.signed_after(&task.id),
        _ => Vec::new(),
    };
    Ok(Entry {
        number: 0,
        time: wish.now,
        at: wish.at,
        act: wish.act,
        task: task.id.clone(),
        person: wish.by.clone(),
        name: person.name.clone(),
        role: role.word().to_owned(),
        values,
        note: wish.note.clone().filter(|note| !note.trim().is_empty()),
        odometer: km,
        wrench: wish.wrench.clone(),
        opens,
        plan: basis.plan.digest.clone(),
        task_digest: kept.whole.clone(),
        parts: kept.parts.clone(),
        before: String::new(),
        seal: String::new(),
    })
}
