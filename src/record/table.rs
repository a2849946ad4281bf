//! Signing by a table: one that says what is asked for, with empty cells for values, people and times, and the same one filled in.
//!
//! Takes how the tasks stand, or the text of a filled table; gives the text, or the entries that it makes. A table is signed all or not at
//! all, and every row that is wrong is named by its number in the file. Columns are found by their names, so that a spreadsheet may move
//! them; numbers of tasks are not read back, ids are.

use std::collections::BTreeMap;

use super::entry::{Act, Record};
use super::footing::Footing;
use super::sign::sign;
use super::square;
use super::standing::{Standing, State};
use super::status::Status;
use super::value::{Entered, Photo};
use super::wish::Wish;
use crate::chain::{NoTime, Time};
use crate::quantity::Units;
use crate::report::{Code, Problem, quoted, unless};

/// The columns, in order.
const COLUMNS: [&str; 18] = [
    "sheet",
    "number",
    "task",
    "title",
    "row",
    "name",
    "asked",
    "kind",
    "unit",
    "least",
    "most",
    "value",
    "wrench",
    "done_by",
    "done_at",
    "checked_by",
    "checked_at",
    // What only the hand-over and retorques have.
    "odometer",
];

/// A table of what is still to be signed; what is written down already stands in its cells.
pub fn to_sign(footing: &Footing, status: &Status<'_>) -> Vec<Vec<String>> {
    let mut table = vec![COLUMNS.map(ToOwned::to_owned).to_vec()];
    let open = status.tasks.iter();
    for standing in open.filter(|one| one.state() != State::Checked) {
        table.extend(rows(footing, standing));
    }
    table
}

fn rows(footing: &Footing, standing: &Standing<'_>) -> Vec<Vec<String>> {
    let task = standing.task;
    let worked_out = square::worked_out(task);
    let first = [
        footing.agreed.short(),
        task.number.to_string(),
        task.id.clone(),
        task.title.print(Units::Metric),
    ];
    let limit = |limit: Option<f64>| limit.map(|limit| limit.to_string()).unwrap_or_default();
    let asks = task
        .asks()
        .filter(|(_, asked)| !worked_out.contains(&asked.name.as_str()));
    let asks = asks.map(|(row, asked)| {
        let value = standing.values.get(asked.name.as_str());
        // A photograph is named by its file, and that of an earlier one may be gone.
        let value = value.filter(|(value, _)| !matches!(value, Entered::Photo(_)));
        let value = value.map(|(value, _)| value.print(Units::Metric));
        [
            row.id.clone(),
            asked.name.clone(),
            asked.ask.print(Units::Metric),
            asked.kind.clone(),
            asked
                .unit
                .map(|unit| unit.code().to_owned())
                .unwrap_or_default(),
            limit(asked.least),
            limit(asked.most),
            value.unwrap_or_default(),
        ]
    });
    let mut asks: Vec<[String; 8]> = asks.collect();
    if asks.is_empty() {
        asks.push(Default::default());
    }
    // Who did a row stands there already where it is only still to be checked.
    let by = |id: &str| {
        let rows = standing.rows.iter().filter(|one| one.row.id == id);
        let last = rows.filter_map(|one| one.done.last()).next_back();
        last.map(|entry| entry.person.clone()).unwrap_or_default()
    };
    asks.into_iter()
        .map(|asked| {
            let by = by(&asked[0]);
            let own = first.iter().cloned().chain(asked);
            own.chain([String::new(), by])
                .chain(std::iter::repeat_n(String::new(), 4))
                .collect()
        })
        .collect()
}

/// One line of a filled table, its cells by the names of the columns.
#[derive(Debug, Clone)]
pub struct TableLine {
    /// Its number in the file; the head is 1.
    pub number: usize,
    /// The cells that are not empty.
    pub cells: BTreeMap<String, String>,
    /// The photograph whose file the line names.
    pub photo: Option<Photo>,
}

impl TableLine {
    fn cell(&self, name: &str) -> Option<&str> {
        self.cells.get(name).map(String::as_str)
    }
}

/// The record with the entries that a filled table makes, a task's `done` before its `checked`, in the order of work; every fault otherwise.
pub fn from_table(
    footing: &Footing,
    record: &Record,
    (lines, wish): (&[TableLine], &Wish),
) -> Result<Record, Vec<Problem>> {
    let mut problems: Vec<Problem> = lines
        .iter()
        .filter_map(|line| unknown(footing, line))
        .collect();
    let mut written = record.clone();
    let mut failed = false;
    let before = Status::of(&footing.agreed, record);
    for task in &footing.agreed.tasks {
        let own: Vec<&TableLine> = lines
            .iter()
            .filter(|line| line.cell("task") == Some(&task.id))
            .collect();
        let standing = before.get(&task.id);
        problems.extend(nobody(&own, standing));
        // What was signed as done before the table was written stands in it, and is not signed again.
        let undone = own.iter().copied();
        let undone = undone.filter(|line| {
            line.cell("done_at").is_some() || !standing.is_some_and(|one| is_done(one, line))
        });
        let undone: Vec<&TableLine> = undone.collect();
        for (act, lines, by, at) in [
            (Act::Done, &undone, "done_by", "done_at"),
            (Act::Checked, &own, "checked_by", "checked_at"),
        ] {
            let Some(named) = lines.iter().find(|line| line.cell(by).is_some()) else {
                continue;
            };
            let made = wished(footing, (lines, wish), (act, by, at))
                .and_then(|wish| sign(footing, &written, &wish));
            match made {
                Ok(after) => written = after,
                Err(more) => {
                    // What comes after a fault is refused for it, and says nothing new.
                    let follows = |problem: &Problem| {
                        failed && matches!(problem.code, Code::OutOfTurn | Code::NotDone)
                    };
                    let more = more.into_iter().filter(|problem| !follows(problem));
                    problems.extend(more.map(|problem| in_row(problem, named.number)));
                    failed = true;
                }
            }
        }
    }
    if problems.is_empty() && written.entries.len() == record.entries.len() {
        let message = "the table signs nothing: no `done_by` and no `checked_by` is filled in";
        problems.push(
            Problem::error(Code::BadTable, message)
                .help("write the ids of who did and who checked each task"),
        );
    }
    unless(problems, written)
}

/// Whether the row that a line is for is signed as done; without a row or a name, whether all of its task is.
fn is_done(standing: &Standing<'_>, line: &TableLine) -> bool {
    let named = |name: &str| {
        let mut asks = standing.task.asks();
        asks.find(|(_, asked)| asked.name == name)
            .map(|(row, _)| row.id.as_str())
    };
    let row = line.cell("row").or_else(|| named(line.cell("name")?));
    let rows = standing.rows.iter();
    let rows = rows.filter(|one| row.is_none_or(|row| one.row.id == row));
    let mut rows = rows.peekable();
    rows.peek().is_some() && rows.all(|one| !one.done.is_empty())
}

/// The problem of a row that is for no task of the plan, or of a sheet of another plan.
fn unknown(footing: &Footing, line: &TableLine) -> Option<Problem> {
    let id = line.cell("task").unwrap_or_default();
    if footing.agreed.find(id).is_none() {
        let message = format!("row {}: the plan has no task `{}`", line.number, quoted(id));
        return Some(
            Problem::error(Code::TaskNotInPlan, message)
                .help("leave the column `task` as it was written"),
        );
    }
    let sheet = line.cell("sheet")?;
    (sheet != footing.agreed.short()).then(|| {
        let message = format!(
            "row {}: the table was written for the plan `{}`; this one's is `{}`",
            line.number,
            quoted(sheet),
            footing.agreed.short()
        );
        Problem::error(Code::OtherSheet, message)
            .help("write the table anew with `liftsheet record JOB -o to-sign.csv`")
    })
}

/// The problem of a task's first line where something was filled in, while no line of the task names who did or checked it.
fn nobody(lines: &[&TableLine], standing: Option<&Standing<'_>>) -> Option<Problem> {
    let named =
        |line: &&TableLine| ["done_by", "checked_by"].map(|by| line.cell(by)) != [None, None];
    if lines.iter().any(named) {
        return None;
    }
    let filled = |line: &TableLine| {
        let others = ["wrench", "done_at", "checked_at", "odometer"];
        // What is written down already stood in the table when it was written.
        let stood = || standing?.values.get(line.cell("name")?);
        let stood = stood().map(|(value, _)| value.print(Units::Metric));
        others.iter().any(|name| line.cell(name).is_some())
            || line
                .cell("value")
                .is_some_and(|value| stood.as_deref() != Some(value))
    };
    let line = lines.iter().find(|line| filled(line))?;
    let message = "something is filled in, and nobody is named who did it".to_owned();
    let problem = Problem::error(Code::BadTable, message)
        .help("write the id of who did it as `done_by`, or empty the cells");
    Some(in_row(problem, line.number))
}

fn in_row(problem: Problem, number: usize) -> Problem {
    let message = format!("row {number}: {}", problem.message);
    Problem { message, ..problem }
}

/// What the lines of a task say is done, or checked.
fn wished(
    footing: &Footing,
    (lines, wish): (&[&TableLine], &Wish),
    (act, by, at): (Act, &str, &str),
) -> Result<Wish, Vec<Problem>> {
    let own = |name: &str| lines.iter().find_map(|line| line.cell(name));
    let at = own(at)
        .map(|text| time(footing, text))
        .transpose()
        .map_err(|problem| vec![problem])?;
    let mut made = Wish {
        act,
        tasks: own("task").map(ToOwned::to_owned).into_iter().collect(),
        by: own(by).unwrap_or_default().to_owned(),
        at,
        values: Vec::new(),
        photos: Vec::new(),
        wrench: None,
        odometer: None,
        ..wish.clone()
    };
    if act == Act::Done || lines.iter().all(|line| line.cell("done_by").is_none()) {
        made.wrench = own("wrench").map(ToOwned::to_owned);
        made.odometer = own("odometer").map(ToOwned::to_owned);
        let named = |line: &&TableLine| line.cell("name").map(ToOwned::to_owned);
        let photos = lines.iter();
        made.photos = photos
            .filter_map(|line| Some((Some(named(line)?), line.photo.clone()?)))
            .collect();
        made.values = lines
            .iter()
            .filter(|line| line.photo.is_none())
            .filter_map(|line| Some((named(line)?, line.cell("value")?.to_owned())))
            .collect();
    }
    Ok(made)
}

/// A time as a cell has it: of the workshop's clock, or with its offset.
fn time(footing: &Footing, text: &str) -> Result<Time, Problem> {
    footing.zone.parse(text).map_err(|why| no_time(text, why))
}

/// The problem of a text that is no time at the workshop.
pub fn no_time(text: &str, why: NoTime) -> Problem {
    let shown = quoted(text);
    let (message, help) = match why {
        NoTime::Form => (
            format!("`{shown}` is no time"),
            "write `2026-03-02 08:00`, or with its offset from UTC `2026-03-02T08:00+11:00`",
        ),
        NoTime::NoZone => (
            format!("`{shown}` has no offset from UTC, and no time zone is written down"),
            "add `zone: Area/City` to the job file, such as `zone: Australia/Hobart`, or write `2026-03-02T08:00+11:00`",
        ),
        NoTime::Changeover => (
            format!("`{shown}` lies where the clocks were changed: it was twice, or not at all"),
            "write it with its offset from UTC",
        ),
    };
    Problem::error(Code::BadTime, message).help(help)
}
