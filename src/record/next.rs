//! Whose turn it is: for each person, what may be done and what may be checked now.
//!
//! Takes what the record stands on and how the tasks stand; gives tasks with the act that is next on them. It asks the same questions as
//! signing does, so that what is offered here is never refused there for its turn or its role.

use std::collections::BTreeMap;

use super::binding::Who;
use super::entry::Act;
use super::footing::Footing;
use super::standing::{Standing, State};
use super::status::Status;
use super::{permit, turn};

/// Something that somebody may sign now.
#[derive(Debug)]
pub struct Turn<'s, 'a> {
    /// How the task stands.
    pub standing: &'s Standing<'a>,
    /// What is next on it: `done` or `checked`.
    pub act: Act,
    /// Who may sign it, by id.
    pub people: Vec<&'s str>,
}

/// Everything that may be signed now, in the order of work; that of one person where one is named.
pub fn turns<'s, 'a>(
    footing: &'s Footing,
    status: &'s Status<'a>,
    person: Option<&str>,
) -> Vec<Turn<'s, 'a>> {
    let mut turns = Vec::new();
    let released = status.released();
    for standing in &status.tasks {
        let act = match standing.state() {
            State::Checked => continue,
            _ if standing.task.hold.is_some() => Act::Checked,
            State::Open | State::Begun | State::OutOfLimits => Act::Done,
            State::Done => Act::Checked,
        };
        // What comes due is nobody's turn before the vehicle is handed over.
        if standing.task.due.is_some() && !released {
            continue;
        }
        // Most tasks stand right behind one that is open: the whole way back need not be looked at for them.
        let early = turn::is_early(status, act, standing.task);
        if early || turn::check(status, act, (standing, &[])).is_err() {
            continue;
        }
        let people = whose(footing, act, standing).into_iter();
        let people: Vec<&str> = people
            .filter(|id| person.is_none_or(|wanted| wanted == *id))
            .collect();
        if !people.is_empty() || person.is_none() {
            turns.push(Turn {
                standing,
                act,
                people,
            });
        }
    }
    turns
}

/// Who may sign an act on a task, by id, whenever its turn is.
pub fn whose<'s>(footing: &'s Footing, act: Act, standing: &Standing<'_>) -> Vec<&'s str> {
    let may = |(id, who): &(&String, &Who)| permit::role((id, who), act, (standing, &[])).is_ok();
    let people = footing.people.iter().filter(may);
    people.map(|(id, _)| id.as_str()).collect()
}

/// Whether one of the people may do work and another sign it off. Work that nobody of them may do at all is booked elsewhere, and is
/// another question.
pub fn is_checked(
    people: &BTreeMap<String, Who>,
    (trade, apprentice): (Option<&str>, bool),
) -> bool {
    let may = |act| {
        let may = people
            .iter()
            .filter(move |(_, who)| permit::may(who, act, (trade, apprentice)));
        may.map(|(id, _)| id).collect::<Vec<_>>()
    };
    let (does, checks) = (may(Act::Done), may(Act::Checked));
    let other = |doer: &&String| checks.iter().any(|checker| checker != doer);
    does.is_empty() || does.iter().any(other)
}
