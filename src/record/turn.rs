//! Whose turn a task is: nothing is signed before what it depends on, and nothing twice.
//!
//! Takes how the tasks stand; gives the refusal where an act comes too early or too late. Work may go on behind work that is
//! done; behind a hold point only when that is signed off. Signing off needs everything before it signed off.

use super::entry::Act;
use super::status::{Standing, State, Status};
use crate::report::{Code, Problem, numbered};

/// Refuses an act whose time it is not.
pub(super) fn check(status: &Status<'_>, act: Act, standing: &Standing<'_>) -> Result<(), Problem> {
    let id = &standing.task.id;
    let signed_off = standing.checked.is_some();
    match act {
        Act::Noted => Ok(()),
        Act::Rejected | Act::Reopened if standing.is_signed() => Ok(()),
        Act::Rejected | Act::Reopened => Err(Problem::error(
            Code::NothingSigned,
            format!("nothing is signed for `{id}` that could be {}", act.word()),
        )
        .help("`liftsheet record` shows what is signed; a remark is signed with `--act noted`")),
        Act::Done | Act::Measured if signed_off && !comes_again(standing) => Err(already(id)),
        Act::Checked if signed_off => Err(already(id)),
        Act::Checked if standing.done.is_empty() => Err(Problem::error(
            Code::NotDone,
            format!("`{id}` is not signed as done, so there is nothing to check"),
        )
        .help("whoever does the work signs first, with `--act done`")),
        Act::Done | Act::Measured | Act::Checked => in_turn(status, act, standing),
    }
}

/// Whether the task is done again and again, as at each service.
fn comes_again(standing: &Standing<'_>) -> bool {
    let due = standing.task.due.as_ref();
    due.is_some_and(|due| due.every.is_some())
}

fn already(id: &str) -> Problem {
    Problem::error(Code::AlreadySigned, format!("`{id}` is signed off already")).help(
        "a supervisor opens it again with `--act reopened`, or refuses it with `--act rejected`",
    )
}

fn in_turn(status: &Status<'_>, act: Act, standing: &Standing<'_>) -> Result<(), Problem> {
    let before = standing.task.after.iter();
    let before = before.filter_map(|id| status.get(id));
    let waiting: Vec<&Standing<'_>> = before.filter(|one| !met(one, act)).collect();
    let Some(first) = waiting.first() else {
        return Ok(());
    };
    let others = match waiting.len() - 1 {
        0 => String::new(),
        more => format!(", and {} more", numbered(more, "task")),
    };
    let message = format!(
        "`{}` comes after `{}`, which is {}{others}",
        standing.task.id,
        first.task.id,
        word(first.state())
    );
    let help = match act {
        Act::Checked => "everything before it is signed off first",
        _ => "what comes before is done first, and a hold point signed off",
    };
    Err(Problem::error(Code::OutOfTurn, message).help(help))
}

fn word(state: State) -> &'static str {
    match state {
        State::Open | State::Begun => "not done",
        state => state.word(),
    }
}

/// Whether what comes before is far enough for the act.
fn met(before: &Standing<'_>, act: Act) -> bool {
    let state = before.state();
    let held = before.task.hold.is_some() || act == Act::Checked;
    state == State::Checked || (!held && state == State::Done)
}
