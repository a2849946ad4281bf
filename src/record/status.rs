//! The plan and the entries → how all tasks stand.
//!
//! Takes the tasks in the order of work and a verified record; gives a [`Status`]. What falls open is written in the entries that open
//! it. Where the plan is another one than was signed on, [`mod@super::footing`] says what would fall, and it is handed in. Whether the gaps of
//! a body stand square is left to [`super::square`].

use std::collections::{BTreeMap, BTreeSet};

use super::agreed::{Agreed, SignedTask};
use super::effective::Effective;
use super::entry::{Act, Entry, Record};
use super::square;
use super::standing::{Opened, RowStanding, Standing, State};
use super::target::in_row;
use crate::plan::{CORRECTED, Making, Stands};
use crate::sorted::Sorted as _;

/// How every task of a plan stands.
#[derive(Debug)]
pub struct Status<'a> {
    /// The plan.
    pub agreed: &'a Agreed,
    /// The tasks, in the order of work.
    pub tasks: Vec<Standing<'a>>,
    /// Signatures for tasks that the plan has no longer.
    pub gone: Vec<&'a Entry>,
    /// Which entries count, and as what.
    pub effective: Effective<'a>,
    by_id: BTreeMap<&'a str, usize>,
}

impl Status<'_> {
    /// How the vehicle stands by what was done: what is off, open, loose or up, in short phrases. Work that fell open is still done to the
    /// vehicle, until what came before it is done again: bolts that must be torqued anew are not out before somebody took them out.
    pub fn stands(&self) -> Vec<String> {
        let done = |one: &Standing<'_>| matches!(one.state(), State::Done | State::Checked);
        let makes = |one: &Standing<'_>, other: &Standing<'_>| {
            let mut made = one.task.makes.keys();
            made.any(|instance| other.task.makes.contains_key(instance))
        };
        let overtaken = |place: usize, one: &Standing<'_>, number: u64| {
            let mut before = self.tasks.iter().take(place);
            before.any(|other| {
                done(other) && self.last_done(other) > Some(number) && makes(one, other)
            })
        };
        let let_down = |one: &Standing<'_>, number: u64| self.let_down(number, |up| makes(one, up));
        let tasks = self.tasks.iter().enumerate().map(|(place, one)| {
            let was = || self.last_done(one).filter(|_| one.fell_with_another());
            let still = |number| !overtaken(place, one, number) && !let_down(one, number);
            let stays = done(one) || was().is_some_and(still);
            Making {
                makes: &one.task.makes,
                hold: one.task.hold.is_some(),
                turn: usize::from(!stays),
            }
        });
        Stands::of(tasks).before(1, |_| true)
    }

    /// The connections, or mounts, on which work that is to be done again still is as it was done: the blocks of an earlier height, until they are
    /// taken out.
    pub fn as_before(&self) -> BTreeSet<&str> {
        let corrects = |one: &&Standing<'_>| one.task.makes.values().any(|step| step == CORRECTED);
        let mut found = BTreeSet::new();
        for one in self.tasks.iter().filter(corrects) {
            let did = |row: &RowStanding<'_>| {
                let mut history = one.history.iter();
                let does = |entry: &Entry| entry.act == Act::Done && entry.names(&row.row.id);
                history.any(|entry| does(entry) && self.effective.counts(entry))
            };
            for row in one
                .rows
                .iter()
                .filter(|row| row.done.is_empty() && did(row))
            {
                match row.row.id.as_str() {
                    "" => found.extend(one.task.links.iter().map(String::as_str)),
                    mount => drop(found.insert(mount)),
                }
            }
        }
        found
    }

    /// Whether somebody has worked under a body that was up by an entry, and so has let it down.
    fn let_down(&self, number: u64, up: impl Fn(&Standing<'_>) -> bool) -> bool {
        self.tasks.iter().any(|other| {
            let mut ups = other.task.raised.keys().filter_map(|up| self.get(up));
            let done = matches!(other.state(), State::Done | State::Checked);
            done && self.last_done(other) > Some(number) && ups.any(&up)
        })
    }

    /// The number of the last entry that did a task, where it was ever done.
    fn last_done(&self, one: &Standing<'_>) -> Option<u64> {
        let does = |entry: &&&Entry| {
            let checks = one.task.only_checked() && entry.act == Act::Checked;
            (checks || entry.act == Act::Done) && self.effective.counts(entry)
        };
        let last = one.history.iter().rev().find(does);
        last.map(|entry| entry.number)
    }
}

impl<'a> Status<'a> {
    /// How the tasks of a plan stand by a record.
    pub fn of(agreed: &'a Agreed, record: &'a Record) -> Self {
        Self::with(agreed, record, &BTreeMap::new())
    }

    /// The same where something would fall open that nobody signed for yet, each with why.
    pub fn with(agreed: &'a Agreed, record: &'a Record, fell: &BTreeMap<String, String>) -> Self {
        let tasks = &agreed.tasks;
        let ids = tasks.iter().map(|task| task.id.as_str());
        let mut status = Self {
            agreed,
            by_id: ids.zip(0..).sorted_map(),
            tasks: tasks.iter().map(Standing::new).collect(),
            gone: Vec::new(),
            effective: Effective::of(record),
        };
        for entry in &record.entries {
            status.take(entry);
        }
        for (what, why) in fell {
            let why = Opened {
                by: None,
                why: why.clone(),
            };
            status.open(what, &why);
        }
        square::fill(agreed, &mut status.tasks);
        status
    }

    /// How the task of that id stands.
    pub fn get(&self, id: &str) -> Option<&Standing<'a>> {
        self.tasks.get(*self.by_id.get(id)?)
    }

    /// The pieces of a printed task.
    pub fn pieces(&self, number: usize) -> Vec<&Standing<'a>> {
        let pieces = self.tasks.iter();
        pieces.filter(|one| one.task.number == number).collect()
    }

    /// The same, with those that its check signs off.
    pub fn signed_off_with(&self, number: usize) -> Vec<&Standing<'a>> {
        let own = |one: &&Standing<'a>| one.task.number == number || one.task.signed_with == number;
        self.tasks.iter().filter(own).collect()
    }

    /// Whether a body that was raised for what is done later stands raised, and is let down before this task is begun.
    pub fn lets_down(&self, task: &SignedTask) -> bool {
        let mut raised = task.raised.keys().filter_map(|up| self.get(up));
        raised.any(|up| {
            let number = self.last_done(up).filter(|_| up.fell_with_another());
            number.is_some_and(|number| !self.let_down(number, |other| other.task.id == up.task.id))
        })
    }

    fn get_mut(&mut self, id: &str) -> Option<&mut Standing<'a>> {
        self.tasks.get_mut(*self.by_id.get(id)?)
    }

    /// The tasks but those that come due after the lift.
    pub fn of_the_lift(&self) -> impl DoubleEndedIterator<Item = &Standing<'a>> {
        self.tasks.iter().filter(|one| one.task.due.is_none())
    }

    /// Whether every task of the lift is signed off.
    pub fn released(&self) -> bool {
        self.of_the_lift().all(|one| one.state() == State::Checked)
    }

    /// What came due after the lift and is not right: a value out of its limits, or what a supervisor refused and nobody signed off since.
    pub fn refused_since(&self) -> impl Iterator<Item = &Standing<'a>> {
        let due = self.tasks.iter().filter(|one| one.task.due.is_some());
        due.filter(|one| {
            let refused = |row: &RowStanding<'a>| {
                let of = one.history.iter().rev().filter(|entry| {
                    let judges = matches!(entry.act, Act::Checked | Act::Rejected);
                    judges && entry.names(&row.row.id) && self.effective.counts(entry)
                });
                of.map(|entry| entry.act).next() == Some(Act::Rejected)
            };
            one.state() == State::OutOfLimits || one.rows.iter().any(refused)
        })
    }

    /// Whether everything that is signed for a connection is signed off, of every moment; none when nothing is.
    pub fn link_signed_off(&self, link: &str) -> Option<bool> {
        let own = |one: &&Standing<'a>| one.task.links.iter().any(|id| id == link);
        let mut rows = self.of_the_lift().filter(own).flat_map(|one| {
            let named = one.rows.iter().any(|row| row.row.id == link);
            let rows = one
                .rows
                .iter()
                .filter(move |row| !named || row.row.id == link);
            rows.map(move |row| one.row_state(row) == State::Checked)
        });
        let first = rows.next()?;
        Some(first && rows.all(|off| off))
    }

    fn take(&mut self, entry: &'a Entry) {
        let counts = self.effective.counts(entry);
        if entry.act.is_of_record() {
            if counts {
                self.fall(entry);
            }
            return;
        }
        let Some(standing) = self.get_mut(&entry.task) else {
            self.gone.push(entry);
            return;
        };
        standing.history.push(entry);
        if !counts {
            return;
        }
        match entry.act {
            Act::Done | Act::Measured | Act::Checked => standing.apply(entry),
            Act::Corrected => {
                standing.correct(entry);
                self.fall(entry);
            }
            Act::Rejected | Act::Reopened => {
                let why = Opened {
                    by: Some(entry),
                    why: entry.act.word().to_owned(),
                };
                if entry.rows.is_empty() {
                    standing.open(None, &why);
                }
                for row in &entry.rows {
                    standing.open(Some(row), &why);
                }
                self.fall(entry);
            }
            _ => {}
        }
    }

    /// Opens what an entry says fell open with it.
    fn fall(&mut self, entry: &'a Entry) {
        let by = Some(entry);
        for (what, why) in &entry.fell {
            let why = why.clone();
            self.open(what, &Opened { by, why });
        }
        for id in &entry.opens {
            let why = format!("fell open with `{}`", entry.task);
            self.open(id, &Opened { by, why });
        }
    }

    /// Opens a task, or a row of one.
    fn open(&mut self, what: &str, why: &Opened<'a>) {
        let (id, row) = in_row(what);
        if let Some(standing) = self.get_mut(id) {
            standing.open(row, why);
        }
    }
}
