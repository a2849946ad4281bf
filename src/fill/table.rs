//! The survey as a table, filled in: from its rows to changes.
//!
//! Takes the text as a spreadsheet saved it; gives every value with its place, or what is wrong in each row.

use csv::StringRecord;

use super::{ToFill, ToWrite, connection};
use crate::report::{Code, Problem, in_message, unless};
use crate::source::table;

/// The columns of the table, as they are written.
pub(crate) const COLUMNS: [&str; 11] = [
    "area",
    "connection",
    "what",
    "how",
    "unit",
    "how_close",
    "last_time",
    "value",
    "not_there",
    "remark",
    "place",
];

/// Reads a filled table.
///
/// # Errors
///
/// Every row that cannot be taken, by its line; a table without the columns, or with nothing in it.
pub fn rows(text: &str) -> Result<ToFill, Vec<Problem>> {
    let mut reader = table::reader(text);
    let head: Vec<String> = match reader.headers() {
        Ok(head) => head.iter().map(|name| name.trim().to_lowercase()).collect(),
        Err(error) => return Err(vec![bad(error.to_string())]),
    };
    let is_there = |name: &str| head.iter().any(|known| known == name);
    if !(is_there("place") && is_there("value")) {
        return Err(vec![bad(
            "the table has no columns `place` and `value`".to_owned()
        )]);
    }
    let columns = ["place", "value", "remark", "not_there"];
    let columns = columns.map(|name| head.iter().position(|known| known == name));
    let mut taken = ToFill::default();
    let mut problems = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| bad(error.to_string()));
        problems.extend(row.and_then(|row| take(&mut taken, &row, columns)).err());
    }
    taken.without.sort();
    taken.without.dedup();
    problems.extend(lost(&taken));
    if problems.is_empty() && taken == ToFill::default() {
        problems.push(bad("nothing is filled in".to_owned()));
    }
    unless(problems, taken)
}

/// Takes what a row says in the columns of place, value, remark and what is not there; fails where that cannot be.
fn take(
    taken: &mut ToFill,
    row: &StringRecord,
    columns: [Option<usize>; 4],
) -> Result<(), Problem> {
    let line = row.position().map_or(0, csv::Position::line);
    let cell = |at: Option<usize>| at.and_then(|at| row.get(at)).unwrap_or_default();
    let [place, value, remark, gone] = columns.map(|at| table::unguarded(cell(at)));
    let is_gone = !matches!(gone.to_lowercase().as_str(), "" | "no" | "0" | "false");
    // What is taken out takes its remarks with it.
    if !(remark.is_empty() || place.is_empty() || is_gone) {
        taken.remarks.push(ToWrite {
            place: place.clone(),
            value: remark,
            line: Some(line),
        });
    }
    let shown = in_message(&place);
    let wrong = match (place.is_empty(), value.is_empty(), is_gone) {
        (_, true, false) => return Ok(()),
        (true, ..) => "a value without its place".to_owned(),
        (_, false, true) => format!("`{shown}` is not there, and has a value"),
        (_, false, false) => {
            let line = Some(line);
            taken.changes.push(ToWrite { place, value, line });
            return Ok(());
        }
        (_, true, true) => match connection(&place) {
            Some(id) => {
                taken.without.push(id.to_owned());
                return Ok(());
            }
            None => format!("`{shown}` is no connection that could be missing"),
        },
    };
    Err(bad(format!("line {line}: {wrong}")))
}

/// Values of connections that another row says are not there; those are in order.
fn lost(taken: &ToFill) -> impl Iterator<Item = Problem> {
    let lost = taken.changes.iter().filter(|change| {
        let id = connection(&change.place);
        id.is_some_and(|id| {
            taken
                .without
                .binary_search_by(|gone| gone.as_str().cmp(id))
                .is_ok()
        })
    });
    lost.map(|change| {
        let named = change.named();
        bad(format!(
            "{named} has a value, and its connection is not there"
        ))
    })
}

fn bad(message: String) -> Problem {
    Problem::error(Code::BadTable, message)
        .help("write one with `liftsheet survey JOB -o survey.csv`, fill in its column `value`, and save it as comma-separated text in UTF-8")
}
