//! What puts an earlier entry right: a value, an odometer or a time corrected, or one's own act taken back.
//!
//! Takes the record and a wish; gives the number of the entry that is meant, or the refusal. Both entries stay readable, and the later one
//! counts. Nothing is taken back that anything signed since rests on.

use std::sync::Arc;

#[cfg(feature = "serve")]
use super::binding::Who;
use super::entry::{Act, Entry, Record};
use super::rests;
use super::status::Status;
#[cfg(feature = "serve")]
use crate::job::Role;
use crate::report::{Code, Problem};

/// The entry of a task that a correction is about, the last that can be where none is meant: refused for anybody but a supervisor, or the
/// author before anybody checked.
pub(super) fn corrected<'a>(
    status: &Status<'a>,
    (task, odometer, number): (&str, bool, Option<u64>),
    (by, supervisor): (&str, bool),
) -> Result<&'a Entry, Problem> {
    let standing = status.get(task);
    let history = standing.into_iter().flat_map(|one| &one.history).copied();
    let able = |entry: &&Entry| {
        matches!(
            entry.act,
            Act::Done | Act::Measured | Act::Checked | Act::Noted
        ) && status.effective.counts(entry)
    };
    let able: Vec<&Entry> = history.filter(able).collect();
    let read = |entry: &&&Entry| odometer && status.effective.odometer(entry).is_some();
    let entry = match number {
        Some(number) => able.into_iter().find(|entry| entry.number == number),
        None => able.iter().rfind(read).or(able.last()).copied(),
    };
    let Some(entry) = entry else {
        let message = match number {
            Some(number) => format!("entry {number} is none of `{task}` that could be put right"),
            None => format!("nothing is signed for `{task}` that could be put right"),
        };
        let help = "`liftsheet record --format json` lists the entries of each task by number";
        return Err(Problem::error(Code::NothingSigned, message).help(help));
    };
    let checked = standing.is_some_and(|one| {
        let checked = one.history.iter().filter(|entry| entry.act == Act::Checked);
        checked.into_iter().any(|later| later.number > entry.number)
    });
    if supervisor || (entry.person == by && !checked) {
        return Ok(entry);
    }
    let message = if entry.person == by {
        format!(
            "entry {} of `{task}` was checked since, so a supervisor puts it right",
            entry.number
        )
    } else {
        format!(
            "entry {} of `{task}` is `{}`'s, so `{by}` does not put it right",
            entry.number, entry.person
        )
    };
    Err(Problem::error(Code::WrongRole, message)
        .help("a supervisor corrects any entry, an author an own one that nobody has checked"))
}

/// Whether somebody may put an entry of a task right.
#[cfg(feature = "serve")]
pub(crate) fn may_correct(
    status: &Status<'_>,
    (task, number): (&str, u64),
    (by, who): (&String, &Who),
) -> bool {
    let by = (by.as_str(), who.is(Role::Supervisor));
    corrected(status, (task, false, Some(number)), by).is_ok()
}

/// A person's own last act on a task, where nothing signed since rests on it.
pub(super) fn withdrawn<'a>(
    status: &Status<'_>,
    record: &'a Record,
    (task, number, by): (&str, Option<u64>, &str),
) -> Result<&'a Entry, Problem> {
    let able = |entry: &&Arc<Entry>| {
        entry.task == task
            && entry.person == by
            && entry.act != Act::Withdrawn
            && status.effective.counts(entry)
            && number.is_none_or(|number| number == entry.number)
    };
    let Some(entry) = record.entries.iter().rev().find(able) else {
        let message = format!("`{by}` signed nothing for `{task}` that could be taken back");
        let help = "an own act is taken back; a supervisor opens what somebody else signed with `--act reopened`";
        return Err(Problem::error(Code::NothingSigned, message).help(help));
    };
    let behind = rests::behind(status.agreed, task);
    let behind: Vec<&str> = behind
        .into_iter()
        .filter_map(|place| status.agreed.tasks.get(place))
        .map(|task| task.id.as_str())
        .collect();
    // What a refusal opened would stand again, whatever happened to what comes before it meanwhile.
    let opened = matches!(entry.act, Act::Rejected | Act::Reopened);
    let own = |later: &Entry| {
        let fell = entry
            .fell
            .keys()
            .any(|what| what.split(':').next() == Some(&later.task));
        later.task == task
            || behind.contains(&later.task.as_str())
            || fell
            || later.act.is_of_record()
    };
    let mut since = record.entries.iter().filter(|later| {
        later.number > entry.number
            && later.act != Act::Noted
            && (opened || later.act != Act::Withdrawn)
    });
    let rests = since.find(|later| status.effective.counts(later) && (opened || own(later)));
    match rests {
        None => Ok(entry),
        Some(later) => {
            let what = if later.task.is_empty() {
                "the record"
            } else {
                &later.task
            };
            let message = format!(
                "entry {} cannot be taken back: `{what}` was signed as {} since (entry {})",
                entry.number,
                later.act.word(),
                later.number
            );
            let help =
                "put a value right with `--act corrected`, or let a supervisor open the task again";
            Err(Problem::error(Code::BuiltOn, message).help(help))
        }
    }
}
