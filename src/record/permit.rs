//! Who may sign what: roles, licences, and the second pair of eyes.
//!
//! Takes a person as the record knows him, an act and how the task stands; gives the role that the person signs in, or the refusal.
//! Independent is another person through the whole life of a row: whoever ever did it, also where that was refused or taken back since,
//! does not check it, nor does whoever put a value right that stands. Refusing, opening again, measuring and watching are not doing.

use super::agreed::SignedTask;
use super::binding::Who;
use super::entry::{Act, Entry};
use super::standing::Standing;
use crate::job::Role;
use crate::report::{Code, Problem};

/// The role in which the person signs for rows of a task; fails with the reason why the person may not.
pub(super) fn role(
    (id, who): (&str, &Who),
    act: Act,
    (standing, rows): (&Standing<'_>, &[String]),
) -> Result<Role, Problem> {
    let task = standing.task;
    match act {
        Act::Done | Act::Measured => does((id, who), act, task),
        Act::Checked => {
            let role = supervises((id, who), act, &task.id)?;
            match doing(standing, rows, (id, who)) {
                Some(entry) => Err(own_work(id, task, entry)),
                None => Ok(role),
            }
        }
        Act::Rejected | Act::Reopened => supervises((id, who), act, &task.id),
        _ => any((id, who), act, &task.id),
    }
}

/// The role in which a person signs for the record as a whole: a supervisor where that is asked for, anybody of the job otherwise.
pub(super) fn of_record(
    (id, who): (&str, &Who),
    act: Act,
    supervisor: bool,
) -> Result<Role, Problem> {
    let learns = who.is(Role::Apprentice) && !who.is(Role::Fitter);
    if supervisor {
        supervises((id, who), act, "")
    } else if act == Act::Changed && learns && !who.is(Role::Supervisor) {
        // What was measured otherwise may lighten a verdict that somebody relies on.
        Err(no_role(id, act, "", "fitter or supervisor"))
    } else {
        any((id, who), act, "")
    }
}

/// Whether a person may do or check work of a trade, or that an apprentice may do, on which nothing is signed yet.
pub(super) fn may(who: &Who, act: Act, (trade, apprentice): (Option<&str>, bool)) -> bool {
    match act {
        Act::Checked => who.is(Role::Supervisor),
        _ => doer(who, (trade, apprentice)).is_some(),
    }
}

/// The role in which a person does work.
fn doer(who: &Who, (trade, apprentice): (Option<&str>, bool)) -> Option<Role> {
    let roles: &[Role] = match (trade, apprentice) {
        (Some(trade), _) if !who.holds(trade) => &[],
        (Some(_), _) => &[Role::Tradesperson, Role::Fitter],
        (None, true) => &[Role::Fitter, Role::Apprentice],
        (None, false) => &[Role::Fitter],
    };
    roles.iter().copied().find(|role| who.is(*role))
}

/// The entry by which a person did one of the rows, or put a value right that stands.
fn doing<'a>(
    standing: &Standing<'a>,
    rows: &[String],
    (id, who): (&str, &Who),
) -> Option<&'a Entry> {
    let shared = |entry: &Entry| {
        rows.is_empty() || entry.rows.is_empty() || entry.rows.iter().any(|row| rows.contains(row))
    };
    // Nobody gets round it by a second id.
    let own = |entry: &Entry| entry.person == id || entry.name == who.name;
    let corrects = |entry: &Entry| {
        let mut values = standing.values.values();
        entry.act == Act::Corrected && values.any(|(_, from)| from.number == entry.number)
    };
    let history = standing.history.iter().copied();
    let mut doing = history.filter(|entry| entry.act == Act::Done || corrects(entry));
    doing.find(|entry| own(entry) && shared(entry))
}

fn does((id, who): (&str, &Who), act: Act, task: &SignedTask) -> Result<Role, Problem> {
    let trade = task.trade.as_deref();
    if let Some(role) = doer(who, (trade, task.apprentice)) {
        return Ok(role);
    }
    match trade {
        Some(trade) if !who.holds(trade) => Err(no_licence(id, trade, task)),
        Some(_) => Err(no_role(id, act, &task.id, "a tradesperson or fitter")),
        None if act == Act::Measured && who.is(Role::Supervisor) => Ok(Role::Supervisor),
        None if who.is(Role::Apprentice) => Err(not_for_apprentice(id, task)),
        None => Err(no_role(id, act, &task.id, "a fitter")),
    }
}

fn supervises((id, who): (&str, &Who), act: Act, task: &str) -> Result<Role, Problem> {
    if who.is(Role::Supervisor) {
        return Ok(Role::Supervisor);
    }
    Err(no_role(id, act, task, "a supervisor"))
}

fn any((id, who): (&str, &Who), act: Act, task: &str) -> Result<Role, Problem> {
    let highest = [
        Role::Supervisor,
        Role::Fitter,
        Role::Tradesperson,
        Role::Apprentice,
    ];
    let found = highest.into_iter().find(|role| who.is(*role));
    found.ok_or_else(|| no_role(id, act, task, "a role in the job file"))
}

fn own_work(id: &str, task: &SignedTask, entry: &Entry) -> Problem {
    let what = match entry.act {
        Act::Corrected => "put a value right in",
        _ => "did",
    };
    let message = format!(
        "`{id}` {what} `{}` (entry {}) and cannot be the one who checks it",
        task.id, entry.number
    );
    let help = "a supervisor who never did the work looks at it and signs";
    Problem::error(Code::OwnWork, message).help(help)
}

fn no_role(id: &str, act: Act, task: &str, who: &str) -> Problem {
    let what = if task.is_empty() {
        "the record".to_owned()
    } else {
        format!("`{task}`")
    };
    let message = format!(
        "`{id}` may not sign {what} as {}: that takes {who}",
        act.word()
    );
    Problem::error(Code::WrongRole, message).help(
        "let somebody sign who has the role; a role that is given in the job file later counts once a supervisor signs for it",
    )
}

fn no_licence(id: &str, trade: &str, task: &SignedTask) -> Problem {
    let message = format!(
        "`{}` is for the trade `{trade}`, and `{id}` holds no licence for it",
        task.id
    );
    let help =
        "the licensed trade signs its own work; licences are listed under `people` in the job file";
    Problem::error(Code::NoLicence, message).help(help)
}

fn not_for_apprentice(id: &str, task: &SignedTask) -> Problem {
    let message = format!("`{}` is not for an apprentice, and `{id}` is one", task.id);
    Problem::error(Code::NotForApprentice, message).help("a fitter does it and signs")
}
