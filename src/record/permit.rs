//! Who may sign what: roles, licences, and the second pair of eyes.
//!
//! Takes a person of the job, an act and how the task stands; gives the role that the person signs in, or the refusal.

use super::entry::Act;
use super::status::Standing;
use crate::job::{Person, Role};
use crate::plan::Task;
use crate::report::{Code, Problem};

/// The role in which the person signs; fails with the reason why the person may not.
pub(super) fn role(
    (id, person): (&str, &Person),
    act: Act,
    standing: &Standing<'_>,
) -> Result<Role, Problem> {
    let task = standing.task;
    match act {
        Act::Done | Act::Measured => does((id, person), act, task),
        Act::Checked => {
            let role = supervises((id, person), act, task)?;
            if standing.done.iter().any(|entry| entry.person == id) {
                return Err(own_work(id, task));
            }
            Ok(role)
        }
        Act::Rejected | Act::Reopened => supervises((id, person), act, task),
        Act::Noted => {
            let first = person.roles.first().copied();
            first.ok_or_else(|| no_role(id, act, task, "a role in the job file"))
        }
    }
}

fn does((id, person): (&str, &Person), act: Act, task: &Task) -> Result<Role, Problem> {
    let has = |role| person.roles.contains(&role);
    if let Some(trade) = &task.trade {
        if !person.licences.contains(trade) {
            return Err(no_licence(id, trade, task));
        }
        let role = [Role::Tradesperson, Role::Fitter]
            .into_iter()
            .find(|role| has(*role));
        return role.ok_or_else(|| no_role(id, act, task, "a tradesperson or fitter"));
    }
    if has(Role::Fitter) {
        return Ok(Role::Fitter);
    }
    if act == Act::Measured && has(Role::Supervisor) {
        return Ok(Role::Supervisor);
    }
    match (has(Role::Apprentice), task.apprentice) {
        (true, true) => Ok(Role::Apprentice),
        (true, false) => Err(not_for_apprentice(id, task)),
        _ => Err(no_role(id, act, task, "a fitter")),
    }
}

fn supervises((id, person): (&str, &Person), act: Act, task: &Task) -> Result<Role, Problem> {
    if person.roles.contains(&Role::Supervisor) {
        return Ok(Role::Supervisor);
    }
    Err(no_role(id, act, task, "a supervisor"))
}

fn own_work(id: &str, task: &Task) -> Problem {
    let message = format!(
        "`{id}` did `{}` and cannot be the one who checks it",
        task.id
    );
    let help = "a supervisor who did not do the work looks at it and signs";
    Problem::error(Code::OwnWork, message).help(help)
}

fn no_role(id: &str, act: Act, task: &Task, who: &str) -> Problem {
    let message = format!(
        "`{id}` may not sign `{}` as {}: that takes {who}",
        task.id,
        act.word()
    );
    Problem::error(Code::WrongRole, message)
        .help("let somebody sign who has the role, or correct `roles` in the job file")
}

fn no_licence(id: &str, trade: &str, task: &Task) -> Problem {
    let message = format!(
        "`{}` is for the trade `{trade}`, and `{id}` holds no licence for it",
        task.id
    );
    let help =
        "the licensed trade signs its own work; licences are listed under `people` in the job file";
    Problem::error(Code::NoLicence, message).help(help)
}

fn not_for_apprentice(id: &str, task: &Task) -> Problem {
    let message = format!("`{}` is not for an apprentice, and `{id}` is one", task.id);
    Problem::error(Code::NotForApprentice, message).help("a fitter does it and signs")
}
