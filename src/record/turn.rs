//! Whose turn a task is: nothing is signed behind an open task, however far back, and nothing twice.
//!
//! Takes how the tasks stand; gives the refusal where an act comes too early or too late. Work may go on behind work that is
//! done; behind a hold point only when that is signed off. Signing off needs everything before it signed off.

use super::agreed::SignedTask;
use super::entry::Act;
use super::rests;
use super::standing::{RowStanding, Standing, State};
use super::status::Status;
use crate::plan::Sign;
use crate::report::{Code, Problem, numbered};

/// Refuses an act on rows of a task whose time it is not; no rows are all of them.
pub(super) fn check(
    status: &Status<'_>,
    act: Act,
    (standing, rows): (&Standing<'_>, &[String]),
) -> Result<(), Problem> {
    let id = &standing.task.id;
    let named = |row: &&RowStanding<'_>| rows.is_empty() || rows.contains(&row.row.id);
    let own = || standing.rows.iter().filter(named);
    let signed_off = own().all(|row| row.checked.is_some());
    match act {
        Act::Rejected | Act::Reopened => {
            let values = |row: &RowStanding<'_>| standing.row_state(row) != State::Open;
            if own().any(values) {
                return Ok(());
            }
            Err(nothing(id, act))
        }
        Act::Done | Act::Measured if signed_off && !standing.task.comes_again() => Err(already(id)),
        Act::Checked if signed_off => Err(already(id)),
        Act::Checked if !standing.task.only_checked() && own().any(|row| row.done.is_empty()) => {
            Err(not_done(standing, rows))
        }
        Act::Done | Act::Measured | Act::Checked => in_turn(status, act, standing),
        _ => Ok(()),
    }
}

fn nothing(id: &str, act: Act) -> Problem {
    let message = format!("nothing is signed for `{id}` that could be {}", act.word());
    Problem::error(Code::NothingSigned, message)
        .help("`liftsheet record` shows what is signed; a remark is signed with `--act noted`")
}

fn not_done(standing: &Standing<'_>, rows: &[String]) -> Problem {
    let named = |row: &&RowStanding<'_>| rows.is_empty() || rows.contains(&row.row.id);
    let open = standing.rows.iter().filter(named);
    let open: Vec<&str> = open
        .filter(|row| row.done.is_empty())
        .map(|row| row.row.id.as_str())
        .filter(|id| !id.is_empty())
        .collect();
    let which = if open.is_empty() || open.len() == standing.rows.len() {
        String::new()
    } else {
        format!(" at {}", open.join(", "))
    };
    let message = format!(
        "`{}` is not signed as done{which}, so there is nothing to check",
        standing.task.id
    );
    Problem::error(Code::NotDone, message)
        .help("whoever does the work signs first, with `--act done`")
}

fn already(id: &str) -> Problem {
    Problem::error(Code::AlreadySigned, format!("`{id}` is signed off already")).help(
        "a supervisor opens it again with `--act reopened`, or refuses it with `--act rejected`",
    )
}

/// Refuses what stands behind an open task.
fn in_turn(status: &Status<'_>, act: Act, standing: &Standing<'_>) -> Result<(), Problem> {
    let waiting = waiting(status, act, standing);
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

/// What still stands before an act on a task, in the order of work.
fn waiting<'s, 'a>(
    status: &'s Status<'a>,
    act: Act,
    standing: &Standing<'a>,
) -> Vec<&'s Standing<'a>> {
    let tasks = &status.agreed.tasks;
    let place = tasks.iter().position(|task| task.id == standing.task.id);
    let before = place.map(|place| rests::before(status.agreed, place));
    let before = before.unwrap_or_default();
    let before = before.iter().filter_map(|place| status.tasks.get(*place));
    before.filter(|one| !met(one, act)).collect()
}

/// Whether a task stands right behind one that is not far enough for an act on it. Where it does not, one further back may still be open.
pub(super) fn is_early(status: &Status<'_>, act: Act, task: &SignedTask) -> bool {
    let mut before = task.after.iter().filter_map(|id| status.get(id));
    before.any(|one| !met(one, act))
}

fn word(state: State) -> &'static str {
    match state {
        State::Open => "not done",
        State::Begun => "not wholly done",
        state => state.word(),
    }
}

/// Whether what comes before is far enough for the act.
fn met(before: &Standing<'_>, act: Act) -> bool {
    let state = before.state();
    let held = before.task.hold.is_some() || act == Act::Checked;
    // A box that is ticked waits for the check that signs it off, and work goes on behind it: not behind what moves the vehicle, and not
    // where it was ticked once and fell open.
    let ticked = before.task.sign == Sign::Tick && !before.task.awaited;
    let done = state == State::Done || (ticked && before.opened().is_none());
    state == State::Checked || (!held && done)
}
