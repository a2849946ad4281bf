//! Values as typed → values of an entry: which task each belongs to, whether it can be what it says, and what is still missing
//! or out of limits when a task is to be signed off.

use std::collections::BTreeMap;

use super::entry::Act;
use super::sign::Wish;
use super::square;
use super::status::{Standing, Status};
use super::value::{self, Value};
use crate::job::Job;
use crate::plan::{Evidence, Task};
use crate::quantity::{Quantity, Unit, Units};
use crate::report::{Code, Problem, quoted, unknown_help};

/// Values as typed, by name, for each task.
pub(super) type Typed<'a> = BTreeMap<&'a str, BTreeMap<String, String>>;

/// Gives each value to the task that asks for it; fails with every value that no task asks for, or more than one.
pub(super) fn assign<'p>(
    tasks: &[&'p Task],
    values: &[(String, String)],
) -> Result<Typed<'p>, Vec<Problem>> {
    let mut typed = Typed::new();
    let mut problems = Vec::new();
    for (name, text) in values {
        let asks = |task: &&&Task| task.evidence.iter().any(|one| one.name == *name);
        let asking: Vec<_> = tasks.iter().filter(asks).collect();
        match asking.as_slice() {
            [task] => {
                let of_task = typed.entry(task.id.as_str()).or_default();
                if of_task.insert(name.clone(), text.clone()).is_some() {
                    let message = format!("`{name}` is given twice");
                    problems.push(Problem::error(Code::BadEvidence, message).help("leave one out"));
                }
            }
            // Without a task there is another problem already.
            [] if tasks.is_empty() => {}
            [] => problems.push(not_asked(tasks, name)),
            [first, second, ..] => {
                let message = format!(
                    "`{name}` is asked for by `{}` and by `{}`",
                    first.id, second.id
                );
                let help = "sign the two tasks one after the other";
                problems.push(Problem::error(Code::BadEvidence, message).help(help));
            }
        }
    }
    if problems.is_empty() {
        Ok(typed)
    } else {
        Err(problems)
    }
}

fn not_asked(tasks: &[&Task], name: &str) -> Problem {
    let known = tasks.iter().flat_map(|task| &task.evidence);
    let known: Vec<&str> = known.map(|one| one.name.as_str()).collect();
    let message = format!("nothing called `{}` is written down here", quoted(name));
    let help = if known.is_empty() {
        "this task asks for no value; a remark goes into `--note`".to_owned()
    } else {
        unknown_help(name, known.into_iter())
    };
    Problem::error(Code::BadEvidence, message).help(help)
}

/// The values of the entry for one task; fails with the first reason why they cannot be signed so.
pub(super) fn values(
    (job, status): (&Job, &Status<'_>),
    standing: &Standing<'_>,
    wish: &Wish,
    typed: &BTreeMap<String, String>,
) -> Result<BTreeMap<String, Value>, Problem> {
    let task = standing.task;
    let mut values = BTreeMap::new();
    for evidence in &task.evidence {
        if let Some(text) = typed.get(&evidence.name) {
            not_worked_out(task, evidence)?;
            values.insert(evidence.name.clone(), value::read(evidence, text)?);
        }
    }
    name_wrenches(task, wish, &mut values);
    torque_has_wrench(standing, wish, &values)?;
    work_out((job, status), standing, &mut values);
    if wish.act == Act::Measured && values.is_empty() {
        let message = format!("nothing measured is given for `{}`", task.id);
        let help = "add `--value name=…` for what was measured";
        return Err(Problem::error(Code::EvidenceMissing, message).help(help));
    }
    if wish.act == Act::Checked {
        all_right(standing, &values)?;
    }
    Ok(values)
}

fn not_worked_out(task: &Task, evidence: &Evidence) -> Result<(), Problem> {
    if !square::worked_out(task).contains(&evidence.name.as_str()) {
        return Ok(());
    }
    let message = format!(
        "`{}` is worked out from the gaps before and after",
        evidence.name
    );
    Err(Problem::error(Code::BadEvidence, message).help("give the gaps and leave it out"))
}

/// Writes the wrench beside every torque that is given, where the task asks for it there.
fn name_wrenches(task: &Task, wish: &Wish, values: &mut BTreeMap<String, Value>) {
    let Some(wrench) = &wish.wrench else { return };
    for evidence in task.evidence.iter().filter(|one| is_torque(one)) {
        let name = wrench_name(evidence);
        let asked = task
            .evidence
            .iter()
            .any(|one| one.name == name && one.kind == "text");
        if asked && values.contains_key(&evidence.name) {
            values
                .entry(name)
                .or_insert_with(|| Value::Text(wrench.clone()));
        }
    }
}

fn is_torque(evidence: &Evidence) -> bool {
    evidence.unit == Some(Unit::NewtonMetre)
}

/// What a torque's wrench is written down as: `torque.C1L` has `wrench.C1L`.
fn wrench_name(torque: &Evidence) -> String {
    match torque.name.split_once('.') {
        Some((_, mount)) => format!("wrench.{mount}"),
        None => "wrench".to_owned(),
    }
}

/// Refuses a torque without the wrench that it was read on.
fn torque_has_wrench(
    standing: &Standing<'_>,
    wish: &Wish,
    values: &BTreeMap<String, Value>,
) -> Result<(), Problem> {
    for evidence in standing.task.evidence.iter().filter(|one| is_torque(one)) {
        let wrench = wrench_name(evidence);
        let named = wish.wrench.is_some()
            || values.contains_key(&wrench)
            || standing.values.contains_key(wrench.as_str());
        if values.contains_key(&evidence.name) && !named {
            let message = format!(
                "`{}` is a torque, and no wrench is named for it",
                evidence.name
            );
            let help = "add `--wrench` with the torque wrench's number";
            return Err(Problem::error(Code::WrenchMissing, message).help(help));
        }
    }
    Ok(())
}

/// Adds how square the body sits, once every gap is there.
fn work_out(
    (job, status): (&Job, &Status<'_>),
    standing: &Standing<'_>,
    values: &mut BTreeMap<String, Value>,
) {
    if !values.keys().any(|name| name.starts_with("gap_after.")) {
        return;
    }
    let before = square::gaps_before(status);
    let given = &*values;
    let after = |name: &str| {
        let standing = standing.values.get(name).map(|(value, _)| value);
        given.get(name).or(standing)
    };
    let found = square::of(standing.task, job, &before, after).unwrap_or_default();
    let found = found
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value));
    values.extend(found.collect::<Vec<_>>());
}

/// Refuses to sign off a task while a value is missing or not as it must be.
fn all_right(standing: &Standing<'_>, values: &BTreeMap<String, Value>) -> Result<(), Problem> {
    let task = standing.task;
    for evidence in &task.evidence {
        let standing = standing.values.get(evidence.name.as_str());
        let value = values
            .get(&evidence.name)
            .or(standing.map(|(value, _)| value));
        let Some(value) = value else {
            return Err(missing(task, evidence));
        };
        if !value.is_right(evidence) {
            return Err(outside(task, evidence, value));
        }
    }
    Ok(())
}

fn missing(task: &Task, evidence: &Evidence) -> Problem {
    let ask = evidence.ask.print(Units::Metric);
    let message = format!(
        "`{}` is not written down for `{}`: {ask}",
        evidence.name, task.id
    );
    let help = if square::worked_out(task).contains(&evidence.name.as_str()) {
        "it is worked out as soon as every gap before and after is written down".to_owned()
    } else {
        format!("add `--value {}=…`", evidence.name)
    };
    Problem::error(Code::EvidenceMissing, message).help(help)
}

fn outside(task: &Task, evidence: &Evidence, value: &Value) -> Problem {
    let message = format!(
        "`{}` of `{}` is {}, and {} is needed",
        evidence.name,
        task.id,
        quoted(&value.print(Units::Metric)),
        needed(evidence)
    );
    Problem::error(Code::OutsideLimits, message).help(
        "put the work right and measure again; a supervisor refuses work with `--act rejected`",
    )
}

/// The limits in words, exact: a rounded one could say that 40.2 mm is not within 40 mm.
fn needed(evidence: &Evidence) -> String {
    let unit = evidence.unit.unwrap_or(Unit::One);
    let exact = |limit: f64| {
        let printed = Quantity::exact(limit, unit).print(Units::Metric);
        printed.trim().to_owned()
    };
    match (evidence.least, evidence.most) {
        (Some(least), Some(most)) => format!("{} to {}", exact(least), exact(most)),
        (Some(least), None) => format!("at least {}", exact(least)),
        (None, Some(most)) => format!("at most {}", exact(most)),
        (None, None) => "a yes".to_owned(),
    }
}
