//! Who works: the people of the job, or a crew made of roles such as `2fitter+apprentice`.
//!
//! Takes a job and what `--with` says; gives a [`Team`]. A crew of roles is completed by those who come on call: a supervisor to sign, the
//! licences that the work takes, and other hands where a task takes more people than a small crew has.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::{Hours, Person, Role};
use crate::pipeline::Made;
use crate::plan::Task;
use crate::report::{Code, Place, Problem, in_message, unknown_help};
use crate::sorted::Sorted as _;

/// The most people of one role in a crew.
const MANY: usize = 20;

/// One person of the crew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The short name.
    pub id: String,
    /// The name on the pages.
    pub name: String,
    /// What the person may do.
    pub roles: BTreeSet<Role>,
    /// The licences held.
    pub licences: BTreeSet<String>,
    /// When the person is there.
    pub hours: Hours,
    /// Whether the person only lends a hand or watches.
    pub hand: bool,
}

/// The crew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Team {
    /// Everybody, in the order of the lanes.
    pub members: Vec<Member>,
    /// Whether it was made of roles.
    pub made_up: bool,
}

/// The crew of a job, or of roles.
pub(super) fn team(made: &Made<'_>, with: Option<&str>, tasks: &[&Task]) -> Result<Team, Problem> {
    let Some(with) = with else {
        let members: Vec<Member> = made.job.people.iter().map(own).collect();
        if members.is_empty() {
            return Err(empty().at(Place::file(&made.job.file)));
        }
        return Ok(Team {
            members: in_order(members),
            made_up: false,
        });
    };
    let trades: BTreeSet<&str> = tasks
        .iter()
        .filter_map(|task| task.trade.as_deref())
        .sorted_set();
    let mut members = named(with, &trades)?;
    for trade in trades {
        if !members.iter().any(|member| member.licences.contains(trade)) {
            members.push(Member {
                roles: BTreeSet::from([Role::Tradesperson]),
                licences: BTreeSet::from([trade.to_owned()]),
                ..somebody(trade, &format!("{trade} trade"), true)
            });
        }
    }
    if !members
        .iter()
        .any(|member| member.roles.contains(&Role::Supervisor))
    {
        members.push(Member {
            roles: BTreeSet::from([Role::Supervisor]),
            ..somebody("supervisor", "supervisor", true)
        });
    }
    // One of the crew and a supervisor are always there.
    let most = tasks.iter().map(|task| seats(task)).max().unwrap_or(0);
    for number in 1..most.saturating_sub(1) {
        members.push(Member {
            hand: true,
            ..somebody(&format!("hand-{number}"), &format!("hand {number}"), true)
        });
    }
    Ok(Team {
        members: in_order(members),
        made_up: true,
    })
}

/// How many people a task takes, the one who signs included.
pub(crate) fn seats(task: &Task) -> usize {
    let people = usize::try_from(task.people).unwrap_or(MANY);
    let least = if task.hold.is_some() { 2 } else { 1 };
    people.max(least + usize::from(task.watch))
}

fn own((id, person): (&String, &Person)) -> Member {
    Member {
        id: id.clone(),
        name: person.name.clone(),
        roles: person.roles.clone(),
        licences: person.licences.clone(),
        hours: person.hours.clone(),
        hand: false,
    }
}

/// Somebody of whom only that is known, and whether they come when called.
fn somebody(id: &str, name: &str, on_call: bool) -> Member {
    Member {
        id: id.to_owned(),
        name: name.to_owned(),
        roles: BTreeSet::new(),
        licences: BTreeSet::new(),
        hours: Hours {
            on_call,
            ..Hours::default()
        },
        hand: false,
    }
}

/// The crew first, then those on call.
fn in_order(mut members: Vec<Member>) -> Vec<Member> {
    let place = |member: &Member| {
        let role = member.roles.first().copied();
        (member.hours.on_call, member.hand, role.is_none(), role)
    };
    members.sort_by_key(place);
    members
}

/// The people that `--with` names, numbered by role.
fn named(with: &str, trades: &BTreeSet<&str>) -> Result<Vec<Member>, Problem> {
    if with.trim().is_empty() {
        return Err(empty());
    }
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut members = Vec::new();
    for word in with.split('+').map(str::trim) {
        let digits = word.bytes().take_while(u8::is_ascii_digit).count();
        let (count, word) = word.split_at(digits);
        let word = word.trim();
        let count = if count.is_empty() {
            Some(1)
        } else {
            count.parse().ok()
        };
        let role = word.parse().ok();
        let role = role.filter(|role| *role != Role::Tradesperson);
        let trade = trades.iter().find(|trade| **trade == word);
        if role.is_none() && trade.is_none() {
            return Err(unknown(word, trades));
        }
        let Some(count) = count.filter(|count| *count <= MANY) else {
            let message = format!("a crew has at most {MANY} of each role");
            return Err(
                Problem::error(Code::UnknownRole, message).help("write it as `2fitter+apprentice`")
            );
        };
        for _ in 0..count {
            let number = counts.entry(word).or_default();
            *number += 1;
            let licences = trade.filter(|_| role.is_none()).into_iter();
            members.push(Member {
                roles: BTreeSet::from([role.unwrap_or(Role::Tradesperson)]),
                licences: licences.map(|trade| (*trade).to_owned()).collect(),
                ..somebody(
                    &format!("{word}-{number}"),
                    &format!("{word} {number}"),
                    false,
                )
            });
        }
    }
    if members.is_empty() {
        return Err(empty());
    }
    Ok(members)
}

fn empty() -> Problem {
    Problem::error(Code::EmptyCrew, "nobody is there to do the work")
        .help("list people in the job file under `people`, or name a crew such as `--with fitter+apprentice`")
}

fn unknown(word: &str, trades: &BTreeSet<&str>) -> Problem {
    let message = format!("`{}` is no role that a crew is made of", in_message(word));
    let roles = ["fitter", "supervisor", "apprentice"];
    let known = roles.into_iter().chain(trades.iter().copied());
    Problem::error(Code::UnknownRole, message).help(unknown_help(word, known))
}
