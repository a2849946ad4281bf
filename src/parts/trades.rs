//! The licensed trades to book: which tasks, how long, and who on the job holds the licence.

use std::collections::BTreeMap;

use serde::Serialize;

use super::by_id;
use crate::pipeline::Made;
use crate::plan::{Minutes, Task};

/// One trade.
#[derive(Debug, Serialize)]
pub(crate) struct Booking<'a> {
    /// The trade, as rules name it.
    pub trade: &'a str,
    /// The people of the job who hold its licence, by name.
    pub people: Vec<&'a str>,
    /// Its tasks, in the order of work.
    #[serde(serialize_with = "by_id")]
    pub tasks: Vec<&'a Task>,
    /// The minutes of its tasks up to the hand-over.
    pub minutes: Minutes,
}

/// The trades of a job, by name.
pub(crate) fn bookings<'a>(made: &Made<'a>) -> Vec<Booking<'a>> {
    let mut bookings: BTreeMap<&str, Booking<'a>> = BTreeMap::new();
    for task in &made.plan.tasks {
        let Some(trade) = task.trade.as_deref() else {
            continue;
        };
        let booking = bookings.entry(trade).or_insert_with(|| Booking {
            trade,
            people: licensed(made, trade),
            tasks: Vec::new(),
            minutes: Minutes::default(),
        });
        booking.tasks.push(task);
        if task.due.is_none() {
            booking.minutes = booking.minutes.plus(task.minutes);
        }
    }
    bookings.into_values().collect()
}

fn licensed<'a>(made: &Made<'a>, trade: &str) -> Vec<&'a str> {
    let people = made.job.people.values();
    let licensed = people.filter(|person| person.licences.contains(trade));
    licensed.map(|person| person.name.as_str()).collect()
}
