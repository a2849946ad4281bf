//! The survey as a table, filled in: from its rows to changes.
//!
//! Takes the text as a spreadsheet saved it; gives every value with its place, or what is wrong in each row.

use std::collections::BTreeSet;

use csv::StringRecord;

use super::{ToWrite, connection};
use crate::report::{Code, Problem, in_message};
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

/// What is to be written into a job file, as the rows of a table say it or whoever asks.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ToFill {
    /// The values with their places.
    pub changes: Vec<ToWrite>,
    /// The connections that the vehicle does not have.
    pub without: Vec<String>,
    /// The remarks with the places that they are about.
    pub remarks: Vec<ToWrite>,
}

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
    let column = |name: &str| head.iter().position(|known| known == name);
    let (Some(place), Some(value)) = (column("place"), column("value")) else {
        return Err(vec![bad(
            "the table has no columns `place` and `value`".to_owned()
        )]);
    };
    let columns = Columns {
        place,
        value,
        not_there: column("not_there"),
        remark: column("remark"),
    };
    let mut taken = Taken::default();
    for row in reader.records() {
        match row {
            Ok(row) => taken.take(&row, &columns),
            Err(error) => taken.problems.push(bad(error.to_string())),
        }
    }
    taken.all()
}

/// Where the columns stand.
struct Columns {
    place: usize,
    value: usize,
    not_there: Option<usize>,
    remark: Option<usize>,
}

/// What is taken of a table so far, and what is wrong in it.
#[derive(Default)]
struct Taken {
    changes: Vec<ToWrite>,
    without: BTreeSet<String>,
    remarks: Vec<ToWrite>,
    problems: Vec<Problem>,
}

impl Taken {
    fn take(&mut self, row: &StringRecord, columns: &Columns) {
        let line = row.position().map_or(0, csv::Position::line);
        let cell = |at: usize| table::unguarded(row.get(at).unwrap_or_default());
        let or_none = |at: Option<usize>| at.map(cell).unwrap_or_default();
        let (place, value) = (cell(columns.place), cell(columns.value));
        let gone = or_none(columns.not_there).to_lowercase();
        let is_gone = !matches!(gone.as_str(), "" | "no" | "0" | "false");
        let remark = or_none(columns.remark);
        // What is taken out takes its remarks with it.
        if !(remark.is_empty() || place.is_empty() || is_gone) {
            self.remarks.push(ToWrite {
                place: place.clone(),
                value: remark,
                line: Some(line),
            });
        }
        let shown = in_message(&place);
        let wrong = match (place.is_empty(), value.is_empty(), is_gone) {
            (_, true, false) => return,
            (true, ..) => "a value without its place".to_owned(),
            (_, false, true) => format!("`{shown}` is not there, and has a value"),
            (_, false, false) => {
                let line = Some(line);
                self.changes.push(ToWrite { place, value, line });
                return;
            }
            (_, true, true) => match connection(&place) {
                Some(id) => {
                    self.without.insert(id.to_owned());
                    return;
                }
                None => format!("`{shown}` is no connection that could be missing"),
            },
        };
        self.problems.push(bad(format!("line {line}: {wrong}")));
    }

    fn is_empty(&self) -> bool {
        self.changes.is_empty() && self.without.is_empty() && self.remarks.is_empty()
    }

    /// Everything, where nothing is wrong: what is not there has no values on its other rows, and something is filled in.
    fn all(mut self) -> Result<ToFill, Vec<Problem>> {
        let lost = self
            .changes
            .iter()
            .filter(|change| connection(&change.place).is_some_and(|id| self.without.contains(id)));
        let lost = lost.map(|change| {
            let named = change.named();
            bad(format!(
                "{named} has a value, and its connection is not there"
            ))
        });
        self.problems.extend(lost);
        if self.problems.is_empty() && self.is_empty() {
            self.problems.push(bad("nothing is filled in".to_owned()));
        }
        if self.problems.is_empty() {
            Ok(ToFill {
                changes: self.changes,
                without: self.without.into_iter().collect(),
                remarks: self.remarks,
            })
        } else {
            Err(self.problems)
        }
    }
}

fn bad(message: String) -> Problem {
    Problem::error(Code::BadTable, message)
        .help("write one with `liftsheet survey JOB -o survey.csv`, fill in its column `value`, and save it as comma-separated text in UTF-8")
}
