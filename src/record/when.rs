//! When something was done, where somebody says so: after the work before it, and not in the time to come.
//!
//! The machine's own clock is never refused: the number of an entry is its order, and a clock that ran behind shows. What a person says is
//! held against what is signed already.

use super::entry::{Act, Entry, Record};
use super::standing::Standing;
use super::status::Status;
use super::wish::Wish;
use crate::chain::{Time, Zone};
use crate::report::{Code, Problem};

/// Refuses a time that is still to come, by the machine's clock or by the last entry where that clock runs behind.
pub(super) fn past(record: &Record, wish: &Wish) -> Result<(), Problem> {
    let last = record.entries.iter().map(|entry| entry.time).max();
    let latest = last.map_or(wish.now, |last| last.max(wish.now));
    match wish.at {
        Some(at) if at > latest => {
            let message = format!("`{at}` is still to come");
            let help = "give the time at which it was done, or leave `--at` out";
            Err(Problem::error(Code::BadTime, message).help(help))
        }
        _ => Ok(()),
    }
}

/// Refuses a time before that of the work that it comes after.
pub(super) fn behind(
    status: &Status<'_>,
    wish: &Wish,
    (standing, zone): (&Standing<'_>, &Zone),
) -> Result<(), Problem> {
    let Some(at) = wish.at else { return Ok(()) };
    let own = standing.done();
    let before = match wish.act {
        Act::Checked => own,
        Act::Done | Act::Measured | Act::Corrected => before(status, standing),
        _ => Vec::new(),
    };
    let last = before
        .into_iter()
        .max_by_key(|entry| status.effective.when(entry));
    match last {
        Some(entry) if status.effective.when(entry) > at => Err(early(status, entry, (at, zone))),
        _ => Ok(()),
    }
}

/// Who did the tasks that come right before one.
fn before<'a>(status: &Status<'a>, standing: &Standing<'a>) -> Vec<&'a Entry> {
    let before = standing.task.after.iter().filter_map(|id| status.get(id));
    before
        .flat_map(|one| {
            let checked = one.checked().filter(|_| one.task.hold.is_some());
            one.done().into_iter().chain(checked)
        })
        .collect()
}

fn early(status: &Status<'_>, entry: &Entry, (at, zone): (Time, &Zone)) -> Problem {
    let message = format!(
        "{} is before `{}` was {}, which was {} (entry {})",
        zone.print(at),
        entry.task,
        entry.act.word(),
        zone.print(status.effective.when(entry)),
        entry.number
    );
    let help = "give the time at which it was done; a wrong time of an earlier entry is put right with `--act corrected`";
    Problem::error(Code::BadTime, message).help(help)
}

/// Entries that the machine's clock puts before the one that stands before them.
pub fn ran_behind(record: &Record) -> Vec<u64> {
    let pairs = record.entries.iter().zip(record.entries.iter().skip(1));
    pairs
        .filter(|(before, after)| after.time < before.time)
        .map(|(_, after)| after.number)
        .collect()
}
