//! The licensed trades: the words by which rules and job files name them.
//!
//! Takes the people of a job; reports every licence that is for none of these trades. Who does which work is left to `crew` and `record`.

use crate::job::Job;
use crate::report::{Code, Problem, Report, in_message, unknown_help};

/// Who may have to do a task, and whose licence a person may hold.
pub const TRADES: [&str; 9] = [
    "refrigerant",
    "brakes",
    "restraint",
    "engineer",
    "fuel",
    "gas",
    "electrical",
    "high-voltage",
    "windscreen-and-sensors",
];

/// Who does a task that the workshop does itself, though its verdict is a trade's: what an engineer approved is fitted by fitters.
pub(crate) const WORKSHOP: &str = "workshop";

/// Reports every licence of a job's people that no rule could ask for: such a person would be booked for nothing.
pub(crate) fn licences(job: &Job, report: &mut Report) {
    for person in job.people.values() {
        let unknown = person.licences.iter();
        for licence in unknown.filter(|licence| !TRADES.contains(&licence.as_str())) {
            report.push(unknown_trade(licence).at(job.place(&person.path.key("licences"))));
        }
    }
}

/// The problem of a licence that is for none of the trades.
pub(crate) fn unknown_trade(licence: &str) -> Problem {
    let message = format!(
        "`{}` is no trade that a licence is for",
        in_message(licence)
    );
    Problem::error(Code::UnknownChoice, message).help(unknown_help(licence, TRADES.into_iter()))
}
