//! Entries into a record: under its lock, after what they name is kept, on the disk before this returns. The only file that reads the clock
//! and draws lots.
//!
//! Takes a desk and what somebody wants to sign; gives what is to be said at once to whoever stands beside the vehicle.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use super::open::Desk;
use super::photo::{self, Taken};
use super::trust;
use crate::keys;
use crate::record::{
    self, Act, Effective, Entry, Footing, Photo, Record, RowStanding, SignedTask, Status,
    StoreError, TableLine, Time, Wish,
};
use crate::report::{Code, Place, Problem, in_message, numbered};
use crate::sorted::Sorted as _;

/// More tasks than these do not fall open without a question.
pub(crate) const MUCH: usize = 10;

/// What was signed, and what else is to be told; or everything that is in the way.
pub(crate) type Done = Result<(String, Option<Problem>), Vec<Problem>>;

pub(crate) fn failed(problem: Problem) -> Vec<Problem> {
    vec![problem]
}

/// What is to be signed: a wish, or the lines of a table; and the photographs that go with it.
pub(crate) struct ToSign {
    pub(crate) wish: Wish,
    pub(crate) table: Option<Vec<TableLine>>,
    pub(crate) photos: Vec<Taken>,
}

impl ToSign {
    /// The record with the entries that it makes.
    pub(crate) fn signed(
        &self,
        footing: &Footing,
        record: &Record,
    ) -> Result<Record, Vec<Problem>> {
        match &self.table {
            Some(lines) => record::from_table(footing, record, (lines, &self.wish)),
            None => record::sign(footing, record, &self.wish),
        }
    }
}

/// The entries of a record behind those that it had before.
pub(crate) fn added<'a>(record: &Record, after: &'a Record) -> &'a [Arc<Entry>] {
    after
        .entries
        .get(record.entries.len()..)
        .unwrap_or_default()
}

/// Signs what is asked for. No more than `most` tasks fall open by it.
pub(crate) fn sign(desk: &Desk, asked: &ToSign, most: usize) -> Done {
    let kept = desk
        .keep()
        .and_then(|()| photo::keep(&desk.folder, asked.photos.iter()));
    kept.map_err(|error| failed(StoreError::NotWritten(error).problem(&desk.path)))?;
    write(desk, asked, most)
}

fn write(desk: &Desk, asked: &ToSign, most: usize) -> Done {
    let mut text = String::new();
    let known = (&desk.record, &desk.waiting() as &dyn Fn());
    let appended = record::append(&desk.path, known, |record| {
        let footing = desk.footing_of(record).map_err(failed)?;
        let after = asked.signed(&footing, record)?;
        let entries = added(record, &after);
        if record::consequence(entries).len() > most {
            return Err(failed(much(entries)));
        }
        text = told(&footing, (record, &after), (&asked.wish, "signed"));
        Ok(after)
    });
    let appended = appended.map_err(|error| failed(error.problem(&desk.path)))?;
    let appended = appended?;
    trust::remember(&appended.after);
    let warning = appended.set_aside.map(|(aside, bytes)| {
        let message = format!(
            "the last line was cut off; its {bytes} bytes were set aside in `{}`",
            aside.display()
        );
        Problem::warning(Code::RecordTorn, message)
            .at(Place::at(&desk.path))
            .help("whoever signed it was never told so; see that nothing is missing, and sign it again")
    });
    Ok((text, warning))
}

/// The problem of an act by which much falls open.
pub(crate) fn much(entries: &[Arc<Entry>]) -> Problem {
    let fell = record::consequence(entries);
    let first: Vec<&str> = fell.iter().take(MUCH).copied().collect();
    let message = format!(
        "{} would fall open and would have to be signed again: {}, and {} more",
        numbered(fell.len(), "task"),
        first.join(", "),
        fell.len().saturating_sub(first.len())
    );
    Problem::error(Code::MuchFallsOpen, message)
        .help("add `--yes` if that is meant; `--dry-run` names all of them")
}

/// A number that no other record has.
pub(crate) fn lots() -> Result<String, Problem> {
    keys::number().map_err(|error| {
        let message = format!("the system gives no random numbers: {error}");
        Problem::error(Code::RecordNotWritten, message).help("nothing is signed; sign again")
    })
}

/// The time now. A clock before 1970 is as wrong as any, and counts as 1970.
pub(crate) fn now() -> Time {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let seconds = since.map_or(0, |since| since.as_secs());
    Time::from_seconds(i64::try_from(seconds).unwrap_or(0))
}

/// What was signed, a line an entry, and what is to be said at once to whoever stands beside the vehicle.
pub(crate) fn told(
    footing: &Footing,
    (record, after): (&Record, &Record),
    (wish, how): (&Wish, &str),
) -> String {
    let entries = added(record, after);
    let status = footing.status(after);
    let mut text = String::new();
    for entry in entries {
        text.push_str(&line(footing, entry, how));
        for (what, why) in &entry.fell {
            text.push_str(&format!("  falls open: {what}, which {why}\n"));
        }
        if entry.act == Act::Rejected {
            text.push_str(&stays(&status, entry).unwrap_or_default());
        }
        for before in photo::of_entry(entry).filter_map(|own| given_before(record, own)) {
            text.push_str(&format!(
                "  this photograph was given before, with entry {before}: see whether it is the right one\n"
            ));
        }
    }
    for left in record::left(footing, after, wish) {
        let named = named(left);
        text.push_str(&format!("  not signed: {named}, whose turn has not come\n"));
    }
    for remark in record::remarks(footing, &status, entries) {
        text.push_str(&format!("  {}\n", in_message(&remark)));
    }
    text
}

/// What was done at the mounts of rows that are refused, and what opens that: a bracket that is found cracked opens no block by itself.
fn stays(status: &Status<'_>, entry: &Entry) -> Option<String> {
    let refused = status.get(&entry.task)?.task;
    let rows = refused.rows.iter().map(|row| row.id.as_str());
    let rows: Vec<&str> = rows
        .filter(|id| !id.is_empty() && entry.names(id))
        .collect();
    let signed = |row: &RowStanding<'_>| {
        let stands = !row.done.is_empty() || row.checked.is_some();
        stands && rows.contains(&row.row.id.as_str())
    };
    let later = status
        .tasks
        .iter()
        .skip_while(|one| one.task.id != entry.task);
    let stay = later.skip(1).filter(|one| {
        let at_mount = !one.task.links.is_empty();
        at_mount && one.rows.iter().any(signed)
    });
    let stay: Vec<&SignedTask> = stay.map(|one| one.task).collect();
    let named = stay
        .iter()
        .map(|task| format!("{} {}", task.number, task.id));
    let named = named.collect::<Vec<_>>().join(", ");
    let (opens, by) = (opening(&stay, &rows), &entry.person);
    (!stay.is_empty()).then(|| {
        format!(
            "  stays signed: {named}; where that is not as it must be either: `liftsheet sign JOB {opens} --act rejected --by {by} --note '…'`\n"
        )
    })
}

/// The rows of the first of some tasks: what rests on them opens with them.
fn opening(tasks: &[&SignedTask], rows: &[&str]) -> String {
    let ids: BTreeSet<&str> = tasks.iter().map(|task| task.id.as_str()).sorted_set();
    let rests = |task: &SignedTask| task.rests_on.iter().any(|on| ids.contains(on.as_str()));
    let first = tasks.iter().filter(|task| !rests(task));
    let opens = first.flat_map(|task| {
        let own = task.rows.iter();
        let own = own.filter(|row| rows.contains(&row.id.as_str()));
        own.map(|row| format!("{}:{}", task.id, row.id))
    });
    opens.collect::<Vec<_>>().join(" ")
}

/// The number of the first entry that names the same photograph.
fn given_before(record: &Record, photo: &Photo) -> Option<u64> {
    let same = |entry: &&Arc<Entry>| photo::of_entry(entry).any(|own| own.sha256 == photo.sha256);
    record.entries.iter().find(same).map(|entry| entry.number)
}

fn line(footing: &Footing, entry: &Entry, how: &str) -> String {
    let number = entry.number;
    let who = format!("by {} as {}", in_message(&entry.name), entry.role);
    let time = footing.zone.print(entry.time);
    let late = Effective::default().late(entry);
    let late = late.map(|at| format!(", done {}", footing.zone.print(at)));
    let late = late.unwrap_or_default();
    let Some(task) = footing.agreed.find(&entry.task) else {
        let what = match (&entry.binds, entry.act) {
            (Some(binding), Act::Bound) => {
                format!("record begun for {}", in_message(&binding.identification))
            }
            _ => format!("record {}", entry.act.word()),
        };
        return format!("{how}: {what} {who}, entry {number} of {time}\n");
    };
    let rows = if entry.rows.is_empty() {
        String::new()
    } else {
        format!(" at {}", entry.rows.join(", "))
    };
    let task = named(task);
    format!(
        "{how}: {task}{rows} {} {who}, entry {number} of {time}{late}\n",
        entry.act.word(),
    )
}

/// A task by its number, its id and its title.
fn named(task: &SignedTask) -> String {
    let title = task.title.print(crate::quantity::Units::Metric);
    format!("{} {} ({})", task.number, task.id, in_message(&title))
}
